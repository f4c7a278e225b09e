"""What the labels of a temperature plan say, and where each may stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from ufh_core.documents.clear_lines import straight_pieces
from ufh_core.documents.labels import Label, Line, Wish, Wording
from ufh_core.documents.lettering import clean, wrapped
from ufh_core.documents.pen import Pen, polygons
from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.temperature_writing import hot_place_names, limit_at_peak, over_limit
from ufh_core.surface_field.isotherms import Isotherms
from ufh_core.surface_field.types import RoomSurface, SurfaceField
from ufh_core.words import number, say

NAME_MM, SMALL_MM, LEAST_MM, STEP_MM = 2.3, 1.8, 1.4, 3.0
NUMBER_STEP = 2.0
EVERY_MM = 140.0  # a long line has its figure again about so often
SHORTEST_MM = 18.0  # shorter lines have none
OFF_LINE_MM, APART_MM = 0.35, 0.25
PEAK_REACHES_MM = (14.0, 24.0, 48.0, 96.0)  # how far from its place a figure may stand, nearest first
SMOOTH_MM = 0.12  # corners of lines that are nearer to their neighbours' chord than this on paper are left away
PLACE_REACHES_MM = (8.0, 16.0, 32.0, 64.0)
STRETCH_MM = 16.0  # how much of a line is searched for a figure's place


def room_wishes(pen: Pen, view: StoreyView, field: SurfaceField) -> list[Wish]:
    """A room's name and mean, small rooms first; and in words that it is over its limit."""
    outlines = {room.room.ifc_guid: shapely.make_valid(room.room.outline) for room in view.rooms if room.shown}
    here = [room for room in field.rooms if room.room in outlines]
    hot = over_limit(field)
    wishes = [_room_wish(pen, view, room, outlines[room.room], room.room in hot) for room in here]
    return sorted(wishes, key=lambda wish: wish.area.area)


def _room_wish(pen: Pen, view: StoreyView, room: RoomSurface, outline: BaseGeometry, over: bool) -> Wish:
    floor = max(polygons(outline), key=lambda part: part.area, default=outline)
    name = clean(view.label_of(room.room))
    wide = float(floor.bounds[2] - floor.bounds[0]) / pen.mm(1.0)
    head = Line(text=name, height=NAME_MM, bold=True)
    small = [Line(text=text, height=SMALL_MM, bold=True) for text in wrapped(name, max(14.0, wide - 4.0), SMALL_MM)]
    mean = Line(text=say("mean {mean:.1f} °C", mean=room.mean_c), height=SMALL_MM)
    warning = [Line(text=say("OVER ITS LIMIT"), height=SMALL_MM, bold=True)] if over else []
    least = [replace(line, height=LEAST_MM) for line in (*small, mean, *warning)]
    wordings = (
        Wording(lines=(head, mean, *warning), step=STEP_MM),
        Wording(lines=(*small, mean, *warning), step=STEP_MM, penalty=0.2),
        Wording(lines=tuple(least), step=2.4, penalty=0.9),
    )
    return Wish(key=f"room {room.room}", area=floor, wordings=wordings, framed=True)


def peak_wishes(pen: Pen, view: StoreyView, field: SurfaceField) -> list[tuple[Wish, ...]]:
    """The warmest temperature of a room with the limit that holds there: beside its place in the room, else farther."""
    outlines = {room.room.ifc_guid: shapely.make_valid(room.room.outline) for room in view.rooms}
    wishes = []
    for room in field.rooms:
        spot, wordings = shapely.Point(room.peak_at), _peak_wordings(room, limit_at_peak(field, room))
        around = [spot.buffer(pen.mm(reach), quad_segs=4) for reach in PEAK_REACHES_MM]
        areas = [shapely.intersection(around[0], outlines.get(room.room, around[0])), *around]
        wishes.append(tuple(_beside(pen, f"peak {room.room}", spot, area, wordings) for area in areas))
    return wishes


def _peak_wordings(room: RoomSurface, limit_c: float) -> tuple[Wording, ...]:
    whole = say("{peak:.1f} °C, limit {limit:.1f}", peak=room.peak_c, limit=limit_c)
    parts = f"{number(room.peak_c, 1)} °C", say("limit {limit:.1f}", limit=limit_c)
    small = tuple(map(_bold, parts))
    return (
        Wording(lines=(_bold(whole),), step=STEP_MM),
        Wording(lines=small, step=2.6, penalty=0.1),
        Wording(lines=tuple(replace(line, height=LEAST_MM) for line in small), step=2.2, penalty=0.5),
    )


