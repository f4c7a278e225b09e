"""The temperature plan of a storey: bands and isotherms of the floor's surface, each room's warmest place, its limit.

Bands darken evenly from cold to warm, every second one is hatched, and isotherms carry their figures, so that the
sheet reads without colour too.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.areas import Area, polygons_only, without
from ufh_core.basis.errors import OutputError
from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.clear_lines import InkMap
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.labels import Label, Placer, Wish
from ufh_core.documents.pen import PAPER, Pen, united
from ufh_core.documents.plan_base import draw_shell
from ufh_core.documents.plan_drawing import drawn_page
from ufh_core.documents.plan_labels import draw_label
from ufh_core.documents.sheet import COLUMN_MM, Sheet
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.documents.surface_palette import coloured
from ufh_core.documents.surface_picture import OVER_K, scale_ends
from ufh_core.documents.temperature_labels import (
    SMOOTH_MM,
    isotherm_wishes,
    peak_wishes,
    place_wishes,
    room_wishes,
    stands_on,
)
from ufh_core.documents.temperature_writing import temperature_blocks
from ufh_core.surface_field.isotherms import STEP_K, Isotherms, isotherms
from ufh_core.surface_field.types import SurfaceField
from ufh_core.words import say

PALER = 0.35  # how much white is mixed into the picture's colours, so that lines and letters stand out
PIPE_GREY = (112, 106, 106)
HEAVY_EVERY_K = 5
THIN_MM, HEAVY_MM, PIPE_MM = 0.13, 0.35, 0.13
HATCH_MM, OVER_HATCH_MM = 2.6, 1.2
PEAK_MM = 1.7


def drawn_temperatures(design: Design, storey: StoreyDesign, *, date: str = "") -> Plan:
    """The temperature plan of a storey with a surface field. Raises: OutputError where it has none."""
    field = storey.surface
    if field is None:
        raise OutputError("nothing is laid on the storey: there are no surface temperatures to draw")
    view = storey_view(design, storey)
    found = _isotherms(view, field)
    ends = scale_ends(field)

    def draw(pen: Pen, sheet: Sheet) -> tuple[Label, ...]:
        _draw_bands(pen, found, ends)
        for circuit in storey.circuits:
            pen.axis(circuit.laid.axis.pieces, "ROOM", colour=PIPE_GREY, weight_mm=PIPE_MM)
        _draw_lines(pen, found)
        _draw_over(pen, found.over)
        draw_shell(pen, view)
        for room in field.rooms:
            _draw_peak(pen, room.peak_at)
        return _draw_labels(pen, sheet, view, field, found)

    def draw_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
        _draw_sign(pen, sheet, sign, x, middle, ends)

    heading = say("Temperature plan of the floor's surface")
    return drawn_page(view, heading, temperature_blocks(view, field), draw, draw_sign, date=date)


def _isotherms(view: StoreyView, field: SurfaceField) -> Isotherms:
    fixed = united([obstacle.outline for obstacle in view.storey.obstacles if not obstacle.movable])
    floors = {
        room.room.ifc_guid: without(polygons_only(shapely.make_valid(room.room.outline)), polygons_only(fixed))
        for room in view.rooms
    }
    pitches: dict[str, float] = {}
    for circuit in view.result.circuits:
        for part in circuit.laid.fields:
            pitches[part.room] = max(pitches.get(part.room, 0.0), *circuit.laid.pitches_m)
    return isotherms(field, floors, pitches, OVER_K)


def band_colour(low_c: float, ends: tuple[float, float]) -> tuple[int, int, int]:
    """The colour of the band from `low_c` on, paler than in the picture of the same scale `ends` [°C]."""
    deep = coloured(np.array([[low_c + STEP_K / 2]], dtype=np.float32), *ends)[0, 0]
    red, green, blue = (round(255 * PALER + float(part) * (1 - PALER)) for part in deep)
    return red, green, blue


def _is_hatched(low_c: float) -> bool:
    return round(low_c / STEP_K) % 2 == 1


def _draw_bands(pen: Pen, found: Isotherms, ends: tuple[float, float]) -> None:
    for band in found.bands:
        area = shapely.simplify(band.area, pen.mm(SMOOTH_MM))
        _draw_band(pen, area, band.low_c, ends)


def _draw_band(pen: Pen, area: BaseGeometry, low_c: float, ends: tuple[float, float]) -> None:
    pen.fill(area, "TEMPERATURE", band_colour(low_c, ends))
    if _is_hatched(low_c):
        pen.hatch(area, "TEMPERATURE", angles_deg=(45.0,), gap_mm=HATCH_MM)


def _draw_lines(pen: Pen, found: Isotherms) -> None:
    for line in found.lines:
        weight = HEAVY_MM if _is_heavy(line.surface_c) else THIN_MM
        for part in shapely.get_parts(shapely.simplify(line.lines, pen.mm(SMOOTH_MM))):
            pen.line(list(part.coords), "ISOTHERM", weight_mm=weight)


def _is_heavy(surface_c: float) -> bool:
    return round(surface_c) % HEAVY_EVERY_K == 0


def _draw_over(pen: Pen, over: Area) -> None:
    """Floor over its limit: crossed lines under a heavy rim, large enough to be seen where it is small."""
    shown = shapely.buffer(over, pen.mm(0.4), join_style="mitre")
    pen.hatch(shown, "ISOTHERM", angles_deg=(45.0, 135.0), gap_mm=OVER_HATCH_MM)
    pen.outline(shown, "SIGN", weight_mm=0.5)


def _draw_peak(pen: Pen, at: Point) -> None:
    """A triangle that stands on its tip at the place."""
    half = pen.mm(PEAK_MM)
    corners = [at, (at[0] + 0.6 * half, at[1] + half), (at[0] - 0.6 * half, at[1] + half)]
    pen.fill(shapely.Polygon(corners), "SIGN", PAPER)
    pen.line(corners, "SIGN", closed=True)


def _draw_labels(pen: Pen, sheet: Sheet, view: StoreyView, field: SurfaceField, found: Isotherms) -> tuple[Label, ...]:
    """Names of rooms and warmest places first, then figures on lines where they hide no other line."""
    bounds = (*sheet.at(sheet.plan[0], sheet.plan[1]), *sheet.at(sheet.plan[2], sheet.plan[3]))
    edges: list[BaseGeometry] = [wall.outline.boundary for wall in view.storey.walls]
    edges += [obstacle.outline.boundary for obstacle in view.storey.obstacles]
    ink = InkMap(bounds, pen.mm(0.3), [*(line.lines for line in found.lines), *edges])
    placer = Placer(bounds, pen.mm(1.0), ink)
    marks = [_around(pen, spot) for spot in (*(r.peak_at for r in field.rooms), *(p.at for p in field.hot_places))]
    for box in marks:
        placer.reserve(box)
    names = ((wish,) for wish in room_wishes(pen, view, field))
    labels = [_first(placer, wishes) for wishes in (*place_wishes(pen, field), *names, *peak_wishes(pen, view, field))]
    edges += [shapely.box(*box).exterior for box in marks]
    figures = ((placer.place(wish), line) for wish, line in isotherm_wishes(pen, found, edges))
    labels += [label for label, line in figures if label is not None and stands_on(label, line)]
    placed = tuple(label for label in labels if label is not None)
    for label in placed:
        draw_label(pen, label)
    return placed


def _first(placer: Placer, wishes: Iterable[Wish]) -> Label | None:
    """The first of several wishes for one label that has a place."""
    return next((label for wish in wishes if (label := placer.place(wish)) is not None), None)


def _around(pen: Pen, at: Point) -> tuple[float, float, float, float]:
    """The box of a warmest place's sign [m]."""
    half = pen.mm(PEAK_MM)
    return at[0] - 0.7 * half, at[1] - 0.3 * half, at[0] + 0.7 * half, at[1] + 1.1 * half


