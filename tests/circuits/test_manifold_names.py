"""What stays keeps its name: manifolds of an earlier run, and the numbers of their circuits' ports."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from ufh_core.circuits.kept_merge import _numbers
from ufh_core.circuits.manifold_names import free_names, next_number


def circuit(kept: str = "") -> Any:
    return SimpleNamespace(kept=kept)


def test_new_manifolds_pass_over_names_that_stay_on_any_storey() -> None:
    names = free_names(1, {"M2", "M3"})
    assert [next(names) for _ in range(3)] == ["M1", "M4", "M5"]
    assert next_number(1, ["M1", "M3", "M4"], {"M2", "M3"}) == 5
    assert next_number(4, ["M2", "M3"], {"M2", "M3"}) == 4 and next_number(4, [], set()) == 4


def test_ports_that_stay_keep_their_numbers_and_new_ones_fill_up_from_the_left() -> None:
    ordered = [circuit(), circuit("b"), circuit(), circuit("d"), circuit()]
    assert _numbers(ordered, {"b": 2, "d": 4}) == [1, 2, 3, 4, 5]
    assert _numbers([circuit("b"), circuit(), circuit("d")], {"b": 2, "d": 4}) == [2, 1, 4]
    assert _numbers([circuit("b"), circuit("d")], {"b": 2, "d": 2}) == [2, 1]  # of two earlier runs
    assert _numbers([circuit(), circuit("drawn")], {"drawn": 0}) == [1, 2]
