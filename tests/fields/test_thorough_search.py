"""A thorough search goes on from the quick one before it, and finds what it would have found without."""

from dataclasses import replace

import field_rooms
import pytest

from ufh_core.fields import check, search
from ufh_core.fields.attempts import SEARCHES
from ufh_core.fields.types import FieldResult


@pytest.mark.parametrize("seed", [3, 11, 20])
def test_after_a_quick_search_a_thorough_one_finds_the_same_without_beginning_anew(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = replace(field_rooms.random_request(seed), thorough=True)
    search._begun.cache_clear()
    check.fault.cache_clear()
    alone = search.search_field(asked)
    search._begun.cache_clear()
    check.fault.cache_clear()
    quick = search.search_field(replace(asked, thorough=False))
    assert isinstance(quick, FieldResult) and isinstance(alone, FieldResult)
    rounds = []
    attempts = search._attempts
    monkeypatch.setattr(search, "_attempts", lambda on, lanes, kind: rounds.append(kind) or attempts(on, lanes, kind))
    after = search.search_field(asked)
    assert isinstance(after, FieldResult)
    assert (after.corners, after.heated, after.candidates) == (alone.corners, alone.heated, alone.candidates)
    assert SEARCHES[0] not in rounds
    assert bool(rounds) == quick.poor
