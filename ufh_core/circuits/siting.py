"""Choosing manifold places: every wall position priced by the tails that it would need.

One Dijkstra map a territory over the tails' lattice prices all places at once; several manifolds
are placed greedily and then moved one by one while that helps (a capacitated p-median heuristic).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from ufh_core.circuits.lane_grid import DIRECTIONS, LaneGrid
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.manifold_sites import WallStretch, service_rows, wall_stretches

PORT_OUT_M = 0.06
ROW_REACH_M = 0.26
TRIAL_LENGTHS = 3
MOST_CANDIDATES = 400
UNREACHED = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A manifold place: nodes of its ports in order along the wall, and the direction away from it.

    `place` is the designer's name for it, "" where he gave none.
    """

    stretch: WallStretch
    nodes: tuple[int, ...]
    direction: int
    low: float
    high: float
    station_first: bool
    place: str = ""

    @property
    def middle(self) -> int:
        """The node in front of the middle port."""
        return self.nodes[len(self.nodes) // 2]


def lattice_graph(grid: LaneGrid, cost: NDArray[np.float64]) -> csr_matrix:
    """Moves between neighbouring nodes, priced by the mean of their costs."""
    nodes = np.flatnonzero(grid.free)
    rows, columns = [], []
    for d in range(4):
        allowed = grid.allows(d)
        start = nodes[allowed[nodes]]
        start = start[allowed[start + grid.step_of(d)]]
        rows.append(start)
        columns.append(start + grid.step_of(d))
    a, b = np.concatenate(rows), np.concatenate(columns)
    return csr_matrix(((cost[a] + cost[b]) / 2, (a, b)), shape=(grid.size, grid.size))


def distance_maps(graph: csr_matrix, arrivals: Sequence[NDArray[np.int64]]) -> NDArray[np.float64]:
    """Least cost from every node to every territory, shape (territories, nodes)."""
    return np.array([dijkstra(graph, indices=list(places), min_only=True) for places in arrivals])


def candidate_sites(level: Level, grid: LaneGrid, count: int, settings: Settings) -> list[Site]:
    """Every place for a manifold of `count` ports."""
    found: list[Site] = []
    for stretch in wall_stretches(level, settings):
        found += sites_on(stretch, level, grid, count, settings)
    return found


def sites_on(stretch: WallStretch, level: Level, grid: LaneGrid, count: int, settings: Settings) -> list[Site]:
    """Every place for a manifold of `count` ports on one stretch of wall."""
    direction = DIRECTIONS.index(stretch.normal)
    spans = service_rows(level, stretch, settings.manifold.service_depth_m)
    station = settings.manifold.mixing_station_m
    half = grid.step / 2
    sites = []
    for low, high in spans:
        row = _row(stretch, grid, (low + high) / 2, direction)
        if row is None:
            continue
        for first in _first_nodes(grid, stretch, row, low, high):
            nodes = [first + k * _along_step(grid, stretch) for k in range(count)]
            spot = _coordinate(grid, nodes[0], stretch.along) - half
            end = spot + count * grid.step
            for station_first in (False, True):
                a, b = (spot - station, end) if station_first else (spot, end + station)
                if a < low - 1e-6 or b > high + 1e-6 or not _all_open(grid, nodes, direction):
                    continue
                sites.append(
                    Site(
                        stretch=stretch,
                        nodes=tuple(nodes),
                        direction=direction,
                        low=a,
                        high=b,
                        station_first=station_first,
                    )
                )
    return sites


def _coordinate(grid: LaneGrid, node: int, axis: int) -> float:
    return grid.point(node)[axis]


def _along_step(grid: LaneGrid, stretch: WallStretch) -> int:
    return grid.rows if stretch.along == 0 else 1


def _row(stretch: WallStretch, grid: LaneGrid, middle: float, direction: int) -> int | None:
    """Lattice index across the wall of the first free row off it."""
    sign = sum(DIRECTIONS[direction])
    base = grid.y0 if stretch.along == 0 else grid.x0
    k = math.ceil((stretch.at + sign * PORT_OUT_M - base) / grid.step * sign - 1e-9) * sign
    along_base = grid.x0 if stretch.along == 0 else grid.y0
    along = round((middle - along_base) / grid.step)
    limit = grid.columns if stretch.along else grid.rows
    while abs(base + k * grid.step - stretch.at) < ROW_REACH_M:
        if not 0 <= k < limit:
            return None
        node = grid.node(along, k) if stretch.along == 0 else grid.node(k, along)
        if 0 <= node < grid.size and grid.free[node]:
            return k
        k += sign
    return None


def _first_nodes(grid: LaneGrid, stretch: WallStretch, row: int, low: float, high: float) -> list[int]:
    base = grid.x0 if stretch.along == 0 else grid.y0
    first, last = math.ceil((low - base) / grid.step), math.floor((high - base) / grid.step)
    steps = range(first, last + 1)
    return [grid.node(k, row) if stretch.along == 0 else grid.node(row, k) for k in steps]


def _all_open(grid: LaneGrid, nodes: Sequence[int], direction: int) -> bool:
    step = grid.step_of(direction)
    places = np.array([n + k * step for n in nodes for k in range(3)])
    if places.min() < 0 or places.max() >= grid.size:
        return False
    return bool(np.all(grid.free[places] & (grid.lock[places] == 0)))


def best_sites(sites: Sequence[Site], maps: NDArray[np.float64], counts: Sequence[int]) -> list[list[Site]]:
    """Sets of sites, one a manifold with `counts` ports, the cheapest set first.

    With one manifold, the few best places far enough apart to differ; with several, one set.
    """
    price = _prices(sites, maps)
    if len(counts) == 1:
        order = np.argsort(price.sum(axis=1))
        return [[sites[k]] for k in _different(sites, order, price)]
    chosen = _several(price, counts)
    return [[sites[k] for k in chosen]]


def _prices(sites: Sequence[Site], maps: NDArray[np.float64]) -> NDArray[np.float64]:
    middles = np.array([s.middle for s in sites])
    raw = np.where(np.isfinite(maps[:, middles]), maps[:, middles], UNREACHED).T
    return np.asarray((raw + 2.0) * np.array([s.stretch.factor for s in sites])[:, None])


def _different(sites: Sequence[Site], order: NDArray[np.int64], price: NDArray[np.float64], most: int = 4) -> list[int]:
    picked: list[int] = []
    for k in order:
        if price[k].max() >= UNREACHED:
            break
        mine = (sites[k].stretch.room, sites[k].stretch.normal)
        near = [p for p in picked if (sites[p].stretch.room, sites[p].stretch.normal) == mine]
        if all(abs(sites[p].low - sites[k].low) > 0.8 for p in near):
            picked.append(int(k))
        if len(picked) == most:
            break
    return picked


def _several(price: NDArray[np.float64], counts: Sequence[int]) -> list[int]:
    thin = np.argsort(price.min(axis=1))
    pool = thin[:: max(1, len(thin) // MOST_CANDIDATES)]
    chosen: list[int] = []
    for k in range(len(counts)):
        caps = counts[: k + 1]
        best = min(pool, key=lambda c: np.minimum.reduce([price[x] for x in [*chosen, c]]).sum())
        chosen.append(int(best))
        _ = caps
    for _round in range(2):
        for k in range(len(chosen)):
            rest = [c for j, c in enumerate(chosen) if j != k]
            coarse = sorted(pool, key=lambda c: np.minimum.reduce([price[x] for x in [*rest, c]]).sum())[:40]
            chosen[k] = int(
                min(coarse, key=lambda c: _assigned([*chosen[:k], int(c), *chosen[k + 1 :]], price, counts))
            )
    return chosen


def _assigned(chosen: Sequence[int], price: NDArray[np.float64], counts: Sequence[int]) -> float:
    """Cost of the best assignment of territories to ports."""
    rows = np.concatenate([np.repeat(price[[c]], n, axis=0) for c, n in zip(chosen, counts, strict=True)])
    i, j = linear_sum_assignment(rows)
    return float(rows[i, j].sum())
