"""Choosing manifold places: every wall position priced by the tails that it would need.

One flood a territory over the tails' lattice prices all places at once; several manifolds
are placed greedily and then moved one by one while that helps (a capacitated p-median heuristic).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment
from shapely.geometry import box

from ufh_core.basis.areas import Area
from ufh_core.lanes.grid import DIRECTIONS, LaneGrid
from ufh_core.lanes.kernel import UNIT, in_units, kernel, moves_of, nodes_array
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.manifold_sites import WallStretch, service_rows, wall_stretches

PORT_OUT_M = 0.06
ROW_REACH_M = 0.26
AHEAD_NODES = 2  # that must be open in front of a port
TRIAL_LENGTHS = 3
MOST_CANDIDATES = 400
COARSE = 40
ALL_NODES = 2**62
PRICED_NODES = 40_000  # round a territory, from which a manifold may serve it
UNREACHED = 1e6
APART_M = 0.05
MOST_OTHER_ROOMS = 6
SWING_FACTOR = 1.25  # tails may cost this much more where no door swings into the space for service; own rule
RIM_M, SWEPT_M2 = 0.03, 0.05  # as coordination looks at that space


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A manifold place: nodes of its ports in order along the wall, and the direction away from it.

    `place` is the designer's name for it, "" where he gave none; `hindered` that a door swings in front of it.
    """

    stretch: WallStretch
    nodes: tuple[int, ...]
    direction: int
    low: float
    high: float
    station_first: bool
    place: str = ""
    hindered: bool = False

    @property
    def middle(self) -> int:
        """The node in front of the middle port."""
        return self.nodes[len(self.nodes) // 2]

    @property
    def factor(self) -> float:
        """By what its tails' price is multiplied: the kind of room, and a door that swings in front."""
        return self.stretch.factor * (SWING_FACTOR if self.hindered else 1.0)

    def clear_of(self, other: Site) -> bool:
        """Whether two sites do not stand in each other's way on one wall."""
        same = self.direction == other.direction and abs(self.stretch.at - other.stretch.at) < 1.0
        return not same or self.low > other.high + APART_M or self.high < other.low - APART_M


def distances_at(
    grid: LaneGrid,
    cost: NDArray[np.float64],
    arrivals: Sequence[NDArray[np.int64]],
    nodes: Sequence[int] | NDArray[np.int64],
    most: int = ALL_NODES,
) -> NDArray[np.float64]:
    """Least cost from some nodes to every territory, shape (territories, nodes); infinite where there is no way.

    Only the `most` nodes nearest to each territory are priced; those farther off count twice the last price.
    """
    moves, price = moves_of(grid), np.where(grid.free, in_units(cost), 0)
    away, picked = np.empty(grid.size, dtype=np.int64), nodes_array(nodes)
    found = np.empty((len(arrivals), len(picked)))
    for row, places in zip(found, arrivals, strict=True):
        done = kernel.spread(grid.rows, moves, price, nodes_array(places), most, away)
        beyond = np.inf if done < most else 2.0 * away.max() / UNIT
        row[:] = np.where(away[picked] >= 0, away[picked] / UNIT, beyond)
    return found


class WayPrices:
    """Costs of tails between places at walls and territories, remembered: every leading asks for the same ones.

    `nodes` are those that will be asked for; others may be, too, but then all is priced anew.
    """

    def __init__(self, grid: LaneGrid, cost: NDArray[np.float64], nodes: Sequence[int]) -> None:
        self._grid, self._cost = grid, cost
        self._nodes = np.unique(np.asarray(nodes, dtype=np.int64))
        self._rows: dict[bytes, NDArray[np.float64]] = {}

    def to(self, arrivals: Sequence[NDArray[np.int64]], nodes: Sequence[int]) -> NDArray[np.float64]:
        """Least cost from some nodes to every territory, by its arrivals, shape (territories, nodes).

        As `distances_at`, of the `PRICED_NODES` nearest to each territory.
        """
        asked = np.asarray(nodes, dtype=np.int64)
        if not np.isin(asked, self._nodes).all():
            self._nodes = np.union1d(self._nodes, asked)
            self._rows.clear()
        missing = {key: some for some in arrivals if (key := some.tobytes()) not in self._rows}
        found = distances_at(self._grid, self._cost, list(missing.values()), self._nodes, PRICED_NODES)
        self._rows |= dict(zip(missing, found, strict=True))
        picked = np.searchsorted(self._nodes, asked)
        return np.array([self._rows[some.tobytes()][picked] for some in arrivals]).reshape(len(arrivals), len(asked))


def candidate_sites(level: Level, grid: LaneGrid, count: int, settings: Settings) -> list[Site]:
    """Every place for a manifold of `count` ports."""
    found: list[Site] = []
    for stretch in wall_stretches(level, settings):
        found += sites_on(stretch, level, grid, count, settings)
    return found


def sites_on(stretch: WallStretch, level: Level, grid: LaneGrid, count: int, settings: Settings) -> list[Site]:
    """Every place for a manifold of `count` ports on one stretch of wall."""
    direction = DIRECTIONS.index(stretch.normal)
    station, base = settings.manifold.mixing_station_m, grid.x0 if stretch.along == 0 else grid.y0
    sites = []
    for low, high in service_rows(level, stretch, settings.manifold.service_depth_m):
        row = _row(stretch, grid, (low + high) / 2, direction)
        nodes = np.zeros(0, dtype=np.int64) if row is None else row_nodes(grid, stretch, row, low, high)
        swept = _swept(stretch, level, settings)
        for first in _runs(open_ahead(grid, nodes, direction), count):
            i, j = divmod(int(nodes[first]), grid.rows)
            spot = base + ((i, j)[stretch.along] - 0.5) * grid.step
            end = spot + count * grid.step
            for station_first in (False, True):
                a, b = (spot - station, end) if station_first else (spot, end + station)
                if a >= low - 1e-6 and b <= high + 1e-6:
                    sites.append(
                        Site(
                            stretch=stretch,
                            nodes=tuple(nodes[first : first + count].tolist()),
                            direction=direction,
                            low=a,
                            high=b,
                            station_first=station_first,
                            hindered=_in_swing(stretch, (a, b), swept, settings),
                        )
                    )
    return sites


def _swept(stretch: WallStretch, level: Level, settings: Settings) -> Area:
    """The floor in front of a stretch of wall over which doors swing."""
    depth = settings.manifold.service_depth_m + settings.manifold.cabinet_depth_m
    front = box(*_bounds(stretch, stretch.low, stretch.high, depth))
    return shapely.union_all([s.outline.intersection(front) for s in level.storey.swings])


def _in_swing(stretch: WallStretch, ends: tuple[float, float], swept: Area, settings: Settings) -> bool:
    """Whether a door swings into the space for service between two ends along a wall."""
    if swept.is_empty:
        return False
    front = box(*_bounds(stretch, ends[0] + RIM_M, ends[1] - RIM_M, settings.manifold.service_depth_m - RIM_M))
    return bool(swept.intersection(front).area > SWEPT_M2)


def _bounds(stretch: WallStretch, low: float, high: float, out_m: float) -> tuple[float, float, float, float]:
    (x0, y0), (x1, y1) = stretch.point(low, 0.0), stretch.point(high, out_m)
    return (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def port_rows(stretch: WallStretch, grid: LaneGrid, direction: int) -> list[int]:
    """Lattice indices across the wall of the rows on which ports may stand, the nearest to it first."""
    sign = sum(DIRECTIONS[direction])
    base, limit = (grid.y0, grid.rows) if stretch.along == 0 else (grid.x0, grid.columns)
    first = math.ceil((stretch.at + sign * PORT_OUT_M - base) / grid.step * sign - 1e-9) * sign
    rows: list[int] = []
    while abs(base + first * grid.step - stretch.at) < ROW_REACH_M and 0 <= first < limit:
        rows.append(first)
        first += sign
    return rows


def _row(stretch: WallStretch, grid: LaneGrid, middle: float, direction: int) -> int | None:
    """The first free row off a wall, as seen at `middle` along it."""
    along = round((middle - (grid.x0 if stretch.along == 0 else grid.y0)) / grid.step)
    for k in port_rows(stretch, grid, direction):
        node = grid.node(along, k) if stretch.along == 0 else grid.node(k, along)
        if 0 <= node < grid.size and grid.free[node]:
            return k
    return None


def row_nodes(grid: LaneGrid, stretch: WallStretch, row: int, low: float, high: float) -> NDArray[np.int64]:
    """Nodes of a row along a wall between two coordinates."""
    base, limit = (grid.x0, grid.columns) if stretch.along == 0 else (grid.y0, grid.rows)
    first, last = math.ceil((low - base) / grid.step), math.floor((high - base) / grid.step)
    steps = np.arange(max(0, first), min(limit, last + 1), dtype=np.int64)
    return steps * grid.rows + row if stretch.along == 0 else row * grid.rows + steps


def open_ahead(grid: LaneGrid, nodes: NDArray[np.int64], direction: int, ahead: int = AHEAD_NODES) -> NDArray[np.bool_]:
    """Whether each node and those ahead of it are open to a lane that is not bound to a passage."""
    places = nodes[:, None] + np.arange(1 + ahead) * grid.step_of(direction)
    inside = (places >= 0) & (places < grid.size)
    places = np.where(inside, places, 0)
    return np.asarray((inside & grid.free[places] & (grid.lock[places] == 0)).all(axis=1))


def _runs(good: NDArray[np.bool_], count: int) -> list[int]:
    """Where runs of `count` that are all good begin."""
    ahead = np.concatenate([[0], np.cumsum(good)])
    return np.flatnonzero(ahead[count:] - ahead[:-count] == count).tolist() if len(good) >= count else []


def best_sites(sites: Sequence[Site], distances: NDArray[np.float64], counts: Sequence[int]) -> list[list[Site]]:
    """Sets of sites, one a manifold with `counts` ports, the cheapest set first.

    `distances` are the costs of the tails from every site to every territory, shape (territories, sites). With
    one manifold, the few best places far enough apart to differ; with several, one set.
    """
    price = prices(sites, distances)
    if len(counts) == 1:
        order = np.argsort(price.sum(axis=1), kind="stable")
        return [[sites[k]] for k in _different(sites, order, price)]
    chosen = _several(price, counts)
    return [[sites[k] for k in chosen]]


def prices(sites: Sequence[Site], distances: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the tails of every territory from every site count, shape (sites, territories)."""
    raw = np.where(np.isfinite(distances), distances, UNREACHED).T
    return np.asarray((raw + 2.0) * np.array([s.factor for s in sites])[:, None])


def other_rooms(sites: Sequence[Site], distances: NDArray[np.float64], tried: Sequence[Site]) -> list[Site]:
    """The best site in each room in which none of some sites stands, the cheapest first; `distances` as above."""
    total = prices(sites, distances).sum(axis=1)
    done = {s.stretch.room for s in tried}
    found: list[Site] = []
    for k in np.argsort(total, kind="stable"):
        if sites[k].stretch.room not in done:
            done.add(sites[k].stretch.room)
            found.append(sites[k])
    return found[:MOST_OTHER_ROOMS]


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
    """Places one by one where they help most, then each moved while that helps (a p-median heuristic)."""
    thin = np.argsort(price.min(axis=1), kind="stable")
    pool = thin[:: max(1, len(thin) // MOST_CANDIDATES)]
    offered = price[pool]
    chosen: list[int] = []
    nearest = np.full(price.shape[1], np.inf)
    for _ in counts:
        chosen.append(int(pool[np.argmin(np.minimum(offered, nearest).sum(axis=1))]))
        nearest = np.minimum(nearest, price[chosen[-1]])
    for _round in range(2):
        for k in range(len(chosen)):
            rest = price[[c for j, c in enumerate(chosen) if j != k]].min(axis=0)
            coarse = pool[np.argsort(np.minimum(offered, rest).sum(axis=1), kind="stable")[:COARSE]]
            chosen[k] = int(
                min(coarse, key=lambda c: _assigned([*chosen[:k], int(c), *chosen[k + 1 :]], price, counts))
            )
    return chosen


def _assigned(chosen: Sequence[int], price: NDArray[np.float64], counts: Sequence[int]) -> float:
    """Cost of the best assignment of territories to ports."""
    rows = np.concatenate([np.repeat(price[[c]], n, axis=0) for c, n in zip(chosen, counts, strict=True)])
    i, j = linear_sum_assignment(rows)
    return float(rows[i, j].sum())
