"""Bulbs: where a turn is wider than the pitch, rings lie at the pitch all the same."""

from __future__ import annotations

from dataclasses import replace

import field_checks
import field_rooms
import numpy as np
import path_judge
import pytest
import room_cases
from shapely.geometry import LineString, box
from shapely.ops import unary_union

from ufh_core.fields.bulbs import bulb_rules, with_bulbs
from ufh_core.fields.heated import share_warm
from ufh_core.fields.lay import lay_field
from ufh_core.fields.straighten import legs_fit
from ufh_core.fields.types import FieldRequest, FieldResult

RADIUS = 0.075
ASKED = replace(field_rooms.request(box(0, 0, 2, 2), (1.0, 0.0), (0, 1), 0.1), on_studs=False)


def finger(width: float, beside: float) -> list[tuple[float, float]]:
    """A loop with a finger up from 0.5 to 1.5, and runs `beside` it on either hand."""
    left, right = 1 - width / 2, 1 + width / 2
    out = [(0.1, 0.0), (0.1, 0.1), (left - beside, 0.1), (left - beside, 1.9), (left - beside - 0.2, 1.9)]
    out += [(left - beside - 0.2, 0.3), (left, 0.3)]
    home = [(right, 0.3), (right + beside + 0.2, 0.3), (right + beside + 0.2, 1.9), (right + beside, 1.9)]
    home += [(right + beside, 0.2), (0.15, 0.2), (0.15, 0.0)]
    return [*out, (left, 1.5), (right, 1.5), *home]


def turn_of(corners: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """The corners of the finger's end."""
    return [c for c in corners if c[1] == pytest.approx(1.5)]


def test_both_runs_swing_out_before_a_narrow_turn() -> None:
    """100 mm between two runs, 100 mm on to the next: each swings out 25 mm, 75 mm stay."""
    corners = with_bulbs(finger(0.1, 0.1), bulb_rules(ASKED))
    assert [x for x, _ in turn_of(corners)] == pytest.approx([0.925, 1.075], abs=1e-4)
    bulb = [c for c in corners if c[1] >= 1.2 and 0.9 < c[0] < 1.1]
    assert legs_fit([(0.95, 0.3), *bulb, (1.05, 0.3)], RADIUS)
    assert field_checks.drawn(tuple(corners), RADIUS) is not None


def test_one_run_swings_out_where_the_other_has_no_room() -> None:
    narrow = finger(0.1, 0.14)
    moved = [(x + 0.04 if x < 0.9 and y > 0.25 else x, y) for x, y in narrow]  # the runs on the left 100 mm away
    free = replace(ASKED, separation_share=0.9)
    assert [x for x, _ in turn_of(with_bulbs(moved, bulb_rules(free)))] == pytest.approx([0.95, 1.1], abs=1e-4)


@pytest.mark.parametrize(("width", "beside"), [(0.1, 0.08), (0.16, 0.2)])
def test_turns_without_room_or_need_stay(width: float, beside: float) -> None:
    loop = finger(width, beside)
    assert with_bulbs(loop, bulb_rules(ASKED)) == tuple(loop)


@pytest.mark.parametrize(("step", "laid"), [(0.1, [(0.8, 0.95), (0.9, 1.05)]), (0.15, [(0.85, 0.95), (0.85, 1.1)])])
def test_a_step_too_short_for_two_bends_is_laid_aslant(step: float, laid: list[tuple[float, float]]) -> None:
    """A step of 100 mm on studs becomes a diagonal; one of 150 mm has room for two bends and stays."""
    low, high = 0.95, 0.95 + step
    loop = [(0.1, 0.0), (0.1, low), (0.85, low), (0.85, high), (1.9, high), (1.9, 0.1), (0.15, 0.1), (0.15, 0.0)]
    corners = with_bulbs(loop, bulb_rules(replace(ASKED, on_studs=True)))
    assert np.allclose(corners[2:4], laid)
    assert legs_fit(corners[1:-2], RADIUS)


@pytest.mark.parametrize("seed", ["harbour/202", "harbour/295", "harbour/395", "nov26b/123", "nov26b/4"])
def test_rings_at_tight_pitches_lie_at_the_pitch(seed: str) -> None:
    """Regression: laid as wide as a turn they heated a third less; and the floor they claimed was colder than said."""
    case = room_cases.random_room(seed)
    asked: FieldRequest = room_cases.request(case)
    result = lay_field(asked)
    assert isinstance(result, FieldResult)
    verdict = path_judge.judge(case, result.corners, result.heated)
    assert not verdict.breaks
    assert verdict.figures["covered"] > 0.989
    assert verdict.figures["length"] > 0.88
    assert LineString(result.corners).length * asked.pitch_m > 0.85 * asked.floor.area


@pytest.mark.parametrize(("seed", "length"), [("tight/186", 0.94), ("tight/163", 0.87)])
def test_without_studs_bulbs_need_no_wider_gap_between_runs(seed: str, length: float) -> None:
    """Regression: lines had a gap as wide as a turn all the same; 0.82 and 0.75 before."""
    case = room_cases.random_room(seed)
    result = lay_field(room_cases.request(case))
    assert isinstance(result, FieldResult)
    verdict = path_judge.judge(case, result.corners, result.heated)
    assert not verdict.breaks
    assert verdict.figures["length"] > length
    assert verdict.figures["covered"] > 0.99


def test_cold_spots_in_step_with_samples_count() -> None:
    """Spots of 20 mm every 150 mm, where samples 25 or 30 mm apart fall beside them all."""
    spots = unary_union(
        [box(0.15 * i, 0.15 * j, 0.15 * i + 0.02, 0.15 * j + 0.02) for i in range(20) for j in range(20)]
    )
    assert share_warm(box(0, 0, 3, 3), spots) == pytest.approx(1 - 0.02**2 / 0.15**2, abs=1e-3)
