"""What the search for a level's lanes stands on: lattice, costs, and where lanes may end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import compress

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, common, polygons
from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.costs import arrival_nodes, node_costs
from ufh_core.lanes.grid import LaneGrid, Mask, make_grid, only_across
from ufh_core.lanes.siting import ALL_NODES, distances_at
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import (
    CORNER_EXTRA,
    JAMB_CLEARANCE,
    STRAIGHT_EXTRA,
    Level,
    eroded,
    lane_area,
    resized,
    way_through,
)
from ufh_core.zones.territories import Territory

DOOR_DEPTH_M = 0.15
HALL_DEPTH_M = 0.4
AHEAD_M = 12.0
NEAR_M = 1.0
MOST_SHARE = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneGround:
    """What the search for lanes stands on."""

    grid: LaneGrid
    cost: NDArray[np.float64]
    insides: tuple[NDArray[np.int64], ...]
    arrivals: tuple[NDArray[np.int64], ...]
    cores: tuple[NDArray[np.int64], ...]

    def distances(
        self, group: Sequence[int], nodes: Sequence[int] | NDArray[np.int64], most: int = ALL_NODES
    ) -> NDArray[np.float64]:
        """Least cost from some nodes to each territory of a group, shape (group, nodes)."""
        return distances_at(self.grid, self.cost, [self.arrivals[t] for t in group], nodes, most)


def lane_areas(level: Level, settings: Settings) -> list[Polygon]:
    """Areas of a level between which no lane can lead."""
    return polygons(lane_area(level, settings, settings.layout.tail_spacing_m))


def connected_parts(
    level: Level, areas: Sequence[Polygon], territories: Sequence[Territory]
) -> list[tuple[int, list[int]]]:
    """Areas (their indices) with the territories in each, the fullest area first."""
    members: dict[int, list[int]] = {}
    for t, territory in enumerate(territories):
        if territory.room not in level.floors:
            continue
        shared = shapely.area(shapely.intersection(areas, territory.floor)).tolist()
        if shared and max(shared) > 0:
            members.setdefault(int(np.argmax(shared)), []).append(t)
    return sorted(members.items(), key=lambda m: (-len(m[1]), m[1]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BareGround:
    """The lattice over a connected area of a level, whatever its territories are, and what each node costs."""

    grid: LaneGrid
    cost: NDArray[np.float64]

    def ends_in(self, territory: Territory) -> Ends:
        """Nodes of a territory, and those of them at which lanes may end."""
        inside = self.grid.within(territory.floor)
        depth = shapely.distance(territory.floor.boundary, shapely.points(self.grid.positions(inside)))
        arrivals, cores = (arrival_nodes(self.grid, inside, depth, least) for least in (DOOR_DEPTH_M, HALL_DEPTH_M))
        return Ends(inside=inside, arrivals=arrivals, cores=cores)

    def to(self, ends: Sequence[Ends]) -> LaneGround:
        """The ground of a search for lanes to territories."""
        return LaneGround(
            grid=self.grid,
            cost=self.cost,
            insides=tuple(one.inside for one in ends),
            arrivals=tuple(one.arrivals for one in ends),
            cores=tuple(one.cores for one in ends),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """The nodes of a territory: all of them, those near its edge at which a lane may arrive, those well inside."""

    inside: NDArray[np.int64]
    arrivals: NDArray[np.int64]
    cores: NDArray[np.int64]


def bare_ground(level: Level, settings: Settings, area: Polygon) -> BareGround:
    """Build the lattice over a connected area of a level."""
    spacing = settings.layout.tail_spacing_m
    jamb = JAMB_CLEARANCE + spacing / 2
    near = settings.layout.wall_clearance_m + CORNER_EXTRA + spacing / 2 - 1e-3
    both = (*level.passages, *level.sleeve_ways)
    straight = settings.pipe.least_bend_radius_m + STRAIGHT_EXTRA + spacing / 2
    reach = {"sleeve": max(near, straight)}
    ways = [(p, common(way_through(p, level, settings, jamb), resized(p, 0.0, reach.get(p.kind, near)))) for p in both]
    shapely.prepare(area)
    ways = [(p, w) for p, w in ways if area.intersects(w)]
    grid = make_grid(area, ways, spacing, settings.pipe.least_bend_radius_m)
    if not level.laid.is_empty:
        grid = replace(grid, free=grid.free & ~grid.inside(level.laid.buffer(1.5 * spacing - 1e-3)))
    sleeves: Mask = np.zeros(grid.size, dtype=bool)
    for passage in level.sleeve_ways:
        sleeves[grid.within(passage.outline)] = True
    return BareGround(grid=only_across(grid, level.joints), cost=node_costs(level, grid, sleeves))


def cut_off(lane: Sequence[Point], others: Sequence[Sequence[Point]], territory: Territory, spacing: float) -> bool:
    """Whether other lanes lie between the end of a lane and most of its territory."""
    others = near_lanes(territory.floor, others)
    parts = _parts_left(territory, others, spacing)
    if not parts:
        return False
    a, b = np.asarray(lane[-2]), np.asarray(lane[-1])
    ahead = shapely.LineString([b, b + (b - a) / np.hypot(*(b - a)) * AHEAD_M])
    for other in others:
        hit = ahead.intersection(shapely.LineString(other))
        if not hit.is_empty:
            ahead = shapely.LineString(
                [b, b + (b - a) / np.hypot(*(b - a)) * max(hit.distance(shapely.Point(b)), 1e-3)]
            )
    beam = ahead.buffer(spacing, cap_style="flat")
    near = [p for p in parts if p.intersects(beam)]
    return bool(max((p.area for p in near), default=0.0) < MOST_SHARE * parts[0].area)


def near_lanes(floor: Area, lanes: Sequence[Sequence[Point]]) -> list[Sequence[Point]]:
    """Lanes that come near a floor, by their bounds."""
    left, low, right, high = (
        edge + by for edge, by in zip(floor.bounds, (-NEAR_M, -NEAR_M, NEAR_M, NEAR_M), strict=True)
    )
    found = []
    for lane in lanes:
        x, y = zip(*lane, strict=True)
        if max(x) > left and min(x) < right and max(y) > low and min(y) < high:
            found.append(lane)
    return found


def _parts_left(territory: Territory, lanes: Sequence[Sequence[Point]], spacing: float) -> list[Polygon]:
    """The parts of a territory's pipe area that lanes leave, largest first."""
    keep = spacing / 2 + territory.pitch_m / 2
    lines = [shapely.LineString(p) for p in near_lanes(territory.floor, lanes) if len(p) > 1]
    shapely.prepare(territory.axis)
    lines = list(compress(lines, shapely.dwithin(territory.axis, lines, 2 * keep)))  # its mitres reach farther
    if not lines:
        return polygons(territory.axis)
    taken = shapely.union_all(lines).buffer(keep, join_style="mitre")
    return polygons(shapely.difference(territory.axis, taken))


def largest_left(territory: Territory, lanes: Sequence[Sequence[Point]], spacing: float) -> Polygon | None:
    """The largest part of a territory's pipe area that lanes leave; None where they leave nothing."""
    return next(iter(_parts_left(territory, lanes, spacing)), None)


def left_over(
    ground: LaneGround, territory: Territory, lanes: Sequence[Sequence[Point]], otherwise: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Nodes in the middle of the largest floor that lanes leave of a territory."""
    grid = ground.grid
    part = largest_left(territory, lanes, grid.spacing)
    if part is not None:
        inner = eroded(part, min(0.15, 0.2 * float(np.sqrt(part.area))))
        nodes = np.flatnonzero(grid.inside(inner if not inner.is_empty else part) & grid.free & (grid.lock == 0))
        if len(nodes):
            return nodes
    return otherwise
