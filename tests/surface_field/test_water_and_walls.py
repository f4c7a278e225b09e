"""The water cools as it should, energy is kept, walls keep heat in, and the solution is that of a direct solver."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.sparse.linalg import spsolve
from shapely.geometry import box
from surface_field.floors import SECTION, floor, pipe, section, straight

from ufh_core.basis.pipe_axis import rounded
from ufh_core.surface_field import surface_field
from ufh_core.surface_field.cells import cells_of, conduction
from ufh_core.surface_field.section import plane_section
from ufh_core.surface_field.solving import plane_temperature
from ufh_core.surface_field.stations import stations_of
from ufh_core.surface_field.water import water_run

SNAKE = rounded(
    [(0.1, 0.1), (0.1, 2.6), (3.9, 2.6), (3.9, 2.4), (0.3, 2.4), (0.3, 2.2), (3.9, 2.2), (3.9, 0.2), (0.4, 0.2)], 0.08
)


# Published: pandapipes 0.16.0, five loops of 16 x 2 pipe on one manifold, loss of 0.587 W/(m K) to 20 °C:
# K_H 3.3682 x 0.15 m, and downward by R_o/R_u; flow at 40 °C, 0.99310 kg/l (728.8 kg/h in all), return [°C].
@pytest.mark.parametrize(
    ("length", "litres_per_minute", "return_c"),
    [(45, 3.0431, 37.641), (60, 2.6453, 36.498), (75, 2.3622, 35.276), (90, 2.1482, 34.016), (100, 2.0320, 33.172)],
)
def test_water_cools_as_in_a_network(length: float, litres_per_minute: float, return_c: float) -> None:
    kg_s = litres_per_minute * 728.8 / 12.2308 / 3600
    strip, axis = box(0, 0, 0.15, length), straight((0.075, 0.0), (0.075, length))
    field = surface_field([floor(strip)], [pipe(axis, mass_flow=kg_s)])
    assert field is not None
    assert field.pipes[0].return_c == pytest.approx(return_c, abs=0.03)


def test_energy_is_kept() -> None:
    rooms = [
        floor(box(0, 0, 2.0, 3), room="a", below_c=8.0),
        floor(box(2.0, 0, 4.0, 3), section(0.15, 0.02), room="b", indoor_c=24.0),
    ]
    pipes = [
        pipe(SNAKE, mass_flow=0.012, flow_c=38.0),
        pipe(straight((0.5, 0.5), (3.5, 1.9)), mass_flow=0.004, number="M1.02"),
    ]
    field = surface_field(rooms, pipes)
    assert field is not None
    given = sum(
        0.012 * 4190 * (38.0 - p.return_c) if p.number == "M1.01" else 0.004 * 4190 * (40 - p.return_c)
        for p in field.pipes
    )
    taken = sum(room.upward_w + room.downward_w for room in field.heats)
    assert taken == pytest.approx(given, rel=1e-6)
    assert all(p.heat_w > 0 and p.uncovered_m == 0 for p in field.pipes)


def test_iteration_finds_what_a_direct_solver_finds() -> None:
    floors, pipes = [floor(box(0, 0, 4, 3), below_c=10.0)], [pipe(SNAKE, mass_flow=0.006)]
    plane = plane_section(SECTION, 0.025)
    cells = cells_of(floors, 0.025)
    stations = stations_of(pipes, floors, cells, [plane.plane_conductance])
    water = water_run(pipes, stations)
    sinks = (plane.up + plane.down) * cells.area
    passive = (conduction(cells, np.full(len(cells.room), plane.plane_conductance)) + sp.diags(sinks)).tocsr()
    sunk = (plane.up * 20.0 + plane.down * 10.0) * cells.area
    found = plane_temperature(passive, sunk, stations, water)
    # Unknowns: cells, then the water that leaves each station; written anew from the balance of each.
    n, m = len(cells.room), len(stations.length)
    rate = 0.006 * 4190.0
    share = 1 - np.exp(-stations.conductance / rate)
    onward = sp.diags(np.ones(m)) - sp.diags(1 - share[1:], -1)
    heat_from_water = sp.diags(rate * share) @ stations.shares
    into = sp.diags(np.ones(m - 1), -1)
    whole = sp.bmat(
        [
            [passive + stations.shares.T @ heat_from_water, -stations.shares.T @ sp.diags(rate * share) @ into],
            [-sp.diags(share) @ stations.shares, onward],
        ]
    ).tocsc()
    entering = np.zeros(m)
    entering[0] = 40.0
    right = np.concatenate([sunk + stations.shares.T @ (rate * share * entering), (1 - share) * entering])
    exact = spsolve(whole, right)[:n]
    assert np.abs(found - exact).max() < 1e-5


def test_strip_keeps_heat_in_its_room() -> None:
    """A room beside gets nothing, and a wall is a mirror: the room is half of one twice as wide."""
    one = pipe(straight((0.8, 0.0), (0.8, 2.0)), mass_flow=0.01)
    left, right = floor(box(0, 0, 1, 2), room="left"), floor(box(1, 0, 2, 2), room="right")
    alone = surface_field([left, right], [one])
    other = pipe(straight((1.2, 0.0), (1.2, 2.0)), mass_flow=0.01, number="M1.02")
    both = surface_field([floor(box(0, 0, 2, 2))], [one, other])
    assert alone is not None and both is not None
    assert alone.heats[1].upward_w == pytest.approx(0.0, abs=1e-6)
    assert alone.rooms[1].mean_c == pytest.approx(20.0, abs=1e-6)
    assert 2 * alone.heats[0].upward_w == pytest.approx(both.heats[0].upward_w, rel=1e-6)
    shape = both.surface_c[3:83, 3:83]
    assert np.allclose(shape, shape[:, ::-1], atol=1e-4)


def test_threshold_conducts_and_its_surface_is_not_the_room_s() -> None:
    axis = straight((1.2, 0.5), (0.5, 0.5))  # warmest where it comes in, on the threshold
    room = floor(box(0, 0, 1, 1), threshold=box(1, 0.1, 1.2, 0.9))
    field = surface_field([room], [pipe(axis, mass_flow=0.0005)])
    assert field is not None
    (own,), (heat,), (water,) = field.rooms, field.heats, field.pipes
    assert own.peak_at[0] < 1.0
    assert own.peak_c < float(np.nanmax(field.surface_c)) - 0.2
    assert heat.upward_w + heat.downward_w == pytest.approx(water.heat_w, rel=1e-6)
    assert water.uncovered_m == 0.0


def test_pipe_under_no_floor_gives_nothing() -> None:
    axis = straight((0.5, 0.5), (3.0, 0.5))
    field = surface_field([floor(box(0, 0, 1, 1))], [pipe(axis, mass_flow=0.01)])
    assert field is not None
    assert field.pipes[0].uncovered_m == pytest.approx(2.0, abs=0.03)
    (own,) = field.heats
    assert own.upward_w + own.downward_w == pytest.approx(field.pipes[0].heat_w, rel=1e-6)


def test_rooms_area_counts_whole_whatever_the_grid_cuts_off() -> None:
    outline = box(0.007, 0.003, 1.506, 1.013)
    field = surface_field([floor(outline)], [pipe(straight((0.1, 0.5), (1.4, 0.5)))])
    assert field is not None
    cells = cells_of([floor(outline)], 0.025)
    assert cells.area.sum() == pytest.approx(outline.area, rel=1e-12)


def test_water_that_stands_still_gives_nothing() -> None:
    still = pipe(SNAKE, mass_flow=0.0)
    field = surface_field([floor(box(0, 0, 4, 3))], [still])
    assert field is not None
    assert field.pipes[0].heat_w == 0.0 and field.pipes[0].return_c == 40.0
    assert field.rooms[0].peak_c == pytest.approx(20.0, abs=1e-6)


def test_nothing_laid_has_no_field() -> None:
    assert surface_field([], [pipe(SNAKE)]) is None
    assert surface_field([floor(box(0, 0, 1, 1))], []) is None


def test_colder_below_takes_more_and_leaves_the_room_less() -> None:
    warm, cold = (
        surface_field([floor(box(0, 0, 4, 3), replace(SECTION, r_below=1.0), below_c=c)], [pipe(SNAKE, mass_flow=0.01)])
        for c in (20.0, 0.0)
    )
    assert warm is not None and cold is not None
    assert cold.heats[0].downward_w > warm.heats[0].downward_w + 100
    assert cold.heats[0].upward_w < warm.heats[0].upward_w
