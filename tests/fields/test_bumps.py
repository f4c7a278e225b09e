"""Bumps of a loop, counted by hand, and what they cost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ufh_core.fields.rate import BUMP, Rating, bumps, on_studs

PITCH = 4.0
WAVE = [(0, 0), (0, 8), (4, 8), (4, 12), (8, 12), (8, 8), (12, 8), (12, 12), (16, 12), (16, 0)]
"""Up, over one crenel (there and back), and down again."""
DEEP = [(0, 0), (0, 8), (4, 8), (4, 20), (8, 20), (8, 8), (12, 8), (12, 20), (16, 20), (16, 0)]
"""The same with crenels three pitches deep: those are runs."""


@pytest.mark.parametrize(("corners", "count"), [(WAVE, 2), (DEEP, 0), (WAVE[:4], 0), ([(0, 0), (0, 9)], 0)])
def test_shallow_turn_rounds_are_bumps(corners: list[tuple[int, int]], count: int) -> None:
    assert bumps(corners, PITCH) == count
    assert bumps([(y, x) for x, y in corners], PITCH) == count


def test_a_loop_without_bumps_is_the_better_one() -> None:
    rating = Rating(missed=0.0, gap=0.7, unevenness=0.1, bends=30, length_m=50.0)
    assert on_studs(rating, DEEP, PITCH).cost == pytest.approx(rating.cost)
    assert on_studs(rating, WAVE, PITCH).cost == pytest.approx(rating.cost + 2 * BUMP)


def test_floor_missed_beyond_the_aim_weighs_more() -> None:
    """1 % of the floor missed: 100 times as much, and 600 times the 0.6 % beyond what the aim allows."""
    whole = Rating(missed=0.0, gap=0.7, unevenness=0.1, bends=30, length_m=50.0)
    assert replace(whole, missed=0.01).cost == pytest.approx(whole.cost + 1.0 + 3.6)
    assert replace(whole, missed=0.003).cost == pytest.approx(whole.cost + 0.3)
