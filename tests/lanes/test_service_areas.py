"""Several manifolds: fair shares, windows that keep the lattice, lanes of different areas that keep apart."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import plan_sketch as sketch
import pytest
from lane_checks import keep_the_rules
from shapely.geometry import LineString

from ufh_core.lanes.areas import Offer, free_places
from ufh_core.lanes.ground import LaneGround
from ufh_core.lanes.level import route_lanes
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.service_areas import lead_by_areas, shared_out
from ufh_core.lanes.siting import Site, candidate_sites
from ufh_core.lanes.types import LevelLanes, Search
from ufh_core.lanes.window import nodes_along, window_on
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.zones.territories import Territory, territories

PLAIN = Settings()


def parts_of(level: sketch.Level) -> tuple[Territory, ...]:
    counts = {guid: 2 if guid == "hall" else 1 for guid in level.heated}
    return territories(level, counts, dict.fromkeys(counts, 0.2), PLAIN)


def ground_of(level: sketch.Level) -> LaneGround:
    parts = parts_of(level)
    ((area, _),) = LevelGround(level, PLAIN).areas_with(parts)
    return area.search(parts).ground


def test_shares_are_as_large_as_asked_and_cheap() -> None:
    spots = np.array([0.0, 1.0, 2.0, 3.0, 20.0, 21.0, 22.0])
    places = np.array([21.0, 1.5, 9.0])
    price = np.abs(places[:, None] - spots)
    assert sorted(shared_out(price, [4, 3])) == [(0, 1, 2, 3), (4, 5, 6)]
    assert sorted(len(mine) for mine in shared_out(price, [3, 2, 2])) == [2, 2, 3]
    assert shared_out(price, [3, 4], [0, 1]) == [(4, 5, 6), (0, 1, 2, 3)]


def test_a_window_is_the_same_lattice_without_what_is_taken() -> None:
    ground = ground_of(sketch.corridor(3))
    hall = next(k for k, p in enumerate(parts_of(sketch.corridor(3))) if p.room == "hall")
    taken = ground.arrivals[hall][:5]
    window = window_on(ground, (1.0, 1.0, 6.0, 7.0), [hall], taken)
    small, whole = window.ground.grid, ground.grid
    inside = np.array([n for n in np.flatnonzero(whole.free) if window.holds(np.array([[n]]))[0]])
    there = window.into(inside)
    assert len(there) == len(inside) > 500
    assert np.allclose(small.positions(there), whole.positions(inside))
    assert (window.ground.cost[there] == ground.cost[inside]).all() and (small.lock[there] == whole.lock[inside]).all()
    assert not small.free[window.into(taken)].any()
    rim = (small.positions(there) > small.positions(there).min(axis=0) + 0.15).all(axis=1)
    rim &= (small.positions(there) < small.positions(there).max(axis=0) - 0.15).all(axis=1)
    kept = np.isin(inside, taken, invert=True)
    assert small.free[there[rim & kept]].all()
    assert len(window.ground.arrivals[hall]) > 10
    assert all(len(nodes) == 0 for t, nodes in enumerate(window.ground.arrivals) if t != hall)


def test_a_site_is_the_same_in_and_out_of_a_window() -> None:
    level = sketch.corridor(3)
    ground = ground_of(level)
    window = window_on(ground, (0.0, 3.0, 9.0, 7.0), [], np.zeros(0, dtype=np.int64))
    sites = [s for s in candidate_sites(level, ground.grid, 3, PLAIN) if window.holds(np.array([s.nodes]))[0]]
    assert len(sites) > 5
    for site in sites:
        assert window.site_out(window.site_into(site)) == site


def test_nodes_along_a_lane_are_those_it_runs_over() -> None:
    grid = ground_of(sketch.corridor(3)).grid
    path = [grid.node(10 + k, 20) for k in range(9)] + [grid.node(18, 20 - k) for k in range(1, 6)]
    corners = [grid.point(n) for n in (path[0], path[8], path[-1])]
    x, y = corners[0]
    assert set(nodes_along(ground_of(sketch.corridor(3)), [[(x - 0.04, y), *corners[1:]]])) == set(path)


def led(most: int) -> tuple[tuple[Territory, ...], LevelLanes]:
    level = sketch.corridor()
    parts = parts_of(level)
    return parts, route_lanes(level, parts, Settings(manifold=ManifoldSettings(most_ports=most)))


@pytest.mark.parametrize(("most", "manifolds"), [(3, 6), (4, 4), (5, 3), (7, 2)])  # five of 3 would be 14 / 15 full
def test_areas_reach_all_their_floors_and_keep_apart(most: int, manifolds: int) -> None:
    parts, lanes = led(most)
    keep_the_rules(parts, lanes, most)
    assert len(lanes.sites) == manifolds


def side_by_side() -> tuple[Search, list[Site]]:
    """All territories of a corridor, and two sites next to each other at its left end, which must share it."""
    level = sketch.corridor()
    parts = parts_of(level)
    ((area, _),) = LevelGround(level, PLAIN).areas_with(parts)
    search = area.search(parts)
    ground = search.ground
    sites = [s for s in candidate_sites(level, ground.grid, 7, PLAIN) if s.stretch.room == "hall"]
    one = min(sites, key=lambda s: max(ground.grid.point(n)[0] for n in s.nodes))
    other = min((s for s in sites if s.clear_of(one)), key=lambda s: max(ground.grid.point(n)[0] for n in s.nodes))
    return search, [one, other]


def test_areas_that_share_a_hall_keep_apart_in_it() -> None:
    search, sites = side_by_side()
    made = lead_by_areas(search, sites, [7, 7], fixed=True)
    lines = [LineString(lane.corners) for lane in made.lanes]
    assert {lane.manifold for lane in made.lanes} == {0, 1}
    assert min(a.distance(b) for a, b in combinations(lines, 2)) > 0.1 - 1e-6


def test_no_site_is_offered_where_another_manifold_stands_or_a_lane_runs() -> None:
    search, (one, other) = side_by_side()
    offer, nothing = Offer(search, [one, other]), np.zeros(0, dtype=np.int64)
    window = window_on(search.ground, (-9.0, -9.0, 99.0, 99.0), [], nothing)
    assert free_places(offer, [0, 1], window, nothing, []) == [0, 1]
    assert free_places(offer, [1, 0], window, nothing, []) == [1, 0]
    assert free_places(offer, [0, 1], window, nothing, [one]) == [1]
    ahead = one.nodes[2] + 2 * search.ground.grid.step_of(one.direction)
    assert free_places(offer, [0, 1], window, np.array([ahead]), []) == [1]


def test_rooms_hang_on_a_manifold_near_them() -> None:
    parts, lanes = led(5)
    far = [
        abs(lane.corners[0][0] - parts[lane.territory].floor.centroid.x)
        for lane in lanes.lanes
        if parts[lane.territory].room != "hall"
    ]
    assert max(far) < 9.0 and np.median(far) < 4.0
