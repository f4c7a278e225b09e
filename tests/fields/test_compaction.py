"""Compaction: turns find room, what kept the rules keeps them, nothing is laid that was not there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import field_checks
import field_rooms
import numpy as np
import path_judge
import pytest
import room_cases
from shapely.geometry import LineString, Point, box

from ufh_core.fields.bulbs import bulb_rules, with_bulbs
from ufh_core.fields.compaction import Space, compacted, narrow_turns
from ufh_core.fields.grid import StudGrid, stud_grid
from ufh_core.fields.joint import Corner, Rules, legs_fit
from ufh_core.fields.lattice import gaps_for
from ufh_core.fields.search import search_field
from ufh_core.fields.straighten import legs_fit as pipe_fits
from ufh_core.fields.types import FieldResult

SOUTH = (0, 1)
RULES = Rules(leg=3, end_leg=1.5, apart=2, lattice_leg=2)


def studs_of(width: int, depth: int) -> StudGrid:
    """A room whose studs 1..width - 1 and 1..depth - 1 may carry a pipe."""
    return stud_grid(field_rooms.request(box(0, 0, width * 0.05, depth * 0.05), (0.5, 0), SOUTH, 0.1))


def meander(gaps: list[int]) -> tuple[Corner, ...]:
    """Runs along y from 4 to 20, `gaps` apart; the two tails come in from the south."""
    at = [4.0]
    for gap in gaps:
        at.append(at[-1] + gap)
    inner = [(x, y) for n, x in enumerate(at[1:-1]) for y in ((20.0, 4.0) if n % 2 == 0 else (4.0, 20.0))]
    return ((at[0], -1.0), (at[0], 20.0), *inner, (at[-1], 20.0), (at[-1], -1.0))


def test_slack_goes_where_a_turn_needs_it() -> None:
    """A turn of two studs between runs that have four studs on its other side."""
    loop = meander([3, 2, 4])
    assert not legs_fit(loop, RULES)
    moved = next(compacted(loop, Space.of(studs_of(20, 24), RULES, 2.0)))
    assert legs_fit(moved, RULES)
    assert sorted({x for x, _ in moved}) == [4, 7, 10, 13]


def test_even_a_turn_that_costs_evenness_gets_its_room() -> None:
    """Runs 2, 3, 2, 3, 2 apart: three turns need a stud each, and there is one; bumps and fingers go instead."""
    loop = meander([3, 2, 3, 2, 4])
    moved = next(compacted(loop, Space.of(studs_of(20, 24), RULES, 2.0)))
    assert legs_fit(moved, RULES)
    assert len(moved) < len(loop)


def test_a_turn_without_room_is_drawn_back() -> None:
    """Between two tails eight studs apart there is room for two runs more, but not for their turn."""
    loop = meander([3, 2, 3])
    moved = next(compacted(loop, Space.of(studs_of(20, 24), RULES, 2.0)))
    assert legs_fit(moved, RULES)
    assert moved == ((4, -1), (4, 20), (12, 20), (12, -1))


def test_a_turn_that_has_room_beside_it_stays_and_swings_out() -> None:
    """The same loop: runs two studs apart have three on either side, so one of them swings out by a stud."""
    loop, on = meander([3, 2, 3]), studs_of(20, 24)
    asked = field_rooms.request(box(0, 0, 1.0, 1.2), (0.5, 0), SOUTH, 0.1)
    bulbs = bulb_rules(asked, in_studs=True)
    moved = next(compacted(loop, Space.of(on, RULES, 2.0), bulbs))
    assert moved == loop
    laid = np.array(with_bulbs(moved, bulbs))
    ways = np.abs(np.diff(laid, axis=0))
    assert np.allclose(laid, np.rint(laid))
    assert ((ways.min(axis=1) < 1e-9) | (np.abs(ways[:, 0] - ways[:, 1]) < 1e-9)).all()
    assert pipe_fits(laid.tolist(), bulbs.radius)
    assert not pipe_fits(moved, bulbs.radius)


def test_a_stud_of_slack_is_enough_for_two_turns_at_either_end() -> None:
    """Runs 3, 2, 2, 2, 3 apart: the two turns in the middle, at opposite ends, share no stud and get one."""
    loop = meander([3, 2, 2, 3, 3])
    bulbs = bulb_rules(field_rooms.request(box(0, 0, 1.1, 1.2), (0.5, 0), SOUTH, 0.1), in_studs=True)
    found = list(compacted(loop, Space.of(studs_of(22, 24), RULES, 2.0), bulbs))
    assert any(len(moved) == len(loop) and pipe_fits(with_bulbs(moved, bulbs), bulbs.radius) for moved in found)
    strict = list(compacted(loop, Space.of(studs_of(22, 24), RULES, 2.0)))
    assert not any(len(moved) == len(loop) and legs_fit(moved, RULES) for moved in strict)


@pytest.mark.parametrize(("seed", "length"), [("nov26b/139", 0.87), ("nov26b/79", 0.86), ("nov26b/0", 0.88)])
def test_turns_at_either_end_of_a_run_share_their_slack(seed: str, length: float) -> None:
    """Regression: two runs fewer, since every turn had a stud of its own; 0.77, 0.70 and 0.86 before."""
    case = room_cases.random_room(seed)
    result = search_field(room_cases.request(case))
    assert isinstance(result, FieldResult)
    verdict = path_judge.judge(case, result.corners, result.heated)
    assert not verdict.breaks
    assert verdict.figures["length"] > length
    assert verdict.figures["covered"] > 0.99


def test_a_run_stays_inside_and_draws_to_the_wall() -> None:
    """The end of a loop two studs off the wall moves to the stud next to it; studs 1..23 are inside."""
    loop = ((4.0, -1.0), (4.0, 21.0), (8.0, 21.0), (8.0, -1.0))
    moved = next(compacted(loop, Space.of(studs_of(13, 24), RULES, 2.0)))
    assert moved == ((4, -1), (4, 23), (8, 23), (8, -1))


def test_narrow_turns_are_counted_bumps_are_not() -> None:
    assert narrow_turns(meander([3, 2, 4]), RULES) == 1
    assert narrow_turns(meander([3, 3, 4]), RULES) == 0
    bump = ((0.0, 0.0), (0.0, 9.0), (4.0, 9.0), (4.0, 12.0), (6.0, 12.0), (6.0, 9.0), (9.0, 9.0), (9.0, 0.0))
    assert narrow_turns(bump, RULES) == 0


@pytest.mark.parametrize("pitch", [0.1, 0.2])
@pytest.mark.parametrize("seed", range(300, 312))
def test_what_keeps_the_rules_goes_on_keeping_them(seed: int, pitch: float) -> None:
    """A legal loop moved, by a second opinion; what it heats is another question."""
    asked = replace(field_rooms.random_request(seed), pitch_m=pitch)
    result = search_field(asked)
    assert isinstance(result, FieldResult)
    stud = asked.stud_pitch_m
    loop = tuple((x / stud, y / stud) for x, y in result.corners)
    if any(min(abs(a[0] - b[0]), abs(a[1] - b[1])) > 1e-6 for a, b in pairwise(loop)):
        pytest.skip("laid at 45 degrees")
    rules = Rules(leg=3, end_leg=1.5, apart=gaps_for(pitch, stud, 0.075, 0.75 * pitch).least)
    for moved in compacted(loop, Space.of(stud_grid(asked), rules, pitch / stud)):
        corners = tuple((x * stud, y * stud) for x, y in moved)
        words = field_checks.faults(asked, replace(result, corners=corners))
        assert not [w for w in words if "heated" not in w]


@pytest.mark.parametrize("seed", ["harbour/476", "tight/452"])
def test_a_corridor_without_room_for_both_turns_gets_fewer_runs_not_a_cold_middle(seed: str) -> None:
    """Eight runs 100 mm apart leave one stud for two turns that need one each; six runs reach all of the floor."""
    case = room_cases.random_room(seed)
    result = search_field(room_cases.request(case))
    assert isinstance(result, FieldResult)
    verdict = path_judge.judge(case, result.corners, result.heated)
    assert not verdict.breaks
    assert verdict.figures["covered"] > 0.97


@pytest.mark.parametrize("seed", range(300, 308))
def test_what_fits_with_its_bulbs_keeps_every_rule(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """All loops that a search at 100 mm compacts, by a second opinion; what they heat is another question."""
    asked = replace(field_rooms.random_request(seed), pitch_m=0.1)
    made: list[tuple[Corner, ...]] = []

    def recorded(*given: Any) -> Iterator[tuple[Corner, ...]]:
        for moved in compacted(*given):
            made.append(moved)
            yield moved

    monkeypatch.setattr("ufh_core.fields.search.compacted", recorded)
    result = search_field(asked)
    assert isinstance(result, FieldResult)
    bulbs, stud = bulb_rules(asked, in_studs=True), asked.stud_pitch_m
    laid = [loop for moved in made if pipe_fits(loop := with_bulbs(moved, bulbs), bulbs.radius)]
    assert laid
    for loop in laid:
        corners = tuple((x * stud, y * stud) for x, y in loop)
        pair = LineString([corners[0], corners[-1]])
        came = min(range(len(asked.approaches)), key=lambda n: pair.distance(Point(asked.approaches[n].at)))
        words = field_checks.faults(asked, replace(result, corners=corners, approach=came))
        assert not [w for w in words if "heated" not in w]
