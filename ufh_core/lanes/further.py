"""A lane led further into its territory, where no loop fits at the place at which it ends.

The others stay as they are. The lane keeps its port and is led shortest to floor ever deeper inside the
largest part of its territory that they leave; the shallowest place that serves is the best, as a lane far
inside a room takes floor from its loop.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.grid import DIRECTIONS
from ufh_core.lanes.ground import LaneGround, largest_left
from ufh_core.lanes.relax import LaneSearch, Start, corner_nodes
from ufh_core.lanes.types import Lane
from ufh_core.lanes.window import nodes_along
from ufh_core.zones.territories import Territory

DEPTHS_M = (0.2, 0.35, 0.5, 0.8, 1.2, 1.8)


def led_further(
    ground: LaneGround, lane: Lane, territory: Territory, others: Sequence[Sequence[Point]]
) -> Iterator[Lane]:
    """The lane led to other ends, by rising depth. `others` are the corners of all other lanes."""
    grid = ground.grid
    part = largest_left(territory, others, grid.spacing)
    if part is None:
        return
    start = _start(ground, lane)
    taken = nodes_along(ground, others).tolist()
    inside = grid.within(part)
    inside = inside[grid.free[inside] & (grid.lock[inside] == 0)]
    depth = shapely.distance(part.boundary, shapely.points(grid.positions(inside)))
    search = LaneSearch(grid, ground.cost)
    known = {lane.corners}
    for least in DEPTHS_M:
        ends = inside[depth >= least]
        path = search.shortest(start, ends, taken) if len(ends) else None
        if path is None or len(path) < 2:
            return
        corners = (lane.corners[0], *(grid.point(n) for n in corner_nodes(grid, path)[1:]))
        if corners not in known:
            known.add(corners)
            yield replace(lane, corners=corners)


def _start(ground: LaneGround, lane: Lane) -> Start:
    """The lane's first node on the lattice, and the direction in which it leaves its port."""
    (ax, ay), (bx, by) = lane.corners[:2]
    way = (int(np.sign(round(bx - ax, 6))), int(np.sign(round(by - ay, 6))))
    nodes = nodes_along(ground, [lane.corners[:2]])  # from the corner back to the wall, where none is free
    return Start(node=int(nodes[ground.grid.free[nodes]][-1]), direction=DIRECTIONS.index(way))
