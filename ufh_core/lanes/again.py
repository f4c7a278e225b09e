"""Lanes of a level led again after some territories changed: whatever did not change stays as it lies.

Where only the cuts of a room moved, its lanes are cut back or carried on into the parts as they are now. What
has no lane then goes to the nearest manifold with a port left for it; only the areas of those manifolds are led
anew, among the lanes of all others.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linear_sum_assignment

from ufh_core.lanes.areas import FIRST_MARGIN_M, Made, Offer, Plan, faults, led, mended, together, with_area
from ufh_core.lanes.ends import ended_in
from ufh_core.lanes.ground import near_lanes
from ufh_core.lanes.leading import is_cut_off
from ufh_core.lanes.siting import ROW_REACH_M, Site, prices
from ufh_core.lanes.types import Earlier, Lane, Routed, Search
from ufh_core.zones.territories import Territory

MOST_LOST = 0.5  # share of the areas of which all are better led anew

Sites = Callable[[int], Sequence[Site]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Standing:
    """Manifolds that stand: their places, and the lanes that stay with theirs, by territory."""

    sites: tuple[Site, ...]
    lanes: dict[int, Lane]

    def lanes_of(self, m: int) -> list[Lane]:
        """The lanes that stay of one manifold."""
        return [lane for lane in self.lanes.values() if lane.manifold == m]


def lead_again(search: Search, earlier: Earlier, most_ports: int, fewest: int, sites_for: Sites) -> Routed | None:
    """Lanes to the territories of a search, as they were led `earlier` where these did not change.

    None where fewer than `fewest` manifolds stand, where they cannot have ports enough, where most of them would
    change, and where a lane finds no way among those that stay. `sites_for` a number of ports are places for manifolds.
    """
    standing = _standing(search, earlier)
    members = _members(search, standing, most_ports)
    if members is None or len(standing.sites) < fewest:
        return None
    stay = [all(search.group[k] in standing.lanes for k in mine) for mine in members]
    made: Made = tuple(
        Routed(sites=[site], lanes=standing.lanes_of(m), missed={}) if stay[m] and members[m] else None
        for m, site in enumerate(standing.sites)
    )
    lost = [m for m, stays in enumerate(stay) if not stays]
    if len(lost) > MOST_LOST * len(members) and not earlier.sites_stay:
        return None
    offered = sites_for(max(len(members[m]) for m in lost)) if lost else ()
    anywhere = Plan(search=search, offer=Offer(search, offered), members=members, fixed=False)
    there = replace(anywhere, offer=Offer(search, standing.sites), fixed=True)
    before = made
    for m in sorted(lost, key=lambda m: -len(members[m])):
        kept = earlier.sites_stay and len(members[m]) <= len(standing.sites[m].nodes)
        one = led(there, made, m, FIRST_MARGIN_M) if kept else None
        if one is None or one.missed:
            one = led(anywhere, made, m, FIRST_MARGIN_M)
        if one.missed:
            return None
        made = with_area(made, m, one)
    if lost:
        areas = range(len(members))
        harmed = [m for m in areas if m in lost or faults(anywhere, made, m) > faults(anywhere, before, m)]
        made = mended(anywhere, made, harmed)
    whole = together(made, search.first)
    return replace(whole, notes=earlier.lanes.notes if len(standing.sites) > fewest else ())


def _standing(search: Search, earlier: Earlier) -> _Standing:
    """The manifolds on the ground of a search, with the lanes that lead to its territories as these are now."""
    here = [m for m, site in enumerate(earlier.lanes.sites) if _stands_on(search, site)]
    lanes = [replace(lane, manifold=here.index(lane.manifold)) for lane in earlier.lanes.lanes if lane.manifold in here]
    before = {lane: earlier.territories[lane.territory] for lane in lanes}
    by_content = {_content(territory): lane for lane, territory in before.items()}
    stay: dict[int, Lane] = {}
    for t in search.group:
        lane = by_content.get(_content(search.territories[t]))
        if lane is not None:
            stay[t] = replace(lane, territory=t)
    stay |= _ended_anew(search, before, stay)
    return _Standing(sites=tuple(earlier.lanes.sites[m] for m in here), lanes=dict(sorted(stay.items())))


def _stands_on(search: Search, site: Site) -> bool:
    """Whether a manifold stands on the ground of a search."""
    grid, nodes, along = search.ground.grid, np.asarray(site.nodes), site.stretch.along
    if nodes.max() >= grid.size or not grid.free[nodes].all():
        return False
    places = grid.positions(nodes)
    beside = np.abs(places[:, 1 - along] - site.stretch.at) < ROW_REACH_M
    return bool((beside & (places[:, along] > site.low) & (places[:, along] < site.high)).all())


def _content(territory: Territory) -> tuple[object, ...]:
    return (territory.room, territory.pitch_m, territory.floor.wkb, territory.axis.wkb)


def _ended_anew(search: Search, before: dict[Lane, Territory], stay: dict[int, Lane]) -> dict[int, Lane]:
    """Lanes of rooms of which only the cuts moved, as far as they must lead to end in the parts."""
    rooms: dict[str, list[int]] = defaultdict(list)
    for t in search.group:
        rooms[search.territories[t].room].append(t)
    found: dict[int, Lane] = {}
    apart_m = search.ground.grid.step
    for room, mine in sorted(rooms.items()):
        by_part = {territory.part: lane for lane, territory in before.items() if territory.room == room}
        parts = [search.territories[t] for t in mine]
        if all(t in stay for t in mine) or sorted(by_part) != sorted(p.part for p in parts):
            continue
        lanes = [by_part[p.part] for p in parts]
        floor = search.level.floors[room]
        foreign = near_lanes(floor, [lane.corners for lane in before if lane not in lanes])
        ended = ended_in(lanes, parts, floor, foreign, apart_m)
        if ended is None:
            continue
        told = [replace(lane, territory=t) for lane, t in zip(ended, mine, strict=True)]
        around = replace(search, others=tuple(map(tuple, foreign)))
        if any(is_cut_off(lane, told, around) for lane in told):
            continue
        found |= dict(zip(mine, told, strict=True))
    return found


def _members(search: Search, standing: _Standing, most_ports: int) -> tuple[tuple[int, ...], ...] | None:
    """Who hangs on which manifold: all with a lane on theirs, others where a port is left for the least tails.

    None where too few ports are left.
    """
    group = search.group
    members = [
        [k for k, t in enumerate(group) if t in standing.lanes and standing.lanes[t].manifold == m]
        for m in range(len(standing.sites))
    ]
    without = [k for k, t in enumerate(group) if t not in standing.lanes]
    columns = np.array([m for m, mine in enumerate(members) for _ in range(most_ports - len(mine))], dtype=np.int64)
    if len(columns) < len(without) or any(len(mine) > most_ports for mine in members):
        return None
    if without:
        price = prices(standing.sites, Offer(search, standing.sites).distances(without))
        rows, ports = linear_sum_assignment(price[columns].T)
        for row, port in zip(rows, ports, strict=True):
            members[columns[port]].append(without[row])
    return tuple(tuple(sorted(mine)) for mine in members)
