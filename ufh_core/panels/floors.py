"""The floors that are laid in one go: rooms that are open to each other under one grid of studs, and thresholds.

A room's floor ends at the edge strip round it. Rooms with one angle of studs are joined where no wall is between
them. The floor in a doorway is a floor of its own, whose pieces lap over the rooms on both sides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import shapely
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, polygons
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Passage
from ufh_core.panels.types import PanelFloor
from ufh_core.zones.level_plan import ROOM_GAP, closed_union, resized

LEAST_M2 = 0.01
LEAST_DOOR_M = 0.03
HAIR_M = 1e-3
GRID_M = 1e-7


def panel_floors(
    rooms: Mapping[str, Area],
    angles: Mapping[str, float],
    passages: Sequence[Passage],
    strip_m: float,
    least_m: float,
) -> tuple[PanelFloor, ...]:
    """The floors of a level to be laid: `rooms` less what stands on them by GlobalId [m], the angle of each [rad].

    `strip_m` is the thickness of the edge strip; floor narrower than `least_m`, as beside a wardrobe, is left to be
    filled with insulation. Thresholds come last.
    """
    under = _by_angle(rooms, angles, strip_m, least_m)
    floors = [floor for angle, area in under for floor in _joined(area, rooms, angle)]
    covered = shapely.union_all([floor.outline for floor in floors], grid_size=GRID_M)
    doors = [_threshold(passage, angles, covered, strip_m) for passage in passages]
    return (*floors, *(part for door in doors for part in door))


def _by_angle(
    rooms: Mapping[str, Area], angles: Mapping[str, float], strip_m: float, least_m: float
) -> list[tuple[float, Area]]:
    """The floor inside the edge strip for each angle of studs, the largest first."""
    whole = _inside_strip(closed_union(list(rooms.values())), strip_m, least_m)
    groups: dict[float, list[Area]] = {}
    for guid, area in rooms.items():
        groups.setdefault(angles[guid], []).append(area)
    if len(groups) < 2:
        return [(angle, whole) for angle in groups]
    found: list[tuple[float, Area]] = []
    rest = whole
    for angle, areas in sorted(groups.items(), key=lambda g: (-sum(a.area for a in g[1]), g[0])):
        others = unary_union([a for other, those in groups.items() if other != angle for a in those])
        own = closed_union(areas).buffer(2 * ROOM_GAP, join_style="mitre").difference(others)
        found.append((angle, areas_only(shapely.intersection(rest, own))))
        rest = areas_only(shapely.difference(rest, own))
    return found


def _inside_strip(floor: Area, strip_m: float, least_m: float) -> Area:
    """A floor less the edge strip, without parts too narrow for any piece and without points that turn nothing."""
    half = least_m / 2 - HAIR_M
    inner = floor.buffer(-strip_m - half, join_style="mitre").buffer(half, join_style="mitre")
    return areas_only(inner.simplify(HAIR_M))


def _joined(area: Area, rooms: Mapping[str, Area], angle: float) -> list[PanelFloor]:
    """The parts of an area, each with the rooms that it lies in."""
    found = []
    for part in polygons(area):
        inside = [(guid, float(shapely.intersection(part, floor).area)) for guid, floor in rooms.items()]
        here = tuple(guid for guid, much in inside if much > LEAST_M2)
        if part.area > LEAST_M2 and here:
            found.append(PanelFloor(rooms=here, outline=part, angle_rad=angle))
    return sorted(found, key=lambda f: list(rooms).index(f.rooms[0]))


def _threshold(
    passage: Passage, angles: Mapping[str, float], covered: shapely.Geometry, strip_m: float
) -> list[PanelFloor]:
    """The floor in a doorway between rooms that are laid, from the one's panels to the other's."""
    sides = tuple(guid for guid in passage.rooms if guid in angles)
    if passage.kind in {"open", "sleeve"} or not sides:
        return []
    gap = areas_only(shapely.difference(resized(passage, -strip_m, strip_m + HAIR_M / 2), covered))
    turns = {angles[guid] for guid in sides}
    angle = turns.pop() if len(turns) == 1 else 0.0
    way = math.hypot(*passage.direction)
    along: Point = (passage.direction[0] / way, passage.direction[1] / way)
    return [
        PanelFloor(rooms=sides, outline=part, angle_rad=angle, lap_along=along)
        for part in polygons(gap)
        if part.area > LEAST_M2 and not part.buffer(-LEAST_DOOR_M / 2).is_empty
    ]
