"""All tails of a level at once: one minimum-cost flow of node-disjoint lanes.

Ports are interchangeable, so leading every circuit from the manifold to its territory without a
crossing is one flow of as many units as there are circuits, each node used once. Successive
shortest paths with potentials (Edmonds and Karp 1972): one Dijkstra run a circuit,
O(k · n log n). Where not all fit, the flow found is returned with the territories that were not
reached and the nodes of the least cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from ufh_core.circuits.lane_grid import LaneGrid

ARRIVAL_TIE = 1e-6
STEP_COST = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneFlow:
    """Node paths from port to territory: `paths[t]` is None where territory t was not reached."""

    paths: tuple[tuple[int, ...] | None, ...]
    cost: float
    cut: tuple[int, ...] = ()


def route_flow(
    grid: LaneGrid, cost: NDArray[np.float64], ports: Sequence[int], arrivals: Sequence[NDArray[np.int64]]
) -> LaneFlow:
    """Lanes of least cost from different ports to every territory.

    `cost` is the cost of entering a node [1], `arrivals[t]` the nodes where a lane may end in t.
    """
    network = _Network.build(grid, cost, ports, arrivals)
    reached = 0
    while reached < len(arrivals) and network.augment():
        reached += 1
    cut = network.cut() if reached < len(arrivals) else ()
    return LaneFlow(paths=network.paths(len(arrivals)), cost=network.total(), cut=cut)


class _Network:
    """Residual network with unit capacities; in-node 2v, out-node 2v + 1, then territories, source, sink.

    Every edge has two arcs, ahead while it is unused and back once it is used; the arcs' order in
    memory is fixed and an arc that is not there costs infinity.
    """

    def __init__(self, tails: NDArray[np.int64], heads: NDArray[np.int64], costs: NDArray[np.float64], size: int):
        self.tails, self.heads, self.costs, self.size = tails, heads, costs, size
        self.used = np.zeros(len(tails), dtype=bool)
        self.potential = np.zeros(size)
        self.source, self.sink = size - 2, size - 1
        self.reach = np.zeros(size, dtype=bool)
        start, end = np.concatenate([tails, heads]), np.concatenate([heads, tails])
        order = np.lexsort((end, start))
        self.start, self.end = start[order], end[order]
        self.edge, self.back = order % len(tails), order >= len(tails)
        self.indptr = np.searchsorted(self.start, np.arange(size + 1)).astype(np.int32)
        self.indices = self.end.astype(np.int32)

    @classmethod
    def build(
        cls, grid: LaneGrid, cost: NDArray[np.float64], ports: Sequence[int], arrivals: Sequence[NDArray[np.int64]]
    ) -> _Network:
        """Edges of the grid, from the source to the ports, and from arrival nodes to the sink."""
        nodes = np.flatnonzero(grid.free)
        tails, heads, costs = [2 * nodes], [2 * nodes + 1], [cost[nodes]]
        for d in range(4):
            allowed = grid.allows(d)
            start = nodes[allowed[nodes]]
            start = start[allowed[start + grid.step_of(d)]]
            tails.append(2 * start + 1)
            heads.append(2 * (start + grid.step_of(d)))
            costs.append(np.full(len(start), STEP_COST))
        first = 2 * grid.size
        size = first + len(arrivals) + 2
        for t, places in enumerate(arrivals):
            tails += [2 * places + 1, np.array([first + t])]
            heads += [np.full(len(places), first + t), np.array([size - 1])]
            costs += [np.full(len(places), ARRIVAL_TIE), np.zeros(1)]
        tails.append(np.full(len(ports), size - 2))
        heads.append(2 * np.asarray(ports))
        costs.append(np.zeros(len(ports)))
        return cls(np.concatenate(tails), np.concatenate(heads), np.concatenate(costs), size)

    def augment(self) -> bool:
        """Send one more unit by the cheapest residual path; False when there is none."""
        plain = np.where(self.back, -self.costs[self.edge], self.costs[self.edge])
        reduced = np.maximum(plain + self.potential[self.start] - self.potential[self.end], 0) + 1e-9
        reduced[self.used[self.edge] != self.back] = np.inf
        graph = csr_matrix((reduced, self.indices, self.indptr), shape=(self.size, self.size))
        distance, before = dijkstra(graph, indices=self.source, return_predecessors=True)
        self.reach = np.isfinite(distance)
        if not self.reach[self.sink]:
            return False
        self.potential += np.where(self.reach, distance, distance[self.reach].max())
        self._flip(before)
        return True

    def _flip(self, before: NDArray[np.int32]) -> None:
        node = self.sink
        while node != self.source:
            tail = int(before[node])
            arcs = np.arange(self.indptr[tail], self.indptr[tail + 1])
            here = arcs[(self.indices[arcs] == node) & (self.used[self.edge[arcs]] == self.back[arcs])]
            edge = self.edge[here[0]]
            self.used[edge] = ~self.used[edge]
            node = tail

    def total(self) -> float:
        """Cost of the flow."""
        return float(self.costs[self.used].sum())

    def cut(self) -> tuple[int, ...]:
        """Grid nodes whose capacity stops another lane."""
        inside = self.used & (self.tails < self.source) & (self.heads == self.tails + 1) & (self.tails % 2 == 0)
        blocked = inside & self.reach[self.tails] & ~self.reach[self.heads]
        return tuple(int(v) // 2 for v in self.tails[blocked])

    def paths(self, territories: int) -> tuple[tuple[int, ...] | None, ...]:
        """The node path of every territory."""
        after = {int(t): int(h) for t, h in zip(self.tails[self.used], self.heads[self.used], strict=True)}
        starts = self.heads[self.used & (self.tails == self.source)]
        found: list[tuple[int, ...] | None] = [None] * territories
        first = self.size - 2 - territories
        for start in starts:
            node, path = int(start), []
            while node < first:
                if node % 2 == 0:
                    path.append(node // 2)
                node = after[node]
            found[node - first] = tuple(path)
        return tuple(found)
