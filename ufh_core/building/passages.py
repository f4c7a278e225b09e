"""Passages: where pipes can go from room to room.

A door or open hole gives a rectangle as wide as itself, from the room on one side to the room on the
other. Two rooms whose outlines touch with no wall between have an open side. All are clipped to
what is free: less walls (except at passable holes) and columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.basis.areas import Area, common, joined, polygons, without
from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.building.openings import Rectangle, WallHole, holes_at
from ufh_core.building.solids import Fabric
from ufh_core.building.types import Passage, Room

REACH = 0.5  # a room's edge may stand this far from the wall of its door [m]
INTO_ROOM = 0.02  # a passage overlaps its rooms by this [m]
TOUCH = 0.005  # rooms this near to each other touch [m]
LEAST_OPEN = 0.3  # shortest open side [m]
OPEN_DEPTH = 0.3  # an open side reaches this far into both rooms [m]
SAME_FLOOR = 0.10  # rooms whose floors differ by more are not joined by pipes in one plane [m]


def read_passages(rooms: Sequence[Room], fabric: Fabric) -> tuple[Passage, ...]:
    """Doors and voids first, then open sides."""
    through = [p for floor in _floors(rooms) for p in _through_holes(floor, rooms, fabric)]
    return tuple(through) + tuple(open_sides(rooms, fabric))


def _floors(rooms: Sequence[Room]) -> list[float]:
    """Floor heights that differ, each standing for the rooms within SAME_FLOOR above it."""
    floors: list[float] = []
    for height in sorted(r.floor_m for r in rooms):
        if not floors or height > floors[-1] + SAME_FLOOR:
            floors.append(height)
    return floors


def _through_holes(floor_m: float, rooms: Sequence[Room], fabric: Fabric) -> list[Passage]:
    """Passages through walls on one floor."""
    here = [r for r in rooms if floor_m <= r.floor_m <= floor_m + SAME_FLOOR]
    tree = shapely.STRtree([r.outline for r in here])
    found = []
    for hole in holes_at(floor_m, fabric.holes):
        if hole.opening.bottom_m < floor_m - 0.6:
            continue
        near = [here[int(k)] for k in sorted(tree.query(hole.area.buffer(REACH + 0.1)))]
        passage = _through(hole, near, fabric, floor_m)
        found += [passage] if passage is not None else []
    return found


def _through(hole: WallHole, rooms: Sequence[Room], fabric: Fabric, floor_m: float) -> Passage | None:
    """The passage through one hole, None where no room is near."""
    box = hole.wall
    low, high = _side(hole, rooms, -1), _side(hole, rooms, 1)
    if low is None and high is None:
        return None
    c0 = low[1] - INTO_ROOM if low is not None else box.c[0]
    c1 = high[1] + INTO_ROOM if high is not None else box.c[1]
    whole = box.polygon(c=(min(c0, box.c[0]), max(c1, box.c[1])))
    outline = _free_part(whole, [s[0] for s in (low, high) if s is not None], fabric, floor_m)
    joins = dict.fromkeys(side[0].ifc_guid for side in (low, high) if side is not None)
    touching = [r.ifc_guid for r in rooms if r.ifc_guid in joins and r.outline.distance(outline) < 1e-3]
    kind = "door" if hole.opening.kind == "door" else "void"
    if not touching or (kind == "void" and len(touching) < 2):
        return None
    return Passage(
        ifc_guid=hole.opening.ifc_guid,
        kind=kind,
        outline=outline,
        direction=(float(box.across[0]), float(box.across[1])),
        width_m=box.width_m,
        rooms=tuple(g for g in joins if g in touching),
        bottom_m=hole.opening.bottom_m,
        top_m=hole.opening.top_m,
    )


def _side(hole: WallHole, rooms: Sequence[Room], sign: int) -> tuple[Room, float] | None:
    """The room on one side of a hole and where it begins across the wall [m]; None for none."""
    box = hole.wall
    middle = (box.c[0] + box.c[1]) / 2
    edge = box.c[1] if sign > 0 else box.c[0]
    inset = min(0.02, box.width_m / 10)
    span = (middle, edge + REACH) if sign > 0 else (edge - REACH, middle)
    strip = box.polygon(a=(box.a[0] + inset, box.a[1] - inset), c=span)
    best: tuple[float, Room, float] | None = None
    for room in rooms:
        shared = common(room.outline, strip) if room.outline.intersects(strip) else Polygon()
        if shared.area > 0.005 * min(1.0, box.width_m) and (best is None or shared.area > best[0]):
            reach = box.across_span(shared)
            best = (shared.area, room, reach[0] if sign > 0 else reach[1])
    return (best[1], best[2]) if best is not None else None


def _free_part(whole: Polygon, joins: Sequence[Room], fabric: Fabric, floor_m: float) -> Polygon:
    """The greatest part of a passage's rectangle that is free of walls and columns."""
    parts = polygons(without(whole, fabric.solid(whole, floor_m)))
    both = [p for p in parts if all(r.outline.distance(p) < 1e-3 for r in joins)]
    return (both or parts or [whole])[0]


def open_sides(rooms: Sequence[Room], fabric: Fabric) -> list[Passage]:
    """Sides where two rooms touch with no wall between."""
    found = []
    for i, j in combinations(range(len(rooms)), 2):
        one, other = rooms[i], rooms[j]
        if abs(one.floor_m - other.floor_m) > SAME_FLOOR or not shapely.dwithin(one.outline, other.outline, TOUCH):
            continue
        for k, line in enumerate(shared_sides(one.outline, other.outline)):
            passage = _open_side(one, other, line, k, fabric)
            found += [passage] if passage is not None else []
    return found


def shared_sides(one: Area, other: Area) -> list[LineString]:
    """Straight pieces of one outline, at least LEAST_OPEN long, that lie within TOUCH of the other."""
    near = other.buffer(TOUCH + 1e-4, join_style="mitre")
    found = []
    for polygon in polygons(one.simplify(1e-3)):
        for ring in (polygon.exterior, *polygon.interiors):
            for p, q in pairwise(ring.coords):
                shared = LineString([p, q]).intersection(near)
                parts = getattr(shared, "geoms", [shared])
                found += [s for s in parts if s.geom_type == "LineString" and s.length >= LEAST_OPEN]
    return found


def _open_side(one: Room, other: Room, line: LineString, k: int, fabric: Fabric) -> Passage | None:
    """The passage across one open side."""
    start, end = np.asarray(line.coords)[[0, -1]]
    along = (end - start) / np.linalg.norm(end - start)
    box = Rectangle(start, along, (0.0, line.length), (-OPEN_DEPTH, OPEN_DEPTH))
    floor_m = max(one.floor_m, other.floor_m)
    rooms = joined([one.outline, other.outline]).buffer(TOUCH, join_style="mitre").buffer(-TOUCH, join_style="mitre")
    free = without(common(box.polygon(), rooms), fabric.solid(box.polygon(), floor_m))
    across = [p for p in polygons(free) if _overlaps(p, one) and _overlaps(p, other)]
    if not across:
        return None
    return Passage(
        ifc_guid=deterministic_guid("open side", one.ifc_guid, other.ifc_guid, str(k)),
        kind="open",
        outline=across[0],
        direction=(float(box.across[0]), float(box.across[1])),
        width_m=line.length,
        rooms=(one.ifc_guid, other.ifc_guid),
        bottom_m=floor_m,
        top_m=floor_m + min(one.height_m, other.height_m),
    )


def _overlaps(area: Polygon, room: Room) -> bool:
    """Whether an area shares floor with a room."""
    return bool(common(area, room.outline).area > 1e-4)
