"""Lanes that a pipe can be bent to: legs, disjointness, and shortest ways found by another search."""

from __future__ import annotations

import heapq
import random
from dataclasses import replace

import numpy as np
import plan_sketch as sketch
import pytest

from ufh_core.lanes.flow import route_flow
from ufh_core.lanes.grid import DIRECTIONS, LaneGrid
from ufh_core.lanes.relax import TURN_COST, LaneSearch, Start, corner_nodes, heading, is_legal, relax

UP, RIGHT = DIRECTIONS.index((0, 1)), DIRECTIONS.index((1, 0))


def walk(grid: LaneGrid, start: tuple[int, int], moves: str) -> list[int]:
    """Nodes of a walk written as R, U, L, D."""
    i, j = start
    path = [grid.node(i, j)]
    for letter in moves:
        di, dj = {"R": (1, 0), "U": (0, 1), "L": (-1, 0), "D": (0, -1)}[letter]
        i, j = i + di, j + dj
        path.append(grid.node(i, j))
    return path


@pytest.mark.parametrize(
    ("moves", "direction", "legal"),
    [
        ("UUU", UP, True),
        ("URR", UP, True),
        ("UURRUU", UP, True),
        ("UURRDD", UP, True),
        ("UUU", RIGHT, False),
        ("UURUU", UP, False),
        ("UUR", UP, False),
        ("", UP, False),
    ],
)
def test_legs_of_two_cells_between_turns_and_after_the_last(moves: str, direction: int, legal: bool) -> None:
    grid = sketch.open_grid(20, 20, leg=2)
    assert is_legal(grid, walk(grid, (5, 5), moves), direction) == legal


def test_longer_legs_where_the_pair_is_stiffer() -> None:
    grid = sketch.open_grid(20, 20, leg=3)
    assert not is_legal(grid, walk(grid, (5, 5), "UURRUU"), UP)
    assert is_legal(grid, walk(grid, (5, 5), "UURRRUUU"), UP)


def other_search(grid: LaneGrid, start: Start, goals: set[int]) -> float | None:
    """Least nodes entered + TURN_COST a turn; state: node, direction, cells since the last turn.

    It may meet itself, so what it finds is a lower bound.
    """
    queue = [(0.0, start.node, start.direction, grid.leg, True)]
    done = set()
    while queue:
        cost, node, direction, run, first = heapq.heappop(queue)
        if (node, direction, run, first) in done:
            continue
        done.add((node, direction, run, first))
        if node in goals and run >= grid.leg and not first:
            return cost
        for way, (di, dj) in enumerate(DIRECTIONS):
            there = node + di * grid.rows + dj
            turning = way != direction
            back = DIRECTIONS[way] == tuple(-x for x in DIRECTIONS[direction])
            if not grid.free[there] or back or (turning and (run < grid.leg or first)):
                continue
            after = 1 if turning else min(run + 1, grid.leg)
            heapq.heappush(queue, (cost + 1 + TURN_COST * turning, there, way, after, False))
    return None


def price(grid: LaneGrid, path: tuple[int, ...]) -> float:
    return len(path) - 1 + TURN_COST * (len(corner_nodes(grid, path)) - 2)


@pytest.mark.parametrize("leg", [2, 3])
@pytest.mark.parametrize("goal", [(10, 16), (16, 10), (10, 5), (4, 4), (10, 11), (11, 10), (9, 11)])
def test_shortest_on_an_open_lattice(goal: tuple[int, int], leg: int) -> None:
    grid = sketch.open_grid(24, 24, leg=leg)
    start = Start(node=grid.node(10, 10), direction=UP)
    there = grid.node(*goal)
    path = LaneSearch(grid, np.ones(grid.size)).shortest(start, np.array([there]), [])
    assert path is not None and path[-1] == there
    assert is_legal(grid, path, UP)
    assert price(grid, path) == other_search(grid, start, {there})


@pytest.mark.parametrize("seed", range(30))
def test_shortest_among_random_obstacles(seed: int) -> None:
    draw = random.Random(seed)
    grid = sketch.open_grid(18, 18, [(draw.randrange(2, 16), draw.randrange(2, 16)) for _ in range(50)])
    free = np.flatnonzero(grid.free).tolist()
    start = Start(node=draw.choice(free), direction=draw.randrange(4))
    goals = np.array(draw.sample(free, 3))
    goals = goals[goals != start.node]
    path = LaneSearch(grid, np.ones(grid.size)).shortest(start, goals, [])
    wanted = other_search(grid, start, set(goals.tolist()))
    assert (path is None) == (wanted is None)
    if path is not None:
        assert is_legal(grid, path, start.direction)
        assert grid.free[list(path)].all()
        assert price(grid, path) == wanted


def pocket(*more: tuple[int, int]) -> LaneGrid:
    """A way up into a pocket wide enough to turn in, and down past the start."""
    free = {(10, j) for j in range(3, 18)} | {(i, j) for i in range(10, 14) for j in range(8, 18)} | set(more)
    return sketch.open_grid(20, 20, [(i, j) for i in range(20) for j in range(20) if (i, j) not in free])


def test_a_lane_does_not_loop_back_across_itself() -> None:
    grid = pocket()
    start, goal = Start(node=grid.node(10, 6), direction=UP), np.array([grid.node(10, 3)])
    assert other_search(grid, start, set(goal.tolist())) is not None, "a way that crosses itself is there"
    assert LaneSearch(grid, np.ones(grid.size)).shortest(start, goal, []) is None


