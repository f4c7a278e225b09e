"""Wedges: the pieces into which tails of other rooms cut the floor of a hall.

A circuit fills the wedge in which its own tails end, wherever the room was divided before the tails
were led. A wedge that no circuit fills may be worth one of its own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Point, Polygon

from ufh_core.basis.areas import Area, areas_only, polygons
from ufh_core.basis.pipe_axis import Point as Place
from ufh_core.circuits.joining import STRIP_EDGE_M, lanes_near, strips
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.settings.types import Settings
from ufh_core.zones.divisions import LEAST_PART_M2
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory

THIN_M = 1e-3
AHEAD_M = 0.05
BEHIND_M = 0.3
WORTH_M2 = 3.0  # floor of a wedge from which a circuit of its own is worth a port; smaller ones are filled in passing
LEAST_WIDTH_PITCHES = 2.0  # a wedge narrower than this holds no loop


def with_wedges(
    level: Level, parts: Sequence[Territory], lanes: LevelLanes, limit_m: float
) -> tuple[tuple[Territory, ...], frozenset[str]]:
    """Territories that follow the wedges, and the rooms whose do.

    Rooms with several circuits follow where each ends in a wedge of its own and no circuit becomes longer
    than `limit_m`; others stay as they were divided.
    """
    made, rooms = list(parts), set()
    for guid in sorted({p.room for p in parts}):
        mine = [lane for lane in lanes.lanes if parts[lane.territory].room == guid]
        found = _wedges(level.floors[guid], lanes.lanes, guid, parts)
        homes = [_home(lane, found) for lane in mine]
        apart = [found[home] for home in homes if home is not None]
        if len(mine) < 2 or len(set(homes)) < len(mine) or len(apart) < len(mine):
            continue
        axis = _whole_axis(level, [parts[lane.territory] for lane in mine])
        wider = [_on(parts[x.territory], wedge, axis) for x, wedge in zip(mine, apart, strict=True)]
        if all(_length(territory, lane) <= limit_m for territory, lane in zip(wider, mine, strict=True)):
            rooms.add(guid)
            for territory, lane in zip(wider, mine, strict=True):
                made[lane.territory] = territory
    return tuple(made), frozenset(rooms)


def _whole_axis(level: Level, parts: Sequence[Territory]) -> Area:
    """Where pipes may run in a room, the strips along its cuts closed again, but not those along movement joints."""
    reach = parts[0].pitch_m / 2 + THIN_M
    whole = shapely.union_all([p.axis for p in parts])
    closed = whole.buffer(reach, join_style="mitre").buffer(-reach, join_style="mitre")
    return areas_only(shapely.difference(closed, level.joints.buffer(parts[0].pitch_m / 2, cap_style="flat")))


def _on(territory: Territory, wedge: Polygon, axis: Area) -> Territory:
    return replace(territory, floor=wedge, axis=areas_only(shapely.intersection(axis, wedge)), shared=False)


def cold_wedges(
    level: Level, parts: Sequence[Territory], lanes: LevelLanes, settings: Settings
) -> dict[str, tuple[Polygon, ...]]:
    """Wedges by room that no circuit fills although one would be worth it, for the ports that are left."""
    left = len(lanes.sites) * settings.manifold.most_ports - len(lanes.lanes)
    half = settings.layout.tail_spacing_m / 2 + STRIP_EDGE_M
    corners = [lane.corners for lane in lanes.lanes]
    found: list[tuple[float, str, Polygon]] = []
    for guid in sorted({p.room for p in parts}):
        mine = [lane for lane in lanes.lanes if parts[lane.territory].room == guid]
        if not mine:
            continue
        wedges = _wedges(level.floors[guid], lanes.lanes, guid, parts)
        homes = {_home(lane, wedges) for lane in mine}
        wide = LEAST_WIDTH_PITCHES * _pitch(parts, mine) / 2
        for k, wedge in enumerate(wedges):
            free = shapely.difference(wedge, strips(lanes_near(corners, wedge, 2 * half), half))
            usable = free.buffer(-wide, join_style="mitre").buffer(wide, join_style="mitre")
            best = max((p.area for p in polygons(usable)), default=0.0)
            if k not in homes and best >= WORTH_M2:
                found.append((-best, guid, wedge))
    chosen: dict[str, tuple[Polygon, ...]] = {}
    for _, guid, wedge in sorted(found, key=lambda f: f[:2])[: max(0, left)]:
        chosen[guid] = (*chosen.get(guid, ()), wedge)
    return chosen


def wedge_territories(
    level: Level, parts: Sequence[Territory], extra: Mapping[str, Sequence[Polygon]]
) -> tuple[Territory, ...]:
    """The territories with one more for each extra wedge, whose floor is its own."""
    more = []
    for guid, wedges in sorted(extra.items()):
        mine = [p for p in parts if p.room == guid]
        axis = _whole_axis(level, mine)
        more += [replace(_on(mine[0], wedge, axis), part=k) for k, wedge in enumerate(wedges, len(mine))]
    return (*parts, *more)


def _wedges(floor: shapely.Geometry, lanes: Sequence[Lane], guid: str, parts: Sequence[Territory]) -> list[Polygon]:
    """The pieces of a room's floor between tails; one piece where no tails of other rooms cross it."""
    others = {x.corners: x for x in lanes if parts[x.territory].room != guid}
    foreign = [others[tuple(corners)] for corners in lanes_near(tuple(others), floor, 0.0)]
    if not foreign:
        return []
    own = [x for x in lanes if parts[x.territory].room == guid]
    cut = shapely.difference(floor, strips([_from_wall(x) for x in (*foreign, *own)], THIN_M))
    return [p for p in polygons(areas_only(cut)) if p.area >= LEAST_PART_M2]


def _from_wall(lane: Lane) -> tuple[Place, ...]:
    """A lane's corners, its start moved back into the wall behind the manifold."""
    (ax, ay), (bx, by) = lane.corners[:2]
    way = math.hypot(bx - ax, by - ay)
    return ((ax - (bx - ax) / way * BEHIND_M, ay - (by - ay) / way * BEHIND_M), *lane.corners[1:])


def _home(lane: Lane, wedges: Sequence[Polygon]) -> int | None:
    """The wedge that lies ahead of a lane's end."""
    (ax, ay), (bx, by) = lane.corners[-2:]
    way = math.hypot(bx - ax, by - ay)
    ahead = Point(bx + (bx - ax) / way * AHEAD_M, by + (by - ay) / way * AHEAD_M)
    return next((k for k, wedge in enumerate(wedges) if wedge.contains(ahead)), None)


def _length(territory: Territory, lane: Lane) -> float:
    return float(territory.axis.area / territory.pitch_m + 2 * LineString(lane.corners).length)


def _pitch(parts: Sequence[Territory], lanes: Sequence[Lane]) -> float:
    return parts[lanes[0].territory].pitch_m
