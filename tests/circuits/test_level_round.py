"""Circuits that are too long give way to others that were found for their floor."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from ufh_core.circuits.level_round import _short_enough
from ufh_core.fields.types import Spare


def circuit(length_m: float, *spares: tuple[float, float | None]) -> Any:
    """A circuit with spares: (metres longer as told, length as laid; None where it breaks a rule)."""
    others = tuple(Spare(longer, lambda laid=laid: None if laid is None else circuit(laid)) for longer, laid in spares)
    return SimpleNamespace(axis=SimpleNamespace(length_m=length_m), others=others)


@pytest.mark.parametrize(
    ("length_m", "spares", "laid_m"),
    [
        (99.0, [(-5.0, 94.0)], 99.0),  # short enough as it is
        (103.0, [(-1.0, 102.0), (-4.0, 99.0), (-9.0, 94.0)], 99.0),  # the first that is short enough
        (103.0, [(-4.0, None), (-9.0, 94.0)], 94.0),  # one breaks a rule
        (103.0, [(-4.0, 101.0), (-9.0, 94.0)], 94.0),  # one came out longer than told
        (103.0, [(2.0, 99.0), (-1.0, 99.0)], 103.0),  # none is told to be short enough
        (103.0, [], 103.0),
    ],
)
def test_the_first_spare_that_is_short_enough_is_taken(
    length_m: float, spares: list[tuple[float, float | None]], laid_m: float
) -> None:
    assert _short_enough(circuit(length_m, *spares), 100.0).axis.length_m == laid_m
