"""The plan of one level: floors that can be heated, and where pipes and pairs of pipes may run.

A level is the rooms of a storey whose finished floors lie at one height. All areas are in the
local frame [m]. Areas for axes are eroded with mitred corners by the clearance and `CORNER_EXTRA`,
so that a bend of the least radius round a re-entrant corner still keeps the clearance: a fillet of
radius r cuts (√2 − 1)·r inwards of its corner.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely.geometry import MultiLineString, Polygon, box
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, common, polygons
from ufh_core.building.types import Obstacle, Passage, Room, RoomKind, Storey
from ufh_core.settings.types import Settings
from ufh_core.zones.drilled_walls import DrilledWalls, SleeveWay
from ufh_core.zones.dwellings import dwelling_groups
from ufh_core.zones.laying import PLAIN, Laying
from ufh_core.zones.sleeve_ways import SparedWall, sleeve_ways

CORNER_EXTRA = 0.006
STRAIGHT_EXTRA = 0.01
JAMB_CLEARANCE = 0.03
ROOM_GAP = 0.015
LEVEL_STEP = 0.05
NOTHING = MultiLineString()
EDGE = 0.02  # a way through a wall stays this far from the edges of the rooms, its own threshold excepted
NO_WAY_THROUGH = frozenset(
    {RoomKind.SHAFT, RoomKind.STAIR, RoomKind.ROOF, RoomKind.OUTSIDE, RoomKind.AREA_SCHEME, RoomKind.GARAGE}
)


PART = "/"
"""What follows the guid of a room where a part of it is laid as a room of its own; no GlobalId holds a slash."""
EDGE_PART = f"{PART}edge"


def room_of(guid: str) -> str:
    """The GlobalId of the room that a guid or the guid of a part of it belongs to."""
    return guid.partition(PART)[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One level of a storey.

    `rooms` are all rooms on it, `heated` the guids of those to heat, `floors` the floor of each
    room less what stands on it, `ground` their union, `passages` the ways between them,
    `sleeve_ways` straight ways through walls where no door leads or none is wide enough, `spared_walls` those that
    were not drilled for such ways, `layings` how rooms are to be laid, `laid` the pipes that lie already, `joints`
    the movement joints that part `floors`.
    """

    storey: Storey
    floor_m: float
    rooms: tuple[Room, ...]
    heated: frozenset[str]
    floors: Mapping[str, Area]
    ground: Area
    passages: tuple[Passage, ...]
    sleeve_ways: tuple[SleeveWay, ...] = ()
    spared_walls: tuple[SparedWall, ...] = ()
    layings: Mapping[str, Laying] = field(default_factory=dict)
    laid: MultiLineString = NOTHING
    joints: MultiLineString = NOTHING

    @property
    def rooms_unknown(self) -> bool:
        """Whether all rooms to heat were found from walls, so that nobody knows what they are for."""
        return all(self.room(guid).derived for guid in self.heated)

    def laying(self, ifc_guid: str) -> Laying:
        """How the room of a guid is to be laid."""
        return self.layings.get(ifc_guid, PLAIN)

    def room(self, ifc_guid: str) -> Room:
        """The room of a guid, or of that of a part of it."""
        return next(r for r in self.rooms if r.ifc_guid == room_of(ifc_guid))

    def only(self, guids: frozenset[str]) -> Level:
        """The level as far as it belongs to some rooms: their floors and the ways from, to and between them."""
        floors = {g: floor for g, floor in self.floors.items() if room_of(g) in guids}
        return replace(
            self,
            rooms=tuple(r for r in self.rooms if r.ifc_guid in guids),
            heated=self.heated & floors.keys(),
            floors=floors,
            ground=closed_union(list(floors.values())),
            passages=tuple(p for p in self.passages if guids & set(p.rooms)),
            sleeve_ways=tuple(p for p in self.sleeve_ways if guids >= set(p.rooms)),
            spared_walls=tuple(w for w in self.spared_walls if guids >= set(w.rooms)),
        )

    def by_dwelling(self, settings: Settings) -> list[Level]:
        """The level's parts between which no tails may lead: a part a dwelling, and what belongs to none."""
        groups = dwelling_groups(self.rooms, self.passages) if settings.manifold.by_dwelling else []
        if len(groups) < 2:
            return [self]
        return [self.only(group) for group in groups if group & self.heated]


def levels_of(storey: Storey, heated: frozenset[str], settings: Settings) -> tuple[Level, ...]:
    """The levels of a storey that hold a heated room, lowest first."""
    groups: list[list[Room]] = []
    for room in sorted(storey.rooms, key=lambda r: r.floor_m):
        if groups and room.floor_m - groups[-1][-1].floor_m <= LEVEL_STEP:
            groups[-1].append(room)
        else:
            groups.append([room])
    return tuple(
        _level(storey, group, heated, settings) for group in groups if any(r.ifc_guid in heated for r in group)
    )


def _level(storey: Storey, rooms: Sequence[Room], heated: frozenset[str], settings: Settings) -> Level:
    here = frozenset(r.ifc_guid for r in rooms if r.ifc_guid in heated)
    way = [r for r in rooms if r.ifc_guid in here or (r.kind not in NO_WAY_THROUGH and not r.external)]
    floor_m = float(np.median([r.floor_m for r in rooms if r.ifc_guid in here]))
    solid = keep_outs(storey.obstacles, floor_m, settings)
    floors = {r.ifc_guid: areas_only(shapely.difference(_whole(r.outline), solid)) for r in way}
    guids = set(floors)
    passages = tuple(p for p in storey.passages if set(p.rooms) & guids and p.bottom_m <= floor_m + 0.3)
    level = Level(
        storey=storey,
        floor_m=floor_m,
        rooms=tuple(way),
        heated=here,
        floors=floors,
        ground=closed_union(list(floors.values())),
        passages=passages,
    )
    return _with_sleeve_ways(level, settings) if settings.layout.wall_sleeves else level


