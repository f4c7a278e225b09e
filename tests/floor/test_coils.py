"""Coils: every circuit from one coil, as little pipe bought as will do, against an exact solver."""

from __future__ import annotations

import itertools
import random
import time
from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from ufh_core.basis.errors import NoSolution
from ufh_core.floor import coil_plan
from ufh_core.floor.types import CoilPlan


def faults(plan: CoilPlan, lengths: Mapping[str, float], spare: float) -> list[str]:
    """What is wrong with a plan."""
    found = []
    cut = [n for coil in plan.coils for n in coil.circuits]
    if sorted(cut) != sorted(lengths):
        found.append("not every circuit once")
    for coil in plan.coils:
        if sum(coil.cuts_m) > coil.length_m + 1e-6:
            found.append("more is cut than there is")
        if abs(coil.left_m - (coil.length_m - sum(coil.cuts_m))) > 1e-6:
            found.append("what is left is wrong")
        for number, length in zip(coil.circuits, coil.cuts_m, strict=True):
            if not lengths[number] * (1 + spare) - 1e-6 <= length <= lengths[number] * (1 + spare) + 0.1 + 1e-6:
                found.append(f"{number} is cut to {length}")
    if abs(plan.bought_m - sum(coil.length_m for coil in plan.coils)) > 1e-6:
        found.append("bought is wrong")
    return found


def least_bought(cuts: Sequence[float], coils: Sequence[float]) -> float:
    """Exact: each circuit in one bin, each bin of one size or shut, least length; by mixed-integer programming."""
    n, sizes = len(cuts), sorted(coils)
    bins = range(n)
    count = n * n + n * len(sizes)
    where = {(i, b): i * n + b for i, b in itertools.product(range(n), bins)}
    sized = {(b, s): n * n + b * len(sizes) + s for b, s in itertools.product(bins, range(len(sizes)))}
    cost = np.zeros(count)
    for (_, s), k in sized.items():
        cost[k] = sizes[s]
    rows, low, high = [], [], []
    for i in range(n):
        row = np.zeros(count)
        row[[where[i, b] for b in bins]] = 1
        rows.append(row)
        low.append(1.0)
        high.append(1.0)
    for b in bins:
        row = np.zeros(count)
        for i in range(n):
            row[where[i, b]] = cuts[i]
        for s in range(len(sizes)):
            row[sized[b, s]] = -sizes[s]
        rows.append(row)
        low.append(-np.inf)
        high.append(0.0)
        row = np.zeros(count)
        row[[sized[b, s] for s in range(len(sizes))]] = 1
        rows.append(row)
        low.append(0.0)
        high.append(1.0)
    fits = LinearConstraint(np.array(rows), low, high)
    found = milp(cost, constraints=fits, integrality=np.ones(count), bounds=Bounds(0, 1))
    return float(found.fun)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("coils", [(120.0, 240.0), (100.0, 200.0, 300.0), (240.0,)])
def test_small_jobs_are_cut_as_an_exact_solver_cuts_them(seed: int, coils: tuple[float, ...]) -> None:
    draw = random.Random(seed)
    lengths = {f"M1.{k:02d}": round(draw.uniform(15, 98), 1) for k in range(6)}
    plan = coil_plan(lengths, coils, 0.0)
    assert faults(plan, lengths, 0.0) == []
    assert plan.bought_m == pytest.approx(least_bought(list(lengths.values()), coils))


@pytest.mark.parametrize("count", [30, 80, 150])
def test_large_jobs_are_within_two_percent_of_the_least_that_could_do(count: int) -> None:
    draw = random.Random(count)
    lengths = {f"c{k}": draw.uniform(20, 98) for k in range(count)}
    plan = coil_plan(lengths, (120.0, 240.0, 500.0), 0.03)
    assert faults(plan, lengths, 0.03) == []
    assert plan.bound_m <= plan.bought_m <= 1.02 * plan.bound_m
    assert plan.bound_m >= plan.cut_m


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(1, 99), min_size=1, max_size=25),
    st.lists(st.sampled_from([100.0, 120.0, 200.0, 240.0, 300.0, 500.0, 600.0]), min_size=1, max_size=4, unique=True),
    st.floats(0, 0.0),
)
def test_every_circuit_comes_from_one_coil(lengths: list[float], coils: list[float], spare: float) -> None:
    wanted = {f"c{k}": length for k, length in enumerate(lengths)}
    plan = coil_plan(wanted, coils, spare)
    assert faults(plan, wanted, spare) == []
    assert plan.cut_m <= plan.bought_m
    assert all(coil.circuits and coil.length_m in coils for coil in plan.coils)


def test_by_hand() -> None:
    """60 + 40 of one coil of 100 m, 90 of another: 200 m; longest first."""
    plan = coil_plan({"a": 40.0, "b": 60.0, "c": 90.0}, (100.0, 500.0), 0.0)
    assert [(coil.length_m, coil.circuits, coil.cuts_m) for coil in plan.coils] == [
        (100.0, ("b", "a"), (60.0, 40.0)),
        (100.0, ("c",), (90.0,)),
    ]
    assert (plan.bought_m, plan.cut_m, plan.bound_m) == (200.0, 190.0, 200.0)


def test_spare_is_cut_with_the_circuit_and_rounded_up() -> None:
    (coil,) = coil_plan({"a": 50.0}, (100.0,), 0.03).coils
    assert coil.cuts_m == (51.5,)
    (coil,) = coil_plan({"a": 50.01}, (100.0,), 0.0).coils
    assert coil.cuts_m == (pytest.approx(50.1),)


def test_a_circuit_longer_than_every_coil_is_one_line() -> None:
    with pytest.raises(NoSolution, match=r"circuit b needs 123\.6 m of unbroken pipe, .* has 120 m: add a longer coil"):
        coil_plan({"a": 50.0, "b": 120.0}, (100.0, 120.0), 0.03)
    assert coil_plan({}, (100.0,), 0.03).coils == ()


def test_the_same_job_is_cut_the_same_and_many_sizes_end() -> None:
    draw = random.Random(1)
    lengths = {f"c{k}": draw.uniform(20, 98) for k in range(60)}
    began = time.process_time()
    plans = [coil_plan(lengths, (50.0, 80.0, 100.0, 120.0, 200.0, 240.0, 300.0, 600.0), 0.03) for _ in range(2)]
    assert plans[0] == plans[1]
    assert time.process_time() - began < 30  # an endless search would not come back
