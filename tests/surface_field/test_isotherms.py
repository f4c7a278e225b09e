"""Bands and isotherms of made-up surfaces whose lines are known by geometry. No figure here is a regression.

Published: what a bell of standard deviation s leaves of a swing of wavelength p is exp(−2π² s²/p²), the Fourier
transform of the Gaussian (any handbook of transforms). The rest is arithmetic on planes and cones.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from shapely.geometry import box

from ufh_core.surface_field.isotherms import BELL_PITCHES, Isotherms, cells_area, isotherms
from ufh_core.surface_field.types import SurfaceField

CELL = 0.025
ROOM, NEXT = box(0, 0, 4, 3), box(4.1, 0, 6.1, 3)
Surface = Callable[[np.ndarray, np.ndarray], np.ndarray]


def made_field(*rooms: tuple[shapely.Polygon, Surface], limit_c: float = 29.0) -> SurfaceField:
    """A field whose rooms have the surface that a function of x and y gives [°C]."""
    corner = (-0.1, -0.1)
    columns, rows = 260, 140
    x, y = np.meshgrid(corner[0] + (np.arange(columns) + 0.5) * CELL, corner[1] + (np.arange(rows) + 0.5) * CELL)
    surface, index = np.full(x.shape, np.nan), np.full(x.shape, -1, dtype=np.int32)
    for k, (outline, function) in enumerate(rooms):
        here = shapely.contains_xy(outline, x, y)
        surface[here], index[here] = function(x, y)[here], k
    return SurfaceField(
        corner=corner, cell_m=CELL, floors=tuple(f"room {k}" for k in range(len(rooms))), rooms=(), heats=(), pipes=(),
        hot_places=(), surface_c=surface.astype(np.float32),
        limit_c=np.where(index >= 0, limit_c, np.nan).astype(np.float32), room_index=index,
    )  # fmt: skip


def drawn(*rooms: tuple[shapely.Polygon, Surface], pitch_m: float = 0.0, limit_c: float = 29.0) -> Isotherms:
    floors = {f"room {k}": outline for k, (outline, _) in enumerate(rooms)}
    return isotherms(made_field(*rooms, limit_c=limit_c), floors, dict.fromkeys(floors, pitch_m), 0.05)


def slope(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 20.25 + 2.0 * x


def test_lines_of_a_plane_stand_where_it_has_their_temperature() -> None:
    """20.25 + 2 x °C has 23 °C at x = 1.375 m, from wall to wall."""
    found = drawn((ROOM, slope))
    assert [line.surface_c for line in found.lines] == [21, 22, 23, 24, 25, 26, 27, 28]
    for line in found.lines:
        x = (line.surface_c - 20.25) / 2
        assert np.abs(shapely.get_coordinates(line.lines)[:, 0] - x).max() < 1e-4
        assert line.lines.length == pytest.approx(3.0, abs=1e-6)


def test_bands_tile_the_floor_and_are_as_wide_as_a_step() -> None:
    found = drawn((ROOM, slope))
    assert [band.low_c for band in found.bands] == [20, 21, 22, 23, 24, 25, 26, 27, 28]
    assert found.bands[3].area.area == pytest.approx(3.0 * 0.5, rel=1e-4)
    assert sum(band.area.area for band in found.bands) == pytest.approx(12.0, rel=1e-6)
    for k, band in enumerate(found.bands):
        assert all(band.area.intersection(other.area).area < 1e-6 for other in found.bands[k + 1 :])


def test_a_hill_has_rings_and_a_band_with_a_hole() -> None:
    """A cone of 4 K a metre: the ring of 27 °C about a top of 29.5 °C has a radius of 0.625 m."""
    found = drawn((ROOM, lambda x, y: 29.5 - 4.0 * np.hypot(x - 2.0, y - 1.5)))
    ring = next(line.lines for line in found.lines if line.surface_c == 27)
    assert ring.length == pytest.approx(2 * math.pi * 0.625, rel=2e-3)
    band = next(band.area for band in found.bands if band.low_c == 27)
    assert band.area == pytest.approx(math.pi * (0.625**2 - 0.375**2), rel=5e-3)


def test_a_neighbour_is_another_floor() -> None:
    """Between a floor at 22.5 and one at 27.5 °C there is a wall and no isotherm."""
    cold, warm = lambda x, y: np.full_like(x, 22.5), lambda x, y: np.full_like(x, 27.5)
    found = drawn((ROOM, cold), (NEXT, warm), pitch_m=0.3)
    assert not found.lines
    assert [(band.room, band.low_c) for band in found.bands] == [("room 0", 22), ("room 1", 27)]
    assert [band.area.area for band in found.bands] == pytest.approx([12.0, 6.0], rel=1e-6)


@pytest.mark.parametrize("pitch_m", [0.1, 0.15, 0.3])
def test_the_swing_from_pipe_to_pipe_is_levelled(pitch_m: float) -> None:
    """Published: exp(−2π² 0.6²) = 0.08 % of a swing is left; here 3 K about 24.5 °C makes no line but at walls."""
    assert math.exp(-2 * math.pi**2 * BELL_PITCHES**2) < 0.001

    def swing(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 24.5 + 3.0 * np.sin(2 * math.pi * x / pitch_m)

    inner = box(0, 0, 4, 3).buffer(-2 * pitch_m)
    levelled = drawn((ROOM, swing), pitch_m=pitch_m)
    assert not any(line.lines.intersects(inner) for line in levelled.lines)
    raw = drawn((ROOM, swing))
    assert sum(line.lines.intersection(inner).length for line in raw.lines) > 50


def test_levelling_leaves_what_spreads_further() -> None:
    """The mean about a place on a plane is the place's own, a bell's reach from the walls."""
    found = drawn((ROOM, slope), pitch_m=0.2)
    inner = box(0.6, 0.6, 3.4, 2.4)
    for line in found.lines:
        at = shapely.get_coordinates(shapely.intersection(line.lines, inner))
        assert np.abs(at[:, 0] - (line.surface_c - 20.25) / 2).max(initial=0.0) < 2e-3


def test_floor_over_its_limit_is_not_levelled_away() -> None:
    """One hot cell in a levelled floor is still drawn, at its place and as large as it is."""
    field = made_field((ROOM, lambda x, y: np.full_like(x, 25.0)))
    field.surface_c[50, 60] = 29.2
    field.surface_c[50, 90] = 29.04  # within what is told
    over = isotherms(field, {"room 0": ROOM}, {"room 0": 0.3}, 0.05).over
    west, south = -0.1 + 60 * CELL, -0.1 + 50 * CELL
    assert over.bounds == pytest.approx((west, south, west + CELL, south + CELL), abs=1e-9)


def test_cells_become_their_area() -> None:
    field = made_field((ROOM, slope))
    wanted = np.zeros(field.room_index.shape, dtype=bool)
    wanted[10:14, 20:30] = True
    wanted[12, 24] = False
    area = cells_area(field, wanted)
    assert area.area == pytest.approx(39 * CELL**2) and len(area.interiors) == 1
    assert cells_area(field, np.zeros_like(wanted)).is_empty
