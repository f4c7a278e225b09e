"""Service areas: each a share of a level's territories with its manifold, its lanes led in a window round it.

An area is led among the lanes of those led before. Areas that miss a territory, or whose floor others cut
off, are led again among all others.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.message import Message
from ufh_core.lanes.bottleneck import Cut
from ufh_core.lanes.ground import near_lanes
from ufh_core.lanes.leading import best_of, is_cut_off
from ufh_core.lanes.siting import Site, best_sites, prices
from ufh_core.lanes.types import Lane, Routed, Search
from ufh_core.lanes.window import Window, nodes_along, window_on

FIRST_MARGIN_M, MARGIN_M = 4.0, 10.0  # round an area, at the first try and when it is led again
MENDINGS = 2
NEIGHBOURS = 2
FRONT = 3  # nodes from each port outwards that must be free
MOST_OFFERED = 400
NO_SITE: str = Message("no free wall for a manifold near it")

Made = tuple[Routed | None, ...]


class Offer:
    """Sites that are offered; the ways of tails are priced when they are asked for.

    `nodes` are their ports, a row a site, the last one repeated where a site has fewer than others.
    """

    def __init__(self, search: Search, sites: Sequence[Site]) -> None:
        self._search = search
        self.sites = list(sites)
        most = max((len(s.nodes) for s in sites), default=0)
        rows = [[*s.nodes, *s.nodes[-1:] * (most - len(s.nodes))] for s in sites]
        self.nodes = np.array(rows, dtype=np.int64).reshape(len(rows), most)
        steps = np.array([search.ground.grid.step_of(s.direction) for s in sites], dtype=np.int64)
        self.ahead = np.hstack([self.nodes + k * steps[:, None] for k in range(FRONT)])
        self._middles = [s.middle for s in sites]

    def distances(self, members: Sequence[int]) -> NDArray[np.float64]:
        """Costs of tails to some territories (indices into the search's group), shape (members, sites)."""
        arrivals = [self._search.ground.arrivals[self._search.group[k]] for k in members]
        return self._search.prices.to(arrivals, self._middles)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Who hangs on which manifold: `members` (indices into the search's group) by area; `fixed`: site m for area m."""

    search: Search
    offer: Offer
    members: tuple[tuple[int, ...], ...]
    fixed: bool

    def group(self, m: int) -> list[int]:
        """The territories of an area."""
        return [self.search.group[k] for k in self.members[m]]


def with_area(made: Made, m: int, one: Routed | None) -> Made:
    """All areas with one of them led otherwise, or not at all."""
    return (*made[:m], one, *made[m + 1 :])


def mended(plan: Plan, made: Made, areas: Sequence[int]) -> Made:
    """Areas of some that miss anything or are cut off, led again where that helps."""
    for _ in range(MENDINGS):
        before = made
        for m in areas:
            if faults(plan, made, m):
                made = _mended(plan, made, m)
        if made is before:
            break
    return made


def _mended(plan: Plan, made: Made, m: int) -> Made:
    """An area led again among all others; where that does not help, before one of its neighbours is."""
    best = made
    alone = with_area(made, m, led(plan, made, m, MARGIN_M))
    if faults(plan, alone, m) < faults(plan, best, m):
        best = alone
    for j in _neighbours(plan, m):
        if not faults(plan, best, m):
            break
        first = with_area(made, j, None)
        first = with_area(first, m, led(plan, first, m, MARGIN_M))
        if faults(plan, first, m) >= faults(plan, best, m) + faults(plan, best, j):
            continue
        both = with_area(first, j, led(plan, first, j, MARGIN_M))
        if faults(plan, both, m) + faults(plan, both, j) < faults(plan, best, m) + faults(plan, best, j):
            best = both
    return best


def _neighbours(plan: Plan, m: int) -> list[int]:
    """The areas nearest to one."""
    middle = {j: _middle(plan, j) for j in range(len(plan.members)) if plan.members[j]}
    others = [j for j in middle if j != m]
    return sorted(others, key=lambda j: (math.dist(middle[j], middle[m]), j))[:NEIGHBOURS]


def _middle(plan: Plan, m: int) -> tuple[float, float]:
    left, low, right, high = _bounds(plan.search, plan.group(m), np.zeros((0, 2)), 0.0)
    return (left + right) / 2, (low + high) / 2


def led(plan: Plan, made: Made, m: int, margin: float) -> Routed:
    """Lanes of one area among those of the others, in a window with a margin [m] round it."""
    search, group = plan.search, plan.group(m)
    nowhere = Routed(sites=[], lanes=[], missed=dict.fromkeys(group, NO_SITE))
    if not group:
        return Routed(sites=[], lanes=[], missed={})
    others = [one for j, one in enumerate(made) if j != m and one is not None]
    lanes = tuple(lane.corners for one in others for lane in one.lanes)
    must = search.ground.grid.positions(plan.offer.nodes[m]) if plan.fixed else np.zeros((0, 2))
    taken = np.concatenate([nodes_along(search.ground, lanes), *(_kept_free(plan, m) if plan.fixed else ())])
    window = window_on(search.ground, _bounds(search, group, must, margin), group, taken)
    mine = plan.offer.distances(plan.members[m])
    order = [m] if plan.fixed else np.argsort(prices(plan.offer.sites, mine).sum(axis=1), kind="stable").tolist()
    places = free_places(plan.offer, order, window, taken, [s for one in others for s in one.sites])
    if not places:
        return nowhere
    offered = [window.site_into(plan.offer.sites[k]) for k in places]
    small = replace(search, ground=window.ground, group=group, first=search.first + m, others=lanes)
    choices = best_sites(offered, mine[:, places], [len(group)])
    found = best_of(small, choices, [len(group)])
    return replace(found, sites=[window.site_out(s) for s in found.sites]) if found is not None else nowhere


def _kept_free(plan: Plan, m: int) -> list[NDArray[np.int64]]:
    """The fronts of the other fixed sites."""
    return [plan.offer.ahead[j] for j in range(len(plan.members)) if j != m]


def free_places(
    offer: Offer, order: Sequence[int], window: Window, taken: NDArray[np.int64], standing: Sequence[Site]
) -> list[int]:
    """The first sites, in an order, of those in a window that neither lanes nor other manifolds stand in the way of."""
    free = window.whole.grid.free.copy()
    free[taken] = False
    open_ = window.holds(offer.nodes) & free[offer.ahead].all(axis=1)
    fine = (k for k in order if open_[k] and all(offer.sites[k].clear_of(t) for t in standing))
    return list(islice(fine, MOST_OFFERED))


def _bounds(
    search: Search, group: Sequence[int], points: NDArray[np.float64], margin: float
) -> tuple[float, float, float, float]:
    """Bounds [m] of some territories and points with a margin."""
    shapes = np.array([search.territories[t].floor.bounds for t in group])
    low = np.vstack([shapes[:, :2], points]).min(axis=0) - margin
    high = np.vstack([shapes[:, 2:], points]).max(axis=0) + margin
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def faults(plan: Plan, made: Made, m: int) -> int:
    """Territories of an area that are missed or cut off by any lane; all of them where nothing is led."""
    one = made[m]
    if one is None:
        return len(plan.members[m])
    if not one.lanes:
        return len(one.missed)
    lanes = [lane for other in made if other is not None for lane in other.lanes]
    here = shapely.box(*_bounds(plan.search, plan.group(m), np.zeros((0, 2)), 0.0))
    near = set(near_lanes(here, [lane.corners for lane in lanes]))
    close = [lane for lane in lanes if lane.corners in near]
    return len(one.missed) + sum(is_cut_off(lane, close, plan.search) for lane in one.lanes)


def together(made: Made, first: int) -> Routed:
    """All areas as one, manifolds numbered from `first` over those that stand."""
    sites: list[Site] = []
    lanes: list[Lane] = []
    missed: dict[int, str] = {}
    notes: list[str] = []
    cuts: list[Cut] = []
    for one in made:
        if one is not None:
            lanes += [replace(lane, manifold=first + len(sites)) for lane in one.lanes]
            sites += one.sites
            missed |= one.missed
            notes += one.notes
            cuts += one.cuts
    return Routed(sites=sites, lanes=lanes, missed=missed, notes=tuple(notes), cuts=tuple(cuts))
