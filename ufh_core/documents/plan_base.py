"""The architect's floor under the pipes: rooms, what is left out, obstacles, walls, openings, columns."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.building.types import Obstacle, Opening
from ufh_core.design_result import RoomStatus
from ufh_core.documents.pen import PAPER, Pen, polygons, united
from ufh_core.documents.storey_view import StoreyView

WALL_GREY = (176, 176, 176)
FIELD_TINT = (250, 247, 238)
OBSTACLE_GREY = (240, 240, 240)
LEAST_LEFT_OUT_M = 0.12  # narrower strips along walls are the usual distance of pipes from walls


def draw_base(pen: Pen, view: StoreyView) -> None:
    """Draw all that is not ours, and the heated fields as a light ground."""
    _draw_floor(pen, view)
    for obstacle in view.storey.obstacles:
        _draw_obstacle(pen, view, obstacle)
    walls = united([wall.outline for wall in view.storey.walls]).intersection(view.window)
    gaps = united([opening.outline for opening in view.storey.openings])
    solid = walls.difference(gaps)
    pen.fill(solid, "WALL", WALL_GREY)
    pen.outline(solid, "WALL")
    for opening in view.storey.openings:
        for outline in polygons(opening.outline.intersection(view.window)):
            _draw_opening(pen, opening, outline)
    columns = united([column.outline for column in view.storey.columns]).intersection(view.window)
    pen.fill(columns, "WALL", (120, 120, 120))
    pen.outline(columns, "WALL")


def left_out(view: StoreyView) -> BaseGeometry:
    """Floor of heated rooms that carries no field, without narrow margins along walls [m]."""
    heated = united([room.room.outline for room in view.rooms if room.heated])
    fields = united([field.outline for circuit in view.result.circuits for field in circuit.laid.fields])
    half = LEAST_LEFT_OUT_M / 2
    return heated.difference(fields).buffer(-half, join_style="mitre").buffer(half, join_style="mitre")


def _draw_floor(pen: Pen, view: StoreyView) -> None:
    for circuit in view.result.circuits:
        for field in circuit.laid.fields:
            pen.fill(field.outline, "FIELD", FIELD_TINT)
            pen.outline(field.outline, "FIELD")
    pen.hatch(left_out(view), "LEFT-OUT", angles_deg=(45.0,), gap_mm=1.6)
    for room in view.rooms:
        if not room.shown or room.heated:
            continue
        failed = room.result.status is RoomStatus.FAILED
        angles = (45.0, 135.0) if failed else (135.0,)
        floor = shapely.make_valid(room.room.outline).intersection(view.window)
        pen.hatch(floor, "LEFT-OUT", angles_deg=angles, gap_mm=3.0 if failed else 4.0)
        pen.outline(floor, "ROOM")


def _draw_obstacle(pen: Pen, view: StoreyView, obstacle: Obstacle) -> None:
    outline = shapely.make_valid(obstacle.outline).intersection(view.window)
    if not obstacle.movable:
        pen.fill(outline, "OBSTACLE", OBSTACLE_GREY)
    pen.outline(outline, "OBSTACLE", linetype="SHORT_DASH" if obstacle.movable else None)


def _draw_opening(pen: Pen, opening: Opening, outline: Polygon) -> None:
    """A clear gap: windows with a line of glass, doors and voids with the lines of the wall's faces.

    The way a door swings is not drawn, since it is not known here.
    """
    corners = _corners_along(outline, opening.width_m)
    if corners is None:
        return
    a, b, c, d = corners  # a-b and d-c run along the wall's faces
    pen.fill(shapely.Polygon(corners), "OPENING", PAPER)
    if opening.kind == "window":
        pen.line([a, b], "OPENING", weight_mm=0.25)
        pen.line([d, c], "OPENING", weight_mm=0.25)
        pen.line([(a + d) / 2, (b + c) / 2], "OPENING", weight_mm=0.13)
    else:
        dashed = "SHORT_DASH"
        pen.line([a, b], "OPENING", linetype=dashed, weight_mm=0.13)
        pen.line([d, c], "OPENING", linetype=dashed, weight_mm=0.13)
    pen.line([a, d], "OPENING", weight_mm=0.35)
    pen.line([b, c], "OPENING", weight_mm=0.35)


def _corners_along(outline: Polygon, width_m: float) -> NDArray[np.float64] | None:
    """Corners of the opening's rectangle, the first two along the wall."""
    frame = shapely.minimum_rotated_rectangle(outline)
    if frame.geom_type != "Polygon":
        return None
    corners = shapely.get_coordinates(frame)[:4]
    first, second = math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])
    if abs(first - width_m) > abs(second - width_m):
        corners = np.roll(corners, -1, axis=0)
    return np.asarray(corners, dtype=float)
