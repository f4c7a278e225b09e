"""Lanes of one level: manifold places, then one flow for all circuits, then legal lanes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.again import lead_again
from ufh_core.lanes.bottleneck import Bottleneck, bottleneck_of
from ufh_core.lanes.further import led_further
from ufh_core.lanes.given import homes, route_given
from ufh_core.lanes.ground import connected_parts, lane_ground
from ufh_core.lanes.leading import best_of, lead_from
from ufh_core.lanes.service_areas import lead_by_areas
from ufh_core.lanes.siting import Site, best_sites, candidate_sites, other_rooms
from ufh_core.lanes.types import Earlier, Lane, LevelLanes, Routed, Search
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory
from ufh_core.zones.wishes import NO_WISHES, Wishes

TOO_NARROW = "no floor wide enough for a pair of pipes"
MORE_MANIFOLDS = 2
MANY, FULL = 4, 0.92  # so many manifolds keep some ports spare: full ones leave lanes no choice of way
MOST_AT_ONCE = 3  # manifolds whose lanes are led all at once where areas by themselves miss something


def route_lanes(
    level: Level,
    territories: Sequence[Territory],
    settings: Settings,
    earlier: Earlier | None = None,
    more: int = 0,
    wishes: Wishes = NO_WISHES,
) -> LevelLanes:
    """Place manifolds and lead a lane to every territory of a level.

    What an `earlier` layout of the level has led is kept where it still serves; `more` is the number of manifolds
    beyond what the ports ask for; `wishes` are the designer's for places and ways.
    """
    sites: list[Site] = []
    lanes: list[Lane] = []
    notes: list[str] = []
    bottlenecks: list[Bottleneck] = []
    searches, unreached = _searches(level, territories, settings, wishes)
    wanted = (*wishes.kept_places, *wishes.places)
    given = homes([s for s, _ in searches], wanted, settings) if wanted else [[] for _ in searches]
    for (part, members), mine in zip(searches, given, strict=True):
        if not part.group:
            continue
        search = replace(part, first=len(sites))
        if mine:
            made = route_given(search, mine, wishes, settings, lead_from)
        else:
            made = _route_group(search, settings, earlier, more)
        sites += made.sites
        notes += made.notes
        lanes += [replace(lane, territory=members[lane.territory]) for lane in made.lanes]
        unreached |= {members[k]: why for k, why in made.missed.items()}
        bottlenecks += [bottleneck_of(cut, search.level) for cut in made.cuts]
    return LevelLanes(
        sites=tuple(sites),
        lanes=tuple(lanes),
        unreached=unreached,
        notes=tuple(dict.fromkeys(notes)),
        bottlenecks=tuple(bottlenecks),
    )


def lead_further(
    level: Level,
    territory: Territory,
    lane: Lane,
    others: Sequence[Sequence[Point]],
    settings: Settings,
    wishes: Wishes = NO_WISHES,
) -> Iterator[Lane]:
    """A lane led among the `others` to other ends in its territory, where no loop fits at its end."""
    for whole in level.by_dwelling(settings):
        ways = _less_ways(whole, wishes)
        for area, members in connected_parts(ways, [territory], settings):
            if members:
                yield from led_further(lane_ground(ways, [territory], settings, area), lane, territory, others)


def _searches(
    level: Level, territories: Sequence[Territory], settings: Settings, wishes: Wishes
) -> tuple[list[tuple[Search, list[int]]], dict[int, str]]:
    """One search, with the indices of its territories, for each connected part; and what no pair of pipes reaches."""
    parts = [
        (whole, _less_ways(whole, wishes), area, members)
        for whole in level.by_dwelling(settings)
        for area, members in connected_parts(_less_ways(whole, wishes), territories, settings)
    ]
    placed = {t for _, _, _, group in parts for t in group}
    unreached = {t: TOO_NARROW for t in range(len(territories)) if t not in placed}
    found = []
    for whole, ways, area, members in sorted(parts, key=lambda part: (-len(part[3]), part[3])):
        mine = [territories[t] for t in members]
        ground = lane_ground(ways, mine, settings, area)
        group = [k for k, nodes in enumerate(ground.arrivals) if len(nodes)]
        unreached |= {t: TOO_NARROW for k, t in enumerate(members) if k not in group}
        found.append((Search(level=whole, ground=ground, territories=mine, group=group, first=0), members))
    return found, unreached


def _less_ways(level: Level, wishes: Wishes) -> Level:
    """A level without the passages that the designer's entries close to tails."""
    closed = wishes.closed(level.passages)
    return replace(level, passages=tuple(p for p in level.passages if p.ifc_guid not in closed))