def place_wishes(pen: Pen, field: SurfaceField) -> list[tuple[Wish, ...]]:
    """The numbers of places over their limit."""
    wishes = []
    for name, place in zip(hot_place_names(field), field.hot_places, strict=True):
        spot, words = shapely.Point(place.at), (Wording(lines=(_bold(name),), step=STEP_MM),)
        areas = [spot.buffer(pen.mm(reach), quad_segs=4) for reach in PLACE_REACHES_MM]
        wishes.append(tuple(_beside(pen, name, spot, area, words) for area in areas))
    return wishes


def _bold(text: str) -> Line:
    return Line(text=text, height=SMALL_MM, bold=True)


def _beside(pen: Pen, key: str, spot: Point, area: BaseGeometry, wordings: tuple[Wording, ...]) -> Wish:
    """A framed label in an area, with a leader to the spot that it is about."""
    about = spot.buffer(pen.mm(0.5))
    return Wish(key=key, area=area, wordings=wordings, framed=True, about=about, inside_only=True)


def isotherm_wishes(pen: Pen, found: Isotherms, others: Sequence[BaseGeometry]) -> list[tuple[Wish, LineString]]:
    """Figures, clear of every other line and of `others`, each with the line that it is to stand on; longest first."""
    tree = _Neighbours([line.lines for line in found.lines], others)
    wishes: list[tuple[float, Wish, LineString]] = []
    for k, isotherm in enumerate(found.lines):
        figure = Line(text=f"{isotherm.surface_c:.0f}", height=LEAST_MM, bold=round(isotherm.surface_c) % 5 == 0)
        wording, half = Wording(lines=(figure,), step=NUMBER_STEP), _half_size(pen, figure)
        for part in shapely.get_parts(shapely.simplify(shapely.line_merge(isotherm.lines), pen.mm(SMOOTH_MM))):
            for on in _stretches(pen, part):
                area = tree.freed(_swept(on, half), k, pen.mm(APART_MM))
                wish = Wish(key=f"isotherm {figure.text}", area=area, wordings=(wording,), inside_only=True)
                wishes.append((part.length, wish, on))
    ordered = sorted(wishes, key=lambda each: -round(each[0], 6))
    return [(wish, on) for _, wish, on in ordered if not wish.area.is_empty]


def stands_on(label: Label, line: LineString) -> bool:
    """Whether the line runs under a label's letters: in a tight bend there may be room beside it only."""
    return all(box.intersects(line) for box in label.line_boxes)


def _stretches(pen: Pen, line: LineString) -> list[LineString]:
    """Where a line's figures may stand: the middle of each of its parts, none on a short line."""
    if line.length < pen.mm(SHORTEST_MM):
        return []
    count = max(1, round(line.length / pen.mm(EVERY_MM)))
    half = min(0.5 / count, pen.mm(STRETCH_MM) / 2 / line.length)
    middles = [(k + 0.5) / count for k in range(count)]
    return [substring(line, middle - half, middle + half, normalized=True) for middle in middles]


class _Neighbours:
    """All lines in straight pieces, each with the isotherm that it is of, or none (-1)."""

    def __init__(self, lines: Sequence[BaseGeometry], others: Sequence[BaseGeometry]) -> None:
        owned = [(k, piece) for k, line in enumerate(lines) for piece in straight_pieces([line])]
        owned += [(-1, piece) for piece in straight_pieces(others)]
        self._owner = np.array([k for k, _ in owned])
        self._pieces = np.array([piece for _, piece in owned], dtype=object)
        self._tree = shapely.STRtree(self._pieces)

    def freed(self, area: BaseGeometry, own: int, apart: float) -> BaseGeometry:
        """An area less what is nearer than `apart` [m] to any line but its own."""
        near = self._tree.query(area)
        near = near[self._owner[near] != own]
        if not len(near):
            return area
        lines = shapely.buffer(shapely.multilinestrings(list(self._pieces[near])), apart, quad_segs=1)
        return shapely.difference(area, lines)


def _half_size(pen: Pen, figure: Line) -> tuple[float, float]:
    """Half the width and height of a figure's box [m], and as much more as it may stand off its line."""
    wide, high = (figure.width + 1.6) / 2, (1.3 * figure.height + 0.8) / 2
    return pen.mm(wide + OFF_LINE_MM), pen.mm(high + OFF_LINE_MM)


def _swept(line: LineString, half: tuple[float, float]) -> BaseGeometry:
    """What a box covers that is moved along a line: the hulls of the boxes at both ends of each straight piece."""
    corners = shapely.get_coordinates(line)
    boxes = shapely.box(*(corners - half).T, *(corners + half).T)
    pairs = shapely.multipolygons(np.stack([boxes[:-1], boxes[1:]], axis=1))
    return shapely.union_all(shapely.convex_hull(pairs))
