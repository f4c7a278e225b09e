"""All tails of a level at once: one minimum-cost flow of node-disjoint lanes.

Ports are interchangeable, so leading every circuit from the manifold to its territory without a
crossing is one flow of as many units as there are circuits, each node used once. Successive
shortest paths with potentials (Edmonds and Karp 1972); the potentials start as the true distances on
the empty lattice, so that each search goes little farther than its lane. Where not all fit, the flow
found is returned with the territories that were not reached and the nodes of the least cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ufh_core.lanes.grid import LaneGrid
from ufh_core.lanes.kernel import UNIT, in_units, kernel, moves_of, nodes_array

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
    first = np.concatenate([[0], np.cumsum([len(a) for a in arrivals])])
    lanes, cut = kernel.flow(
        grid.rows,
        moves_of(grid),
        np.where(grid.free, in_units(cost), 0),
        round(STEP_COST * UNIT),
        round(ARRIVAL_TIE * UNIT),
        nodes_array(ports),
        nodes_array(first),
        nodes_array(np.concatenate([nodes_array([]), *arrivals])),
    )
    entered = sum(float(cost[lane].sum()) + STEP_COST * (len(lane) - 1) + ARRIVAL_TIE for lane in lanes if lane)
    return LaneFlow(paths=tuple(tuple(lane) or None for lane in lanes), cost=entered, cut=tuple(cut))
