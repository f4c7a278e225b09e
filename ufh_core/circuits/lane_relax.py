"""Legal lanes: each re-routed alone among the others, turning only where the radius allows.

State: (node, direction). A turn is one move of `leg` cells in the new direction, so that any two
turns are at least `leg` cells apart and the inner pipe of a U keeps its radius. Dijkstra on four
states a node; the others' nodes are blocked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from ufh_core.circuits.lane_grid import DIRECTIONS, LaneGrid, Mask

TURN_COST = 4.0
ROUNDS = 6
EVICTIONS = 24
EVICT_COST = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a lane leaves the manifold, and the direction in which it does (index into DIRECTIONS)."""

    node: int
    direction: int


def is_legal(grid: LaneGrid, path: Sequence[int], direction: int) -> bool:
    """Whether a path starts along `direction` and every leg between turns has at least `leg` cells."""
    if len(path) < 2:
        return False
    steps = np.diff(np.asarray(path))
    if steps[0] != grid.step_of(direction):
        return False
    turns = np.flatnonzero(np.diff(steps)) + 1
    return bool(np.all(np.diff(np.concatenate([[-grid.leg], turns, [len(steps)]])) >= grid.leg))


def relax(
    grid: LaneGrid,
    cost: NDArray[np.float64],
    starts: Sequence[Start],
    paths: Sequence[tuple[int, ...]],
    arrivals: Sequence[NDArray[np.int64]],
) -> list[tuple[int, ...] | None]:
    """Each lane re-routed shortest with the others fixed, round by round, until nothing changes.

    A lane that finds no legal way among the others keeps its old nodes as an obstacle and is tried
    again; then it is led through the others, which make way for it and are led anew (bounded by
    `EVICTIONS`); what is still illegal at the end is None.
    """
    work = _Relaxation(grid, cost, list(starts), list(paths), list(arrivals))
    work.settle()
    for _ in range(EVICTIONS):
        if all(work.legal):
            break
        work.evict(work.legal.index(False))
        work.settle()
    return [path if fine else None for path, fine in zip(work.lanes, work.legal, strict=True)]


class _Relaxation:
    """The lanes while they are moved. `pressure` grows on nodes that were fought over."""

    def __init__(
        self,
        grid: LaneGrid,
        cost: NDArray[np.float64],
        starts: list[Start],
        lanes: list[tuple[int, ...]],
        arrivals: list[NDArray[np.int64]],
    ):
        self.grid, self.cost, self.starts, self.lanes, self.arrivals = grid, cost, starts, lanes, arrivals
        self.legal = [is_legal(grid, p, s.direction) for p, s in zip(lanes, starts, strict=True)]
        self.pressure = np.full(grid.size, EVICT_COST)

    def blocked(self, k: int, *, soft: bool = False) -> Mask:
        """Nodes of the other lanes (all of them, or only the first nodes of each when `soft`)."""
        mask = np.zeros(self.grid.size, dtype=bool)
        for other, path in enumerate(self.lanes):
            if other == k:
                continue
            front = self.starts[other].node
            mask[[front, front + self.grid.step_of(self.starts[other].direction)]] = True
            if not soft:
                mask[list(path)] = True
        return mask

    def settle(self) -> None:
        """Rounds of re-routing, illegal and short lanes first, until nothing changes."""
        for _ in range(ROUNDS):
            changed = False
            for k in sorted(range(len(self.lanes)), key=lambda k: (self.legal[k], len(self.lanes[k]))):
                found = shortest(self.grid, self.cost, self.starts[k], self.arrivals[k], self.blocked(k))
                changed |= found is not None and found != self.lanes[k]
                self.lanes[k] = found if found is not None else self.lanes[k]
                self.legal[k] = found is not None
            if not changed:
                break

    def evict(self, k: int) -> None:
        """Lead lane k through the others at a price; those in its way are led anew around it."""
        price = self.cost.copy()
        for other, path in enumerate(self.lanes):
            if other != k:
                price[list(path)] += self.pressure[list(path)]
        found = shortest(self.grid, price, self.starts[k], self.arrivals[k], self.blocked(k, soft=True))
        if found is None:
            return
        mine = set(found)
        self.lanes[k], self.legal[k] = found, True
        for other, path in enumerate(self.lanes):
            if other != k and mine & set(path):
                self.pressure[list(mine & set(path))] *= 1.5
                self.lanes[other], self.legal[other] = (self.starts[other].node,), False


def shortest(
    grid: LaneGrid, cost: NDArray[np.float64], start: Start, arrival: NDArray[np.int64], blocked: Mask
) -> tuple[int, ...] | None:
    """The cheapest legal path from a start to one of the arrival nodes, or None."""
    graph = _state_graph(grid, cost, blocked, start.node)
    source = start.node * 4 + start.direction
    distance, before = dijkstra(graph, indices=source, return_predecessors=True)
    ends = (arrival[:, None] * 4 + np.arange(4)).ravel()
    reach = np.where(ends == source, np.inf, distance[ends])
    best = int(np.argmin(reach))
    if not np.isfinite(reach[best]):
        return None
    states = [int(ends[best])]
    while states[-1] != source:
        states.append(int(before[states[-1]]))
    return _nodes_of(grid, states[::-1])


def _nodes_of(grid: LaneGrid, states: list[int]) -> tuple[int, ...]:
    nodes = [states[0] // 4]
    for state in states[1:]:
        node, direction = divmod(state, 4)
        step = grid.step_of(direction)
        while nodes[-1] != node:
            nodes.append(nodes[-1] + step)
    return tuple(nodes)


def _state_graph(grid: LaneGrid, cost: NDArray[np.float64], blocked: Mask, straight_at: int) -> csr_matrix:
    """Moves between states; at the node `straight_at`, where the lane leaves its port, there is no turn."""
    rows, columns, weights = [], [], []
    open_ = grid.free & ~blocked
    nodes = np.flatnonzero(open_)
    passable = [open_ & grid.allows(d) for d in range(4)]
    for d in range(4):
        step = grid.step_of(d)
        ahead = nodes[passable[d][nodes]]
        ahead = ahead[passable[d][ahead + step]]
        rows.append(ahead * 4 + d)
        columns.append((ahead + step) * 4 + d)
        weights.append(cost[ahead + step])
        run = nodes[passable[d][nodes]]
        total = np.zeros(len(run))
        for k in range(1, grid.leg + 1):
            fits = passable[d][np.clip(run + k * step, 0, grid.size - 1)]
            run, total = run[fits], total[fits]
            total = total + cost[run + k * step]
        for side in ((d + 1) % 4, (d + 3) % 4):
            turn = grid.allows(side)[run] & (run != straight_at)
            rows.append(run[turn] * 4 + side)
            columns.append((run[turn] + grid.leg * step) * 4 + d)
            weights.append(total[turn] + TURN_COST)
    data = np.concatenate(weights)
    shape = (grid.size * 4, grid.size * 4)
    return csr_matrix((data, (np.concatenate(rows), np.concatenate(columns))), shape=shape)


def corner_nodes(grid: LaneGrid, path: Sequence[int]) -> list[int]:
    """First node, turning nodes, last node."""
    steps = np.diff(np.asarray(path))
    turns = np.flatnonzero(np.diff(steps)) + 1
    return [path[0], *(path[int(t)] for t in turns), path[-1]]


def heading(grid: LaneGrid, path: Sequence[int]) -> tuple[int, int]:
    """Direction of the last step."""
    step = path[-1] - path[-2]
    return next(DIRECTIONS[d] for d in range(4) if grid.step_of(d) == step)
