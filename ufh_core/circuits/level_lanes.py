"""Lanes of one level: manifold places, then one flow for all circuits, then legal lanes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import RoomKind
from ufh_core.circuits.lane_flow import LaneFlow, route_flow
from ufh_core.circuits.lane_grid import LaneGrid
from ufh_core.circuits.lane_ground import LaneGround, connected_groups, cut_off, lane_ground, left_over
from ufh_core.circuits.lane_relax import Start, corner_nodes, relax
from ufh_core.circuits.siting import PORT_OUT_M, Site, best_sites, candidate_sites
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory

LEADS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """A pair of tails: the middle line's corners from the manifold to the territory (`territory` index)."""

    territory: int
    manifold: int
    port: int
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelLanes:
    """All lanes of a level. `unreached` are territories with the reason why no lane leads to them."""

    grid: LaneGrid
    sites: tuple[Site, ...]
    lanes: tuple[Lane, ...]
    unreached: dict[int, str]


def route_lanes(level: Level, territories: Sequence[Territory], settings: Settings) -> LevelLanes:
    """Place manifolds and lead a lane to every territory of a level."""
    ground = lane_ground(level, territories, settings)
    sites: list[Site] = []
    lanes: list[Lane] = []
    unreached = {t: "no floor wide enough for a pair of pipes" for t, a in enumerate(ground.arrivals) if not len(a)}
    for group in connected_groups(ground):
        placed, routed, missed = _route_group(level, ground, territories, group, settings, len(sites))
        sites += placed
        lanes += routed
        unreached |= missed
    return LevelLanes(grid=ground.grid, sites=tuple(sites), lanes=tuple(lanes), unreached=unreached)


def _route_group(
    level: Level,
    ground: LaneGround,
    territories: Sequence[Territory],
    group: list[int],
    settings: Settings,
    first_manifold: int,
) -> tuple[list[Site], list[Lane], dict[int, str]]:
    most = settings.manifold.most_ports
    number = math.ceil(len(group) / most)
    counts = [len(group) // number + (k < len(group) % number) for k in range(number)]
    sites = candidate_sites(level, ground.grid, max(counts), settings)
    label = ground.labels[ground.arrivals[group[0]][0]]
    sites = [s for s in sites if ground.labels[s.middle] == label]
    if not sites:
        words = f"no free wall for a manifold with {max(counts)} circuits"
        return [], [], dict.fromkeys(group, words)
    trials = []
    for chosen in best_sites(sites, ground.maps[group], counts):
        ports = list(_ports(chosen, counts))
        flow = route_flow(ground.grid, ground.cost, ports, _targets(ground, group, ports))
        lost = sum(p is None for p in flow.paths)
        trials.append((lost, flow.cost * chosen[0].stretch.factor, len(trials), chosen))
    if not trials:
        return [], [], dict.fromkeys(group, "no place for a manifold from which all circuits can be reached")
    best: tuple[list[Site], list[Lane], dict[int, str]] | None = None
    for _, _, _, chosen in sorted(trials, key=lambda t: t[:3]):
        lanes, missed = _lead_from(ground, territories, group, chosen, counts, level, first_manifold)
        if best is None or len(missed) < len(best[2]):
            best = (chosen, lanes, missed)
        if not missed:
            break
    assert best is not None
    return best


def _lead_from(
    ground: LaneGround,
    territories: Sequence[Territory],
    group: list[int],
    sites: list[Site],
    counts: list[int],
    level: Level,
    first_manifold: int,
) -> tuple[list[Lane], dict[int, str]]:
    """Lanes from given manifold places.

    The other circuits are led first; then the circuit of the territory in which a manifold stands is
    sent to the middle of the largest floor that they leave, and all are led anew together.
    """
    ports = list(_ports(sites, counts))
    targets = _targets(ground, group, ports)
    home = [k for k, t in enumerate(group) if ground.insides[t][ports].any()]
    away = [k for k in range(len(group)) if k not in home]
    if home and away:
        flow = route_flow(ground.grid, ground.cost, ports, [targets[k] for k in away])
        paths = [[ground.grid.point(n) for n in p] for p in flow.paths if p is not None]
        for k in home:
            targets[k] = left_over(ground, territories[group[k]], paths, targets[k])
    best: tuple[int, list[Lane], dict[int, str]] | None = None
    for _ in range(LEADS):
        flow = route_flow(ground.grid, ground.cost, ports, targets)
        lanes, missed = _bend(ground, group, sites, counts, flow, targets, level, first_manifold)
        apart = [lane for lane in lanes if _is_cut_off(lane, lanes, territories, ground)]
        if best is None or len(missed) + len(apart) < best[0]:
            best = (len(missed) + len(apart), lanes, missed)
        if not apart:
            break
        for lane in apart:
            others = [x.corners for x in lanes if x is not lane]
            k = group.index(lane.territory)
            targets[k] = left_over(ground, territories[lane.territory], others, targets[k])
    assert best is not None
    return best[1], best[2]


def _is_cut_off(lane: Lane, lanes: Sequence[Lane], territories: Sequence[Territory], ground: LaneGround) -> bool:
    others = [x.corners for x in lanes if x is not lane]
    return cut_off(lane.corners, others, territories[lane.territory], ground.grid.spacing)


def _ports(sites: Sequence[Site], counts: Sequence[int]) -> dict[int, tuple[int, int]]:
    """Port node -> (manifold, port)."""
    return {n: (m, k) for m, (s, c) in enumerate(zip(sites, counts, strict=True)) for k, n in enumerate(s.nodes[:c])}


def _bend(
    ground: LaneGround,
    group: list[int],
    sites: list[Site],
    counts: list[int],
    flow: LaneFlow,
    targets: list[NDArray[np.int64]],
    level: Level,
    first_manifold: int,
) -> tuple[list[Lane], dict[int, str]]:
    """Legal lanes from a flow, and the territories that have none."""
    grid, ports = ground.grid, _ports(sites, counts)
    reached = [k for k, p in enumerate(flow.paths) if p is not None]
    paths = [p for p in flow.paths if p is not None]
    starts = [Start(node=p[0], direction=sites[ports[p[0]][0]].direction) for p in paths]
    legal = relax(grid, ground.cost, starts, paths, [targets[k] for k in reached])
    lanes, missed = [], {}
    for k, path in zip(reached, legal, strict=True):
        if path is None:
            missed[group[k]] = "its tails cannot be bent through to it among the others"
            continue
        manifold, port = ports[path[0]]
        corners = _corners(grid, path, sites[manifold])
        lanes.append(Lane(territory=group[k], manifold=first_manifold + manifold, port=port, corners=corners))
    for k in set(range(len(group))) - set(reached):
        missed[group[k]] = _bottleneck(grid, level, flow.cut)
    return lanes, missed


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