def test_a_lane_takes_a_longer_way_rather_than_cross_itself() -> None:
    beside = [(13, j) for j in range(3, 8)] + [(i, 3) for i in range(10, 13)]
    grid = pocket(*beside)
    start, goal = Start(node=grid.node(10, 6), direction=UP), np.array([grid.node(10, 3)])
    path = LaneSearch(grid, np.ones(grid.size)).shortest(start, goal, [])
    assert path is not None and is_legal(grid, path, UP)
    assert grid.node(13, 5) in path


def test_a_path_that_meets_itself_is_not_legal() -> None:
    grid = sketch.open_grid(20, 20)
    assert not is_legal(grid, walk(grid, (5, 5), "UUUUURRRDDDLLLLLL"), UP)
    assert is_legal(grid, walk(grid, (5, 5), "UUUUURRRDDD"), UP)


def test_some_random_cases_have_a_way_and_some_have_none() -> None:
    ways = 0
    for seed in range(30):
        draw = random.Random(seed)
        grid = sketch.open_grid(18, 18, [(draw.randrange(2, 16), draw.randrange(2, 16)) for _ in range(50)])
        free = np.flatnonzero(grid.free).tolist()
        start = Start(node=draw.choice(free), direction=draw.randrange(4))
        ways += other_search(grid, start, set(draw.sample(free, 3)) - {start.node}) is not None
    assert 10 < ways < 30


def test_blocked_nodes_are_not_entered_and_dear_ones_only_at_their_price() -> None:
    grid = sketch.open_grid(12, 20)
    start, goal = Start(node=grid.node(5, 3), direction=UP), np.array([grid.node(5, 16)])
    graph = LaneSearch(grid, np.ones(grid.size))
    barrier = [grid.node(5, 9)]
    assert len(corner_nodes(grid, graph.shortest(start, goal, []))) == 2
    round_it = graph.shortest(start, goal, barrier)
    assert round_it is not None and not set(round_it) & set(barrier)
    assert set(barrier) < set(graph.shortest(start, goal, [], barrier, [5.0]))
    assert not set(barrier) & set(graph.shortest(start, goal, [], barrier, [500.0]))
    wall = [grid.node(i, 9) for i in range(12)]
    assert graph.shortest(start, goal, wall) is None


def laid_out(seed: int) -> tuple[LaneGrid, list[Start], list[np.ndarray], list[tuple[int, ...] | None]]:
    """Six lanes from ports in a row to territories round about, with random obstacles between."""
    draw = random.Random(seed)
    blocked = [(draw.randrange(2, 28), draw.randrange(8, 22)) for _ in range(25)]
    grid = sketch.open_grid(30, 30, blocked)
    ports = [grid.node(10 + k, 3) for k in range(6)]
    spots = [(4, 26), (10, 26), (16, 26), (22, 26), (26, 12), (4, 12)]
    near = lambda i, j: [(a, b) for a in (i, i + 1) for b in (j, j + 1) if (a, b) not in blocked]  # noqa: E731
    arrivals = [np.array([grid.node(*p) for p in near(*spot)]) for spot in spots]
    cost = np.ones(grid.size)
    flow = route_flow(grid, cost, ports, arrivals)
    assert None not in flow.paths
    starts = [Start(node=p[0], direction=UP) for p in flow.paths]
    return grid, starts, arrivals, relax(grid, cost, starts, list(flow.paths), arrivals)


@pytest.mark.parametrize("seed", range(12))
def test_relaxed_lanes_are_legal_disjoint_and_arrive(seed: int) -> None:
    grid, starts, arrivals, lanes = laid_out(seed)
    assert None not in lanes
    for start, lane, places in zip(starts, lanes, arrivals, strict=True):
        assert is_legal(grid, lane, start.direction)
        assert lane[0] == start.node and lane[-1] in places
        assert grid.free[list(lane)].all()
    used = [n for lane in lanes for n in lane]
    assert len(used) == len(set(used))


@pytest.mark.parametrize("seed", range(12))
def test_no_relaxed_lane_can_be_shorter_with_the_others_where_they_are(seed: int) -> None:
    grid, starts, arrivals, lanes = laid_out(seed)
    for k, lane in enumerate(lanes):
        taken = [n for j, other in enumerate(lanes) if j != k for n in other]
        free = grid.free.copy()
        free[taken] = False
        assert price(grid, lane) == other_search(replace(grid, free=free), starts[k], set(arrivals[k].tolist()))


def test_a_lane_without_a_legal_way_is_none() -> None:
    """A slot that turns after one cell lets a flow through but no pair of pipes."""
    slot = {(5, 3), (5, 4), (5, 5), (6, 5), (6, 6), (7, 6), (7, 7)}
    grid = sketch.open_grid(12, 12, [(i, j) for i in range(12) for j in range(12) if (i, j) not in slot])
    arrival = np.array([grid.node(7, 7)])
    start = Start(node=grid.node(5, 3), direction=UP)
    flow = route_flow(grid, np.ones(grid.size), [start.node], [arrival])
    assert flow.paths[0] is not None
    assert relax(grid, np.ones(grid.size), [start], [flow.paths[0]], [arrival]) == [None]


def test_corners_and_heading() -> None:
    grid = sketch.open_grid(20, 20)
    path = walk(grid, (5, 5), "UUURRRDD")
    assert corner_nodes(grid, path) == [grid.node(5, 5), grid.node(5, 8), grid.node(8, 8), grid.node(8, 6)]
    assert heading(grid, path) == (0, -1)
