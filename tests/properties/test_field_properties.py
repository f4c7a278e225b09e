"""Fields in random rooms: every one is legal and warm by a second opinion, or refused with a reason."""

from __future__ import annotations

from dataclasses import replace

import field_checks
import field_rooms
import path_judge
import pytest
import room_cases

from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldResult


@pytest.mark.parametrize("seed", range(24))
def test_a_random_rectilinear_room(seed: int) -> None:
    asked = field_rooms.random_request(seed)
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []


@pytest.mark.parametrize("seed", range(200, 208))
def test_a_random_room_at_a_pitch_tighter_than_a_turn(seed: int) -> None:
    asked = replace(field_rooms.random_request(seed), pitch_m=0.1)
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []


@pytest.mark.parametrize("seed", (600, 601, 604))
@pytest.mark.parametrize("pitch", [0.1, 0.125])
def test_a_random_room_on_studs_twice_as_close(seed: int, pitch: float) -> None:
    asked = replace(field_rooms.random_request(seed), pitch_m=pitch, stud_pitch_m=0.025)
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []


@pytest.mark.parametrize("seed", ["tight/3", "tight/8", "tight/19", "tight/36"])
def test_a_turned_or_angled_room_at_a_pitch_tighter_than_a_turn(seed: str) -> None:
    """Where 0.75 pitch is the bend radius itself, the floor near a bend ends in a point."""
    case = replace(room_cases.random_room(seed), pitch_m=0.1)
    result = lay_field(room_cases.request(case))
    assert isinstance(result, FieldResult), result
    assert path_judge.judge(case, result.corners, result.heated).breaks == ()


@pytest.mark.parametrize("seed", range(100, 112))
def test_a_random_room_with_an_oblique_wall(seed: int) -> None:
    asked = field_rooms.random_request(seed, oblique=True)
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []
