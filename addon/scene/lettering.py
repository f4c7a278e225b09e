"""Text that lies on the floor and is read from above, and where it stands."""

from __future__ import annotations

from collections.abc import Sequence

import bpy
import shapely
from shapely.ops import polylabel

from ufh_core.building.types import Obstacle, Room, Storey

from . import names
from .bodies import polygons
from .looks import dressed
from .objects import placed


def spot_for_name(storey: Storey, room: Room) -> tuple[float, float] | None:
    """Where the name of a room stands: farthest from walls and units that are shown; None where it has no floor."""
    units = [each.outline for each in storey.obstacles if is_shown(each)]
    free = polygons(shapely.difference(room.outline, shapely.union_all(units))) or polygons(room.outline)
    if not free:
        return None
    at = polylabel(max(free, key=lambda each: each.area), tolerance=0.05)
    return at.x, at.y


def is_shown(obstacle: Obstacle) -> bool:
    """What can be moved and holes in the floor are left out."""
    return not obstacle.movable and obstacle.kind != "void"


def lying_text(
    inside: bpy.types.Collection,
    text: str,
    at: Sequence[float],
    height_m: float,
    kind: str,
    *,
    align: str = "CENTER",
    look: str = "ink",
) -> bpy.types.Object:
    """A text about a point, its lines `height_m` high [m]."""
    curve = bpy.data.curves.new(names.shown_name(text), "FONT")
    curve.body = "\n".join(names.one_line(line) for line in text.split("\n"))
    curve.size, curve.align_x, curve.align_y = height_m, align, "CENTER"
    made = placed(inside, text, curve, kind, {})
    made.location = at
    return dressed(made, look)
