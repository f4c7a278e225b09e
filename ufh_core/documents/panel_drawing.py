"""The laying plan of a storey's panels as one neutral drawing: every panel and piece with its number and cut size."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from shapely.geometry import Polygon

from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.clear_lines import InkMap
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.labels import Label, Line, Placer, Wish, Wording
from ufh_core.documents.panel_writing import panel_blocks
from ufh_core.documents.pen import INK, Pen
from ufh_core.documents.plan_base import draw_shell
from ufh_core.documents.plan_drawing import drawn_page
from ufh_core.documents.plan_labels import draw_label
from ufh_core.documents.sheet import Sheet
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.panels.types import PanelArea, PanelPlan, Piece
from ufh_core.words import say

CUT_TINT, WHOLE_TINT, DOOR_TINT = (226, 236, 240), (250, 250, 247), (243, 232, 208)
START = (150, 60, 20)
NUMBER_MM, SIZE_MM, LEAST_MM = 2.0, 1.6, 1.3
PIN_MM = 0.55
START_MM = 7.0


def drawn_panels(design: Design, storey: StoreyDesign, *, date: str = "") -> Plan:
    """The laying plan of a storey that has one. Raises: OutputError where the storey is not in the building."""
    view = storey_view(design, storey)
    panels = storey.panels
    assert panels is not None, "asked for the drawing of a plan that is not there"

    def draw(pen: Pen, sheet: Sheet) -> tuple[Label, ...]:
        for area in panels.areas:
            _draw_pieces(pen, area)
        draw_shell(pen, view)
        for area in panels.areas:
            pen.outline(area.outline, "PANEL", weight_mm=0.35)
            if not area.threshold:
                _draw_start(pen, area.corner, area.heading)
        return _draw_numbers(pen, sheet, view, panels)

    return drawn_page(view, say("Laying plan of panels"), panel_blocks(view, panels), draw, draw_panel_sign, date=date)


def draw_panel_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    box = shapely.box(*sheet.at(x + 1, middle - 1.5), *sheet.at(x + 16, middle + 1.5))
    if sign == "start":
        _draw_start(pen, sheet.at(x + 4, middle), (1.0, 0.0))
        return
    pen.fill(box, "PANEL", WHOLE_TINT if sign == "whole" else CUT_TINT)
    pen.outline(box, "PANEL")
    if sign == "pin":
        _draw_pins(pen, box)


def _draw_pieces(pen: Pen, area: PanelArea) -> None:
    for piece in area.pieces:
        tint = DOOR_TINT if area.threshold else WHOLE_TINT if piece.whole else CUT_TINT
        pen.fill(piece.outline, "PANEL", tint)
        pen.outline(piece.outline, "PANEL")
        if piece.pin:
            _draw_pins(pen, piece.outline)


def _draw_pins(pen: Pen, outline: Polygon) -> None:
    """Two dots in opposite corners of a piece, off its edges."""
    inner = outline.buffer(-pen.mm(PIN_MM + 0.25), join_style="mitre")
    spots = shapely.get_coordinates(inner if not inner.is_empty else outline.representative_point())
    for spot in (spots[spots.sum(axis=1).argmin()], spots[spots.sum(axis=1).argmax()]):
        dot = shapely.Point(spot).buffer(pen.mm(PIN_MM / 2), quad_segs=4)
        pen.fill(dot, "PANEL", INK)
        pen.outline(dot, "PANEL", weight_mm=0.09)


def _draw_start(pen: Pen, corner: Point, heading: Point) -> None:
    """A dot where laying begins and an arrow along the first row, in the room beside its corner."""
    east, north = heading, (-heading[1], heading[0])

    def at(along: float, across: float) -> Point:
        a, c = pen.mm(along), pen.mm(across)
        return corner[0] + a * east[0] + c * north[0], corner[1] + a * east[1] + c * north[1]

    pen.circle(at(1.0, 1.0), 0.7, "PANEL", colour=START, weight_mm=0.35)
    pen.line([at(1.7, 1.0), at(START_MM, 1.0)], "PANEL", colour=START, weight_mm=0.35)
    head = Polygon([at(START_MM + 1.6, 1.0), at(START_MM, 1.6), at(START_MM, 0.4)])
    pen.fill(head, "PANEL", START)
    pen.outline(head, "PANEL", colour=START)


def _draw_numbers(pen: Pen, sheet: Sheet, view: StoreyView, plan: PanelPlan) -> tuple[Label, ...]:
    """Numbers in their pieces, with the cut size where it fits; beside them, with a line, where nothing fits."""
    west, south = sheet.at(sheet.plan[0], sheet.plan[1])
    east, north = sheet.at(sheet.plan[2], sheet.plan[3])
    bounds = (west, south, east, north)
    edges = [piece.outline.exterior for piece in plan.pieces] + [wall.outline.boundary for wall in view.storey.walls]
    placer = Placer(bounds, pen.mm(1.0), InkMap(bounds, pen.mm(0.3), edges))
    outside: list[Piece] = []
    labels: list[Label] = []
    for piece in plan.pieces:
        label = _inside(pen, piece)
        if label is None:
            outside.append(piece)
            continue
        labels.append(label)
        placer.reserve(label.box.bounds)
    for piece in outside:
        number = Wording(lines=(Line(text=piece.number, height=LEAST_MM, bold=True),), step=2.0)
        placed = placer.place(Wish(key=piece.number, area=piece.outline, wordings=(number,), framed=True))
        if placed is not None:
            labels.append(placed)
    for label in labels:
        if label.framed:
            draw_label(pen, label)
        else:
            _write(pen, label)
    return tuple(labels)


def _inside(pen: Pen, piece: Piece) -> Label | None:
    """A label in the middle of its piece, in the largest wording that fits."""
    west, south, east, north = piece.outline.bounds
    middle = ((west + east) / 2, (south + north) / 2)
    if not shapely.contains_xy(piece.outline, *middle):
        spot = piece.outline.representative_point()
        middle = (spot.x, spot.y)
    for wording, turned in _wordings(piece):
        wide = max(line.width for line in wording.lines) + 0.5
        high = (len(wording.lines) - 1) * wording.step + wording.lines[0].height * 1.2 + 0.2
        half = (pen.mm(high) / 2, pen.mm(wide) / 2) if turned else (pen.mm(wide) / 2, pen.mm(high) / 2)
        box = shapely.box(middle[0] - half[0], middle[1] - half[1], middle[0] + half[0], middle[1] + half[1])
        if shapely.covers(piece.outline, box):
            return Label(
                key=piece.number,
                wording=wording,
                middle=middle,
                turned=turned,
                box=box,
                line_boxes=(box,),
                framed=False,
            )
    return None


def _wordings(piece: Piece) -> Iterator[tuple[Wording, bool]]:
    """Ways to word a piece's label, the fullest first, each upright and turned."""
    number = Line(text=piece.number, height=NUMBER_MM, bold=True)
    sizes = f"{1000 * piece.length_m:.0f} x {1000 * piece.width_m:.0f}"
    full = Wording(lines=(number, Line(text=sizes, height=SIZE_MM)), step=2.9)
    beside = Wording(lines=(Line(text=f"{piece.number}  {sizes}", height=SIZE_MM, bold=True),), step=2.9)
    short = Wording(lines=(number,), step=2.9)
    small = Wording(lines=(Line(text=piece.number, height=LEAST_MM, bold=True),), step=2.0)
    for wording in (short, small) if piece.whole else (full, beside, short, small):
        for turned in (False, True):
            yield wording, turned


def _write(pen: Pen, label: Label) -> None:
    """The lines of a label about its middle."""
    turn = math.pi / 2 if label.turned else 0.0
    for k, line in enumerate(label.wording.lines):
        up = pen.mm(((len(label.wording.lines) - 1) / 2 - k) * label.wording.step - line.height / 2)
        at = (label.middle[0] - up * math.sin(turn), label.middle[1] + up * math.cos(turn))
        pen.text(at, line.text, line.height, align="middle", turn_deg=math.degrees(turn), bold=line.bold)
