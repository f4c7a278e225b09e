"""The compiled inner loops and their twins in Python give the same results, ties and refusals included."""

from __future__ import annotations

import random

import numpy as np
import plan_sketch as sketch
import pytest

from ufh_core.lanes import kernel_plain
from ufh_core.lanes.grid import HORIZONTAL, VERTICAL
from ufh_core.lanes.kernel import NO_LIMIT, moves_of

compiled = pytest.importorskip("ufh_core.lanes._kernel", reason="built without a compiler")

Lattice = tuple[int, np.ndarray, np.ndarray, list[int]]


def lattice(seed: int) -> Lattice:
    """A lattice with holes, locks and few different prices, so that many ways cost the same; its free nodes."""
    draw = random.Random(seed)
    columns, rows = draw.randint(12, 30), draw.randint(12, 30)
    cells = [(i, j) for i in range(2, columns - 2) for j in range(2, rows - 2)]
    grid = sketch.open_grid(columns, rows, draw.sample(cells, len(cells) // 5))
    free = np.flatnonzero(grid.free).tolist()
    grid.lock[draw.sample(free, len(free) // 12)] = draw.choice([HORIZONTAL, VERTICAL])
    cost = np.array([draw.choice([1, 2, 5]) for _ in range(grid.size)], dtype=np.int64)
    cost[draw.sample(free, 4)] = 0
    return grid.rows, moves_of(grid), np.where(grid.free, cost, 0), free


@pytest.mark.parametrize("seed", range(20))
def test_distances(seed: int) -> None:
    rows, moves, cost, free = lattice(seed)
    draw = random.Random(seed)
    goals = np.array(draw.sample(free, 3))
    for most in (0, 1, 40, len(cost)):
        one, other = np.empty_like(cost), np.empty_like(cost)
        done = compiled.spread(rows, moves, cost, goals, most, one)
        assert done == kernel_plain.spread(rows, moves, cost, goals, most, other)
        assert (one == other).all() and min(most, 1) <= (one >= 0).sum()


@pytest.mark.parametrize("leg", [1, 2, 3])
@pytest.mark.parametrize("seed", range(40))
def test_one_lane(seed: int, leg: int) -> None:
    rows, moves, cost, free = lattice(seed)
    draw = random.Random(seed)
    for _ in range(5):
        goals, source = np.array(draw.sample(free, 3)), 4 * draw.choice(free) + draw.randrange(4)
        for limit in (NO_LIMIT, 40):
            args = (rows, moves, cost, goals, source, leg, 8, limit)
            assert compiled.lead(*args) == kernel_plain.lead(*args)


@pytest.mark.parametrize("seed", range(60))
def test_all_lanes_at_once(seed: int) -> None:
    rows, moves, cost, free = lattice(seed)
    draw = random.Random(seed)
    ends = draw.randint(0, 9)
    ports = np.array(draw.sample(free, max(1, ends - draw.randint(0, 1))))
    places = [draw.sample(free, draw.randint(1, 5)) for _ in range(ends)]
    first = np.cumsum([0, *map(len, places)])
    flat = np.array([n for nodes in places for n in nodes], dtype=np.int64)
    args = (rows, moves, cost, 1, 0, ports, first, flat)
    assert compiled.flow(*args) == kernel_plain.flow(*args)


def test_the_cases_hold_lanes_and_refusals() -> None:
    found = []
    for seed in range(40):
        rows, moves, cost, free = lattice(seed)
        draw = random.Random(seed)
        goals, source = np.array(draw.sample(free, 3)), 4 * draw.choice(free) + draw.randrange(4)
        found += [bool(compiled.lead(rows, moves, cost, goals, source, 2, 8, NO_LIMIT))]
    assert 5 < sum(found) < 38


def test_arrays_that_do_not_belong_together_are_refused() -> None:
    rows, moves, cost, free = lattice(1)
    with pytest.raises(ValueError, match="differ in size"):
        compiled.lead(rows, moves, cost[:-1], np.array(free[:1]), 4 * free[1], 2, 8, NO_LIMIT)