def _draw_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float, ends: tuple[float, float]) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    left, right, at = sheet.at(x + 1, middle), sheet.at(x + 16, middle), sheet.at(x + 8.5, middle)
    if sign == "bands":
        _draw_scale(pen, sheet, x, middle, ends)
    elif sign == "isotherm":
        for place, up, weight in ((left, 1.0, THIN_MM), (left, -1.0, HEAVY_MM)):
            y = place[1] + pen.mm(up)
            pen.line([(left[0], y), (right[0], y)], "ISOTHERM", weight_mm=weight)
    elif sign == "peak":
        _draw_peak(pen, (at[0], at[1] - pen.mm(0.6)))
    elif sign == "over":
        _draw_over(pen, shapely.box(*sheet.at(x + 6, middle - 1.0), *sheet.at(x + 11, middle + 1.0)))
    else:
        pen.line([left, right], "ROOM", colour=PIPE_GREY, weight_mm=PIPE_MM)


def _draw_scale(pen: Pen, sheet: Sheet, x: float, middle: float, ends: tuple[float, float]) -> None:
    """The bands side by side, from cold to warm, with the isotherms between them."""
    lows = list(_steps(*ends))
    wide = (COLUMN_MM - 6.0) / len(lows)
    for k, low in enumerate(lows):
        left = x + 3.0 + k * wide
        box = shapely.box(*sheet.at(left, middle - 1.5), *sheet.at(left + wide, middle + 4.5))
        _draw_band(pen, box, low, ends)
        pen.outline(box, "ISOTHERM", weight_mm=THIN_MM)
    every = max(1, math.ceil(5.0 / wide))
    for k, c in enumerate((*lows, ends[1])):
        if k % every == 0:
            at = sheet.at(x + 3.0 + k * wide, middle - 5.0)
            pen.text(at, f"{c:.0f}", 1.8, "SHEET", align="middle", bold=_is_heavy(c))


def _steps(low_c: float, high_c: float) -> Iterable[float]:
    """Where bands begin."""
    return (low_c + k * STEP_K for k in range(round((high_c - low_c) / STEP_K)))
