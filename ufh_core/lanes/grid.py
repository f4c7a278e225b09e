"""The lattice on which pairs of tails run: one node a pair, no two pairs on one node.

With pipes of a pair `spacing` apart and nodes twice that apart, every two pipes on the lattice are
at least `spacing` apart, and all of them lie on multiples of `spacing`. A pair may turn only after
`leg` cells, so that its inner pipe can take the least radius on both turns of a U.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiLineString

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Passage

DIRECTIONS = ((1, 0), (0, 1), (-1, 0), (0, -1))
HORIZONTAL, VERTICAL = 1, 2

Cells = NDArray[np.int64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneGrid:
    """Nodes in columns and rows: node (i, j) at (x0 + i·step, y0 + j·step), flat index i·rows + j.

    `free` says where a pair's middle may be; `lock` is HORIZONTAL or VERTICAL where it may only go
    that way (in a passage), else 0.
    """

    x0: float
    y0: float
    step: float
    spacing: float
    columns: int
    rows: int
    leg: int
    free: Mask
    lock: NDArray[np.int8]

    @property
    def size(self) -> int:
        """Number of nodes."""
        return self.columns * self.rows

    def points(self) -> NDArray[np.float64]:
        """Positions of all nodes, shape (size, 2) [m]."""
        return self.positions(np.arange(self.size))

    def positions(self, nodes: Cells) -> NDArray[np.float64]:
        """Positions of some nodes, shape (nodes, 2) [m]."""
        i, j = np.divmod(nodes, self.rows)
        return np.column_stack([self.x0 + i * self.step, self.y0 + j * self.step])

    def point(self, node: int) -> Point:
        """Position of a node [m]."""
        i, j = divmod(node, self.rows)
        return (round(self.x0 + i * self.step, 6), round(self.y0 + j * self.step, 6))

    def node(self, i: int, j: int) -> int:
        """Flat index."""
        return i * self.rows + j

    def inside(self, area: shapely.Geometry) -> Mask:
        """Nodes that lie in an area, shape (size,)."""
        mask = np.zeros(self.size, dtype=bool)
        mask[self.within(area)] = True
        return mask

    def within(self, area: shapely.Geometry) -> Cells:
        """The nodes that lie in an area, in order."""
        if area.is_empty:
            return np.zeros(0, dtype=np.int64)
        left, low, right, high = area.bounds
        i0, i1 = _span(left - self.x0, right - self.x0, self.step, self.columns)
        j0, j1 = _span(low - self.y0, high - self.y0, self.step, self.rows)
        i, j = np.repeat(np.arange(i0, i1), max(0, j1 - j0)), np.tile(np.arange(j0, j1), max(0, i1 - i0))
        shapely.prepare(area)
        here = shapely.contains_xy(area, self.x0 + i * self.step, self.y0 + j * self.step)
        return np.asarray((i * self.rows + j)[here])

    def step_of(self, direction: int) -> int:
        """Change of the flat index for one step."""
        di, dj = DIRECTIONS[direction]
        return di * self.rows + dj

    def allows(self, direction: int) -> Mask:
        """Nodes where one may go along a direction."""
        wrong = VERTICAL if DIRECTIONS[direction][1] == 0 else HORIZONTAL
        return np.asarray(self.free & (self.lock != wrong))


def make_grid(area: Area, ways: list[tuple[Passage, Area]], spacing_m: float, least_radius_m: float) -> LaneGrid:
    """The lattice over `area`; `ways` are the passages with the part of each that an axis may use."""
    step = 2 * spacing_m
    left, low, right, high = area.bounds
    x0 = (math.floor(left / step) - 2) * step + spacing_m / 2
    y0 = (math.floor(low / step) - 2) * step + spacing_m / 2
    columns, rows = math.ceil((right - x0) / step) + 3, math.ceil((high - y0) / step) + 3
    blank = np.ones(columns * rows, dtype=bool)
    lock = np.zeros(columns * rows, dtype=np.int8)
    leg = math.ceil((2 * least_radius_m + spacing_m) / step - 1e-9)
    grid = LaneGrid(
        x0=x0, y0=y0, step=step, spacing=spacing_m, columns=columns, rows=rows, leg=leg, free=blank, lock=lock
    )
    for passage, way in ways:
        lock[grid.within(way)] = _lock_of(passage)
    free = grid.inside(area)
    edge = np.zeros((columns, rows), dtype=bool)
    edge[2:-2, 2:-2] = True
    return LaneGrid(
        x0=x0,
        y0=y0,
        step=step,
        spacing=spacing_m,
        columns=columns,
        rows=rows,
        leg=leg,
        free=free & edge.ravel(),
        lock=lock,
    )


def only_across(grid: LaneGrid, lines: MultiLineString) -> LaneGrid:
    """The lattice where lanes go only straight across some lines along its axes, as through a passage."""
    lock = grid.lock.copy()
    for line in lines.geoms:
        (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
        nodes = grid.within(line.buffer(grid.step / 2, cap_style="flat"))
        lock[nodes] = np.where(lock[nodes] == 0, _lock_towards((ay - by, bx - ax)), lock[nodes])
    return replace(grid, lock=lock)


def _span(low: float, high: float, step: float, count: int) -> tuple[int, int]:
    """First index and last + 1 of the lines from `low` to `high`, one more each way."""
    return max(0, math.floor(low / step)), min(count, math.ceil(high / step) + 1)


def _lock_of(passage: Passage) -> int:
    return _lock_towards(passage.direction)


def _lock_towards(direction: Point) -> int:
    """Along which axis one may only go, for a way in a direction; 0 where it lies slantwise."""
    dx, dy = (abs(d) for d in direction)
    if min(dx, dy) > 0.17 * max(dx, dy):
        return 0
    return HORIZONTAL if dx > dy else VERTICAL
