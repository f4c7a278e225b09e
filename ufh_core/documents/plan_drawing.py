"""The plan of a storey as one neutral drawing, in mm of the building, with its sheet round it."""

from __future__ import annotations

from collections.abc import Callable

from ezdxf.document import Drawing

from ufh_core.basis.message import Message
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents import plan_writing
from ufh_core.documents.framed_page import DrawSign, Page, Plan, drawn
from ufh_core.documents.key_plan import storey_key
from ufh_core.documents.labels import Label
from ufh_core.documents.lettering import clean, wrapped
from ufh_core.documents.pen import Pen
from ufh_core.documents.plan_base import draw_base
from ufh_core.documents.plan_joints import draw_joints
from ufh_core.documents.plan_labels import draw_labels
from ufh_core.documents.plan_pipes import draw_attempts, draw_manifold, draw_pipes, draw_sleeves
from ufh_core.documents.plan_signs import draw_legend_sign
from ufh_core.documents.sheet import CHOICES, OVERVIEW, Sheet
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.documents.writing import Block
from ufh_core.words import mark, said, say


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

    return drawn_page(view, say("Floor heating plan"), plan_writing.blocks(view), draw, draw_legend_sign, date=date)


def drawn_page(
    view: StoreyView,
    heading: str,
    written: tuple[Block, ...],
    draw: Callable[[Pen, Sheet], tuple[Label, ...]],
    draw_sign: DrawSign,
    *,
    date: str = "",
) -> Plan:
    """A storey on the smallest sheet that holds it with what is `written` beside it.

    `draw` draws on the plan's part and gives its labels, `draw_sign` a sign of the legend.
    """
    storeys = view.design.storeys
    number = next((k for k, s in enumerate(storeys, 1) if s.storey == view.result.storey), 1)
    page = Page(
        design=view.design,
        heading=f"{heading}: {clean(view.storey.name) or view.storey.ifc_guid}",
        bounds=view.bounds,
        written=written,
        draw=draw,
        draw_sign=draw_sign,
        sheet_of=Message("{number} of {count}", number=number, count=max(len(storeys), 1)),
        date=date,
        choices=CHOICES if view.is_heated else OVERVIEW,
        draw_key=storey_key(view.design, view.result.storey) if len(storeys) > 1 else None,
    )
    return drawn(page)


def _say_nothing_to_lay(pen: Pen, sheet: Sheet, view: StoreyView) -> None:
    """Say at the head of the plan that it is empty on purpose, and why."""
    why = mark("none of its rooms is to be heated") if view.rooms else mark("the model has no rooms here")
    words = say("No floor heating on this storey: {why}.", why=said(why))
    lines = wrapped(words, sheet.plan[2] - sheet.plan[0] - 8.0, 2.6, bold=True)
    for k, text in enumerate(lines):
        pen.text(sheet.at(sheet.plan[0] + 4.0, sheet.plan[3] - 6.0 - 4.6 * k), text, 2.6, "SHEET", bold=True)
