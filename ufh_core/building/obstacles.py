"""What stands on the floor and keeps pipes out, or leaves no floor at all.

Stairs and ramps are always kept free, whatever their name, with the bite of a spiral stair filled.
Unknown furniture counts as movable unless it looks fitted: 0.5 to 0.75 m deep, at least 0.6 m long,
with its back to the room's edge (common practice: kitchen and wardrobe runs).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, collected, common, joined, polygons, polygons_only
from ufh_core.building.bodies import PlanShape
from ufh_core.building.elements import Elements, Hole, names_of
from ufh_core.building.fabric import shape_of
from ufh_core.building.furniture_words import is_hearth_name, says_movable
from ufh_core.building.solids import stands_on
from ufh_core.building.types import Obstacle, Room

FITTED_DEPTH = (0.5, 0.75)
FITTED_LENGTH = 0.6
AT_WALL = 0.06
LEAST_AREA = 0.01  # m²
SLAB_REACH = (0.7, 0.5)  # a slab top this far below or above a floor belongs to it [m]

Shapes = Mapping[int, PlanShape]


@dataclass(frozen=True, slots=True)
class Obstacles:
    """What may keep pipes out, before it is known on which floor; `voids` carry their slab's top [m]."""

    things: tuple[Obstacle, ...]
    unknown: frozenset[str]
    voids: tuple[tuple[Obstacle, float], ...]


def read_obstacles(elements: Elements, shapes: Shapes) -> Obstacles:
    """Stairs, furniture, sanitary ware, hearths, and voids in slabs."""
    things, unknown = [], set()
    stairs = {e.id() for e in elements.stairs}
    for element in (*elements.stairs, *elements.furniture, *elements.hearths):
        shape = shape_of(element, shapes)
        if shape is None or shape.area.area < LEAST_AREA:
            continue
        kind = "stair" if element.id() in stairs else _kind(element)
        movable = says_movable(*names_of(element)) if kind == "furniture" else False
        if movable is None:
            unknown.add(element.GlobalId)
        things.append(_obstacle(element, kind, shape, movable=bool(movable)))
    return Obstacles(tuple(things), frozenset(unknown), tuple(_voids(elements.slab_holes, shapes)))


def _kind(element: Any) -> str:
    """Kind of a thing on the floor by class and name."""
    if element.is_a("IfcChimney") or is_hearth_name(*names_of(element)):
        return "hearth"
    if element.is_a("IfcSanitaryTerminal") or element.is_a() == "IfcFlowTerminal":
        return "sanitary"
    return "other" if element.is_a("IfcElectricAppliance") else "furniture"


def _obstacle(element: Any, kind: str, shape: PlanShape, *, movable: bool) -> Obstacle:
    """One obstacle with a plain outline."""
    outline = stair_outline(shape.area) if kind == "stair" else plain_outline(shape.area)
    return Obstacle(
        ifc_guid=element.GlobalId,
        name=element.Name or "",
        kind=kind,
        outline=outline,
        bottom_m=shape.bottom_m,
        top_m=shape.top_m,
        movable=movable,
    )


def _voids(holes: Sequence[Hole], shapes: Shapes) -> list[tuple[Obstacle, float]]:
    """Openings in slabs with the top of their slab [m]."""
    found = []
    for hole in holes:
        shape, slab = shapes.get(hole.opening.id()), shape_of(hole.host, shapes)
        if shape is not None and slab is not None and shape.area.area > LEAST_AREA:
            found.append((_obstacle(hole.opening, "void", shape, movable=False), slab.top_m))
    return found


def plain_outline(area: Area) -> Area:
    """An outline with small gaps closed and small detail dropped; its hull where that adds little."""
    hull = area.convex_hull
    if area.area > 0.85 * hull.area:
        return polygons_only(hull.simplify(0.005))
    closed = area.buffer(0.05, join_style="mitre").buffer(-0.05, join_style="mitre")
    filled = [Polygon(p.exterior) for p in polygons(closed) if p.area > LEAST_AREA]
    return polygons_only(joined(filled).simplify(0.005)) if filled else polygons_only(hull)


