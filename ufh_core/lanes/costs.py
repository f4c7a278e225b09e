"""What a lane pays for each node: halls are cheap, other rooms dear, their middles very dear to strangers.

So tails run along walls and never cut a room in two. The factors are our own, found by trial.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from ufh_core.building.types import RoomKind
from ufh_core.lanes.grid import LaneGrid, Mask
from ufh_core.zones.level_plan import Level

CHEAP = frozenset({RoomKind.HALL, RoomKind.UTILITY, RoomKind.STORE, RoomKind.TECHNICAL, RoomKind.CELLAR})
HALL_BASE, HALL_MIDDLE = 1.0, 2.0
ROOM_BASE, ROOM_MIDDLE = 2.0, 8.0
SLEEVE_COST = 15.0
BAND_M, FULL_M = 0.2, 0.6


def node_costs(level: Level, grid: LaneGrid, sleeve_nodes: Mask) -> NDArray[np.float64]:
    """Cost of entering each node, shape (size,)."""
    depth = distance_transform_edt(grid.free.reshape(grid.columns, grid.rows)).ravel() * grid.step
    rise = np.clip((depth - BAND_M) / (FULL_M - BAND_M), 0, 1)
    cost = ROOM_BASE + ROOM_MIDDLE * rise
    for room in level.rooms:
        if room.kind in CHEAP:
            here = grid.within(room.outline)
            cost[here] = HALL_BASE + HALL_MIDDLE * rise[here]
    passage = grid.lock > 0
    cost[passage] = HALL_BASE
    cost[sleeve_nodes] += SLEEVE_COST
    return np.asarray(cost)


def arrival_nodes(
    grid: LaneGrid, inside: NDArray[np.int64], depth_m: NDArray[np.float64], least_m: float
) -> NDArray[np.int64]:
    """Of the nodes inside a territory those at least `least_m` from its edge, or the deepest where it is narrower.

    `depth_m` is the distance of each node from the edge.
    """
    open_ = grid.free[inside] & (grid.lock[inside] == 0)
    if not open_.any():
        return inside[:0]
    wanted = min(least_m, 0.7 * float(depth_m[open_].max()))
    return np.asarray(inside[open_ & (depth_m >= wanted)])
