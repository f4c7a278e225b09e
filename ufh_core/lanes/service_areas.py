"""Several manifolds: which territories hang on which, and lanes led area by area.

Territories are shared out among places by a capacitated p-median heuristic: places one by one where
they help most, then by turns the cheapest assignment and the best place for each share. Each share with
its manifold is a service area; its lanes are led in a window round it, among the lanes of areas led
before. Areas that miss a territory, or whose floor others cut off, are led again among all others.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from ufh_core.lanes.bottleneck import Cut
from ufh_core.lanes.leading import best_of, is_cut_off
from ufh_core.lanes.siting import Site, best_sites, prices
from ufh_core.lanes.types import Lane, Routed, Search
from ufh_core.lanes.window import Window, nodes_along, window_on

FIRST_MARGIN_M, MARGIN_M = 4.0, 10.0  # round an area, at the first try and when it is led again
MENDINGS = 2
NEIGHBOURS = 2
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
class _Plan:
    """Who hangs on which manifold: `members` (indices into the search's group) by area; `fixed`: site m for area m."""

    search: Search
    offer: _Offer
    members: tuple[tuple[int, ...], ...]
    fixed: bool

    def group(self, m: int) -> list[int]:
        """The territories of an area."""
        return [self.search.group[k] for k in self.members[m]]


Made = tuple[Routed | None, ...]


def lead_by_areas(
    search: Search,
    sites: Sequence[Site],
    counts: Sequence[int],
    *,
    fixed: bool = False,
    sites_for: Callable[[int], Sequence[Site]] | None = None,
) -> Routed:
    """Lanes from as many manifolds as there are `counts`; with `fixed`, from the sites given, one each.

    What is missed in the end gets one manifold more, with as many ports as it takes, from `sites_for` them.
    """
    offer = _offer(search, sites)
    price = prices(sites, offer.distances)
    members = shared_out(price, counts, list(range(len(sites))) if fixed else None)
    plan = _Plan(search=search, offer=offer, members=tuple(members), fixed=fixed)
    made: Made = (None,) * len(members)
    for m in sorted(range(len(members)), key=lambda m: -float(price[:, members[m]].min(axis=0).sum())):
        made = _with(made, m, _led(plan, made, m, FIRST_MARGIN_M))
    for _ in range(MENDINGS):
        for m in range(len(members)):
            if _faults(plan, made, m):
                made = _mended(plan, made, m)
    missed = {t for one in made if one is not None for t in one.missed}
    if missed and sites_for is not None:
        plan, made = _with_one_more(plan, made, missed, sites_for(len(missed)))
    return _together(plan, made)


def _with(made: Made, m: int, one: Routed | None) -> Made:
    return (*made[:m], one, *made[m + 1 :])


def _mended(plan: _Plan, made: Made, m: int) -> Made:
    """An area led again among all others; where that does not help, before one of its neighbours is."""
    best = made
    alone = _with(made, m, _led(plan, made, m, MARGIN_M))
    if _faults(plan, alone, m) < _faults(plan, best, m):
        best = alone
    for j in _neighbours(plan, m):
        if not _faults(plan, best, m):
            break
        first = _with(made, j, None)
        first = _with(first, m, _led(plan, first, m, MARGIN_M))
        both = _with(first, j, _led(plan, first, j, MARGIN_M))
        if _faults(plan, both, m) + _faults(plan, both, j) < _faults(plan, best, m) + _faults(plan, best, j):
            best = both
    return best


def _neighbours(plan: _Plan, m: int) -> list[int]:
    """The areas nearest to one."""
    middle = [_middle(plan, j) for j in range(len(plan.members))]
    others = [j for j in range(len(plan.members)) if j != m]
    return sorted(others, key=lambda j: (math.dist(middle[j], middle[m]), j))[:NEIGHBOURS]


def _middle(plan: _Plan, m: int) -> tuple[float, float]:
    left, low, right, high = _bounds(plan.search, plan.group(m), np.zeros((0, 2)), 0.0)
    return (left + right) / 2, (low + high) / 2


def _with_one_more(plan: _Plan, made: Made, missed: set[int], sites: Sequence[Site]) -> tuple[_Plan, Made]:
    """A manifold more for what is missed, where that reaches any of it."""
    members = tuple(tuple(k for k in mine if plan.search.group[k] not in missed) for mine in plan.members)
    extra = tuple(k for k, t in enumerate(plan.search.group) if t in missed)
    if not sites:
        return plan, made
    more = replace(plan, members=(*members, extra), offer=_offer(plan.search, sites))
    one = _led(more, (*made, None), len(members), MARGIN_M)
    if len(one.missed) == len(extra):
        return plan, made
    why = min(w for r in made if r is not None for w in r.missed.values())
    one = replace(one, notes=(f"{why}; a manifold more is placed",))
    told = tuple(replace(r, missed={}, cuts=()) if r is not None else None for r in made)
    return more, (*told, one)


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


def _led(plan: _Plan, made: Made, m: int, margin: float) -> Routed:
    """Lanes of one area among those of the others."""
    search, group = plan.search, plan.group(m)
    nowhere = Routed(sites=[], lanes=[], missed=dict.fromkeys(group, NO_SITE))
    if not group:
        return Routed(sites=[], lanes=[], missed={})
    others = [one for j, one in enumerate(made) if j != m and one is not None]
    lanes = tuple(lane.corners for one in others for lane in one.lanes)
    offer = plan.offer.only(m) if plan.fixed else plan.offer
    must = search.ground.grid.positions(offer.nodes[0]) if plan.fixed else np.zeros((0, 2))
    taken = np.concatenate([nodes_along(search.ground, lanes), *(_kept_free(plan, m) if plan.fixed else ())])
    window = window_on(search.ground, _bounds(search, group, must, margin), group, taken)
    mine = offer.distances[list(plan.members[m])]
    order = np.argsort(prices(offer.sites, mine).sum(axis=1), kind="stable")
    places = _places(offer, order, window, taken, [s for one in others for s in one.sites])
    if not places:
        return nowhere
    offered = [window.site_into(offer.sites[k]) for k in places]
    small = replace(search, ground=window.ground, group=group, first=search.first + m, others=lanes)
    choices = best_sites(offered, mine[:, places], [len(group)])
    led = best_of(small, choices, [len(group)])
    return replace(led, sites=[window.site_out(s) for s in led.sites]) if led is not None else nowhere


def _kept_free(plan: _Plan, m: int) -> list[NDArray[np.int64]]:
    """The fronts of the other fixed sites."""
    return [plan.offer.ahead[j] for j in range(len(plan.members)) if j != m]


def _places(
    offer: _Offer, order: NDArray[np.int64], window: Window, taken: NDArray[np.int64], standing: Sequence[Site]
) -> list[int]:
    """The first sites, in an order, of those in a window that neither lanes nor other manifolds stand in the way of."""
    free = window.whole.grid.free.copy()
    free[taken] = False
    open_ = window.holds(offer.nodes) & free[offer.ahead].all(axis=1)
    fine = (int(k) for k in order if open_[k] and all(offer.sites[k].clear_of(t) for t in standing))
    return list(islice(fine, MOST_OFFERED))


def _bounds(
    search: Search, group: Sequence[int], points: NDArray[np.float64], margin: float
) -> tuple[float, float, float, float]:
    """Bounds [m] of some territories and points with a margin."""
    shapes = np.array([search.territories[t].floor.bounds for t in group])
    low = np.vstack([shapes[:, :2], points]).min(axis=0) - margin
    high = np.vstack([shapes[:, 2:], points]).max(axis=0) + margin
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _faults(plan: _Plan, made: Made, m: int) -> int:
    """Territories of an area that are missed or cut off by any lane; all of them where nothing is led."""
    one = made[m]
    if one is None:
        return len(plan.members[m])
    lanes: list[Lane] = [lane for other in made if other is not None for lane in other.lanes]
    return len(one.missed) + sum(is_cut_off(lane, lanes, plan.search) for lane in one.lanes)


def _together(plan: _Plan, made: Made) -> Routed:
    """All areas as one, manifolds numbered over those that stand."""
    sites: list[Site] = []
    lanes: list[Lane] = []
    missed: dict[int, str] = {}
    notes: list[str] = []
    cuts: list[Cut] = []
    for one in made:
        if one is not None:
            lanes += [replace(lane, manifold=plan.search.first + len(sites)) for lane in one.lanes]
            sites += one.sites
            missed |= one.missed
            notes += one.notes
            cuts += one.cuts
    return Routed(sites=sites, lanes=lanes, missed=missed, notes=tuple(notes), cuts=tuple(cuts))