def _with_sleeve_ways(level: Level, settings: Settings) -> Level:
    """A level with ways through walls to rooms without a door."""
    spacing, walls = settings.layout.tail_spacing_m, drilled_walls(level, settings)
    found = [
        sleeve_ways(part.floors, part.heated, polygons(lane_area(part, settings, spacing)), walls, spacing)
        for part in level.by_dwelling(settings)
    ]
    return replace(
        level,
        sleeve_ways=tuple(way for ways, _ in found for way in ways),
        spared_walls=tuple(wall for _, spared in found for wall in spared),
    )


def drilled_walls(level: Level, settings: Settings) -> DrilledWalls:
    """The walls of a level as sleeves see them."""
    storey = level.storey
    return DrilledWalls(
        walls=storey.walls, openings=storey.openings, columns=storey.columns, fire=settings.layout.fire_wall_sleeves
    )


def keep_outs(obstacles: Sequence[Obstacle], floor_m: float, settings: Settings) -> Area:
    """What keeps pipes out on a level: fixed things that stand on its floor."""
    standing = [
        o for o in obstacles if o.bottom_m < floor_m + 0.25 and o.top_m > floor_m - 0.5 and _counts(o, settings)
    ]
    extra = settings.layout.hearth_clearance_m - settings.layout.wall_clearance_m
    shapes = [o.outline.buffer(extra, join_style="mitre") if o.kind == "hearth" else o.outline for o in standing]
    return areas_only(unary_union(shapes)) if shapes else Polygon()


def _counts(obstacle: Obstacle, settings: Settings) -> bool:
    return not obstacle.movable or settings.layout.keep_clear_of_movable


def axis_area(level: Level, settings: Settings) -> Area:
    """Where the axis of a single pipe may run in the rooms.

    In front of a sleeve no pipe turns before it is out of the wall.
    """
    rooms = eroded(level.ground, settings.layout.wall_clearance_m + CORNER_EXTRA)
    if not level.sleeve_ways:
        return rooms
    straight = settings.pipe.least_bend_radius_m + STRAIGHT_EXTRA
    return areas_only(shapely.difference(rooms, unary_union([resized(p, 0.15, straight) for p in level.sleeve_ways])))


def pipe_area(level: Level, settings: Settings) -> Area:
    """Where the axis of a single pipe may run, ways through walls included."""
    ways = [way_through(p, level, settings, JAMB_CLEARANCE) for p in (*level.passages, *level.sleeve_ways)]
    return areas_only(unary_union([axis_area(level, settings), *ways]))


def lane_area(level: Level, settings: Settings, spacing_m: float) -> Area:
    """Where the middle of a pair of pipes `spacing_m` apart may run, ways through walls included."""
    half = spacing_m / 2
    rooms = eroded(level.ground, settings.layout.wall_clearance_m + CORNER_EXTRA + half)
    ways = [way_through(p, level, settings, JAMB_CLEARANCE + half) for p in (*level.passages, *level.sleeve_ways)]
    return areas_only(unary_union([rooms, *ways]))


def way_through(passage: Passage, level: Level, settings: Settings, jamb: float) -> Area:
    """The part of a passage where an axis may run: narrower by `jamb` each side, reaching into the rooms."""
    if passage.kind == "open":
        return Polygon()
    reach = settings.layout.wall_clearance_m + CORNER_EXTRA + 0.14
    strip = resized(passage, -jamb, reach)
    if strip.is_empty:
        return strip
    ground = _near(level.ground, strip)
    threshold = common(resized(passage, 0.0, 2 * EDGE), ground.buffer(1e-3))
    allowed = unary_union([eroded(ground, EDGE), passage.outline, threshold])
    return areas_only(shapely.intersection(strip, allowed))


def _near(area: Area, shape: Polygon) -> Area:
    """The part of an area round a shape, so far out that what is done near the shape does not see the cut."""
    left, low, right, high = shape.bounds
    return areas_only(shapely.intersection(area, box(left - 0.5, low - 0.5, right + 0.5, high + 0.5)))


def resized(passage: Passage, sideways: float, lengthways: float) -> Polygon:
    """The passage's rectangle grown (or shrunk) across and along its direction [m]."""
    along = np.asarray(passage.direction) / math.hypot(*passage.direction)
    across = np.array([-along[1], along[0]])
    points = shapely.get_coordinates(passage.outline)
    a, c = points @ along, points @ across
    a0, a1, c0, c1 = a.min() - lengthways, a.max() + lengthways, c.min() - sideways, c.max() + sideways
    if a1 <= a0 or c1 <= c0:
        return Polygon()
    return Polygon([along * s + across * t for s, t in ((a0, c0), (a1, c0), (a1, c1), (a0, c1))])


def eroded(area: Area, distance: float) -> Area:
    """The area without a margin, corners mitred."""
    return areas_only(area.buffer(-distance, join_style="mitre", mitre_limit=2.0))


def closed_union(areas: Sequence[Area]) -> Area:
    """Union with gaps up to twice ROOM_GAP closed, as between two rooms with no wall."""
    joined = unary_union([a for a in areas if not a.is_empty])
    return areas_only(joined.buffer(ROOM_GAP, join_style="mitre").buffer(-ROOM_GAP, join_style="mitre"))


def _whole(area: Area) -> Area:
    return area if area.is_valid else areas_only(shapely.make_valid(area))
