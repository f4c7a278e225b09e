"""Places for manifolds: on free wall, with free floor in front, near what they serve."""

from __future__ import annotations

import math
from dataclasses import replace

import layout_checks
import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, Point, Polygon, box

from ufh_core.building.types import RoomKind, SweptFloor
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.lanes.grid import LaneGrid, make_grid
from ufh_core.lanes.level import route_lanes
from ufh_core.lanes.siting import Site, best_sites, candidate_sites, distances_at
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.zones.level_plan import lane_area
from ufh_core.zones.territories import territories

PLAIN = Settings()
HALL = box(0.02, 0.01, 8.02, 2.01)
DOORS = [sketch.door(box(x, 2.01, x + 0.9, 2.13), sketch.THROUGH_Y, "A", "") for x in (1.0, 4.0)]
UNIT = sketch.unit_in(box(5.0, 0.3, 6.0, 0.9))


def hall(unit: bool = True) -> sketch.Level:
    obstacles = [UNIT] if unit else []
    return sketch.one_room(HALL, RoomKind.HALL, passages=DOORS, obstacles=obstacles)


def lattice(level: sketch.Level) -> LaneGrid:
    return make_grid(lane_area(level, PLAIN, 0.05), [], 0.05, 0.075)


def front(site: Site, near: float, far: float) -> Polygon:
    s = site.stretch
    return Polygon(
        [s.point(a, out) for a, out in ((site.low, near), (site.high, near), (site.high, far), (site.low, far))]
    )


@pytest.mark.parametrize("count", [1, 4, 10])
def test_a_place_has_free_wall_behind_and_free_floor_in_front(count: int) -> None:
    level = hall()
    sites = candidate_sites(level, lattice(level), count, PLAIN)
    assert len(sites) > 5
    taken = [d.outline for d in DOORS]
    width = count * 0.1 + PLAIN.manifold.mixing_station_m
    for site in sites:
        assert site.high - site.low == pytest.approx(width)
        back = LineString([site.stretch.point(site.low, 0), site.stretch.point(site.high, 0)])
        assert HALL.exterior.buffer(1e-6).covers(back)
        assert all(back.distance(t) > 0.05 for t in taken)
        service = front(site, 0.03, PLAIN.manifold.service_depth_m - 0.03)
        assert HALL.buffer(0.03).covers(service)
        assert service.buffer(-0.03).intersection(UNIT.outline).area == 0


def test_ports_stand_in_a_row_on_the_lattice_within_the_place_and_clear_of_the_station() -> None:
    level = hall()
    grid = lattice(level)
    for site in candidate_sites(level, grid, 5, PLAIN):
        points = [grid.point(n) for n in site.nodes]
        along = [p[site.stretch.along] for p in points]
        assert np.allclose(np.abs(np.diff(along)), 0.1)
        bars = (site.low + 0.3, site.high) if site.station_first else (site.low, site.high - 0.3)
        assert min(along) == pytest.approx(bars[0] + 0.05) and max(along) == pytest.approx(bars[1] - 0.05)
        out = {round(HALL.exterior.distance(Point(p)), 3) for p in points[1:-1]}
        assert len(out) == 1 and 0.06 <= out.pop() < 0.26
        ahead = [n + k * grid.step_of(site.direction) for n in site.nodes for k in range(3)]
        assert grid.free[ahead].all()


def test_no_place_where_the_wall_is_too_short_or_the_room_too_shallow() -> None:
    level = hall()
    assert candidate_sites(level, lattice(level), 80, PLAIN) == []
    corridor = sketch.one_room(box(0, 0, 8, 0.65), RoomKind.HALL)
    assert all(s.stretch.along == 1 for s in candidate_sites(corridor, lattice(corridor), 1, PLAIN))


def priced(level: sketch.Level, spots: list[tuple[float, float]]) -> tuple[LaneGrid, np.ndarray]:
    grid = lattice(level)
    near = [np.array([int(np.argmin(np.hypot(*(grid.points() - spot).T)))]) for spot in spots]
    return grid, distances_at(grid, np.ones(grid.size), near, np.arange(grid.size))


def test_a_map_holds_the_shortest_ways_round_what_stands_in_between() -> None:
    level = sketch.one_room(box(0, 0, 6, 4), obstacles=[sketch.unit_in(box(3, -1, 3.2, 3))])
    grid, maps = priced(level, [(1.0, 1.0)])
    there = int(np.argmin(np.hypot(*(grid.points() - (5.0, 1.0)).T)))
    assert maps[0, there] == pytest.approx((2.1 + 4.0 + 2.1) / 0.1, abs=4)


