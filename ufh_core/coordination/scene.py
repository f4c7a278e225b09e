"""One floor of a storey as the heating meets it: walls without their doorways, columns, fixtures, doors.

Built from the building's own shapes by coordination's own code, which knows nothing of how pipes were laid.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from ufh_core.basis.areas import Area, polygons_only, without
from ufh_core.basis.areas import joined as joined_areas
from ufh_core.basis.message import Message, joined, note
from ufh_core.building.door_swings import DoorSwing
from ufh_core.building.solids import stands_on
from ufh_core.building.types import Building, Column, Obstacle, Opening, Room, RoomKind, Storey, Wall

THRESHOLD_M, HEADROOM_M = 0.25, 1.0  # an opening is a doorway up to this threshold and from this headroom
HAIR_M = 0.004  # by which a doorway is wider than its opening's outline, so that no skin of wall is left
NEAR_FLOOR_M = 0.45  # a pipe or a cabinet belongs to floors this far from it, in height
NAMED = {
    "column": note("column"),
    "opening in the floor": note("opening in the floor"),
    "IfcWall": note("wall"),
    "IfcWallStandardCase": note("wall"),
    "IfcCurtainWall": note("curtain wall"),
    "door": note("door"),
    "window": note("window"),
    "void": note("opening"),
    "furniture": note("unit"),
    "sanitary": note("fixture"),
    "stair": note("stair"),
    "hearth": note("hearth"),
    "other": note("unit"),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FloorScene:
    """What stands on one floor. `walls` come with what is solid of them at the floor; `rooms` lie at its height."""

    storey: Storey
    floor_m: float
    rooms: tuple[Room, ...]
    walls: tuple[tuple[Wall, Area], ...]
    columns: tuple[Column, ...]
    obstacles: tuple[Obstacle, ...]
    doorways: Area
    swings: Mapping[str, DoorSwing]

    def room_at(self, shape: shapely.Geometry) -> Room | None:
        """The room that holds most of a shape."""
        shares = [(float(shapely.length(i) + shapely.area(i)), k) for k, i in self._shares(shape)]
        return self.rooms[max(shares)[1]] if shares else None

    def _shares(self, shape: shapely.Geometry) -> list[tuple[int, shapely.Geometry]]:
        met = [(k, room.outline.intersection(shape)) for k, room in enumerate(self.rooms)]
        return [(k, part) for k, part in met if not part.is_empty]


def sound(building: Building) -> Building:
    """The building with every outline valid, so that no overlay fails at a crossed ring of a model."""
    return replace(building, storeys=tuple(_sound_storey(s) for s in building.storeys))


def _sound_storey(storey: Storey) -> Storey:
    """A storey with valid outlines."""
    groups = ("rooms", "walls", "columns", "openings", "passages", "obstacles")
    valid: dict[str, Any] = {name: tuple(_valid(e) for e in getattr(storey, name)) for name in groups}
    return replace(storey, **valid)


def _valid(element: Any) -> Any:
    """An element with a valid outline."""
    if element.outline.is_valid:
        return element
    return replace(element, outline=polygons_only(shapely.make_valid(element.outline)))


def floor_scene(storey: Storey, floor_m: float, swings: Mapping[str, DoorSwing]) -> FloorScene:
    """The scene of a storey's floor at a height [m]."""
    rooms = tuple(r for r in storey.rooms if abs(r.floor_m - floor_m) <= NEAR_FLOOR_M)
    doorways = _doorways(storey, floor_m)
    standing = [w for w in storey.walls if stands_on(w.bottom_m, w.top_m, floor_m)]
    return FloorScene(
        storey=storey,
        floor_m=floor_m,
        rooms=rooms,
        walls=tuple((w, without(w.outline, doorways)) for w in standing),
        columns=tuple(c for c in storey.columns if stands_on(c.bottom_m, c.top_m, floor_m)),
        obstacles=tuple(o for o in storey.obstacles if o.bottom_m < floor_m + 2.0 and o.top_m > floor_m - 0.5),
        doorways=doorways,
        swings={o.ifc_guid: swings[o.ifc_guid] for o in storey.openings if o.ifc_guid in swings},
    )


def _doorways(storey: Storey, floor_m: float) -> Area:
    """Where a pipe on the floor may pass through walls without a sleeve."""
    passable = [o.outline for o in storey.openings if o.kind != "window" and _passable(o, floor_m)]
    ways = [p.outline for p in storey.passages if p.kind != "sleeve" and p.bottom_m <= floor_m + THRESHOLD_M]
    return joined_areas(a.buffer(HAIR_M, join_style="mitre") for a in (*passable, *ways))


def _passable(opening: Opening, floor_m: float) -> bool:
    """Whether a pipe on the floor can pass an opening."""
    return opening.bottom_m <= floor_m + THRESHOLD_M and opening.top_m >= floor_m + HEADROOM_M


def storey_of(building: Building, ifc_guid: str, height_m: float) -> Storey:
    """The storey of a GlobalId, or the nearest one below a height [m]."""
    for storey in building.storeys:
        if storey.ifc_guid == ifc_guid:
            return storey
    with_rooms = [s for s in building.storeys if s.rooms] or list(building.storeys)
    return min(with_rooms, key=lambda s: abs(min((r.floor_m for r in s.rooms), default=s.elevation_m) - height_m))


def floor_under(storey: Storey, shape: shapely.Geometry, height_m: float) -> float | None:
    """The floor [m] of most of a shape among the storey's rooms near a height; None where there is none."""
    rooms = [r for r in storey.rooms if abs(r.floor_m - height_m) <= NEAR_FLOOR_M and r.outline.intersects(shape)]
    if not rooms:
        return None
    parts = [r.outline.intersection(shape) for r in rooms]
    sizes = np.array([p.area + p.length for p in parts])
    return float(rooms[int(np.argmax(sizes))].floor_m)


def shafts(rooms: Iterable[Room]) -> list[Room]:
    """Rooms that are shafts."""
    return [r for r in rooms if r.kind is RoomKind.SHAFT]


def called(kind: str, name: str, guid: str) -> str:
    """An element for people: kind, name and GlobalId."""
    what = Message(NAMED.get(kind, kind))
    return joined([what, f'"{name}" ({guid})' if name else guid], " ")


def wall_called(wall: Wall) -> str:
    """A wall for people."""
    return called(wall.ifc_class if wall.ifc_class in NAMED else "wall", wall.name, wall.ifc_guid)


def near(shapes: Sequence[Area], line: shapely.Geometry, reach_m: float) -> list[int]:
    """Indices of the shapes within reach of a line."""
    if not len(shapes):
        return []
    return [int(k) for k in np.flatnonzero(shapely.dwithin(list(shapes), line, reach_m))]
