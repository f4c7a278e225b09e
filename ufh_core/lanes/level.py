"""Lanes of one level: manifold places, then one flow for all circuits, then legal lanes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from ufh_core.basis.message import Message, note
from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.again import lead_again
from ufh_core.lanes.bottleneck import Bottleneck, bottleneck_of
from ufh_core.lanes.further import led_further
from ufh_core.lanes.given import homes, route_given
from ufh_core.lanes.leading import best_of, lead_from
from ufh_core.lanes.level_ground import TOO_NARROW, GroundPart, LevelGround
from ufh_core.lanes.service_areas import TOO_FAR, lead_by_areas
from ufh_core.lanes.siting import Site, best_sites, other_rooms
from ufh_core.lanes.types import Earlier, Lane, LevelLanes, Routed, Search
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory
from ufh_core.zones.wishes import NO_WISHES, Wishes

MOST_MENDED = 2  # territories that may be missed at first where a manifold more can be tried instead
MORE_MANIFOLDS, MORE_FOR_REACH = 2, 6  # beyond what the ports ask for
MANY, FULL = 4, 0.92  # so many manifolds keep some ports spare: full ones leave lanes no choice of way
NO_WAY_AMONG: str = Message("no way is left among lanes that stay")
MOST_AT_ONCE = 3  # manifolds whose lanes are led all at once where areas by themselves miss something


def route_lanes(
    level: Level,
    territories: Sequence[Territory],
    settings: Settings,
    earlier: Earlier | None = None,
    wishes: Wishes = NO_WISHES,
) -> LevelLanes:
    """Place manifolds and lead a lane to every territory of a level; `lanes_on` for more than one leading."""
    return lanes_on(LevelGround(level, settings, wishes), territories, earlier)


def lanes_on(
    ground: LevelGround,
    territories: Sequence[Territory],
    earlier: Earlier | None = None,
    reach_m: Sequence[float] = (),
) -> LevelLanes:
    """Place manifolds and lead a lane to every territory of a level.

    What an `earlier` layout of the level has led is kept where it still serves. Where a lane is longer than the
    reach of its territory [m], more manifolds are placed; the designer's wishes for places and ways are the ground's.
    """
    sites: list[Site] = []
    lanes: list[Lane] = []
    notes: list[str] = []
    bottlenecks: list[Bottleneck] = []
    settings, wishes = ground.settings, ground.wishes
    searches, unreached = _searches(ground, territories)
    wanted = (*wishes.kept_places, *wishes.places)
    given = homes([s for s, _, _ in searches], wanted, settings) if wanted else [[] for _ in searches]
    for (part, area, members), mine in zip(searches, given, strict=True):
        if not part.group:
            continue
        search = replace(part, first=len(sites), reach_m=[reach_m[t] for t in members] if reach_m else ())
        if mine:
            made = route_given(search, mine, wishes, settings, lead_from)
        else:
            made = _route_group(search, area, settings.manifold.most_ports, earlier)
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
    ground: LevelGround, territory: Territory, lane: Lane, others: Sequence[Sequence[Point]]
) -> Iterator[Lane]:
    """A lane led among the `others` to other ends in its territory, where no loop fits at its end."""
    for area, _ in ground.areas_with([territory]):
        yield from led_further(area.search([territory]).ground, lane, territory, others)


def _searches(
    ground: LevelGround, territories: Sequence[Territory]
) -> tuple[list[tuple[Search, GroundPart, list[int]]], dict[int, str]]:
    """One search, with the indices of its territories, for each connected area; and what no pair of pipes reaches."""
    parts = sorted(ground.areas_with(territories), key=lambda part: (-len(part[1]), part[1]))
    placed = {t for _, members in parts for t in members}
    unreached = {t: TOO_NARROW for t in range(len(territories)) if t not in placed}
    found = []
    for area, members in parts:
        search = area.search([territories[t] for t in members])
        unreached |= {t: TOO_NARROW for k, t in enumerate(members) if k not in search.group}
        found.append((search, area, members))
    return found, unreached


def _route_group(search: Search, area: GroundPart, most: int, earlier: Earlier | None) -> Routed:
    """Lanes of one connected area, from as few manifolds with at most `most` ports as fit on its walls."""
    group = search.group
    fewest = math.ceil(len(group) / most)
    if earlier is not None and fewest > 1:
        again = lead_again(search, earlier, most, fewest, area.sites_for)
        if again is not None and not search.too_far(_other_than(earlier, again)):
            return again
        if earlier.all_stays:
            return Routed(sites=[], lanes=[], missed=dict.fromkeys(group, NO_WAY_AMONG))
    places = earlier.places if earlier is not None else ()
    fewest += fewest >= MANY and len(group) > FULL * fewest * most
    made = _from_few(search, area, places, fewest)
    if TOO_FAR in made.missed.values():  # however many manifolds
        made = _from_few(replace(search, reach_m=()), area, places, fewest)
    return made


def _from_few(search: Search, area: GroundPart, places: Sequence[Site], fewest: int) -> Routed:
    """Lanes from the smallest number of manifolds from `fewest` on that reaches all, within their reach; or most."""
    group = search.group
    words = Message("no free wall for a manifold with {count} circuits", count=len(group))
    best, worst = Routed(sites=[], lanes=[], missed=dict.fromkeys(group, words)), (len(group), 0)
    why, number, last = "", fewest, fewest + MORE_MANIFOLDS
    while number <= min(last, len(group)) and worst > (0, 0):
        counts = [len(group) // number + (k < len(group) % number) for k in range(number)]
        made = _with_number(search, area, places, counts, MOST_MENDED if number < last else None) or best
        bad = len(made.missed), len(search.too_far(made.lanes))
        if bad < worst:
            worst, best = bad, replace(made, notes=(_instead(len(made.sites), fewest, why),) if why else made.notes)
        far = bad[1] > 0 or TOO_FAR in made.missed.values()
        best = made if far and not best.lanes else best
        last = min(number + 1, fewest + MORE_FOR_REACH) if far else last
        why = why or ("" if far else _why(best)) if best.missed else why
        number += 1
    return best


def _other_than(earlier: Earlier, made: Routed) -> list[Lane]:
    """Lanes that do not lie as before."""
    before = {lane.corners for lane in earlier.lanes.lanes}
    return [lane for lane in made.lanes if lane.corners not in before]


def _why(made: Routed) -> str:
    """Why something is missed, in words: where lanes do not fit, if that is known."""
    return min((cut.words for cut in made.cuts), default=min(made.missed.values()))


def _instead(number: int, planned: int, why: str) -> str:
    words = note("with {planned} manifold, {why}; {number} manifolds are placed instead")
    if planned > 1:
        words = note("with {planned} manifolds, {why}; {number} manifolds are placed instead")
    return Message(
        words,
        planned=planned,
        why=why,
        number=number,
    )


def _with_number(
    search: Search, area: GroundPart, places: Sequence[Site], counts: list[int], most_mended: int | None
) -> Routed | None:
    """Lanes from manifolds with `counts` ports, at earlier places if these still serve; None without walls."""
    ground, number = search.ground, len(counts)
    kept = list(places[search.first : search.first + number])
    if [len(s.nodes) for s in kept] == [max(counts)] * number:
        made = lead_by_areas(search, kept, counts, fixed=True) if number > 1 else lead_from(search, kept, counts)
        if not made.missed:
            return made
    sites = area.sites_for(max(counts))
    if len(sites) < number:
        return None
    by_areas = (
        lead_by_areas(search, sites, counts, sites_for=area.sites_for, most_mended=most_mended) if number > 1 else None
    )
    if by_areas is not None and (not by_areas.missed or number > MOST_AT_ONCE or not by_areas.sites):
        return by_areas
    distances = ground.distances(search.group, [s.middle for s in sites])
    choices = best_sites(sites, distances, counts)
    at_once = best_of(search, choices, counts)
    if number == 1 and at_once is not None and at_once.missed:
        return _moved(search, at_once, other_rooms(sites, distances, [s for (s,) in choices]), counts)
    return min((r for r in (by_areas, at_once) if r is not None), key=lambda r: len(r.missed), default=None)


def _moved(search: Search, made: Routed, places: list[Site], counts: list[int]) -> Routed:
    """Lanes from one manifold in another room than those tried (`made`), where that reaches more."""
    better = best_of(search, [[place] for place in places], counts)
    if better is None or len(better.missed) >= len(made.missed):
        return made
    rooms = [search.level.room(m.sites[0].stretch.room).label for m in (made, better)]
    return replace(
        better,
        notes=(
            Message(
                "with the manifold in {room}, {why}; it stands in {other} instead",
                room=rooms[0],
                why=_why(made),
                other=rooms[1],
            ),
        ),
    )
