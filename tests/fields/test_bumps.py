"""Bumps of a loop, counted by hand, and what they cost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ufh_core.fields.rate import BUMP, Rating, bumps

PITCH = 4.0
WAVE = [(0, 0), (0, 8), (4, 8), (4, 12), (8, 12), (8, 8), (12, 8), (12, 12), (16, 12), (16, 0)]
"""Up, over one crenel (there and back), and down again."""
DEEP = [(0, 0), (0, 8), (4, 8), (4, 20), (8, 20), (8, 8), (12, 8), (12, 20), (16, 20), (16, 0)]
"""The same with crenels three pitches deep: those are runs."""


@pytest.mark.parametrize(("corners", "count"), [(WAVE, 2), (DEEP, 0), (WAVE[:4], 0), ([(0, 0), (0, 9)], 0)])
def test_shallow_turn_rounds_are_bumps(corners: list[tuple[int, int]], count: int) -> None:
    assert bumps(np.array(corners), PITCH) == count
    assert bumps(np.array(corners)[:, ::-1], PITCH) == count


def test_a_loop_without_bumps_is_the_better_one() -> None:
    plain = Rating(missed=0.0, gap=0.7, unevenness=0.1, bends=30, length_m=50.0)
    assert replace(plain, bumps=2).cost == pytest.approx(plain.cost + 2 * BUMP)
