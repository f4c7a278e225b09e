"""Lanes led again after some territories changed: the rest stays as it lies, and all keep the rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import plan_sketch as sketch
import pytest
from lane_checks import keep_the_rules
from shapely.geometry import box

from ufh_core.lanes import again as again_module
from ufh_core.lanes import service_areas
from ufh_core.lanes.again import lead_again
from ufh_core.lanes.level import route_lanes
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.siting import Site, candidate_sites
from ufh_core.lanes.types import Earlier, Lane, LevelLanes, Search
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.zones.divisions import cuts_of, with_cuts
from ufh_core.zones.territories import Territory, first_division, territories

SIX = Settings(manifold=ManifoldSettings(most_ports=6))
LEVEL = sketch.corridor(8)
COUNTS = {guid: 2 if guid in ("hall", "S2") else 1 for guid in LEVEL.heated}
PITCHES = dict.fromkeys(COUNTS, 0.2)
PARTS = territories(LEVEL, COUNTS, PITCHES, SIX)
LANES = route_lanes(LEVEL, PARTS, SIX)
BEFORE = Earlier(territories=PARTS, lanes=LANES, sites_stay=False)


def by_floor(parts: tuple[Territory, ...], lanes: LevelLanes) -> dict[tuple[str, bytes], Lane]:
    return {(parts[lane.territory].room, parts[lane.territory].floor.wkb): lane for lane in lanes.lanes}


def search_of(parts: tuple[Territory, ...]) -> Search:
    ((area, members),) = LevelGround(LEVEL, SIX).areas_with(parts)
    return replace(area.search(parts), group=members)


def sites(search: Search) -> Callable[[int], list[Site]]:
    return lambda ports: candidate_sites(LEVEL, search.ground.grid, ports, SIX)


def no_sites(_: int) -> list[Site]:
    return []


def test_where_nothing_changed_nothing_is_led(monkeypatch: pytest.MonkeyPatch) -> None:
    def led(*_: object) -> None:
        raise AssertionError("an area is led")

    monkeypatch.setattr(service_areas, "led", led)
    monkeypatch.setattr(again_module, "led", led)
    again = route_lanes(LEVEL, PARTS, SIX, BEFORE)
    assert again.lanes == LANES.lanes and again.sites == LANES.sites


def test_territories_may_come_in_another_order() -> None:
    turned = PARTS[::-1]
    again = route_lanes(LEVEL, turned, SIX, BEFORE)
    before = {key: lane.corners for key, lane in by_floor(PARTS, LANES).items()}
    assert {key: lane.corners for key, lane in by_floor(turned, again).items()} == before


@pytest.mark.parametrize("stays", [True, False])
def test_a_circuit_more_moves_no_lane_of_other_manifolds(stays: bool) -> None:
    parts = territories(LEVEL, {**COUNTS, "N5": 2}, PITCHES, SIX)
    again = route_lanes(LEVEL, parts, SIX, replace(BEFORE, sites_stay=stays))
    keep_the_rules(parts, again, 6)
    before, now = by_floor(PARTS, LANES), by_floor(parts, again)
    kept = [key for key in before if key in now and before[key].corners == now[key].corners]
    changed = {before[key].manifold for key in before if key not in kept}
    assert len(kept) >= len(PARTS) // 2 and len(changed) == 1


def test_where_a_cut_moves_lanes_follow_it() -> None:
    division = first_division(LEVEL, "S2", 2, 0.2, SIX)
    moved = with_cuts(division, [at + 0.4 for at in cuts_of(division)])
    parts = territories(LEVEL, COUNTS, PITCHES, SIX, {"S2": moved})
    again = route_lanes(LEVEL, parts, SIX, BEFORE)
    keep_the_rules(parts, again, 6)
    before, now = by_floor(PARTS, LANES), by_floor(parts, again)
    others = [key for key in before if key[0] != "S2"]
    assert len(others) == len(PARTS) - 2
    assert all(before[key].corners == now[key].corners for key in others)
    starts = [sorted(lane.corners[0] for key, lane in led.items() if key[0] == "S2") for led in (before, now)]
    assert starts[0] == starts[1]


def test_where_ports_run_out_all_is_led_anew() -> None:
    counts = dict.fromkeys(COUNTS, 2)
    parts = territories(LEVEL, counts, PITCHES, SIX)
    again = route_lanes(LEVEL, parts, SIX, BEFORE)
    keep_the_rules(parts, again, 6)
    assert len(again.sites) * SIX.manifold.most_ports >= len(parts) > len(LANES.sites) * SIX.manifold.most_ports


def test_a_full_manifold_gets_no_more_circuits() -> None:
    parts = territories(LEVEL, {**COUNTS, "N0": 2, "S0": 2, "N1": 2, "S1": 2}, PITCHES, SIX)
    again = route_lanes(LEVEL, parts, SIX, replace(BEFORE, sites_stay=True))
    keep_the_rules(parts, again, 6)
    before, now = by_floor(PARTS, LANES), by_floor(parts, again)
    assert any(before[key].corners == now[key].corners for key in before if key in now)


def test_where_a_lane_finds_no_place_all_is_left_to_a_new_leading() -> None:
    search = search_of(territories(LEVEL, {**COUNTS, "N5": 2}, PITCHES, SIX))
    assert lead_again(search, BEFORE, 6, 3, sites(search)) is not None
    assert lead_again(search, BEFORE, 6, 3, no_sites) is None


@pytest.mark.parametrize(("most", "fewest"), [(4, 3), (6, 5)], ids=["too few ports", "too few manifolds"])
def test_where_more_manifolds_are_needed_all_is_left_to_a_new_leading(most: int, fewest: int) -> None:
    search = search_of(PARTS)
    assert lead_again(search, BEFORE, most, fewest, sites(search)) is None


def test_why_there_is_a_manifold_more_is_told_again() -> None:
    told = replace(BEFORE, lanes=replace(LANES, notes=("no free wall; a manifold more is placed",)))
    search = search_of(PARTS)
    for fewest, notes in ((len(LANES.sites), ()), (len(LANES.sites) - 1, told.lanes.notes)):
        again = lead_again(search, told, 6, fewest, sites(search))
        assert again is not None and again.notes == notes


def test_a_lane_to_a_territory_that_did_not_change_stays_whatever_its_end() -> None:
    lane = next(lane for lane in LANES.lanes if PARTS[lane.territory].room == "N5")
    (x, y), low = lane.corners[-1], LEVEL.floors["N5"].bounds[1]
    assert y > low + 0.1
    short = replace(lane, corners=(*lane.corners[:-1], (x, low + 0.05)))  # nearer to the edge than ends are led
    before = replace(LANES, lanes=tuple(short if one is lane else one for one in LANES.lanes))
    again = route_lanes(LEVEL, PARTS, SIX, replace(BEFORE, lanes=before))
    assert again.lanes == before.lanes


def test_a_manifold_that_does_not_stand_on_the_ground_is_no_help() -> None:
    away = tuple(replace(site, low=site.low + 30, high=site.high + 30) for site in LANES.sites)
    search = search_of(PARTS)
    assert lead_again(search, BEFORE, 6, 3, sites(search)) is not None
    assert lead_again(search, replace(BEFORE, lanes=replace(LANES, sites=away)), 6, 3, sites(search)) is None


@pytest.mark.parametrize("stays", [True, False])
def test_where_most_areas_change_all_is_left_to_a_new_leading_unless_sites_stay(stays: bool) -> None:
    more = dict.fromkeys(("S0", "N3", "S5", "N7"), 2)
    search = search_of(territories(LEVEL, {**COUNTS, **more}, PITCHES, SIX))
    again = lead_again(search, replace(BEFORE, sites_stay=stays), 6, 4, sites(search))
    assert (again is not None) is stays


OPEN_PLAN = sketch.level(
    sketch.storey(
        [sketch.room("A", box(0, 0, 8, 4)), sketch.room("B", box(0, 4, 8, 8))],
        [sketch.door(box(0, 3.99, 8, 4.01), sketch.THROUGH_Y, "A", "B")],
    )
)


def two_parts(room: str, cut: float) -> list[Territory]:
    """The parts west and east of a cut."""
    floor = OPEN_PLAN.floors[room]
    halves = [floor & box(0, 0, cut, 8), floor & box(cut, 0, 8, 8)]
    return [Territory(room=room, part=k, pitch_m=0.2, floor=half, axis=half) for k, half in enumerate(halves)]


def followed(now: list[Territory], led: list[Lane], before: list[Territory]) -> dict[int, Lane]:
    """Lanes that follow their cuts, by territory."""
    ((area, members),) = LevelGround(OPEN_PLAN, SIX).areas_with(now)
    return again_module._ended_anew(replace(area.search(now), group=members), dict(zip(led, before, strict=True)), {})


def lane_to(territory: int, *corners: tuple[float, float]) -> Lane:
    return Lane(territory=territory, manifold=0, port=territory, corners=corners)


@pytest.mark.parametrize(("crosses_at", "rooms"), [(0.3, {"A"}), (2.0, set())])
def test_a_lane_that_others_part_from_its_floor_does_not_follow(crosses_at: float, rooms: set[str]) -> None:
    before, now = two_parts("A", 4.0), two_parts("A", 6.0)
    west, east = lane_to(0, (1.0, 0.06), (1.0, 1.0)), lane_to(1, (7.0, 0.06), (7.0, 1.0))
    stranger = lane_to(2, (crosses_at, 0.06), (crosses_at, 5.0))
    found = followed([*now, *two_parts("B", 4.0)[:1]], [west, east, stranger], [*before, *two_parts("B", 4.0)[:1]])
    assert {before[lane.port].room for t, lane in found.items() if t < 2} == rooms
