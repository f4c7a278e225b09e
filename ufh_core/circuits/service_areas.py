"""Several manifolds: which territories hang on which, and lanes led area by area.

Territories are shared out among places by a capacitated p-median heuristic: places one by one where
they help most, then by turns the cheapest assignment and the best place for each share. Each share with
its manifold is a service area; its lanes are led in a window round it, among the lanes of areas led
before. Areas that miss a territory, or whose floor others cut off, are led again among all others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from ufh_core.circuits.lane_leading import best_of, is_cut_off
from ufh_core.circuits.lane_types import Lane, Routed, Search
from ufh_core.circuits.lane_window import Window, nodes_along, window_on
from ufh_core.circuits.siting import Site, best_sites, prices

MARGINS_M = (4.0, 10.0, 10.0)  # round an area, at the first try and when it is led again
PRICED_NODES = 40_000
FRONT = 3  # nodes from each port outwards that must be free
MOST_OFFERED = 400
TURNS = 4
NO_SITE = "no free wall for a manifold near it"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Offer:
    """Sites with their nodes and those ahead of them (a row a site), and the costs of tails, (territories, sites)."""

    sites: list[Site]
    nodes: NDArray[np.int64]
    ahead: NDArray[np.int64]
    distances: NDArray[np.float64]

    def only(self, k: int) -> _Offer:
        """One of the sites."""
        one = slice(k, k + 1)
        return _Offer(
            sites=self.sites[one], nodes=self.nodes[one], ahead=self.ahead[one], distances=self.distances[:, one]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Area:
    """Territories (indices into the search's group) of one manifold, with its lanes once they are led."""

    members: tuple[int, ...]
    made: Routed | None = None


def lead_by_areas(search: Search, sites: Sequence[Site], counts: Sequence[int], *, fixed: bool = False) -> Routed:
    """Lanes from as many manifolds as there are `counts`; with `fixed`, from the sites given, one each."""
    offer = _offer(search, sites)
    price = prices(sites, offer.distances)
    shares = shared_out(price, counts, list(range(len(sites))) if fixed else None)
    areas = [_Area(members=members) for members in shares]
    order = sorted(range(len(areas)), key=lambda m: -float(price[:, areas[m].members].min(axis=0).sum()))
    for k, margin in enumerate(MARGINS_M):
        todo = order if k == 0 else [m for m in order if _is_poor(search, areas, m)]
        for m in todo:
            again = _led(search, areas, m, offer.only(m) if fixed else offer, margin)
            if _faults(search, areas, m, again) < _faults(search, areas, m, areas[m].made):
                areas[m] = replace(areas[m], made=again)
        if not todo:
            break
    return _together(search, areas)


def _offer(search: Search, sites: Sequence[Site]) -> _Offer:
    nodes = np.array([s.nodes for s in sites], dtype=np.int64)
    steps = np.array([search.ground.grid.step_of(s.direction) for s in sites])
    ahead = np.hstack([nodes + k * steps[:, None] for k in range(FRONT)])
    distances = search.ground.distances(search.group, [s.middle for s in sites], PRICED_NODES)
    return _Offer(sites=list(sites), nodes=nodes, ahead=ahead, distances=distances)


def shared_out(
    price: NDArray[np.float64], counts: Sequence[int], places: list[int] | None = None
) -> list[tuple[int, ...]]:
    """Territories by manifold: `price` of shape (sites, territories), `counts` ports; `places` are given sites."""
    chosen = places or _first_places(price, len(counts))
    members: list[tuple[int, ...]] = []
    columns = np.repeat(np.arange(len(counts)), counts)
    for _ in range(TURNS):
        rows, ports = linear_sum_assignment(price[chosen].T[:, columns])
        owner = columns[ports]
        members = [tuple(rows[owner == m].tolist()) for m in range(len(counts))]
        better = [
            int(np.argmin(price[:, list(mine)].sum(axis=1))) if mine else chosen[m] for m, mine in enumerate(members)
        ]
        if places or better == chosen:
            break
        chosen = better
    return members


def _first_places(price: NDArray[np.float64], number: int) -> list[int]:
    chosen: list[int] = []
    nearest = np.full(price.shape[1], np.inf)
    for _ in range(number):
        chosen.append(int(np.argmin(np.minimum(price, nearest).sum(axis=1))))
        nearest = np.minimum(nearest, price[chosen[-1]])
    return chosen


def _led(search: Search, areas: Sequence[_Area], m: int, offer: _Offer, margin: float) -> Routed:
    """Lanes of one area among those of the others."""
    group = [search.group[k] for k in areas[m].members]
    others = [a.made for j, a in enumerate(areas) if j != m and a.made is not None]
    lanes = tuple(lane.corners for made in others for lane in made.lanes)
    taken = nodes_along(search.ground, lanes)
    window = window_on(search.ground, _bounds(search, group, margin), group, taken)
    mine = offer.distances[list(areas[m].members)]
    order = np.argsort(prices(offer.sites, mine).sum(axis=1), kind="stable")
    places = _places(offer, order, window, taken, [s for made in others for s in made.sites])
    nowhere = Routed(sites=[], lanes=[], missed=dict.fromkeys(group, NO_SITE))
    if not places:
        return nowhere
    offered = [window.site_into(offer.sites[k]) for k in places]
    small = replace(search, ground=window.ground, group=group, first=search.first + m, others=lanes)
    choices = best_sites(offered, mine[:, places], [len(group)])
    made = best_of(small, choices, [len(group)])
    return replace(made, sites=[window.site_out(s) for s in made.sites]) if made is not None else nowhere


def _places(
    offer: _Offer, order: NDArray[np.int64], window: Window, taken: NDArray[np.int64], standing: Sequence[Site]
) -> list[int]:
    """The first sites, in an order, of those in a window that neither lanes nor other manifolds stand in the way of."""
    free = window.whole.grid.free.copy()
    free[taken] = False
    open_ = window.holds(offer.nodes) & free[offer.ahead].all(axis=1)
    fine = (int(k) for k in order if open_[k] and all(offer.sites[k].clear_of(t) for t in standing))
    return list(islice(fine, MOST_OFFERED))


def _bounds(search: Search, group: Sequence[int], margin: float) -> tuple[float, float, float, float]:
    shapes = np.array([search.territories[t].floor.bounds for t in group])
    low, high = shapes[:, :2].min(axis=0) - margin, shapes[:, 2:].max(axis=0) + margin
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _is_poor(search: Search, areas: Sequence[_Area], m: int) -> bool:
    return _faults(search, areas, m, areas[m].made) > 0


def _faults(search: Search, areas: Sequence[_Area], m: int, made: Routed | None) -> int:
    """Territories of an area that are missed or cut off by any lane; more than all where nothing is led yet."""
    if made is None:
        return len(areas[m].members) + 1
    lanes: list[Lane] = [x for j, a in enumerate(areas) if j != m and a.made is not None for x in a.made.lanes]
    lanes += made.lanes
    return len(made.missed) + sum(is_cut_off(lane, lanes, search) for lane in made.lanes)


def _together(search: Search, areas: Sequence[_Area]) -> Routed:
    """All areas as one, manifolds numbered anew over those that stand."""
    sites: list[Site] = []
    lanes: list[Lane] = []
    missed: dict[int, str] = {}
    for area in areas:
        if area.made is None:
            continue
        lanes += [replace(lane, manifold=search.first + len(sites)) for lane in area.made.lanes]
        sites += area.made.sites
        missed |= area.made.missed
    return Routed(sites=sites, lanes=lanes, missed=missed)
