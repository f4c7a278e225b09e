"""Inner loops of the search for lanes, in Python: what `_kernel.c` does, to the same results.

A lattice is flat: node (i, j) is number i·rows + j, and direction d (DIRECTIONS) adds a fixed step.
`moves` (uint8) has bit d of a node set where a step along d may be taken, the same both ways; `cost`
(int64) is the price of entering a node, 0 or less where it may not be entered. Prices are whole
numbers, and queues are emptied in the order (key, number), so that nothing depends on rounding,
memory or chance.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

Ints = NDArray[np.int64]
Moves = NDArray[np.uint8]
NOWHERE, SOURCE, END = -1, 4, 5


def spread(rows: int, moves: Moves, cost: Ints, goals: Ints, most: int, out: Ints) -> int:
    """Write the least cost from every node to the nearest goal into `out`, -1 where it is not known.

    Only distances up to that of the nearest `most` nodes are found (Dijkstra 1959). Returns the number of
    nodes done.
    """
    out[:] = -1
    away = _away(rows, moves, cost, goals, extra=0)
    done = np.sort(away[np.isfinite(away)])[:most]
    if len(done):
        near = away <= done[-1]
        out[near] = away[near].astype(np.int64)
    return len(done)


def _away(rows: int, moves: Moves, cost: Ints, goals: Ints, extra: int) -> NDArray[np.float64]:
    """Least costs to the nearest goal with `extra` for each step; whole numbers in floats, exact below 2**53."""
    heads, tails = [], []
    for d, step in enumerate((rows, 1, -rows, -1)):
        start = np.flatnonzero((moves >> d) & 1)
        start = start[(cost[start] > 0) & (cost[start + step] > 0)]
        tails.append(start + step)
        heads.append(start)
    a, b = np.concatenate(tails), np.concatenate(heads)
    graph = csr_matrix(((cost[a] + extra).astype(float), (a, b)), shape=(len(cost), len(cost)))
    goals = goals[cost[goals] > 0]
    if not len(goals):
        return np.full(len(cost), np.inf)
    return np.asarray(dijkstra(graph, indices=goals, min_only=True))


def lead(rows: int, moves: Moves, cost: Ints, goals: Ints, source: int, leg: int, turn: int, limit: int) -> list[int]:
    """The states (4·node + direction) of the cheapest legal way from state `source` to a goal; empty for none.

    A move is a step ahead, or a turn (price `turn`) and `leg` steps; the first is ahead. Ways that cost
    `limit` or more are not looked for. Best-first search (A*; Hart, Nilsson and Raphael 1968) with the
    distances over plain nodes as its guide.
    """
    steps = (rows, 1, -rows, -1)
    away, far = _flood(steps, moves, cost, goals, source // 4)
    if far is None or far >= limit:
        return []
    wanted = {int(g) for g in goals}
    paid, before = {source: 0}, {source: source}
    queue = [(far, source)]
    while queue:
        key, state = heapq.heappop(queue)
        node, heading = divmod(state, 4)
        if key != paid[state] + min(away.get(node, far), far):
            continue
        if key >= limit:
            break
        if node in wanted and state != source:
            return _back(before, state)
        for after, price in _onward(steps, moves, cost, node, heading, leg if state != source else 0, turn):
            total = paid[state] + price
            if total < paid.get(after, total + 1):
                paid[after], before[after] = total, state
                heapq.heappush(queue, (total + min(away.get(after // 4, far), far), after))
    return []


def _onward(
    steps: tuple[int, ...], moves: Moves, cost: Ints, node: int, heading: int, leg: int, turn: int
) -> Iterable[tuple[int, int]]:
    """The states after one move, with its price; `leg` 0 forbids turns."""
    if moves[node] >> heading & 1 and cost[node + steps[heading]] > 0:
        there = node + steps[heading]
        yield there * 4 + heading, int(cost[there])
    for side in (1, 3) if leg else ():
        d = (heading + side) % 4
        there, price = node, turn
        for _ in range(leg):
            if not moves[there] >> d & 1 or cost[there + steps[d]] <= 0:
                break
            there += steps[d]
            price += int(cost[there])
        else:
            yield there * 4 + d, price


def _flood(
    steps: tuple[int, ...], moves: Moves, cost: Ints, goals: Ints, until: int
) -> tuple[dict[int, int], int | None]:
    """Least costs to the nearest goal, of nodes no farther than `until`, and that of `until` (None: no way)."""
    away = {int(g): 0 for g in goals if g != until and cost[g] > 0}
    queue = [(0, node) for node in sorted(away)]
    while queue:
        key, node = heapq.heappop(queue)
        if key != away[node]:
            continue
        if node == until:
            return away, key
        for d in range(4):
            there = node + steps[d]
            if not moves[node] >> d & 1 or (cost[there] <= 0 and there != until):
                continue
            total = key + int(cost[node])
            if total < away.get(there, total + 1):
                away[there] = total
                heapq.heappush(queue, (total, there))
    return away, None


def _back(before: dict[int, int], state: int) -> list[int]:
    states = [state]
    while before[states[-1]] != states[-1]:
        states.append(before[states[-1]])
    return states[::-1]


def flow(
    rows: int,
    moves: Moves,
    cost: Ints,
    step_cost: int,
    tie: int,
    ports: Ints,
    first: Ints,
    places: Ints,
) -> tuple[list[list[int]], list[int]]:
    """As many lanes as fit, at least cost, no two on one node: their nodes by territory, and the least cut.

    Territory t may end at the nodes `places[first[t]:first[t + 1]]`; a step costs `step_cost`, an arrival
    `tie`. A territory that is not reached has an empty lane; the cut is empty where all are reached or no
    port leads on.
    """
    net = _Flow(rows, moves, cost, step_cost, tie, first, places)
    sent = 0
    while sent < len(first) - 1 and net.augment(ports):
        sent += 1
    return net.lanes(ports), net.cut() if sent < len(first) - 1 else []


class _Flow:
    """Successive shortest paths with potentials (Edmonds and Karp 1972); see the C twin for the vertices."""

    def __init__(
        self, rows: int, moves: Moves, cost: Ints, step_cost: int, tie: int, first: Ints, places: Ints
    ) -> None:
        self.steps, self.moves, self.cost = (rows, 1, -rows, -1), moves.tolist(), cost.tolist()
        self.step_cost, self.tie, self.ends = step_cost, tie, len(first) - 1
        self.size = len(moves)
        self.at: dict[int, list[int]] = {}
        for t in range(self.ends):
            for node in places[first[t] : first[t + 1]]:
                self.at.setdefault(int(node), []).append(t)
        away = _away(rows, moves, cost, places, extra=step_cost) + tie
        both = np.column_stack([away + cost, away]).ravel()
        self.left = [*both.tolist(), *[0.0] * (self.ends + 1)]
        self.next, self.prev = [NOWHERE] * self.size, [NOWHERE] * self.size
        self.last = [NOWHERE] * self.ends
        self.seen: dict[int, float] = {}
        self.before: dict[int, int] = {}

    def onward(self, x: int) -> Iterable[tuple[int, int]]:
        """Vertices after x in what is left of the network, with the costs of the arcs."""
        nodes, v = 2 * self.size, x // 2
        if x >= nodes:
            end = self.last[x - nodes]
            yield (nodes + self.ends, 0) if end < 0 else (2 * end + 1, -self.tie)
            return
        used = self.next[v] != NOWHERE or self.prev[v] != NOWHERE
        if x % 2 == 0:
            if not used:
                yield x + 1, self.cost[v]
            elif 0 <= self.prev[v] < SOURCE:
                yield 2 * (v - self.steps[self.prev[v]]) + 1, -self.step_cost
            return
        if used:
            yield x - 1, -self.cost[v]
        for d in range(4):
            if self.moves[v] >> d & 1 and self.next[v] != d:
                yield 2 * (v + self.steps[d]), self.step_cost
        for t in self.at.get(v, ()):
            if self.next[v] != END + t:
                yield nodes + t, self.tie

    def augment(self, ports: Ints) -> bool:
        """Send one more lane by the cheapest way left; False when there is none."""
        sink, left = 2 * self.size + self.ends, self.left
        starts = [int(p) for p in ports if self.prev[p] != SOURCE and left[2 * p] < np.inf]
        self.seen = {2 * p: left[2 * p] for p in starts}
        self.before = dict.fromkeys(self.seen, NOWHERE)
        queue = [(key, x) for x, key in self.seen.items()]
        heapq.heapify(queue)
        while queue:
            key, x = heapq.heappop(queue)
            if key != self.seen[x]:
                continue
            if x == sink:
                break
            for y, price in self.onward(x):
                far = key + price + left[y] - left[x]
                if far < self.seen.get(y, np.inf):
                    self.seen[y], self.before[y] = far, x
                    heapq.heappush(queue, (far, y))
        if sink not in self.seen:
            return False
        for x, far in self.seen.items():
            left[x] += max(0.0, self.seen[sink] - far)
        self._turn_over(sink)
        return True

    def _turn_over(self, sink: int) -> None:
        """Turn the arcs of the path round, those that take a lane's step back first."""
        path = [self.before[sink]]
        while self.before[path[-1]] != NOWHERE:
            path.append(self.before[path[-1]])
        arcs = list(zip(path[1:], path, strict=False))
        nodes = 2 * self.size
        for x, y in arcs:
            if x >= nodes:
                self.next[y // 2] = NOWHERE
            elif y < nodes and x % 2 == 0 and y % 2 == 1 and x != y - 1:
                self.next[y // 2] = self.prev[x // 2] = NOWHERE
        self.prev[path[-1] // 2] = SOURCE
        for x, y in arcs:
            if y >= nodes:
                self.next[x // 2] = END + y - nodes
                self.last[y - nodes] = x // 2
            elif x < nodes and x % 2 == 1 and y % 2 == 0 and y != x - 1:
                self.next[x // 2] = self.prev[y // 2] = self.steps.index(y // 2 - x // 2)

    def lanes(self, ports: Ints) -> list[list[int]]:
        """Nodes of every territory's lane."""
        found: list[list[int]] = [[] for _ in range(self.ends)]
        for port in sorted({int(p) for p in ports if self.prev[p] == SOURCE}):
            lane = [port]
            while self.next[lane[-1]] < END:
                lane.append(lane[-1] + self.steps[self.next[lane[-1]]])
            found[self.next[lane[-1]] - END] = lane
        return found

    def cut(self) -> list[int]:
        """Nodes whose capacity stops another lane."""
        used = (v for v in range(self.size) if self.next[v] != NOWHERE or self.prev[v] != NOWHERE)
        return [v for v in used if 2 * v in self.seen and 2 * v + 1 not in self.seen]
