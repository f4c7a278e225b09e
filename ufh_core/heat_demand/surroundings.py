"""What surrounds the rooms as a whole: rooms above and below, footprints, small spaces without a room, the ground."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

import shapely
from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.areas import common, without
from ufh_core.building.types import Building, Column, Room, RoomKind, Slab, Wall
from ufh_core.heat_demand.edges import height_of

GREATEST_UNNAMED_M2 = 15.0  # a larger hole between the walls may be a courtyard
FLOOR_ZONE_M = 1.0  # thickest floor between rooms one over the other
OVER_GROUND_M = 1.5  # higher over the ground, nothing below means outside air
LEAST_SLOPE_M = 0.8  # a roof as high as that from its lowest to its highest point slopes
LEAST_STOREY_M = 1.9  # lower walls under a floor are foundations
_WALL_REACH_M = 0.3  # half a wall and more: floor under walls goes with the room beside it
_OPEN_KINDS = (RoomKind.ROOF, RoomKind.OUTSIDE)

T = TypeVar("T", Room, Wall, Slab)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The building's rooms (no area schemes), walls and slabs, once each, with the level of the ground [m].

    `unnamed` holds by room the small walled spaces of its storey that are no room of the model, `under_slopes` the
    GlobalIds of rooms right under a sloping roof.
    """

    rooms: tuple[Room, ...]
    walls: tuple[Wall, ...]
    slabs: tuple[Slab, ...]
    ground_m: float
    unnamed: dict[str, BaseGeometry]
    under_slopes: frozenset[str] = frozenset()

    def is_unnamed(self, room: Room, point: tuple[float, float]) -> bool:
        """Whether a point beside a room lies in such a small space."""
        return bool(self.unnamed[room.ifc_guid].contains(Point(point)))


@dataclass(frozen=True, slots=True)
class Beyond:
    """A share [m²] of a room's floor or ceiling with what is there.

    `kind` is "room", "unheated" (a space without a room), "ground" or "outside".
    """

    kind: str
    area_m2: float
    room: Room | None = None


def surroundings(building: Building) -> Surroundings:
    """Collect what surrounds the rooms."""
    rooms = _once(room for storey in building.storeys for room in storey.rooms)
    kept = tuple(room for room in rooms if room.kind is not RoomKind.AREA_SCHEME)
    unnamed: dict[str, BaseGeometry] = {}
    for storey in building.storeys:
        solids: list[Room | Wall | Column] = [*storey.rooms, *storey.walls, *storey.columns]
        holes = _small_holes([thing.outline for thing in solids])
        unnamed.update({room.ifc_guid: holes for room in storey.rooms})
    slabs = _once(slab for storey in building.storeys for slab in storey.slabs)
    return Surroundings(
        rooms=kept,
        walls=_once(wall for storey in building.storeys for wall in storey.walls),
        slabs=slabs,
        ground_m=_ground_level(building, kept),
        unnamed=unnamed,
        under_slopes=frozenset(room.ifc_guid for room in kept if _slopes(slab_above(room, slabs))),
    )


def _slopes(slab: Slab | None) -> bool:
    """Whether a slab over a room is a roof that slopes."""
    return slab is not None and slab.kind == "roof" and slab.top_m - slab.bottom_m > LEAST_SLOPE_M


def is_open_air(room: Room) -> bool:
    """Whether a room of the model is no room: a terrace, a space over the roof."""
    return room.external or room.kind in _OPEN_KINDS


def beyond_floor(room: Room, around: Surroundings) -> list[Beyond]:
    """Share a room's floor by what lies below."""
    below = [
        other
        for other in around.rooms
        if abs(other.floor_m + height_of(other) - room.floor_m) <= FLOOR_ZONE_M
        and other.floor_m < room.floor_m - FLOOR_ZONE_M
        and not is_open_air(other)
    ]
    walls = [
        wall.outline
        for wall in around.walls
        if abs(wall.top_m - room.floor_m) <= FLOOR_ZONE_M and wall.bottom_m < room.floor_m - LEAST_STOREY_M
    ]
    in_air = room.floor_m > around.ground_m + OVER_GROUND_M
    return _shares(room, below, walls, "outside" if in_air else "ground")


