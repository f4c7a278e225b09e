"""Fields in random rooms: every one is legal and warm by a second opinion, or refused with a reason."""

from __future__ import annotations

from dataclasses import replace

import field_checks
import field_rooms
import pytest

from ufh_core.circuits.field import lay_field
from ufh_core.circuits.field_types import FieldResult


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


@pytest.mark.parametrize("seed", range(100, 112))
def test_a_random_room_with_an_oblique_wall(seed: int) -> None:
    asked = field_rooms.random_request(seed, oblique=True)
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []
