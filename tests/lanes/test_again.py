"""Lanes led again after some territories changed: the rest stays as it lies, and all keep the rules."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, Point

from ufh_core.lanes.level import route_lanes
from ufh_core.lanes.types import Earlier, Lane, LevelLanes
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.zones.divisions import cuts_of, with_cuts
from ufh_core.zones.territories import Territory, first_division, territories

FOUR = Settings(manifold=ManifoldSettings(most_ports=6))
ROOMS = 8


LEVEL = sketch.corridor(ROOMS)
COUNTS = {guid: 2 if guid in ("hall", "S2") else 1 for guid in LEVEL.heated}
PITCHES = dict.fromkeys(COUNTS, 0.2)
PARTS = territories(LEVEL, COUNTS, PITCHES, FOUR)
LANES = route_lanes(LEVEL, PARTS, FOUR)
BEFORE = Earlier(territories=PARTS, lanes=LANES, sites_stay=False)


def by_floor(parts: tuple[Territory, ...], lanes: LevelLanes) -> dict[tuple[str, bytes], Lane]:
    return {(parts[lane.territory].room, parts[lane.territory].floor.wkb): lane for lane in lanes.lanes}


def keep_the_rules(parts: tuple[Territory, ...], lanes: LevelLanes) -> None:
    assert not lanes.unreached and len(lanes.lanes) == len(parts)
    ports = [(lane.manifold, lane.port) for lane in lanes.lanes]
    assert len(ports) == len(set(ports))
    lines = [LineString(lane.corners) for lane in lanes.lanes]
    assert min(a.distance(b) for a, b in combinations(lines, 2)) > 0.1 - 1e-6
    assert all(a.clear_of(b) for a, b in combinations(lanes.sites, 2))
    for lane in lanes.lanes:
        site = lanes.sites[lane.manifold]
        assert site.low - 1e-6 <= lane.corners[0][site.stretch.along] <= site.high + 1e-6
        assert lane.port < len(site.nodes) <= FOUR.manifold.most_ports
        assert parts[lane.territory].floor.buffer(0.05).covers(Point(lane.corners[-1]))


def test_what_did_not_change_stays() -> None:
    again = route_lanes(LEVEL, PARTS, FOUR, BEFORE)
    assert again.lanes == LANES.lanes and again.sites == LANES.sites


def test_territories_may_come_in_another_order() -> None:
    turned = PARTS[::-1]
    again = route_lanes(LEVEL, turned, FOUR, BEFORE)
    before = {key: lane.corners for key, lane in by_floor(PARTS, LANES).items()}
    assert {key: lane.corners for key, lane in by_floor(turned, again).items()} == before


@pytest.mark.parametrize("stays", [True, False])
def test_a_circuit_more_moves_no_lane_of_other_manifolds(stays: bool) -> None:
    parts = territories(LEVEL, {**COUNTS, "N5": 2}, PITCHES, FOUR)
    again = route_lanes(LEVEL, parts, FOUR, replace(BEFORE, sites_stay=stays))
    keep_the_rules(parts, again)
    before, now = by_floor(PARTS, LANES), by_floor(parts, again)
    kept = [key for key in before if key in now and before[key].corners == now[key].corners]
    changed = {before[key].manifold for key in before if key not in kept}
    assert len(kept) >= len(PARTS) // 2 and len(changed) == 1


def test_where_a_cut_moves_lanes_follow_it() -> None:
    division = first_division(LEVEL, "S2", 2, 0.2, FOUR)
    moved = with_cuts(division, [at + 0.4 for at in cuts_of(division)])
    parts = territories(LEVEL, COUNTS, PITCHES, FOUR, {"S2": moved})
    again = route_lanes(LEVEL, parts, FOUR, BEFORE)
    keep_the_rules(parts, again)
    before, now = by_floor(PARTS, LANES), by_floor(parts, again)
    others = [key for key in before if key[0] != "S2"]
    assert len(others) == len(PARTS) - 2
    assert all(before[key].corners == now[key].corners for key in others)
    starts = [sorted(lane.corners[0] for key, lane in led.items() if key[0] == "S2") for led in (before, now)]
    assert starts[0] == starts[1]


def test_where_ports_run_out_all_is_led_anew() -> None:
    counts = dict.fromkeys(COUNTS, 2)
    parts = territories(LEVEL, counts, PITCHES, FOUR)
    again = route_lanes(LEVEL, parts, FOUR, BEFORE)
    keep_the_rules(parts, again)
    assert len(again.sites) * FOUR.manifold.most_ports >= len(parts) > len(LANES.sites) * FOUR.manifold.most_ports


def test_a_full_manifold_gets_no_more_circuits() -> None:
    parts = territories(LEVEL, {**COUNTS, "N0": 2, "S0": 2, "N1": 2, "S1": 2}, PITCHES, FOUR)
    again = route_lanes(LEVEL, parts, FOUR, replace(BEFORE, sites_stay=True))
    keep_the_rules(parts, again)
    before, now = by_floor(PARTS, LANES), by_floor(parts, again)
    assert any(before[key].corners == now[key].corners for key in before if key in now)
