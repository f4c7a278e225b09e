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
LEAF_GREY = (224, 224, 224)
FIELD_TINT, EDGE_TINT = (250, 247, 238), (246, 233, 205)
OBSTACLE_GREY = (240, 240, 240)
LEFT_OUT_GAP_MM = 2.4
LEAST_LEFT_OUT_M = 0.20  # narrower strips along walls are the usual distance of pipes from walls
LEAST_LEFT_OUT_M2 = 0.12  # smaller patches are gaps between pipes, not floor to drill into
BESIDE_PIPE_M = 0.10  # floor this near to a pipe is never shown as free of pipe
_RAGGED_M = 0.15  # notches of fields that are narrower are not drawn
GRID_M = 1e-4
_TOOTH_M = 0.08  # nor are teeth


def draw_base(pen: Pen, view: StoreyView) -> None:
    """Draw all that is not ours, and the heated fields as a light ground."""
    _draw_floor(pen, view)
    draw_shell(pen, view)


def draw_shell(pen: Pen, view: StoreyView) -> None:
    """Draw what stands on the floor and round it: obstacles, walls, openings, columns."""
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
    """Floor of heated rooms without any pipe, neither field nor tail; narrow margins and small gaps left aside [m]."""
    heated = united([room.room.outline for room in view.rooms if room.heated])
    circuits = [circuit.laid for circuit in view.result.circuits]
    fields = united([field.outline for circuit in circuits for field in circuit.fields])
    pipes = united([circuit.axis.line().buffer(BESIDE_PIPE_M) for circuit in circuits if circuit.axis.pieces])
    free = _less(_less(heated, fields), pipes)
    bare = _less(_without_teeth(free, LEAST_LEFT_OUT_M / 2), united([fields, pipes]))
    return shapely.MultiPolygon([part for part in polygons(bare) if part.area >= LEAST_LEFT_OUT_M2])


def _less(area: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """`area` without `other`, on a grid of 0.1 mm, so that edges that nearly coincide are no trouble."""
    return shapely.difference(area, other, grid_size=GRID_M)


def _without_teeth(area: BaseGeometry, half: float) -> BaseGeometry:
    """`area` without parts narrower than twice `half` [m]."""
    return area.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")


def _smooth(field: BaseGeometry) -> BaseGeometry:
    """A field without the small teeth, notches and holes that only the reckoning needs."""
    half = _RAGGED_M / 2
    filled = field.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")
    parts = polygons(_without_teeth(filled, _TOOTH_M / 2))
    return united([_without_small_holes(part) for part in parts])


def _without_small_holes(part: Polygon) -> Polygon:
    return Polygon(part.exterior, [ring for ring in part.interiors if Polygon(ring).area > LEAST_LEFT_OUT_M2])


def _draw_floor(pen: Pen, view: StoreyView) -> None:
    floor = view.floor
    for circuit in view.result.circuits:
        for field in circuit.laid.fields:
            outline = shapely.intersection(_smooth(field.outline), floor, grid_size=GRID_M)
            pen.fill(outline, "FIELD", EDGE_TINT if field.edge else FIELD_TINT)
            pen.outline(outline, "FIELD")
    pen.hatch(left_out(view), "LEFT-OUT", angles_deg=(45.0,), gap_mm=LEFT_OUT_GAP_MM)
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
    """A clear gap: windows with a line of glass, doors with a shut leaf, other openings with dashed faces.

    Which way a door swings is not known here, so its leaf is drawn shut.
    """
    corners = _corners_along(outline, opening.width_m)
    if corners is None:
        return
    pen.fill(shapely.Polygon(corners), "OPENING", PAPER)
    draw_opening_lines(pen, opening.kind, corners)


def draw_opening_lines(pen: Pen, kind: str, corners: NDArray[np.float64]) -> None:
    """The lines of a "window", a "door" or another opening in its four `corners` [m]."""
    a, b, c, d = corners
    faces = {"weight_mm": 0.25} if kind == "window" else {"linetype": "SHORT_DASH", "weight_mm": 0.13}
    for face in ([a, b], [d, c]):
        pen.line(face, "OPENING", **faces)
    if kind == "window":
        pen.line([(a + d) / 2, (b + c) / 2], "OPENING", weight_mm=0.13)
    elif kind == "door":
        _draw_leaf(pen, corners)
    for jamb in ([a, d], [b, c]):
        pen.line(jamb, "OPENING", weight_mm=0.35)


def _draw_leaf(pen: Pen, corners: NDArray[np.float64]) -> None:
    """A shut door leaf in the middle of the wall, thin enough to leave the pipes under it to be seen."""
    a, b, c, d = corners
    deep = min(pen.mm(0.9), math.dist(a, d) * 0.6) / max(math.dist(a, d), 1e-9) / 2
    near, far = 0.5 - deep, 0.5 + deep
    leaf = [a + (d - a) * near, b + (c - b) * near, b + (c - b) * far, a + (d - a) * far]
    pen.fill(shapely.Polygon(leaf), "OPENING", LEAF_GREY)
    pen.line(leaf, "OPENING", closed=True, weight_mm=0.18)


def _corners_along(outline: Polygon, width_m: float) -> NDArray[np.float64] | None:
    """Corners of the opening's rectangle: first and second, fourth and third run along the wall's faces."""
    frame = shapely.minimum_rotated_rectangle(outline)
    if frame.geom_type != "Polygon":
        return None
    corners = shapely.get_coordinates(frame)[:4]
    first, second = math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])
    if abs(first - width_m) > abs(second - width_m):
        corners = np.roll(corners, -1, axis=0)
    return np.asarray(corners, dtype=float)
