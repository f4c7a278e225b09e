"""The building: storeys as collections; floors of rooms, walls, doors, windows, fixed units and stairs in them.

A room is shown by its floor. Where the top of the slab is known, the floor is drawn there, so that what lies in the
screed can be seen over it; elsewhere at the finished floor, see-through.
"""

from __future__ import annotations

from itertools import pairwise

import bpy
import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.building.types import Building, Obstacle, Opening, Room, Storey, Wall

from . import names
from .bodies import Body
from .lettering import is_shown, lying_text, spot_for_name
from .looks import dressed
from .objects import child, emptied, opened_root, placed

LEAF_M = 0.04
LABEL_M = 0.20


def show(building: Building, *, name: str) -> bpy.types.Collection:
    """Show a building as `name`; replaces what an earlier call put there."""
    top = opened_root(names.BUILDING, name, building.frame)
    emptied(top)
    for storey in building.storeys:
        _show_storey(top, storey)
    return top


def _show_storey(top: bpy.types.Collection, storey: Storey) -> None:
    inside = child(top, storey.name, "storey", {names.GUID: storey.ifc_guid})
    for room in storey.rooms:
        _show_room(inside, storey, room)
    ways = {opening.ifc_guid: opening for opening in storey.openings}
    tree = shapely.STRtree([opening.outline for opening in ways.values()])
    for wall in storey.walls:
        near = [list(ways.values())[k] for k in tree.query(wall.outline, predicate="intersects")]
        _show_wall(inside, wall, near)
    for opening in storey.openings:
        if opening.kind in ("door", "window"):
            _show_leaf(inside, opening)
    for column in storey.columns:
        body = Body()
        body.upright(column.outline, column.bottom_m, column.top_m)
        _put(inside, body, column.name or "Column", "column", column.ifc_guid, "wall")
    for obstacle in storey.obstacles:
        _show_unit(inside, obstacle)


def _show_room(inside: bpy.types.Collection, storey: Storey, room: Room) -> None:
    """A room's floor, and its name over it."""
    base = room.floor_m if room.slab_top_m is None else min(room.floor_m, room.slab_top_m)
    body = Body()
    body.area(room.outline, base)
    _put(inside, body, room.label, "room", room.ifc_guid, "floor" if base < room.floor_m else "floor over pipes")
    at = spot_for_name(storey, room)
    if at is not None:
        text = lying_text(inside, room.label, (*at, room.floor_m + 0.002), LABEL_M, "room_label")
        text[names.GUID] = room.ifc_guid


def _show_wall(inside: bpy.types.Collection, wall: Wall, near: list[Opening]) -> None:
    """A wall with its openings left free, in layers from opening to opening."""
    heights = {wall.bottom_m, wall.top_m}
    for opening in near:
        heights |= {h for h in (opening.bottom_m, opening.top_m) if wall.bottom_m < h < wall.top_m}
    body, levels = Body(), sorted(heights)
    for low, high in pairwise(levels):
        middle = (low + high) / 2
        free = [o.outline.buffer(1e-4, join_style="mitre") for o in near if o.bottom_m < middle < o.top_m]
        body.upright(shapely.difference(wall.outline, shapely.union_all(free)), low, high)
    _put(inside, body, wall.name or "Wall", "wall", wall.ifc_guid, "wall")


def _show_leaf(inside: bpy.types.Collection, opening: Opening) -> None:
    """A shut door or window: a thin leaf in the middle of its opening."""
    body = Body()
    body.upright(_leaf(opening.outline), opening.bottom_m, opening.top_m)
    _put(inside, body, opening.name or opening.kind.title(), opening.kind, opening.ifc_guid, opening.kind)


def _leaf(outline: Polygon) -> Polygon:
    """A strip along the middle of an opening, as wide as the opening."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))[:4]
    sides = np.linalg.norm(np.diff(corners, axis=0), axis=1)
    short = 0 if sides[0] < sides[1] else 1
    ends = [(corners[k] + corners[(k + 1) % 4]) / 2 for k in (short, short + 2)]
    return LineString(ends).buffer(LEAF_M / 2, cap_style="flat")


def _show_unit(inside: bpy.types.Collection, obstacle: Obstacle) -> None:
    """A fixed unit or a stair."""
    if not is_shown(obstacle):
        return
    body = Body()
    body.upright(obstacle.outline, obstacle.bottom_m, obstacle.top_m)
    look = "stair" if obstacle.kind == "stair" else "unit"
    _put(inside, body, obstacle.name or obstacle.kind.title(), obstacle.kind, obstacle.ifc_guid, look)


def _put(inside: bpy.types.Collection, body: Body, name: str, kind: str, guid: str, look: str) -> None:
    """An object of a body; none where nothing is left of it."""
    if body.faces:
        dressed(placed(inside, name, body.mesh(names.shown_name(name)), kind, {names.GUID: guid}), look)
