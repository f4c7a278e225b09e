"""What the labels of a temperature plan say, and where each may stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.documents.labels import Line, Wish, Wording
from ufh_core.documents.lettering import clean, wrapped
from ufh_core.documents.pen import Pen, polygons
from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.temperature_writing import hot_place_names, limit_at_peak, over_limit
from ufh_core.surface_field.isotherms import Isotherms
from ufh_core.surface_field.types import RoomSurface, SurfaceField
from ufh_core.words import number, say

NAME_MM, SMALL_MM, LEAST_MM, STEP_MM = 2.3, 1.8, 1.4, 3.0
NUMBER_STEP = 2.0
EVERY_MM = 70.0  # a long line has its figure again about so often
SHORTEST_MM = 9.0  # shorter lines have none
OFF_LINE_MM, APART_MM = 0.35, 0.25
PEAK_REACH_MM = 14.0


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
    short = Line(text=f"⌀ {number(room.mean_c, 1)}", height=LEAST_MM)
    warning = [Line(text=say("OVER ITS LIMIT"), height=SMALL_MM, bold=True)] if over else []
    least = [replace(line, height=LEAST_MM) for line in (*small, mean, *warning)]
    wordings = (
        Wording(lines=(head, mean, *warning), step=STEP_MM),
        Wording(lines=(*small, mean, *warning), step=STEP_MM, penalty=0.2),
        Wording(lines=tuple(least), step=2.4, penalty=0.9),
    )
    return Wish(key=f"room {room.room}", area=floor, wordings=wordings, framed=True, about=floor)


def peak_wishes(pen: Pen, view: StoreyView, field: SurfaceField) -> list[Wish]:
    """The warmest temperature of a room beside its place, with the limit that holds there."""
    wishes = []
    for room in field.rooms:
        limit = limit_at_peak(field, room)
        full = say("{peak:.1f} °C, limit {limit:.1f}", peak=room.peak_c, limit=limit)
        lines = say("{peak:.1f} °C", peak=room.peak_c), say("limit {limit:.1f}", limit=limit)
        wordings = (
            Wording(lines=(Line(text=full, height=SMALL_MM, bold=True),), step=STEP_MM),
            Wording(lines=tuple(Line(text=text, height=SMALL_MM, bold=True) for text in lines), step=2.6, penalty=0.1),
            Wording(lines=tuple(Line(text=text, height=LEAST_MM, bold=True) for text in lines), step=2.2, penalty=0.5),
        )
        spot = shapely.Point(room.peak_at)
        near = spot.buffer(pen.mm(PEAK_REACH_MM))
        wishes.append(
            Wish(key=f"peak {room.room}", area=near, wordings=wordings, framed=True, about=spot.buffer(pen.mm(0.5)))
        )
    return wishes


def place_wishes(pen: Pen, field: SurfaceField) -> list[Wish]:
    """The numbers of places over their limit."""
    wishes = []
    for name, place in zip(hot_place_names(field), field.hot_places, strict=True):
        spot = shapely.Point(place.at)
        line = Line(text=name, height=SMALL_MM, bold=True)
        wordings = (Wording(lines=(line,), step=STEP_MM),)
        around = spot.buffer(pen.mm(8.0))
        wishes.append(Wish(key=name, area=around, wordings=wordings, framed=True, about=spot.buffer(pen.mm(0.5))))
    return wishes


def isotherm_wishes(pen: Pen, found: Isotherms, walls: Sequence[BaseGeometry]) -> list[Wish]:
    """Figures that stand on their lines, clear of every other line; the longest lines come first."""
    others = shapely.STRtree([line.lines for line in found.lines])
    wishes: list[tuple[float, Wish]] = []
    for k, isotherm in enumerate(found.lines):
        figure = Line(text=f"{isotherm.surface_c:.0f}", height=LEAST_MM, bold=round(isotherm.surface_c) % 5 == 0)
        wording = Wording(lines=(figure,), step=NUMBER_STEP)
        reach = pen.mm(_half_diagonal_mm(figure) + OFF_LINE_MM)
        for n, part in enumerate(shapely.get_parts(shapely.line_merge(isotherm.lines))):
            if part.length < pen.mm(SHORTEST_MM):
                continue
            near = [found.lines[int(j)].lines for j in others.query(part.buffer(reach)) if int(j) != k]
            clear = shapely.union_all([*near, *walls]).buffer(pen.mm(APART_MM)) if near or walls else Polygon()
            pieces = max(1, round(part.length / pen.mm(EVERY_MM)))
            for piece in range(pieces):
                on = shapely.ops.substring(part, piece / pieces, (piece + 1) / pieces, normalized=True)
                area = shapely.difference(on.buffer(reach), clear)
                key = f"isotherm {isotherm.room} {isotherm.surface_c:.0f} {n}.{piece}"
                wishes.append((part.length, Wish(key=key, area=area, wordings=(wording,), inside_only=True)))
    return [wish for _, wish in sorted(wishes, key=lambda pair: -round(pair[0], 6))]


def _half_diagonal_mm(figure: Line) -> float:
    """Half the diagonal of a label's box; as far from its line as that, the box still covers the line."""
    return float(((figure.width + 1.6) ** 2 + (1.3 * figure.height + 0.8) ** 2) ** 0.5) / 2
