"""A window of a ground: the same lattice cut to a rectangle, less the nodes that are taken.

What is looked for in a window costs what the window holds, so that a storey of many manifolds costs no
more for each of them than a dwelling does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.ground import LaneGround
from ufh_core.lanes.siting import Site

Ints = NDArray[np.int64]
RIM = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A ground cut to columns from `left` and rows from `low` of a `whole` one."""

    whole: LaneGround
    ground: LaneGround
    left: int
    low: int

    def into(self, nodes: Iterable[int]) -> Ints:
        """Nodes of the whole ground as nodes of the window; those outside are left out."""
        grid = self.ground.grid
        i, j = np.divmod(np.fromiter(nodes, dtype=np.int64), self.whole.grid.rows)
        i, j = i - self.left, j - self.low
        here = (i >= 0) & (i < grid.columns) & (j >= 0) & (j < grid.rows)
        return np.asarray((i * grid.rows + j)[here])

    def holds(self, nodes: Ints) -> NDArray[np.bool_]:
        """Which rows of nodes of the whole ground, shape (rows, nodes), lie in the window."""
        grid = self.ground.grid
        i, j = np.divmod(nodes, self.whole.grid.rows)
        i, j = i - self.left, j - self.low
        return np.asarray(((i >= 0) & (i < grid.columns) & (j >= 0) & (j < grid.rows)).all(axis=1))

    def site_into(self, site: Site) -> Site:
        """A site by the window's nodes, in which it must lie."""
        return replace(site, nodes=tuple(self.into(site.nodes).tolist()))

    def site_out(self, site: Site) -> Site:
        """A site by the nodes of the whole ground again."""
        i, j = np.divmod(np.asarray(site.nodes), self.ground.grid.rows)
        return replace(site, nodes=tuple(((i + self.left) * self.whole.grid.rows + j + self.low).tolist()))


def window_on(
    ground: LaneGround, bounds: tuple[float, float, float, float], members: Iterable[int], taken: Ints
) -> Window:
    """The window of a ground within `bounds` [m], with the ends of lanes to some territories, less `taken` nodes."""
    grid = ground.grid
    i0, i1 = _lines(bounds[0] - grid.x0, bounds[2] - grid.x0, grid.step, grid.columns)
    j0, j1 = _lines(bounds[1] - grid.y0, bounds[3] - grid.y0, grid.step, grid.rows)
    free = grid.free.copy()
    free[taken] = False

    def cut(values: NDArray[np.generic]) -> NDArray[np.generic]:
        return np.ascontiguousarray(values.reshape(grid.columns, grid.rows)[i0:i1, j0:j1]).ravel()

    inner = np.zeros((i1 - i0, j1 - j0), dtype=bool)
    inner[RIM:-RIM, RIM:-RIM] = True
    small = replace(
        grid,
        x0=grid.x0 + i0 * grid.step,
        y0=grid.y0 + j0 * grid.step,
        columns=i1 - i0,
        rows=j1 - j0,
        free=np.asarray(cut(free), dtype=bool) & inner.ravel(),
        lock=np.asarray(cut(grid.lock), dtype=np.int8),
    )
    blank = tuple(np.zeros(0, dtype=np.int64) for _ in ground.arrivals)
    made = replace(ground, grid=small, cost=np.asarray(cut(ground.cost)), insides=blank, arrivals=blank, cores=blank)
    window = Window(whole=ground, ground=made, left=i0, low=j0)
    chosen = set(members)

    def ends(nodes: Sequence[Ints]) -> tuple[Ints, ...]:
        return tuple(window.into(some) if t in chosen else blank[t] for t, some in enumerate(nodes))

    sent = replace(made, insides=ends(ground.insides), arrivals=ends(ground.arrivals), cores=ends(ground.cores))
    return replace(window, ground=sent)


def _lines(low: float, high: float, step: float, count: int) -> tuple[int, int]:
    """First index and last + 1 of at least five lines that hold a span."""
    first = max(0, min(math.floor(low / step) - RIM, count - 5))
    return first, min(count, max(first + 5, math.ceil(high / step) + RIM + 1))


def nodes_along(ground: LaneGround, lanes: Iterable[Sequence[Point]]) -> Ints:
    """The nodes that lanes run over, from their corners."""
    grid = ground.grid
    found: list[Ints] = [np.zeros(0, dtype=np.int64)]
    for corners in lanes:
        for a, b in pairwise(np.asarray(corners)):
            length = float(np.hypot(*(b - a)))
            steps = np.arange(math.floor(length / grid.step + 1e-6) + 1)
            points = b + np.outer(steps * grid.step / max(length, 1e-9), a - b)
            i, j = np.rint((points - (grid.x0, grid.y0)) / grid.step).astype(np.int64).T
            found.append(i * grid.rows + j)
    return np.concatenate(found)