def _route_group(search: Search, settings: Settings, earlier: Earlier | None, more: int) -> Routed:
    """Lanes of one connected part, from as few manifolds as fit on its walls."""
    group, most = search.group, settings.manifold.most_ports
    fewest = min(len(group), math.ceil(len(group) / most) + more)
    if earlier is not None and fewest > 1:
        again = lead_again(search, earlier, most, fewest, _offering(search, settings))
        if again is not None:
            return again
    places = earlier.places if earlier is not None else ()
    words = f"no free wall for a manifold with {len(group)} circuits"
    best = Routed(sites=[], lanes=[], missed=dict.fromkeys(group, words))
    fewest += fewest >= MANY and len(group) > FULL * fewest * most
    why = ""
    for number in range(fewest, min(fewest + MORE_MANIFOLDS, len(group)) + 1):
        counts = [len(group) // number + (k < len(group) % number) for k in range(number)]
        made = _with_number(search, settings, places, counts)
        if made is not None and len(made.missed) < len(best.missed):
            best = replace(made, notes=(_instead(len(made.sites), fewest, why),) if why else made.notes)
        if not best.missed:
            break
        why = why or _why(best)
    return best


def _why(made: Routed) -> str:
    """Why something is missed, in words: where lanes do not fit, if that is known."""
    return min((cut.words for cut in made.cuts), default=min(made.missed.values()))


def _instead(number: int, planned: int, why: str) -> str:
    return f"with {planned} manifold{'s' * (planned > 1)}, {why}; {number} manifolds are placed instead"


def _with_number(search: Search, settings: Settings, places: Sequence[Site], counts: list[int]) -> Routed | None:
    """Lanes from manifolds with `counts` ports, at earlier places if these still serve; None without walls."""
    ground, number = search.ground, len(counts)
    kept = list(places[search.first : search.first + number])
    if [len(s.nodes) for s in kept] == [max(counts)] * number:
        made = lead_by_areas(search, kept, counts, fixed=True) if number > 1 else lead_from(search, kept, counts)
        if not made.missed:
            return made
    sites_for = _offering(search, settings)
    sites = sites_for(max(counts))
    if len(sites) < number:
        return None
    by_areas = lead_by_areas(search, sites, counts, sites_for=sites_for) if number > 1 else None
    if by_areas is not None and (not by_areas.missed or number > MOST_AT_ONCE):
        return by_areas
    distances = ground.distances(search.group, [s.middle for s in sites])
    choices = best_sites(sites, distances, counts)
    at_once = best_of(search, choices, counts)
    if number == 1 and at_once is not None and at_once.missed:
        return _moved(search, at_once, other_rooms(sites, distances, [s for (s,) in choices]), counts)
    return min((r for r in (by_areas, at_once) if r is not None), key=lambda r: len(r.missed), default=None)


def _offering(search: Search, settings: Settings) -> Callable[[int], list[Site]]:
    """What gives all places for a manifold with so many ports."""
    return lambda ports: candidate_sites(search.level, search.ground.grid, ports, settings)


def _moved(search: Search, made: Routed, places: list[Site], counts: list[int]) -> Routed:
    """Lanes from one manifold in another room than those tried (`made`), where that reaches more."""
    better = best_of(search, [[place] for place in places], counts)
    if better is None or len(better.missed) >= len(made.missed):
        return made
    rooms = [search.level.room(m.sites[0].stretch.room).label for m in (made, better)]
    return replace(better, notes=(f"with the manifold in {rooms[0]}, {_why(made)}; it stands in {rooms[1]} instead",))
