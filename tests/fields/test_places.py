"""Places of least cost: the compiled code against its twin, both against a linear programme."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import field_rooms
import numpy as np
import pytest
import room_cases
from scipy import optimize
from shapely.geometry import box

from ufh_core.fields import places, slide
from ufh_core.fields.grid import Floats
from ufh_core.fields.places import Whole, Wishes, settled
from ufh_core.fields.search import search_field
from ufh_core.fields.types import FieldResult

built = pytest.mark.skipif(places.compiled is None, reason="the compiled loops are not built here (pip install -e .)")
SEEDS = range(60)
COMPARED = 60


def programme(seed: int) -> tuple[Whole, Whole, Whole, Wishes]:
    """Places between bounds, and rows about pairs of them and about the origin; those that must hold do."""
    rng = np.random.default_rng(seed)
    runs, rows = int(rng.integers(2, 30)), int(rng.integers(5, 120))
    at = rng.integers(0, 40, runs)
    low, high = at - rng.integers(0, 5, runs), at + rng.integers(0, 5, runs)
    a, b = rng.integers(-1, runs, rows), rng.integers(-1, runs, rows)
    apart = np.append(at, 0)[b] - np.append(at, 0)[a]
    must = rng.random(rows) < 0.3
    least = apart + np.where(must, rng.integers(-2, 1, rows), rng.integers(-3, 4, rows))
    wishes = Wishes(
        a=whole(a), b=whole(b), least=whole(least), cost=whole(np.where(must, -1, rng.integers(1, 9, rows)))
    )
    return whole(at), whole(low), whole(high), wishes


def whole(numbers: np.ndarray) -> Whole:
    return numbers.astype(np.int32)


def short(at: np.ndarray, wishes: Wishes) -> np.ndarray:
    """By how much every row is missed."""
    place = np.append(at, 0)
    missing: np.ndarray = np.maximum(0, wishes.least - place[wishes.b] + place[wishes.a])
    return missing


def least_cost(low: Whole, high: Whole, wishes: Wishes) -> float:
    """The least cost as a linear programme finds it, with a slack for every row that need not hold."""
    runs, rows = len(low), len(wishes.a)
    matrix = np.zeros((rows, runs + 1 + rows))  # places, the origin, slacks
    for row, (a, b) in enumerate(zip(wishes.a, wishes.b, strict=True)):
        matrix[row, a if a >= 0 else runs] += 1
        matrix[row, b if b >= 0 else runs] -= 1
        matrix[row, runs + 1 + row] = -1
    slack = [(0, 0 if cost < 0 else None) for cost in wishes.cost]
    bounds = [*zip(low, high, strict=True), (0, 0), *slack]
    cost = np.concatenate([np.zeros(runs + 1), np.maximum(wishes.cost, 0)])
    found = optimize.linprog(cost, A_ub=matrix, b_ub=-wishes.least, bounds=bounds)
    assert found.status == 0
    return float(found.fun)


@pytest.mark.parametrize("seed", SEEDS)
def test_places_cost_as_little_as_a_linear_programme_finds(seed: int) -> None:
    at, low, high, wishes = programme(seed)
    found = settled(at, low, high, wishes)
    assert (found >= low).all() and (found <= high).all()
    missing, must = short(found, wishes), wishes.cost < 0
    assert not missing[must].any()
    assert missing[~must] @ wishes.cost[~must] == pytest.approx(least_cost(low, high, wishes), abs=1e-6)


@built
@pytest.mark.parametrize("seed", SEEDS)
def test_the_twin_finds_the_same_places(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    given = programme(seed)
    fast = settled(*given)
    monkeypatch.setattr(places, "compiled", None)
    assert settled(*given).tolist() == fast.tolist()


@built
def test_a_tight_room_is_laid_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = field_rooms.request(box(0.013, 0.017, 1.7, 1.4), (0.5, 0.017), (0, 1), 0.1)
    fast = search_field(asked)
    monkeypatch.setattr(places, "compiled", None)
    slow = search_field(asked)
    assert isinstance(fast, FieldResult)
    assert isinstance(slow, FieldResult)
    assert slow.corners == fast.corners


@pytest.mark.parametrize("code", [pytest.param("compiled", marks=built), "twin"])
def test_nothing_moves_without_a_gain(code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three runs, the first two too near: one of them moves, the third one, free to, does not."""
    if code == "twin":
        monkeypatch.setattr(places, "compiled", None)
    at, low, high = whole(np.array([3, 4, 9])), whole(np.array([0, 4, 0])), whole(np.array([20, 20, 20]))
    wishes = Wishes(
        a=whole(np.array([0])), b=whole(np.array([1])), least=whole(np.array([2])), cost=whole(np.array([5]))
    )
    assert settled(at, low, high, wishes).tolist() == [3, 5, 9]


@built
def test_rows_about_no_run_are_refused() -> None:
    at = whole(np.array([1, 2]))
    wishes = Wishes(
        a=whole(np.array([0])), b=whole(np.array([2])), least=whole(np.array([1])), cost=whole(np.array([1]))
    )
    with pytest.raises(ValueError, match="no run"):
        settled(at, at, at, wishes)


@built
@pytest.mark.parametrize(("pitch", "radius"), [(0.1, 0.075), (0.15, 0.1), (0.2, 0.12)])
@pytest.mark.parametrize("on_studs", [True, False])
@pytest.mark.parametrize("seed", range(4))
def test_the_twin_slides_the_same_loops_to_the_same_places(
    seed: int, pitch: float, radius: float, on_studs: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first loops that a search has slid, with the twin beside them."""
    calls = []
    compiled = slide._slid_compiled

    def both(points: Floats, *rest: Any) -> Floats:
        fast = compiled(points, *rest)
        if len(calls) < COMPARED:
            calls.append((fast.tolist(), slide._slid(points, *rest).tolist()))
        return fast

    monkeypatch.setattr(slide, "_slid_compiled", both)
    case = room_cases.random_room(f"slide/{seed}")
    asked = replace(room_cases.request(case), pitch_m=pitch, least_radius_m=radius, on_studs=on_studs, thorough=False)
    search_field(asked)
    assert all(fast == slow for fast, slow in calls)
    assert calls