def stair_outline(area: Area) -> Area:
    """A stair's footprint without holes; the whole hull where it is round (a spiral stair)."""
    hull = area.convex_hull
    circle = math.pi * float(shapely.minimum_bounding_radius(area)) ** 2
    if hull.geom_type == "Polygon" and hull.area > 0.8 * circle:
        return polygons_only(hull)
    closed = area.buffer(0.1, join_style="mitre").buffer(-0.1, join_style="mitre")
    return polygons_only(joined([Polygon(p.exterior) for p in polygons(closed)] or [hull]))


def obstacles_on(rooms: Sequence[Room], obstacles: Obstacles) -> tuple[Obstacle, ...]:
    """The obstacles that keep pipes out of the floors of some rooms."""
    found: dict[str, Obstacle] = {}
    for thing in obstacles.things:
        room = _room_under(thing, rooms)
        if room is not None:
            fitted = thing.ifc_guid in obstacles.unknown and looks_fitted(thing.outline, room.outline)
            loose = thing.ifc_guid in obstacles.unknown and not fitted
            found[thing.ifc_guid] = replace(thing, movable=thing.movable or loose)
    found.update((v.ifc_guid, v) for v in _voids_in(rooms, obstacles))
    found.update((s.ifc_guid, s) for s in _stairs_from_below(rooms, obstacles, list(found.values())))
    return tuple(found[key] for key in sorted(found))


def _room_under(thing: Obstacle, rooms: Sequence[Room]) -> Room | None:
    """The room on whose floor a thing stands."""
    for room in rooms:
        from_below = thing.kind == "stair" and thing.bottom_m < room.floor_m - 0.5
        stands = stands_on(thing.bottom_m, thing.top_m, room.floor_m) and not from_below
        if stands and common(thing.outline, room.outline).area > LEAST_AREA:
            return room
    return None


def _voids_in(rooms: Sequence[Room], obstacles: Obstacles) -> list[Obstacle]:
    """Voids of the slabs that are these rooms' floors."""
    return [
        void
        for void, slab_top in obstacles.voids
        if any(
            -SLAB_REACH[0] <= slab_top - r.floor_m <= SLAB_REACH[1]
            and common(void.outline, r.outline).area > LEAST_AREA
            for r in rooms
        )
    ]


def _stairs_from_below(rooms: Sequence[Room], obstacles: Obstacles, known: Sequence[Obstacle]) -> list[Obstacle]:
    """Stairs that come up through a room's floor where no void tells how much of it is open."""
    voids = joined(v.outline for v in known if v.kind == "void")
    found = []
    for stair in obstacles.things:
        if stair.kind != "stair" or common(stair.outline, voids).area > 0.3 * stair.outline.area:
            continue
        for room in rooms:
            arrives = stair.bottom_m < room.floor_m - 0.5 and stair.top_m > room.floor_m - 0.35
            if arrives and common(stair.outline, room.outline).area > LEAST_AREA:
                found.append(stair)
                break
    return found


def looks_fitted(thing: Area, room: Area) -> bool:
    """Whether unknown furniture looks built in: as deep as a unit, long, with its back to the room's edge."""
    box = thing.minimum_rotated_rectangle
    if box.geom_type != "Polygon":
        return False
    sides = np.linalg.norm(np.diff(np.asarray(box.exterior.coords)[:3], axis=0), axis=1)
    depth, length = float(sides.min()), float(sides.max())
    if not (FITTED_DEPTH[0] <= depth <= FITTED_DEPTH[1] and length >= FITTED_LENGTH):
        return False
    edge = collected(polygons(room)).boundary
    return float(box.boundary.intersection(edge.buffer(AT_WALL)).length) >= 0.8 * length
