"""Lanes from manifolds at places that the designer gave.

Where any room may hang on any manifold, all lanes are led at once, as from places of the tool's choice.
Where a room is served from a certain manifold, the flow cannot know it (its lanes are alike), so that
lanes are led manifold by manifold, each among those already led, in two orders; the better is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.message import Message
from ufh_core.lanes.bottleneck import Cut
from ufh_core.lanes.given_sites import Ground, Staffed, nearest_m, nodes_at, staffed_sites
from ufh_core.lanes.ground import LaneGround
from ufh_core.lanes.siting import Site
from ufh_core.lanes.types import Lane, Routed, Search
from ufh_core.settings.types import Settings
from ufh_core.zones.given_places import Place
from ufh_core.zones.wishes import Wishes

Lead = Callable[[Search, list[Site], list[int]], Routed]
FRONT_NODES = 3  # in front of each port, which lanes of other manifolds keep clear of
NO_WALL: str = Message("no free wall for a manifold that serves it")


def homes(searches: Sequence[Search], places: Sequence[Place], settings: Settings) -> list[list[Place]]:
    """The places that belong to each connected part of a level: each to the part where a manifold stands nearest."""
    found: list[list[Place]] = [[] for _ in searches]
    parts = [_ground(search, settings) for search in searches]
    for place in places:
        near = [nearest_m(place, part) for part in parts]
        if near and min(near) < np.inf:
            found[int(np.argmin(near))].append(place)
    return found


def route_given(search: Search, places: Sequence[Place], wishes: Wishes, settings: Settings, lead: Lead) -> Routed:
    """Lanes of one connected part from given places; what these do not reach gets a manifold of the tool's choice."""
    part = _ground(search, settings)
    made = _with_cut(search, _from_staff(search, staffed_sites(places, part, wishes, ()), wishes, lead), places, part)
    if not made.missed:
        return made
    missed = [search.group.index(t) for t, why in made.missed.items() if why != NO_WALL]
    again = _from_staff(search, staffed_sites(places, part, wishes, missed), wishes, lead)
    return again if len(again.missed) < len(made.missed) else made


def _with_cut(search: Search, made: Routed, places: Sequence[Place], part: Ground) -> Routed:
    """Lanes with what parts the places from territories that no way leads to from them."""
    ends = [search.ground.arrivals[t] for t, why in made.missed.items() if why == NO_WALL]
    ports = nodes_at(places, part)
    if not ends or not ports:
        return made
    cut = Cut(
        grid=search.ground.grid,
        nodes=np.zeros(0, dtype=np.int64),
        ports=np.asarray(ports, dtype=np.int64),
        ends=np.concatenate(ends),
        missing=len(ends),
        words="no way is left from the manifold that stays or is given",
    )
    return replace(made, cuts=(*made.cuts, cut))


def _ground(search: Search, settings: Settings) -> Ground:
    return Ground(
        level=search.level,
        ground=search.ground,
        rooms=tuple(search.territories[t].room for t in search.group),
        maps=search.ground.distances(search.group, np.arange(search.ground.grid.size)),
        settings=settings,
    )


def _from_staff(search: Search, staff: Sequence[Staffed], wishes: Wishes, lead: Lead) -> Routed:
    """Lanes from manifolds with their territories, and what has no manifold."""
    served = sorted(t for s in staff for t in s.members)
    without = {t: NO_WALL for k, t in enumerate(search.group) if k not in served}
    if not staff:
        return Routed(sites=[], lanes=[], missed=without)
    some = replace(search, group=[search.group[k] for k in served])
    made = lead(some, [s.site for s in staff], [len(s.site.nodes) for s in staff])
    bound = [search.territories[t].room in wishes.served_from for t in some.group]
    if any(bound) and len(staff) > 1 and not _as_asked(made, search, staff):
        orders = (list(range(len(staff))), list(reversed(range(len(staff)))))
        tries = [_one_by_one(search, staff, order, lead) for order in orders]
        best = min(tries, key=lambda r: len(r.missed))
        made = best if len(best.missed) <= len(made.missed) else made
    return replace(made, missed={**made.missed, **without})


def _as_asked(made: Routed, search: Search, staff: Sequence[Staffed]) -> bool:
    """Whether every lane comes from the manifold on which its territory should hang."""
    home = {search.group[t]: k for k, s in enumerate(staff) for t in s.members}
    return not made.missed and all(lane.manifold - search.first == home[lane.territory] for lane in made.lanes)


def _one_by_one(search: Search, staff: Sequence[Staffed], order: Sequence[int], lead: Lead) -> Routed:
    """Lanes manifold by manifold, in an order, each among those already led."""
    lanes: list[Lane] = []
    missed: dict[int, str] = {}
    cuts: list[Cut] = []
    for k in order:
        others = [s.site for j, s in enumerate(staff) if j != k]
        some = replace(
            search,
            ground=_less(search, _fronts(search, others), lanes),
            group=[search.group[t] for t in staff[k].members],
            first=search.first + k,
        )
        made = lead(some, [staff[k].site], [len(staff[k].site.nodes)])
        lanes += made.lanes
        missed |= made.missed
        cuts += made.cuts
    return Routed(sites=[s.site for s in staff], lanes=lanes, missed=missed, cuts=tuple(cuts))


def _less(search: Search, fronts: NDArray[np.int64], lanes: Sequence[Lane]) -> LaneGround:
    """The ground without the nodes that other lanes and ports take."""
    grid = search.ground.grid
    free = grid.free.copy()
    free[fronts] = False
    for lane in lanes:
        free &= ~grid.inside(shapely.LineString(lane.corners).buffer(0.3 * grid.step))
    return replace(search.ground, grid=replace(grid, free=free))


def _fronts(search: Search, sites: Sequence[Site]) -> NDArray[np.int64]:
    grid = search.ground.grid
    return np.array(
        [n + k * grid.step_of(s.direction) for s in sites for n in s.nodes for k in range(FRONT_NODES)], dtype=np.int64
    )
