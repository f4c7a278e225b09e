"""The surface of each room as bands and isotherms of whole steps, levelled over the pitch of its pipes.

A field swings from pipe to pipe, so lines through it would follow every run and nobody could read them. They are
drawn through the field's mean about each place, by a bell whose width takes the swing away and leaves what spreads
further than a pitch; what is hottest over a pipe is told from the field itself. Lines come by marching squares, from
a contouring library. A room's own floor is levelled for itself, since its neighbour's is another floor.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import contourpy
import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage
from shapely.geometry import LineString, MultiLineString, Polygon

from ufh_core.basis.areas import Area, along, common, joined, polygons_only
from ufh_core.surface_field.types import SurfaceField

BELL_PITCHES = 0.6
"""Standard deviation of the bell in pitches: of a swing with that wavelength 0.1 % is left, exp(−2π² 0.6²)."""

STEP_K = 1.0
"""From isotherm to isotherm [K]."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Floor of a room between two isotherms, `low_c` and a step more [°C]."""

    room: str
    low_c: float
    area: Area


@dataclass(frozen=True, slots=True, kw_only=True)
class Isotherm:
    """All lines of one temperature on the floor of a room [°C, m]."""

    room: str
    surface_c: float
    lines: MultiLineString


@dataclass(frozen=True, slots=True, kw_only=True)
class Isotherms:
    """Bands and isotherms of a storey, room by room, coldest first; `over` is floor over its limit, not levelled."""

    bands: tuple[Band, ...]
    lines: tuple[Isotherm, ...]
    over: Area


def isotherms(
    field: SurfaceField, floors: Mapping[str, Area], pitches_m: Mapping[str, float], over_k: float
) -> Isotherms:
    """Bands and isotherms of rooms whose outlines are in `floors`, GlobalIds; `pitches_m` is each room's widest pitch.

    Floor counts as over its limit from `over_k` [K] more. Thresholds are left aside.
    """
    bands: list[Band] = []
    lines: list[Isotherm] = []
    for k, room in enumerate(field.floors):
        mine = field.room_index == k
        if room not in floors or not mine.any():
            continue
        drawn = _Floor(field, mine, floors[room], pitches_m.get(room, 0.0))
        bands += [Band(room=room, low_c=low, area=area) for low, area in drawn.bands()]
        lines += [Isotherm(room=room, surface_c=c, lines=parts) for c, parts in drawn.lines()]
    with np.errstate(invalid="ignore"):
        over = field.surface_c > field.limit_c + over_k
    return Isotherms(bands=tuple(bands), lines=tuple(lines), over=cells_area(field, over))


def cells_area(field: SurfaceField, wanted: NDArray[np.bool_]) -> Area:
    """The floor of the cells that are wanted [m]: their runs, row by row, made one."""
    padded = np.pad(wanted, ((0, 0), (1, 1))).astype(np.int8)
    steps = np.diff(padded, axis=1)
    rows, starts = np.nonzero(steps == 1)
    _, ends = np.nonzero(steps == -1)
    x, y, cell = *field.corner, field.cell_m
    return joined(shapely.box(x + starts * cell, y + rows * cell, x + ends * cell, y + (rows + 1) * cell))


class _Floor:
    """The levelled floor of one room, carried on past its edge so that lines run to the wall."""

    def __init__(self, field: SurfaceField, mine: NDArray[np.bool_], outline: Area, pitch_m: float) -> None:
        rows, columns = (np.flatnonzero(mine.any(axis=axis)) for axis in (1, 0))
        part = (slice(rows[0] - 2, rows[-1] + 3), slice(columns[0] - 2, columns[-1] + 3))
        here = mine[part]
        self.values = _levelled(np.where(here, field.surface_c[part], 0.0), here, BELL_PITCHES * pitch_m / field.cell_m)
        self.least, self.most = float(self.values.min()), float(self.values.max())
        x, y, cell = *field.corner, field.cell_m
        across = x + (np.arange(part[1].start, part[1].stop) + 0.5) * cell
        up = y + (np.arange(part[0].start, part[0].stop) + 0.5) * cell
        self.contours = contourpy.contour_generator(across, up, self.values, fill_type="OuterOffset")
        self.floor = common(outline, cells_area(field, mine).buffer(cell, join_style="mitre"))

    def bands(self) -> list[tuple[float, Area]]:
        """Floor from step to step, from the coldest on."""
        found = []
        for k in range(math.floor(self.least / STEP_K), math.floor(self.most / STEP_K) + 1):
            area = common(self._between(k * STEP_K, (k + 1) * STEP_K), self.floor)
            if not area.is_empty:
                found.append((k * STEP_K, area))
        return found

    def lines(self) -> list[tuple[float, MultiLineString]]:
        """Lines of whole steps, from the coldest on."""
        found = []
        for k in range(math.ceil(self.least / STEP_K), math.floor(self.most / STEP_K) + 1):
            parts = along(MultiLineString([LineString(p) for p in self.contours.lines(k * STEP_K)]), self.floor)
            if not parts.is_empty:
                found.append((k * STEP_K, parts))
        return found

    def _between(self, low: float, high: float) -> Area:
        found: Any = self.contours.filled(low, high)  # by its fill type: points of each polygon, where its rings begin
        points, offsets = found
        areas = []
        for ring_points, ends in zip(points, offsets, strict=True):
            rings = [ring_points[a:b] for a, b in pairwise(ends)]
            areas.append(polygons_only(shapely.make_valid(Polygon(rings[0], rings[1:]))))
        return joined(areas)


def _levelled(values: Floats, here: NDArray[np.bool_], bell_cells: float) -> Floats:
    """Values under a bell that weighs the room's own cells only; outside them the nearest one's value."""
    if bell_cells > 0:
        share = ndimage.gaussian_filter(here.astype(float), bell_cells)
        values = ndimage.gaussian_filter(values, bell_cells) / np.maximum(share, 1e-12)
    rows, columns = ndimage.distance_transform_edt(~here, return_distances=False, return_indices=True)
    return np.asarray(values[rows, columns], dtype=float)
