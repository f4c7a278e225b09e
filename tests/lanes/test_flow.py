"""The flow of lanes: against a min-cost flow by another library, on small random lattices."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import networkx as nx
import numpy as np
import plan_sketch as sketch
import pytest

from ufh_core.lanes.flow import ARRIVAL_TIE, STEP_COST, LaneFlow, route_flow
from ufh_core.lanes.grid import DIRECTIONS, HORIZONTAL, VERTICAL, LaneGrid

SCALE = 1_000_000
Case = tuple[LaneGrid, np.ndarray, list[int], list[np.ndarray]]


def random_case(seed: int) -> Case:
    """Up to five lanes on 8 × 9 nodes, a fifth of them blocked, some locked to one way."""
    draw = random.Random(seed)
    cells = [(i, j) for i in range(2, 10) for j in range(2, 11)]
    blocked = draw.sample(cells, 14)
    grid = sketch.open_grid(12, 13, blocked)
    free = [grid.node(i, j) for i, j in cells if (i, j) not in blocked]
    lock = grid.lock.copy()
    lock[draw.sample(free, 5)] = [draw.choice([HORIZONTAL, VERTICAL]) for _ in range(5)]
    cost = np.array([float(draw.randint(1, 9)) for _ in range(grid.size)])
    lanes = draw.randint(1, 5)
    ports = draw.sample(free, lanes)
    arrivals = [np.array(sorted(draw.sample(free, draw.randint(1, 6)))) for _ in range(lanes)]
    return replace(grid, lock=lock), cost, ports, arrivals


def neighbours(grid: LaneGrid, node: int) -> list[int]:
    """Nodes that can be stepped to, from the meaning of the locks."""
    found = []
    for dx, dy in DIRECTIONS:
        other = node + dx * grid.rows + dy
        forbidden = VERTICAL if dx else HORIZONTAL
        if grid.free[other] and forbidden not in (grid.lock[node], grid.lock[other]):
            found.append(other)
    return found


def reference(case: Case) -> tuple[int, float]:
    """Greatest number of lanes and their least cost."""
    grid, cost, ports, arrivals = case
    graph = nx.DiGraph()
    for node in map(int, np.flatnonzero(grid.free)):
        graph.add_edge((node, "in"), (node, "out"), capacity=1, weight=round(cost[node] * SCALE))
        for other in neighbours(grid, node):
            graph.add_edge((node, "out"), (other, "in"), capacity=1, weight=round(STEP_COST * SCALE))
    for port in ports:
        graph.add_edge("source", (port, "in"), capacity=1, weight=0)
    for t, places in enumerate(arrivals):
        graph.add_edge(("territory", t), "sink", capacity=1, weight=0)
        for node in places:
            graph.add_edge((int(node), "out"), ("territory", t), capacity=1, weight=round(ARRIVAL_TIE * SCALE))
    flow = nx.max_flow_min_cost(graph, "source", "sink")
    return sum(flow["source"].values()), nx.cost_of_flow(graph, flow) / SCALE


@pytest.mark.parametrize("seed", range(40))
def test_flow_is_the_greatest_and_the_cheapest(seed: int) -> None:
    case = random_case(seed)
    flow, (most, cost) = route_flow(*case), reference(case)
    assert sum(p is not None for p in flow.paths) == most
    assert flow.cost == pytest.approx(cost, abs=1e-4)
    assert bool(flow.cut) <= (most < len(case[3]))


def test_the_random_cases_hold_some_that_do_not_all_fit() -> None:
    missing = [sum(p is None for p in route_flow(*random_case(seed)).paths) for seed in range(40)]
    assert 3 < sum(m > 0 for m in missing) < 37


@pytest.mark.parametrize("seed", range(40))
def test_lanes_are_node_disjoint_and_lead_from_a_port_to_their_territory(seed: int) -> None:
    grid, cost, ports, arrivals = random_case(seed)
    flow = route_flow(grid, cost, ports, arrivals)
    lanes = [p for p in flow.paths if p is not None]
    used = [n for lane in lanes for n in lane]
    assert len(used) == len(set(used))
    assert len({lane[0] for lane in lanes}) == len(lanes)
    for lane, places in zip(flow.paths, arrivals, strict=True):
        if lane is not None:
            assert lane[0] in ports and lane[-1] in places
            assert all(b in neighbours(grid, a) for a, b in pairwise(lane))
    entered = sum(cost[n] for n in used)
    steps = len(used) - len(lanes)
    assert flow.cost == pytest.approx(entered + steps * STEP_COST + len(lanes) * ARRIVAL_TIE, abs=1e-6)


def behind_a_wall(gaps: list[int], lanes: int, closed: tuple[int, ...] = ()) -> tuple[LaneGrid, LaneFlow]:
    """Ports left of a wall with gaps, arrivals right of it, some nodes closed."""
    grid = sketch.open_grid(14, 14, [(7, j) for j in range(14) if j not in gaps])
    free = grid.free.copy()
    free[list(closed)] = False
    grid = replace(grid, free=free)
    ports = [grid.node(3, 3 + k) for k in range(lanes)]
    beyond = np.array([grid.node(10, j) for j in range(3, 11)])
    return grid, route_flow(grid, np.ones(grid.size), ports, [beyond] * lanes)


def test_the_cut_names_the_narrow_place_where_not_all_fit() -> None:
    grid, flow = behind_a_wall([5, 6], 4)
    assert sum(p is None for p in flow.paths) == 2
    assert len(flow.cut) == 2, "as many nodes as lanes fit"
    assert all(abs(grid.point(n)[0] - grid.point(grid.node(7, 0))[0]) < 0.11 for n in flow.cut), "at the wall"
    _, without = behind_a_wall([5, 6], 4, flow.cut)
    assert without.paths == (None,) * 4


def test_no_cut_where_all_fit_and_an_empty_one_where_there_is_no_way() -> None:
    _, flow = behind_a_wall([5, 6, 7, 8], 4)
    assert None not in flow.paths and flow.cut == ()
    _, flow = behind_a_wall([], 3)
    assert flow.paths == (None,) * 3 and flow.cut == () and flow.cost == 0
