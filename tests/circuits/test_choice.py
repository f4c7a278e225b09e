"""What is told of a choice: verdicts from figures, limits from the floor, and that nothing is told twice."""

from __future__ import annotations

from dataclasses import dataclass, replace

import field_rooms
import pytest
from shapely.geometry import box
from shapely.ops import unary_union

from ufh_core.circuits.choice_limits import limits_of, out_of_reach_m2
from ufh_core.fields.choice import LAID, OTHER_LENGTH, candidates
from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldResult
from ufh_core.zones.territories import Territory

SOUTH = (0, 1)


@dataclass(frozen=True)
class Figures:
    missed: float = 0.01
    gap: float = 0.8
    unevenness: float = 0.1
    bends: int = 10
    length_m: float = 20.0
    off: float = -0.01


PLAIN = Figures()


@pytest.mark.parametrize(
    ("worse", "words"),
    [
        (replace(PLAIN, missed=0.03), "leaves more floor cold"),
        (replace(PLAIN, gap=1.2), "leaves a place farther from the pipe"),
        (replace(PLAIN, unevenness=0.2), "warms less evenly"),
        (replace(PLAIN, bends=20), "has more bends"),
        (replace(PLAIN, off=-0.04), "is farther from the length that the pitch asks for"),
        (replace(PLAIN, bends=20, missed=0.03), "leaves more floor cold, has more bends"),
    ],
)
def test_a_dearer_loop_is_told_by_the_figures_in_which_it_is_worse(worse: Figures, words: str) -> None:
    told = candidates([(5.0, PLAIN), (7.0, worse)], {}, 0)
    assert [(c.cost, c.verdict) for c in told] == [(5.0, LAID), (7.0, words)]


def test_a_cheaper_loop_that_breaks_a_rule_is_told_before_the_laid_one() -> None:
    told = candidates([(4.0, PLAIN), (5.0, PLAIN), (5.001, PLAIN)], {0: "the pipe meets itself"}, 1)
    assert [c.verdict for c in told] == ["breaks a rule: the pipe meets itself", LAID]


def test_a_cheaper_loop_of_another_length_is_told_as_such() -> None:
    told = candidates([(4.0, PLAIN), (5.0, PLAIN), (6.0, replace(PLAIN, bends=20))], {}, 1)
    assert [c.verdict for c in told] == [OTHER_LENGTH, LAID, "has more bends"]


def test_a_spare_tells_what_was_drawn_and_that_it_is_laid_itself() -> None:
    asked = replace(field_rooms.request(box(0, 0, 4.3, 5.2), (2.0, 0.0), SOUTH, 0.2), with_others=True)
    result = lay_field(asked)
    assert isinstance(result, FieldResult) and result.others
    for spare in result.others:
        made = spare.made()
        assert made is None or ([c.verdict for c in made.candidates].count(LAID) == 1 and made.drawn == result.drawn)


def test_the_laid_loop_is_told_however_many_are_refused() -> None:
    refused = dict.fromkeys(range(9), "a bend of 40 mm")
    told = candidates([(float(k), PLAIN) for k in range(12)], refused, 9)
    assert [c.cost for c in told if c.verdict == LAID] == [9.0]


def test_floor_behind_a_slot_is_out_of_reach_and_told() -> None:
    floor = unary_union([box(0, 0, 4, 3), box(4, 1, 5.5, 1.16)])  # 160 mm less clearances: no turn fits
    asked = field_rooms.request(floor, (1.0, 0.0), SOUTH, 0.15)
    assert out_of_reach_m2(asked) == pytest.approx(0.16 * (1.5 - (0.75 * 0.15 - 0.05)), abs=0.02)
    result = lay_field(asked)
    assert isinstance(result, FieldResult)
    told = limits_of(Territory(room="r", part=0, pitch_m=0.15, floor=floor, axis=asked.axis_area), asked, result)
    assert any("no turn of 150 mm fits" in words for words in told)


def test_a_plain_room_has_no_such_limit() -> None:
    asked = field_rooms.request(box(0, 0, 4, 5), (2.0, 0.0), SOUTH, 0.2)
    assert out_of_reach_m2(asked) < 0.01
    result = lay_field(asked)
    assert isinstance(result, FieldResult)
    own = Territory(room="r", part=0, pitch_m=0.2, floor=asked.floor, axis=asked.axis_area)
    assert not any("no turn" in words or "tails" in words for words in limits_of(own, asked, result))
    wider = replace(own, floor=box(0, 0, 5, 5))
    assert any(words.startswith("tails of circuits take 5.00 m²") for words in limits_of(wider, asked, result))


def test_the_loop_that_is_laid_is_the_cheapest_that_keeps_the_rules() -> None:
    result = lay_field(field_rooms.request(box(0, 0, 3.1, 2.4), (1.0, 0.0), SOUTH, 0.2))
    assert isinstance(result, FieldResult)
    costs = [c.cost for c in result.candidates]
    assert costs == sorted(costs) and result.drawn >= len(costs)
    laid = [c for c in result.candidates if c.verdict == LAID]
    assert len(laid) == 1 and laid[0].unevenness == pytest.approx(result.unevenness)
    assert all(c.verdict.startswith("breaks a rule") for c in result.candidates if c.cost < laid[0].cost)


def test_a_reach_as_wide_as_a_bend_is_measured_with_a_hair_more() -> None:
    """At 100 mm the reach equals the least radius; rounding by one and growing by the other must not coincide."""
    asked = field_rooms.request(box(0, 0, 4, 3), (2, 0), SOUTH, 0.1)
    plain = asked.axis_area.buffer(-asked.least_radius_m).buffer(asked.least_radius_m)
    exact = asked.floor.difference(plain.buffer(0.075)).area
    assert out_of_reach_m2(asked) < exact - 1e-5
