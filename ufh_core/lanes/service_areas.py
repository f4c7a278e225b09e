"""Several manifolds: which territories hang on which, and lanes led area by area.

Territories are shared out among places by a capacitated p-median heuristic: places one by one where
they help most, then by turns the cheapest assignment and the best place for each share.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from ufh_core.basis.message import Message
from ufh_core.lanes.areas import FIRST_MARGIN_M, MARGIN_M, Made, Offer, Plan, led, mended, together, with_area
from ufh_core.lanes.siting import Site, prices
from ufh_core.lanes.types import Routed, Search

TURNS = 4
TOO_FAR: str = Message("its tails would be too long")


def lead_by_areas(
    search: Search,
    sites: Sequence[Site],
    counts: Sequence[int],
    *,
    fixed: bool = False,
    sites_for: Callable[[int], Sequence[Site]] | None = None,
    most_mended: int | None = None,
) -> Routed:
    """Lanes from as many manifolds as there are `counts`; with `fixed`, from the sites given, one each.

    Nothing is led where some territory lies beyond its reach from the site that would serve its share best. What
    is missed in the end gets one manifold more, with as many ports as it takes, from `sites_for` them; where that
    is more than `most_mended` at first, nothing is mended.
    """
    offer = Offer(search, sites)
    price = prices(sites, offer.distances(range(len(search.group))))
    members = shared_out(price, counts, list(range(len(sites))) if fixed else None)
    if not fixed and _beyond_reach(search, sites, price, members):
        return Routed(sites=[], lanes=[], missed=dict.fromkeys(search.group, TOO_FAR))
    plan = Plan(search=search, offer=offer, members=tuple(members), fixed=fixed)
    made: Made = (None,) * len(members)
    for m in sorted(range(len(members)), key=lambda m: -float(price[:, members[m]].min(axis=0).sum())):
        made = with_area(made, m, led(plan, made, m, FIRST_MARGIN_M))
    if most_mended is not None and sum(len(one.missed) for one in made if one is not None) > most_mended:
        return together(made, search.first)
    made = mended(plan, made, range(len(members)))
    return together(_with_one_more(plan, made, sites_for) if sites_for else made, search.first)


def _beyond_reach(
    search: Search, sites: Sequence[Site], price: NDArray[np.float64], members: Sequence[Sequence[int]]
) -> bool:
    """Whether, as the crow flies along the axes, a territory is too far from the best site of its share."""
    grid = search.ground.grid
    for mine in members if search.reach_m else ():
        best = sites[int(np.argmin(price[:, list(mine)].sum(axis=1)))].middle
        at = grid.positions(np.array([best]))
        for t in (search.group[k] for k in mine):
            ways = np.abs(grid.positions(search.ground.arrivals[t]) - at).sum(axis=1)
            if ways.min() > search.reach_m[t]:
                return True
    return False


def _with_one_more(plan: Plan, made: Made, sites_for: Callable[[int], Sequence[Site]]) -> Made:
    """A manifold more for what is missed, where that reaches any of it."""
    missed = {t for one in made if one is not None for t in one.missed}
    sites = sites_for(len(missed)) if missed else ()
    if not sites:
        return made
    members = tuple(tuple(k for k in mine if plan.search.group[k] not in missed) for mine in plan.members)
    extra = tuple(k for k, t in enumerate(plan.search.group) if t in missed)
    more = replace(plan, members=(*members, extra), offer=Offer(plan.search, sites), fixed=False)
    one = led(more, (*made, None), len(members), MARGIN_M)
    if len(one.missed) == len(extra):
        return made
    why = min(w for r in made if r is not None for w in r.missed.values())
    one = replace(one, notes=(Message("{why}; a manifold more is placed", why=why),))
    told = tuple(replace(r, missed={}, cuts=()) if r is not None else None for r in made)
    return (*told, one)


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
