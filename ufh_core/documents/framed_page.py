"""A sheet with its frame: what is drawn, what is written beside it, and the title block at the foot.

Every drawing goes this one way, whether it shows a storey, a manifold or the whole heating; so each can be written as
SVG, PDF and DXF by the same code.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import shapely
from ezdxf.document import Drawing

from ufh_core.basis.message import Message
from ufh_core.design_result import Design
from ufh_core.documents.labels import Label
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.plan_signs import BAR_MM, draw_north, draw_scale_bar
from ufh_core.documents.sheet import CHOICES, GAP_MM, MARGIN_MM, Choices, Column, Sheet, choose_sheet
from ufh_core.documents.title_block import title_rows
from ufh_core.documents.writing import Block, PlacedRow, Row, draw_rows, flow
from ufh_core.words import said, say

DrawSign = Callable[[Pen, Sheet, str, float, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A drawn sheet: the drawing, the sheet it is for, and the labels on it."""

    document: Drawing
    sheet: Sheet
    labels: tuple[Label, ...]
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What a sheet is to hold: `bounds` [m] of what is drawn, blocks `written` beside it, `sheet_of` as "1 of 2".

    `draw` draws and gives the labels, `draw_sign` a sign of the legend, `draw_key` a key plan about a middle
    [mm on the sheet]. Sheets without a scale (`to_scale` False) are drawn in mm of paper.
    """

    design: Design
    heading: str
    bounds: tuple[float, float, float, float]
    written: tuple[Block, ...]
    draw: Callable[[Pen, Sheet], tuple[Label, ...]]
    draw_sign: DrawSign
    sheet_of: str = Message("{number} of {count}", number=1, count=1)
    date: str = ""
    choices: Choices = CHOICES
    to_scale: bool = True
    north: bool = True
    draw_key: Callable[[Pen, Sheet, float, float], None] | None = None


def drawn(page: Page) -> Plan:
    """The page on the smallest sheet that holds it with what is written beside it."""
    foot_mm = sum(row.height for row in _title(page, 50, "A0")) + 3.0

    def fits(columns: tuple[Column, ...]) -> bool:
        return flow(page.written, foot_mm, columns) is not None

    sheet = choose_sheet(page.bounds, fits, page.choices)
    pen = Pen(sheet.scale)
    _draw_paper(pen, sheet)
    labels = page.draw(pen, sheet)
    _draw_writing(pen, sheet, page, _title(page, sheet.scale, sheet.paper))
    _set_page(pen.document, sheet)
    return Plan(document=pen.document, sheet=sheet, labels=labels, title=page.heading)


def _title(page: Page, scale: int, paper: str) -> tuple[Row, ...]:
    sizes = {"scale": scale, "paper": said(paper)}
    words = say("scale 1:{scale} on {paper}", **sizes) if page.to_scale else say("not to scale, on {paper}", **sizes)
    signs = ["key plan"] if page.draw_key else []
    signs += ["scale and north" if page.north else "scale"] if page.to_scale else []
    return title_rows(
        page.design,
        page.heading,
        say("{words} · sheet {number}", words=words, number=said(page.sheet_of)),
        page.date,
        signs,
    )


def _draw_writing(pen: Pen, sheet: Sheet, page: Page, title: tuple[Row, ...]) -> None:
    foot_mm = sum(row.height for row in title) + 3.0
    placed = flow(page.written, foot_mm, sheet.columns) or ()
    placed += _at_foot(title, sheet.columns[-1])

    def draw_sign(sign: str, x: float, middle: float) -> None:
        if sign == "key plan" and page.draw_key:
            page.draw_key(pen, sheet, x, middle)
        elif sign in ("scale and north", "scale"):
            draw_scale_bar(pen, sheet, x + 3.0, middle - 4.0)
            if sign == "scale and north":
                draw_north(pen, sheet, x + BAR_MM + 15.0, middle - 1.0, page.design.building.north_rad)
        else:
            page.draw_sign(pen, sheet, sign, x, middle)

    draw_rows(pen, sheet, placed, draw_sign)


def _at_foot(rows: tuple[Row, ...], column: Column) -> tuple[PlacedRow, ...]:
    at = column.bottom + sum(row.height for row in rows)
    placed = []
    for row in rows:
        placed.append(PlacedRow(row=row, x=column.x, top=at))
        at -= row.height
    return tuple(placed)


def _draw_paper(pen: Pen, sheet: Sheet) -> None:
    """The paper's edge, the frame, and the lines between the plan and the writing."""
    pen.fill(shapely.box(*sheet.at(0, 0), *sheet.at(sheet.width, sheet.height)), "SHEET", PAPER)
    low, high = MARGIN_MM - 3.0, (sheet.width - MARGIN_MM + 3.0, sheet.height - MARGIN_MM + 3.0)
    frame = shapely.box(*sheet.at(low, low), *sheet.at(*high))
    pen.outline(frame, "SHEET", weight_mm=0.5)
    left, bottom, right, top = sheet.plan
    pen.outline(shapely.box(*sheet.at(left, bottom), *sheet.at(right, top)), "SHEET")
    for column in sheet.columns[1:]:
        x = column.x - GAP_MM / 2
        pen.line([sheet.at(x, column.bottom), sheet.at(x, column.top)], "SHEET", weight_mm=0.09)


def _set_page(document: Drawing, sheet: Sheet) -> None:
    layout = document.modelspace().dxf_layout
    layout.dxf.paper_width, layout.dxf.paper_height = sheet.width, sheet.height
    layout.dxf.left_margin = layout.dxf.right_margin = layout.dxf.top_margin = layout.dxf.bottom_margin = 0.0
    layout.dxf.scale_numerator, layout.dxf.scale_denominator = 1.0, float(sheet.scale)
