"""Lanes from manifold places to the territories of one connected part of a level."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Passage
from ufh_core.lanes.bottleneck import Cut, crowded_way, cut_words, named
from ufh_core.lanes.flow import LaneFlow, route_flow
from ufh_core.lanes.grid import LaneGrid
from ufh_core.lanes.ground import LaneGround, cut_off, left_over
from ufh_core.lanes.relax import Start, corner_nodes, relax
from ufh_core.lanes.siting import PORT_OUT_M, Site
from ufh_core.lanes.types import Lane, Routed, Search

LEADS = 4
MOST_TRIALS = 3
NOT_BENT: str = Message("its tails cannot be bent through to it among the others")


def best_of(search: Search, choices: Sequence[list[Site]], counts: list[int]) -> Routed | None:
    """Lanes from the cheapest of some sets of places that reaches all territories, or most."""
    ground = search.ground
    trials: list[tuple[int, float, int, list[Site]]] = []
    for chosen in choices:
        ports = list(ports_of(chosen, counts))
        flow = route_flow(ground.grid, ground.cost, ports, _targets(ground, search.group, ports))
        lost = sum(p is None for p in flow.paths)
        trials.append((lost, flow.cost * chosen[0].factor, len(trials), chosen))
    best: Routed | None = None
    for _, _, _, chosen in sorted(trials, key=lambda t: t[:3])[:MOST_TRIALS]:
        made = lead_from(search, chosen, counts)
        if best is None or len(made.missed) < len(best.missed):
            best = made
        if not made.missed:
            break
    return best


def lead_from(search: Search, sites: list[Site], counts: list[int]) -> Routed:
    """Lanes from given manifold places.

    The other circuits are led first; then the circuit of the territory in which a manifold stands is
    sent to the middle of the largest floor that they leave, and all are led anew together.
    """
    ground, group, territories = search.ground, search.group, search.territories
    ports = list(ports_of(sites, counts))
    targets = _targets(ground, group, ports)
    home = [k for k, t in enumerate(group) if np.isin(ports, ground.insides[t]).any()]
    away = [k for k in range(len(group)) if k not in home]
    if home and away:
        flow = route_flow(ground.grid, ground.cost, ports, [targets[k] for k in away])
        paths = [*search.others, *([ground.grid.point(n) for n in p] for p in flow.paths if p is not None)]
        for k in home:
            targets[k] = left_over(ground, territories[group[k]], paths, targets[k])
    best: tuple[int, Routed] | None = None
    for _ in range(LEADS):
        flow = route_flow(ground.grid, ground.cost, ports, targets)
        made = _bend(search, sites, counts, flow, targets)
        apart = [lane for lane in made.lanes if is_cut_off(lane, made.lanes, search)]
        if best is None or len(made.missed) + len(apart) < best[0]:
            best = (len(made.missed) + len(apart), made)
        if not apart:
            break
        for lane in apart:
            others = [*search.others, *(x.corners for x in made.lanes if x is not lane)]
            k = group.index(lane.territory)
            targets[k] = left_over(ground, territories[lane.territory], others, targets[k])
    assert best is not None
    return best[1]


def is_cut_off(lane: Lane, lanes: Sequence[Lane], search: Search) -> bool:
    """Whether other lanes lie between the end of a lane and most of its territory."""
    others = [*search.others, *(x.corners for x in lanes if x is not lane)]
    return cut_off(lane.corners, others, search.territories[lane.territory], search.ground.grid.spacing)


def ports_of(sites: Sequence[Site], counts: Sequence[int]) -> dict[int, tuple[int, int]]:
    """Port node -> (manifold, port)."""
    return {n: (m, k) for m, (s, c) in enumerate(zip(sites, counts, strict=True)) for k, n in enumerate(s.nodes[:c])}


def _bend(
    search: Search, sites: list[Site], counts: list[int], flow: LaneFlow, targets: list[NDArray[np.int64]]
) -> Routed:
    """Legal lanes from a flow, and the territories that have none."""
    grid, group, ports = search.ground.grid, search.group, ports_of(sites, counts)
    reached = [k for k, p in enumerate(flow.paths) if p is not None]
    paths = [p for p in flow.paths if p is not None]
    starts = [Start(node=p[0], direction=sites[ports[p[0]][0]].direction) for p in paths]
    legal = relax(grid, search.ground.cost, starts, paths, [targets[k] for k in reached])
    lanes, missed, lost = [], {}, []
    for k, path, flown in zip(reached, legal, paths, strict=True):
        if path is None:
            missed[group[k]] = NOT_BENT
            lost.append((k, flown))
            continue
        manifold, port = ports[path[0]]
        corners = _corners(grid, path, sites[manifold])
        lanes.append(Lane(territory=group[k], manifold=search.first + manifold, port=port, corners=corners))
    cuts = _not_bent(search, list(ports), lost, paths, targets)
    left_out = sorted(set(range(len(group))) - set(reached))
    if left_out:
        words = cut_words(grid, search.level, flow.cut, len(left_out))
        missed |= {group[k]: words for k in left_out}
        cuts.append(_cut(grid, flow.cut, list(ports), [targets[k] for k in left_out], words))
    return Routed(sites=sites, lanes=lanes, missed=missed, cuts=tuple(cuts))


def _cut(
    grid: LaneGrid,
    nodes: Sequence[int] | NDArray[np.int64],
    ports: list[int],
    ends: list[NDArray[np.int64]],
    words: str,
) -> Cut:
    return Cut(
        grid=grid,
        nodes=np.asarray(nodes, dtype=np.int64),
        ports=np.asarray(ports, dtype=np.int64),
        ends=np.concatenate(ends),
        missing=len(ends),
        words=words,
    )


def _not_bent(
    search: Search,
    ports: list[int],
    lost: Sequence[tuple[int, tuple[int, ...]]],
    paths: Sequence[tuple[int, ...]],
    targets: list[NDArray[np.int64]],
) -> list[Cut]:
    """Ways through walls in which lanes have room, but not with their bends, for those that are lost there."""
    found: dict[Passage, list[int]] = {}
    for k, path in lost:
        way = crowded_way(search.ground.grid, search.level, path, paths)
        if way is not None:
            found.setdefault(way, []).append(k)
    grid = search.ground.grid
    return [
        _cut(
            grid,
            grid.within(way.outline),
            ports,
            [targets[k] for k in members],
            Message("not all circuits can be bent through {way}", way=named(way, search.level)),
        )
        for way, members in found.items()
    ]


def _targets(ground: LaneGround, group: Sequence[int], nodes: Sequence[int]) -> list[NDArray[np.int64]]:
    """Where lanes may end: a territory's core when the manifold stands in it, else its rim."""
    return [
        np.setdiff1d(ground.cores[t], nodes) if np.isin(list(nodes), ground.insides[t]).any() else ground.arrivals[t]
        for t in group
    ]


def _corners(grid: LaneGrid, path: Sequence[int], site: Site) -> tuple[Point, ...]:
    points = [grid.point(n) for n in corner_nodes(grid, path)]
    start = site.stretch.point(points[0][site.stretch.along], PORT_OUT_M)
    return (start, *points[1:])
