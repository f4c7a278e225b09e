"""How far lanes may reach, and what several leadings of the lanes of one level have in common."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import plan_sketch as sketch
import pytest
from lane_checks import keep_the_rules

from ufh_core.lanes import level as level_module
from ufh_core.lanes import service_areas
from ufh_core.lanes.level import lanes_on
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.service_areas import TOO_FAR, lead_by_areas
from ufh_core.lanes.siting import PRICED_NODES, WayPrices, distances_at
from ufh_core.lanes.types import Earlier, Routed, Search
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.zones.territories import territories

EIGHT = Settings(manifold=ManifoldSettings(most_ports=8))
LEVEL = sketch.corridor(8)
COUNTS = dict.fromkeys(LEVEL.heated, 1)
PARTS = territories(LEVEL, COUNTS, dict.fromkeys(COUNTS, 0.2), EIGHT)
GROUND = LevelGround(LEVEL, EIGHT)
FREE = lanes_on(GROUND, PARTS)
LONGEST = max(lane.length_m for lane in FREE.lanes)


def search() -> Search:
    ((area, _),) = GROUND.areas_with(PARTS)
    return area.search(PARTS)


@pytest.mark.parametrize("share", [0.9, 0.5])
def test_lanes_that_would_be_too_long_ask_for_more_manifolds(share: float) -> None:
    reach = [share * LONGEST] * len(PARTS)
    made = lanes_on(GROUND, PARTS, None, reach)
    keep_the_rules(PARTS, made, 8)
    assert len(made.sites) > len(FREE.sites)
    assert max(lane.length_m for lane in made.lanes) <= share * LONGEST


def test_a_reach_that_no_number_of_manifolds_keeps_still_leaves_no_territory_without_a_lane() -> None:
    made = lanes_on(GROUND, PARTS, None, [0.1] * len(PARTS))
    keep_the_rules(PARTS, made, 8)
    assert not made.unreached


def test_nothing_is_led_where_the_reach_is_plainly_too_short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service_areas, "led", lambda *_: pytest.fail("an area is led"))
    asked = replace(search(), reach_m=[0.5 * LONGEST] * len(PARTS))
    ((area, _),) = GROUND.areas_with(PARTS)
    made = lead_by_areas(asked, area.sites_for(9), [9, 8])
    assert set(made.missed.values()) == {TOO_FAR} and sorted(made.missed) == sorted(asked.group)


def test_a_lane_that_is_too_long_and_lies_as_before_has_nothing_led_again(monkeypatch: pytest.MonkeyPatch) -> None:
    before = Earlier(territories=PARTS, lanes=FREE, sites_stay=False)
    monkeypatch.setattr(level_module, "lead_by_areas", lambda *_, **__: pytest.fail("all is led anew"))
    assert lanes_on(GROUND, PARTS, before, [0.9 * LONGEST] * len(PARTS)).lanes == FREE.lanes


def test_a_lane_that_is_led_otherwise_must_keep_the_reach() -> None:
    farthest = max(FREE.lanes, key=lambda lane: lane.length_m)
    led = replace(FREE, lanes=tuple(lane for lane in FREE.lanes if lane is not farthest))
    before = Earlier(territories=PARTS, lanes=led, sites_stay=False)
    assert len(lanes_on(GROUND, PARTS, before).sites) == len(FREE.sites)
    made = lanes_on(GROUND, PARTS, before, [0.9 * LONGEST] * len(PARTS))
    assert max(lane.length_m for lane in made.lanes) <= 0.9 * LONGEST


def test_where_all_must_stay_nothing_is_led_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(level_module, "lead_again", lambda *_: None)
    before = Earlier(territories=PARTS, lanes=FREE, sites_stay=True, all_stays=True)
    made = lanes_on(GROUND, PARTS, before)
    assert not made.lanes and sorted(made.unreached) == list(range(len(PARTS)))
    assert lanes_on(GROUND, PARTS, replace(before, all_stays=False)).lanes


@pytest.mark.parametrize(("most", "mends"), [(2, False), (3, True), (None, True)])
def test_areas_are_mended_unless_they_miss_too_much(
    most: int | None, mends: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, calls = search(), []
    monkeypatch.setattr(service_areas, "mended", lambda _, made, __: calls.append(1) or made)
    missing = [
        Routed(sites=[], lanes=[], missed=dict.fromkeys(asked.group[:3], "")),
        Routed(sites=[], lanes=[], missed={}),
    ]
    monkeypatch.setattr(service_areas, "led", lambda *_: missing.pop() if missing else missing)
    ((area, _),) = GROUND.areas_with(PARTS)
    lead_by_areas(asked, area.sites_for(9), [9, 8], most_mended=most)
    assert bool(calls) is mends


def test_prices_of_ways_are_the_distances_also_to_nodes_that_were_not_foreseen() -> None:
    asked = search()
    grid, cost, arrivals = asked.ground.grid, asked.ground.cost, asked.ground.arrivals[:4]
    free = np.flatnonzero(grid.free)
    foreseen, others = free[::50], free[7::90]
    prices = WayPrices(grid, cost, foreseen.tolist())
    for nodes in (foreseen[::-1], others, np.concatenate([foreseen[:3], others[:3]])):
        expected = distances_at(grid, cost, arrivals, nodes, PRICED_NODES)
        assert np.array_equal(prices.to(arrivals, nodes.tolist()), expected)


def test_territories_that_stay_are_not_looked_at_again() -> None:
    first, again = search().ground, search().ground
    assert all(a is b for a, b in zip(first.arrivals, again.arrivals, strict=True)) and first.grid is again.grid
    ((area, _),) = GROUND.areas_with(PARTS)
    assert area.sites_for(3) is area.sites_for(3)
