"""Lanes of one level: manifold places, then one flow for all circuits, then legal lanes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import RoomKind
from ufh_core.circuits.given_lanes import homes, route_given
from ufh_core.circuits.lane_flow import LaneFlow, route_flow
from ufh_core.circuits.lane_grid import LaneGrid
from ufh_core.circuits.lane_ground import LaneGround, connected_parts, cut_off, lane_ground, left_over
from ufh_core.circuits.lane_relax import Start, corner_nodes, relax
from ufh_core.circuits.lane_types import Lane, LevelLanes, Routed, Search
from ufh_core.circuits.siting import PORT_OUT_M, Site, best_sites, candidate_sites
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory
from ufh_core.zones.wishes import NO_WISHES, Wishes

LEADS = 4
TOO_NARROW = "no floor wide enough for a pair of pipes"
MORE_MANIFOLDS = 2
MOST_TRIALS = 3


def route_lanes(
    level: Level,
    territories: Sequence[Territory],
    settings: Settings,
    places: Sequence[Site] = (),
    more: int = 0,
    wishes: Wishes = NO_WISHES,
) -> LevelLanes:
    """Place manifolds and lead a lane to every territory of a level.

    `places` are manifold places of an earlier layout of the level, kept where they still serve; `more` is
    the number of manifolds beyond what the ports ask for; `wishes` are the designer's for places and ways.
    """
    sites: list[Site] = []
    lanes: list[Lane] = []
    searches, unreached = _searches(level, territories, settings, wishes)
    wanted = (*wishes.kept_places, *wishes.places)
    given = homes([s for s, _ in searches], wanted, settings) if wanted else [[] for _ in searches]
    for (part, members), mine in zip(searches, given, strict=True):
        if not part.group:
            continue
        search = replace(part, first=len(sites))
        if mine:
            made = route_given(search, mine, wishes, settings, _lead_from)
        else:
            made = _route_group(search, settings, places, more)
        sites += made.sites
        lanes += [replace(lane, territory=members[lane.territory]) for lane in made.lanes]
        unreached |= {members[k]: why for k, why in made.missed.items()}
    return LevelLanes(sites=tuple(sites), lanes=tuple(lanes), unreached=unreached)


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


def _route_group(search: Search, settings: Settings, places: Sequence[Site], more: int) -> Routed:
    """Lanes of one connected part, from as few manifolds as fit on its walls."""
    group = search.group
    fewest = min(len(group), math.ceil(len(group) / settings.manifold.most_ports) + more)
    words = f"no free wall for a manifold with {len(group)} circuits"
    best = Routed(sites=[], lanes=[], missed=dict.fromkeys(group, words))
    for number in range(fewest, min(fewest + MORE_MANIFOLDS, len(group)) + 1):
        counts = [len(group) // number + (k < len(group) % number) for k in range(number)]
        made = _with_number(search, settings, places, counts)
        if made is not None and len(made.missed) < len(best.missed):
            best = made
        if not best.missed:
            break
    return best


def _with_number(search: Search, settings: Settings, places: Sequence[Site], counts: list[int]) -> Routed | None:
    """Lanes from manifolds with `counts` ports, at earlier places if these still serve; None without walls."""
    ground, number = search.ground, len(counts)
    kept = list(places[search.first : search.first + number])
    if [len(s.nodes) for s in kept] == [max(counts)] * number:
        made = _lead_from(search, kept, counts)
        if not made.missed:
            return made
    sites = candidate_sites(search.level, ground.grid, max(counts), settings)
    if len(sites) < number:
        return None
    distances = ground.distances(search.group, [s.middle for s in sites])
    return _best_of(search, best_sites(sites, distances, counts), counts)


def _best_of(search: Search, choices: Sequence[list[Site]], counts: list[int]) -> Routed | None:
    """Lanes from the cheapest of some sets of places that reaches all territories, or most."""
    ground = search.ground
    trials: list[tuple[int, float, int, list[Site]]] = []
    for chosen in choices:
        ports = list(_ports(chosen, counts))
        flow = route_flow(ground.grid, ground.cost, ports, _targets(ground, search.group, ports))
        lost = sum(p is None for p in flow.paths)
        trials.append((lost, flow.cost * chosen[0].stretch.factor, len(trials), chosen))
    best: Routed | None = None
    for _, _, _, chosen in sorted(trials, key=lambda t: t[:3])[:MOST_TRIALS]:
        made = _lead_from(search, chosen, counts)
        if best is None or len(made.missed) < len(best.missed):
            best = made
        if not made.missed:
            break
    return best


def _lead_from(search: Search, sites: list[Site], counts: list[int]) -> Routed:
    """Lanes from given manifold places.

    The other circuits are led first; then the circuit of the territory in which a manifold stands is
    sent to the middle of the largest floor that they leave, and all are led anew together.
    """
    ground, group, territories = search.ground, search.group, search.territories
    ports = list(_ports(sites, counts))
    targets = _targets(ground, group, ports)
    home = [k for k, t in enumerate(group) if ground.insides[t][ports].any()]
    away = [k for k in range(len(group)) if k not in home]
    if home and away:
        flow = route_flow(ground.grid, ground.cost, ports, [targets[k] for k in away])
        paths = [[ground.grid.point(n) for n in p] for p in flow.paths if p is not None]
        for k in home:
            targets[k] = left_over(ground, territories[group[k]], paths, targets[k])
    best: tuple[int, Routed] | None = None
    for _ in range(LEADS):
        flow = route_flow(ground.grid, ground.cost, ports, targets)
        made = _bend(search, sites, counts, flow, targets)
        apart = [lane for lane in made.lanes if _is_cut_off(lane, made.lanes, territories, ground)]
        if best is None or len(made.missed) + len(apart) < best[0]:
            best = (len(made.missed) + len(apart), made)
        if not apart:
            break
        for lane in apart:
            others = [x.corners for x in made.lanes if x is not lane]
            k = group.index(lane.territory)
            targets[k] = left_over(ground, territories[lane.territory], others, targets[k])
    assert best is not None
    return best[1]


def _is_cut_off(lane: Lane, lanes: Sequence[Lane], territories: Sequence[Territory], ground: LaneGround) -> bool:
    others = [x.corners for x in lanes if x is not lane]
    return cut_off(lane.corners, others, territories[lane.territory], ground.grid.spacing)


def _ports(sites: Sequence[Site], counts: Sequence[int]) -> dict[int, tuple[int, int]]:
    """Port node -> (manifold, port)."""
    return {n: (m, k) for m, (s, c) in enumerate(zip(sites, counts, strict=True)) for k, n in enumerate(s.nodes[:c])}


def _bend(
    search: Search, sites: list[Site], counts: list[int], flow: LaneFlow, targets: list[NDArray[np.int64]]
) -> Routed:
    """Legal lanes from a flow, and the territories that have none."""
    grid, group, ports = search.ground.grid, search.group, _ports(sites, counts)
    reached = [k for k, p in enumerate(flow.paths) if p is not None]
    paths = [p for p in flow.paths if p is not None]
    starts = [Start(node=p[0], direction=sites[ports[p[0]][0]].direction) for p in paths]
    legal = relax(grid, search.ground.cost, starts, paths, [targets[k] for k in reached])
    lanes, missed = [], {}
    for k, path in zip(reached, legal, strict=True):
        if path is None:
            missed[group[k]] = "its tails cannot be bent through to it among the others"
            continue
        manifold, port = ports[path[0]]
        corners = _corners(grid, path, sites[manifold])
        lanes.append(Lane(territory=group[k], manifold=search.first + manifold, port=port, corners=corners))
    for k in set(range(len(group))) - set(reached):
        missed[group[k]] = _bottleneck(grid, search.level, flow.cut)
    return Routed(sites=sites, lanes=lanes, missed=missed)


def _targets(ground: LaneGround, group: Sequence[int], nodes: Sequence[int]) -> list[NDArray[np.int64]]:
    """Where lanes may end: a territory's core when the manifold stands in it, else its rim."""
    return [
        np.setdiff1d(ground.cores[t], nodes) if ground.insides[t][list(nodes)].any() else ground.arrivals[t]
        for t in group
    ]


def _corners(grid: LaneGrid, path: Sequence[int], site: Site) -> tuple[Point, ...]:
    points = [grid.point(n) for n in corner_nodes(grid, path)]
    start = site.stretch.point(points[0][site.stretch.along], PORT_OUT_M)
    return (start, *points[1:])


def _bottleneck(grid: LaneGrid, level: Level, cut: Sequence[int]) -> str:
    """Words for where the lanes do not fit."""
    for passage in level.passages:
        inside = grid.inside(passage.outline.buffer(grid.step))
        if any(inside[n] for n in cut):
            names = " and ".join(r.label for r in level.rooms if r.ifc_guid in passage.rooms)
            return f"not all tails fit through the passage between {names}"
    halls = [r.label for r in level.rooms if r.kind is RoomKind.HALL and any(grid.inside(r.outline)[list(cut)])]
    return f"not all tails fit through {halls[0]}" if halls else "not all tails fit"
