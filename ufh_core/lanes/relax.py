"""Legal lanes: each re-routed alone among the others, turning only where the radius allows.

State: (node, direction). A turn is one move of `leg` cells in the new direction, so that any two
turns are at least `leg` cells apart and the inner pipe of a U keeps its radius. Best-first search on
four states a node; the others' nodes are blocked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ufh_core.lanes.grid import DIRECTIONS, LaneGrid
from ufh_core.lanes.kernel import NO_LIMIT, UNIT, in_units, kernel, moves_of, nodes_array

TURN_COST = 8.0
ROUNDS = 4
EVICTIONS = 16
EVICT_COST = 20.0
UNTANGLINGS = 6
MEETING_COST = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a lane leaves the manifold, and the direction in which it does (index into DIRECTIONS)."""

    node: int
    direction: int


def is_legal(grid: LaneGrid, path: Sequence[int], direction: int) -> bool:
    """Whether a path starts along `direction`, does not meet itself, and every leg between turns has `leg` cells."""
    if len(path) < 2 or len(set(path)) < len(path):
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
        work.repair()
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
        self.grid, self.starts, self.lanes, self.arrivals = grid, starts, lanes, arrivals
        self.moves = LaneSearch(grid, cost)
        self.legal = [is_legal(grid, p, s.direction) for p, s in zip(lanes, starts, strict=True)]
        self.pressure = np.full(grid.size, EVICT_COST)
        self.changes = 0
        self.seen = [-1] * len(lanes)

    def fronts(self, k: int) -> list[int]:
        """First two nodes of all other lanes, which nobody may take from them."""
        others = [s for j, s in enumerate(self.starts) if j != k]
        return [n for s in others for n in (s.node, s.node + self.grid.step_of(s.direction))]

    def taken(self, k: int) -> list[int]:
        """Nodes of all other lanes."""
        return [n for j, path in enumerate(self.lanes) if j != k for n in path]

    def reroute(self, k: int) -> bool:
        """Lead lane k shortest among the others; True when it changed. Idle while no other lane has moved."""
        if self.seen[k] == self.changes:
            return False
        blocked = [*self.fronts(k), *self.taken(k)]
        limit = self.moves.cost_of(self.lanes[k]) if self.legal[k] else NO_LIMIT
        found = self.moves.shortest(self.starts[k], self.arrivals[k], blocked, limit=limit)
        if found is None and self.legal[k]:
            found = self.lanes[k]
        changed = found is not None and found != self.lanes[k]
        self.lanes[k] = found if found is not None else self.lanes[k]
        self.legal[k] = found is not None
        self.changes += changed
        self.seen[k] = self.changes
        return changed

    def settle(self) -> None:
        """Rounds of re-routing, illegal and short lanes first, until nothing changes."""
        for _ in range(ROUNDS):
            order = sorted(range(len(self.lanes)), key=lambda k: (self.legal[k], len(self.lanes[k])))
            if sum(self.reroute(k) for k in order) == 0:
                break

    def repair(self) -> None:
        """Re-route what is not legal, twice, as one may make room for the other."""
        for _ in range(2):
            for k, fine in enumerate(self.legal):
                if not fine:
                    self.reroute(k)

    def evict(self, k: int) -> None:
        """Lead lane k through the others at a price; those in its way are led anew around it."""
        taken = self.taken(k)
        found = self.moves.shortest(
            self.starts[k], self.arrivals[k], self.fronts(k), taken, self.pressure[taken].tolist()
        )
        if found is None:
            return
        mine = set(found)
        self.lanes[k], self.legal[k] = found, True
        self.changes += 1
        for other, path in enumerate(self.lanes):
            fought = mine & set(path) if other != k else set()
            if fought:
                self.pressure[list(fought)] *= 1.5
                self.lanes[other], self.legal[other] = (self.starts[other].node,), False


class LaneSearch:
    """The cheapest legal lanes over one lattice, whose moves and prices are written out once."""

    def __init__(self, grid: LaneGrid, cost: NDArray[np.float64]):
        self.grid = grid
        self.moves = moves_of(grid)
        self.cost = np.where(grid.free, in_units(cost), 0)
        self.turn = round(TURN_COST * UNIT)

    def shortest(
        self,
        start: Start,
        arrival: NDArray[np.int64],
        blocked: Sequence[int],
        dear: Sequence[int] = (),
        dear_cost: Sequence[float] = (),
        limit: int = NO_LIMIT,
    ) -> tuple[int, ...] | None:
        """The cheapest legal path from a start to an arrival node, or None where none costs less than `limit`.

        Nodes in `blocked` cannot be entered; those in `dear` cost `dear_cost` more. `limit` is in 1 / UNIT. A
        path may meet itself, as states differ where nodes do not: nodes where it does are made dear, a few times.
        """
        changed = nodes_array([*blocked, *dear])
        kept = self.cost[changed]
        np.add.at(self.cost, nodes_array(dear), in_units(np.asarray(dear_cost, dtype=float)))
        self.cost[nodes_array(blocked)] = 0
        path = self._simple(start, nodes_array(arrival), limit)
        self.cost[changed] = kept
        return path

    def _simple(self, start: Start, arrival: NDArray[np.int64], limit: int) -> tuple[int, ...] | None:
        """The cheapest path that does not meet itself, after a few tries."""
        raised: list[int] = []
        path: tuple[int, ...] | None = None
        for _ in range(UNTANGLINGS):
            path = self._cheapest(start, arrival, limit)
            twice = [n for n, visits in Counter(path or ()).items() if visits > 1]
            if not twice:
                break
            self.cost[twice] += round(MEETING_COST * UNIT)
            raised += twice
            path = None
        np.subtract.at(self.cost, nodes_array(raised), round(MEETING_COST * UNIT))
        return path

    def cost_of(self, path: Sequence[int]) -> int:
        """What a legal path costs [1 / UNIT]."""
        steps = np.diff(np.asarray(path))
        return int(self.cost[list(path[1:])].sum()) + self.turn * int(np.count_nonzero(np.diff(steps)))

    def _cheapest(self, start: Start, arrival: NDArray[np.int64], limit: int) -> tuple[int, ...] | None:
        """The cheapest path by states; it may visit a node twice."""
        source = start.node * 4 + start.direction
        states = kernel.lead(self.grid.rows, self.moves, self.cost, arrival, source, self.grid.leg, self.turn, limit)
        return _nodes_of(self.grid, states) if states else None


def _nodes_of(grid: LaneGrid, states: list[int]) -> tuple[int, ...]:
    nodes = [states[0] // 4]
    for state in states[1:]:
        node, direction = divmod(state, 4)
        step = grid.step_of(direction)
        while nodes[-1] != node:
            nodes.append(nodes[-1] + step)
    return tuple(nodes)


def corner_nodes(grid: LaneGrid, path: Sequence[int]) -> list[int]:
    """First node, turning nodes, last node."""
    steps = np.diff(np.asarray(path))
    turns = np.flatnonzero(np.diff(steps)) + 1
    return [path[0], *(path[int(t)] for t in turns), path[-1]]


def heading(grid: LaneGrid, path: Sequence[int]) -> tuple[int, int]:
    """Direction of the last step."""
    step = path[-1] - path[-2]
    return next(DIRECTIONS[d] for d in range(4) if grid.step_of(d) == step)
