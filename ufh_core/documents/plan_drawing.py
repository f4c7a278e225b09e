"""The plan of a storey as one neutral drawing, in mm of the building, with its sheet round it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import shapely
from ezdxf.document import Drawing

from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents import plan_writing
from ufh_core.documents.labels import Label
from ufh_core.documents.lettering import wrapped
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.plan_base import draw_base
from ufh_core.documents.plan_joints import draw_joints
from ufh_core.documents.plan_labels import draw_labels
from ufh_core.documents.plan_pipes import draw_attempts, draw_manifold, draw_pipes, draw_sleeves
from ufh_core.documents.plan_signs import BAR_MM, draw_legend_sign, draw_north, draw_scale_bar
from ufh_core.documents.sheet import GAP_MM, MARGIN_MM, Column, Sheet, choose_sheet
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.documents.writing import Block, PlacedRow, Row, draw_rows, flow


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A drawn plan: the drawing, the sheet it is for, and the labels on it."""

    document: Drawing
    sheet: Sheet
    labels: tuple[Label, ...]
    title: str


def plan_drawing(design: Design, storey: StoreyDesign, *, date: str = "") -> Drawing:
    """The plan of `storey` [model space in mm of the building]. `date` is printed as it is given.

    Raises: OutputError where the storey is not in the building.
    """
    return drawn_plan(design, storey, date=date).document


def drawn_plan(design: Design, storey: StoreyDesign, *, date: str = "") -> Plan:
    """The plan of `storey` with its sheet. Raises: OutputError as `plan_drawing`."""
    view = storey_view(design, storey)

    def draw(pen: Pen, sheet: Sheet) -> tuple[Label, ...]:
        draw_base(pen, view)
        for manifold in storey.manifolds:
            draw_manifold(pen, manifold.manifold)
        draw_attempts(pen, view)
        draw_pipes(pen, view)
        draw_sleeves(pen, view)
        draw_joints(pen, view)
        labels = draw_labels(pen, sheet, view)
        if not view.is_heated:
            _say_nothing_to_lay(pen, sheet, view)
        return labels

    return drawn_page(view, "Floor heating plan", plan_writing.blocks(view), draw, draw_legend_sign, date=date)


def drawn_page(
    view: StoreyView,
    heading: str,
    written: tuple[Block, ...],
    draw: Callable[[Pen, Sheet], tuple[Label, ...]],
    draw_sign: Callable[[Pen, Sheet, str, float, float], None],
    *,
    date: str = "",
) -> Plan:
    """A storey on the smallest sheet that holds it with what is `written` beside it.

    `draw` draws on the plan's part and gives its labels, `draw_sign` a sign of the legend.
    """
    foot_mm = sum(row.height for row in _title(view, heading, 50, "A0", date)) + 3.0

    def fits(columns: tuple[Column, ...]) -> bool:
        return flow(written, foot_mm, columns) is not None

    sheet = choose_sheet(view.bounds, fits, overview=not view.is_heated)
    pen = Pen(sheet.scale)
    _draw_paper(pen, sheet)
    labels = draw(pen, sheet)
    _draw_writing(pen, sheet, view, written, _title(view, heading, sheet.scale, sheet.paper, date), draw_sign)
    _set_page(pen.document, sheet)
    return Plan(document=pen.document, sheet=sheet, labels=labels, title=f"{heading}: {view.storey.name}")


def _say_nothing_to_lay(pen: Pen, sheet: Sheet, view: StoreyView) -> None:
    """Say at the head of the plan that it is empty on purpose, and why."""
    why = "none of its rooms is to be heated" if view.rooms else "the model has no rooms here"
    lines = wrapped(f"No floor heating on this storey: {why}.", sheet.plan[2] - sheet.plan[0] - 8.0, 2.6, bold=True)
    for k, text in enumerate(lines):
        pen.text(sheet.at(sheet.plan[0] + 4.0, sheet.plan[3] - 6.0 - 4.6 * k), text, 2.6, "SHEET", bold=True)


def _title(view: StoreyView, heading: str, scale: int, paper: str, date: str) -> tuple[Row, ...]:
    storeys = view.design.storeys
    number = next((k for k, s in enumerate(storeys, 1) if s.storey == view.result.storey), 1)
    return plan_writing.title_rows(view, heading, scale, paper, f"{number} of {max(len(storeys), 1)}", date)


def _draw_writing(
    pen: Pen,
    sheet: Sheet,
    view: StoreyView,
    written: tuple[Block, ...],
    title: tuple[Row, ...],
    draw_legend: Callable[[Pen, Sheet, str, float, float], None],
) -> None:
    foot_mm = sum(row.height for row in title) + 3.0
    placed = flow(written, foot_mm, sheet.columns) or ()
    placed += _at_foot(title, sheet.columns[-1])

    def draw_sign(sign: str, x: float, middle: float) -> None:
        if sign == "scale and north":
            draw_scale_bar(pen, sheet, x + 3.0, middle - 4.0)
            draw_north(pen, sheet, x + BAR_MM + 15.0, middle - 1.0, view.design.building.north_rad)
        else:
            draw_legend(pen, sheet, sign, x, middle)

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
