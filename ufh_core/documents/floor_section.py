"""Sections through the floors of a storey: each build-up once, with its layers, thicknesses and heights.

A floor is drawn from the wall on, to scale, in millimetres of the floor; what is written beside a layer stands in
rows of its own, with a line to the layer, so that thin layers can be read too.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from ufh_core.basis.errors import OutputError
from ufh_core.design_result import Design, RoomDesign, StoreyDesign
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.section_drawing import LEFT_MM, SCALE, FloorKind, SectionDrawing, height_mm
from ufh_core.documents.sheet import PAPERS, Sheet
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.floor.fixing import PANELS, fixing_of
from ufh_core.floor.types import BuildUp
from ufh_core.words import mark, said, say

TOP_MM, FOOT_MM = 30.0, 16.0
HEAD = mark("1:{scale}, {paper}; heights in mm; F flow, R return; studs are shown in principle")
HELD = mark("1:{scale}, {paper}; heights in mm; F flow, R return; pipe held by {held}, shown in principle")
FOOT = mark(
    "Designed by calculation. To be checked by a competent person against local rules, data sheets and the site."
)


def floor_sections(design: Design, storey: StoreyDesign) -> Plan:
    """The sections as a drawing on the smallest sheet that holds them.

    Raises: OutputError where the storey has no floors, or is not in the building.
    """
    view = storey_view(design, storey)
    kinds = floor_kinds(view)
    if not kinds:
        raise OutputError("nothing is heated on the storey: there are no floors to draw")
    sheet, places = _sheet([height_mm(kind, design.settings) for kind in kinds])
    pen = Pen(SCALE)
    pen.fill(shapely.box(*sheet.at(0, 0), *sheet.at(sheet.width, sheet.height)), "SHEET", PAPER)
    title = say("Floor sections: {storey}", storey=view.storey.name)
    pen.text(sheet.at(LEFT_MM, sheet.height - 16), title, 3.5, "SHEET", bold=True)
    held = fixing_of(design.settings).name
    head = say(HEAD if held == PANELS else HELD, scale=SCALE, paper=said(sheet.paper), held=said(held))
    pen.text(sheet.at(LEFT_MM, sheet.height - 22), head, 1.8, "SHEET")
    pen.text(sheet.at(LEFT_MM, 8), say(FOOT), 1.8, "SHEET")
    for number, (kind, (x, top)) in enumerate(zip(kinds, places, strict=True), 1):
        SectionDrawing(pen, sheet, kind, design.settings, x, top).draw(number)
    return Plan(document=pen.document, sheet=sheet, labels=(), title=title)


def floor_kinds(view: StoreyView) -> list[FloorKind]:
    """The build-ups that differ, most floor first."""
    groups: dict[tuple[object, ...], list[tuple[RoomDesign, BuildUp, float, str, float]]] = {}
    for room in view.rooms:
        build_up, output = room.result.build_up, room.result.output
        if build_up is None or not build_up.layers:
            continue
        floor, pitch = room.room.floor_m, output.pitch_m if output else 0.0
        layers = tuple((x.role, x.material, round(x.thickness_m, 4), round(x.r_value, 3)) for x in build_up.layers)
        key = (build_up.below, layers, round(build_up.layers[-1].top_m - floor, 3))
        groups.setdefault(key, []).append((room.result, build_up, room.room.outline.area, room.room.label, pitch))
    floors = {room.room.ifc_guid: room.room.floor_m for room in view.rooms}
    ordered = sorted(groups.values(), key=lambda rows: (-sum(row[2] for row in rows), rows[0][0].room))
    return [
        FloorKind(
            build_up=rows[0][1],
            labels=tuple(row[3] for row in rows),
            floor_m=floors[rows[0][0].room],
            pitch_m=min((row[4] for row in rows if row[4] > 0), default=0.15),
        )
        for rows in ordered
    ]


def _sheet(heights: Sequence[float]) -> tuple[Sheet, list[tuple[float, float]]]:
    """The smallest upright sheet that holds blocks of these heights, and the upper left corner of each [mm]."""
    width = PAPERS["A4"][0]
    for paper in ("A4", "A3", "A2", "A1", "A0"):
        wide, high = PAPERS[paper]
        if paper == "A3":
            wide, high = width, 420.0  # a strip as long as A3: one column
        places = _placed(heights, high - TOP_MM, FOOT_MM, int(wide // width), width)
        if places is not None:
            break
    else:
        high, places = TOP_MM + FOOT_MM + sum(heights), _placed(heights, FOOT_MM + sum(heights), FOOT_MM, 1, width)
        paper, wide = "roll", width
    sheet = Sheet(
        paper=paper, width=wide, height=high, scale=SCALE, corner=(0.0, 0.0), plan=(0.0, 0.0, wide, high), columns=()
    )
    return sheet, places or []


def _placed(
    heights: Sequence[float], top: float, foot: float, columns: int, width: float
) -> list[tuple[float, float]] | None:
    """Blocks down columns; None where they do not fit."""
    places: list[tuple[float, float]] = []
    column, at = 0, top
    for height in heights:
        if at - height < foot and at < top:
            column, at = column + 1, top
        if column >= columns or at - height < foot - 1e-6:
            return None
        places.append((column * width, at))
        at -= height
    return places