def beyond_ceiling(room: Room, around: Surroundings) -> list[Beyond]:
    """Share a room's ceiling by what lies above."""
    top = room.floor_m + height_of(room)
    above = [
        other
        for other in around.rooms
        if abs(other.floor_m - top) <= FLOOR_ZONE_M
        and other.floor_m > room.floor_m + FLOOR_ZONE_M
        and not is_open_air(other)
    ]
    walls = [
        wall.outline
        for wall in around.walls
        if abs(wall.bottom_m - top) <= FLOOR_ZONE_M and wall.top_m > top + LEAST_STOREY_M
    ]
    return _shares(room, above, walls, "outside")


def slab_below(room: Room, slabs: Iterable[Slab]) -> Slab | None:
    """Find the slab that carries a room's floor, by the greatest common area."""
    near = [slab for slab in slabs if -0.6 <= slab.top_m - room.floor_m <= 0.1]
    return _most_common(room, near)


def slab_above(room: Room, slabs: Iterable[Slab]) -> Slab | None:
    """Find the slab or roof that covers a room, by the greatest common area."""
    top = room.floor_m + height_of(room)
    near = [slab for slab in slabs if -0.6 <= slab.bottom_m - top <= 0.6 or (slab.kind == "roof" and slab.top_m > top)]
    return _most_common(room, near)


def _most_common(room: Room, slabs: list[Slab]) -> Slab | None:
    shares = [(slab.outline.intersection(room.outline).area, slab) for slab in slabs]
    shares = [(area, slab) for area, slab in shares if area > 0.2 * room.outline.area]
    return max(shares, key=lambda pair: (round(pair[0], 3), pair[1].ifc_guid))[1] if shares else None


def _shares(room: Room, others: list[Room], walls: list[BaseGeometry], else_kind: str) -> list[Beyond]:
    """Share a room's plan between other rooms, walled spaces without a room, and the rest."""
    rest: BaseGeometry = room.outline
    shares: list[Beyond] = []
    for other in sorted(others, key=lambda o: o.ifc_guid):
        shared = common(rest, other.outline.buffer(_WALL_REACH_M, join_style="mitre"))
        if other.outline.intersects(shared) and other.outline.intersection(rest).area > 0.01:
            shares.append(Beyond("room", shared.area, other))
            rest = without(rest, shared)
    walled = _without_strips(common(rest, _footprint(walls)))
    left = rest.area - walled.area
    if walled.area > 0.01:
        shares.append(Beyond("unheated", walled.area))
    if left > 0.01:
        shares.append(Beyond(else_kind, left))
    return shares


def _without_strips(area: BaseGeometry) -> BaseGeometry:
    """An area without what is narrower than two half walls: the tops of walls are no spaces."""
    inner = area.buffer(-_WALL_REACH_M, join_style="mitre")
    return common(inner.buffer(_WALL_REACH_M, join_style="mitre"), area)


def _footprint(walls: list[BaseGeometry]) -> BaseGeometry:
    """The plan that walls enclose, holes filled."""
    joined = shapely.union_all([wall.buffer(0.1, join_style="mitre") for wall in walls])
    return shapely.union_all([Polygon(part.exterior) for part in shapely.get_parts(joined) if part.area > 0])


def _small_holes(outlines: list[BaseGeometry]) -> BaseGeometry:
    """Find the holes of 0.02 to 15 m² between rooms and walls."""
    joined = shapely.union_all([outline.buffer(0.02, join_style="mitre") for outline in outlines])
    rings = (Polygon(ring) for part in shapely.get_parts(joined) for ring in part.interiors)
    holes = [ring for ring in rings if 0.02 <= ring.area <= GREATEST_UNNAMED_M2]
    return MultiPolygon(holes) if holes else Polygon()


def _ground_level(building: Building, rooms: tuple[Room, ...]) -> float:
    """Level of the ground [m]: the lowest floor with a door to the outside, else the lowest floor."""
    floors = {room.ifc_guid: room.floor_m for room in rooms}
    with_door = [
        floors[passage.rooms[0]]
        for storey in building.storeys
        for passage in storey.passages
        if passage.kind == "door" and len(passage.rooms) == 1 and passage.rooms[0] in floors
    ]
    return min(with_door or floors.values(), default=0.0)


def _once(things: Iterable[T]) -> tuple[T, ...]:
    """Each thing once, by GlobalId."""
    found: dict[str, T] = {}
    for thing in things:
        found.setdefault(thing.ifc_guid, thing)
    return tuple(found.values())