@pytest.mark.parametrize("spot", [(0.5, 1.0), (7.5, 1.0), (4.0, 1.0)])
def test_the_best_place_is_near_what_it_serves(spot: tuple[float, float]) -> None:
    level = hall(unit=False)
    grid, maps = priced(level, [spot])
    sites = candidate_sites(level, grid, 2, PLAIN)
    choices = best_sites(sites, maps[:, [s.middle for s in sites]], [2])
    assert 1 <= len(choices) <= 6 and all(len(c) == 1 for c in choices)
    away = lambda site: math.dist(grid.point(site.middle), spot)  # noqa: E731
    assert away(choices[0][0]) < min(map(away, sites)) + 0.3
    places = [(c[0].stretch, round(c[0].low, 3)) for c in choices]
    assert len(places) == len(set(places))


def test_two_manifolds_stand_where_their_circuits_are() -> None:
    level = hall(unit=False)
    grid, maps = priced(level, [(0.5, 0.4), (0.5, 1.2), (7.5, 0.4), (7.5, 1.2)])
    sites = candidate_sites(level, grid, 2, PLAIN)
    (chosen,) = best_sites(sites, maps[:, [s.middle for s in sites]], [2, 2])
    xs = sorted(grid.point(s.middle)[0] for s in chosen)
    assert xs[0] < 2 and xs[1] > 6


def test_a_dear_kind_of_room_is_left_for_a_cheap_one_close_by() -> None:
    rooms = [sketch.room("L", box(0, 0, 5, 5), RoomKind.LIVING), sketch.room("H", box(0, 5.12, 5, 7), RoomKind.HALL)]
    way = sketch.door(box(2, 5, 3, 5.12), sketch.THROUGH_Y, "L", "H")
    level = sketch.level(sketch.storey(rooms, [way]))
    lanes = route_lanes(level, territories(level, {"L": 1, "H": 1}, {"L": 0.2, "H": 0.2}, PLAIN), PLAIN)
    assert {s.stretch.room for s in lanes.sites} == {"H"}


def swung(level: sketch.Level, swept: Polygon) -> sketch.Level:
    """The level with a door that swings over some floor."""
    swing = SweptFloor(ifc_guid="D", outline=swept, bottom_m=0.0, top_m=2.0)
    return replace(level, storey=replace(level.storey, swings=(swing,)))


def test_a_place_into_whose_space_a_door_swings_is_dearer_by_a_quarter() -> None:
    level, swept = hall(unit=False), box(3.0, 0.01, 4.0, 0.6)
    sites = candidate_sites(swung(level, swept), lattice(level), 2, PLAIN)
    depth = PLAIN.manifold.service_depth_m
    for site in sites:
        on = front(site, 0.03, depth - 0.03).intersection(swept).area
        if abs(on - 0.05) > 0.03:  # the ends of the space count a little less
            assert site.hindered == (on > 0.05), (site.low, on)
    assert {s.hindered for s in sites} == {True, False}
    plain = candidate_sites(level, lattice(level), 2, PLAIN)
    assert {round(s.factor / p.factor, 9) for s, p in zip(sites, plain, strict=True)} == {1.0, 1.25}


@pytest.mark.parametrize(("spots", "there"), [([(1.0, 1.0), (7.0, 1.0), (4.0, 1.0)], False), ([(4.0, 1.0)], True)])
def test_a_manifold_gives_way_to_a_door_where_another_place_is_nearly_as_good(
    spots: list[tuple[float, float]], there: bool
) -> None:
    """Among three floors tails beside the sweep are a seventh longer; before the only one they would be far longer."""
    level = swung(hall(unit=False), box(3.1, -1.0, 4.9, 3.0))
    grid, maps = priced(level, spots)
    sites = candidate_sites(level, grid, 2, PLAIN)
    ((best,), *_) = best_sites(sites, maps[:, [s.middle for s in sites]], [2])
    assert best.hindered is there


@pytest.mark.parametrize("most", [2, 3, 5])
def test_no_manifold_has_more_ports_than_it_may(most: int) -> None:
    settings = replace(PLAIN, manifold=ManifoldSettings(most_ports=most))
    storey = sketch.random_dwelling(2)
    heated = [r.ifc_guid for r in storey.rooms]
    layout = lay_level(
        LevelBrief(level=sketch.level(storey), pitches=dict.fromkeys(heated, 0.3), settings=settings, first_manifold=7)
    )
    assert layout.circuits and not layout.failed
    assert len(layout.manifolds) >= len(layout.circuits) / most > 1 or most == 5
    assert [m.name for m in layout.manifolds] == [f"M{7 + k}" for k in range(len(layout.manifolds))]
    assert max(len(m.ports) for m in layout.manifolds) <= most
    assert layout_checks.faults(storey, layout, heated, most_ports=most) == []
