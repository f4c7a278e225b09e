"""What is written beside a laying plan of panels: floors, order, cutting list, signs, how to lay."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.writing import Block, TableColumn, legend, paragraphs, table
from ufh_core.panels.types import CuttingLine, PanelArea, PanelPlan
from ufh_core.words import mark, number, say

STACK = 14
SIGNS = (
    ("whole", mark("whole panel")),
    ("cut", mark("cut piece: number; length x width to cut in mm, laps included")),
    ("pin", mark("small piece: pin it down, the pipe's tension lifts it")),
    ("start", mark("where laying begins, lock edges to the walls, and the way of the rows")),
)
RULES = (
    mark(
        "The studs of all panels stand on one grid, joints on the studs: the pipes of the circuits' plan fit between "
        "them. Laps of more than two studs are bad work."
    ),
    mark(
        "Pieces of one panel are cut by straight cuts from edge to edge; the order of cuts is in design.json. What is "
        "shown with a slant or a notch is trimmed on site after it."
    ),
    mark(
        "Sub-floor dry and level, edge strip first. Gaps narrower than a piece, as beside units, are filled with "
        "insulation and taped, so that no screed gets under the panels."
    ),
    mark("Sharp blades and power tools cut hands: gloves, eye protection, and a firm ground under the stack."),
    mark(
        "Designed by calculation. A competent person checks it against local codes, the makers' instructions and the "
        "site before work starts."
    ),
)
"""What a fitter keeps to besides; common practice."""


def panel_blocks(view: StoreyView, plan: PanelPlan) -> tuple[Block, ...]:
    """All blocks above the title, in reading order."""
    return (
        _floor_table(view, plan),
        _count_block(plan),
        _cutting_table(plan),
        legend(SIGNS),
        paragraphs("How to lay", _rules(plan)),
    )


def _floor_table(view: StoreyView, plan: PanelPlan) -> Block:
    """One row for each floor that is laid in one go; thresholds together."""
    columns = (
        TableColumn("", 9), TableColumn("floor", 42), TableColumn("whole", 12, "right"),
        TableColumn("pieces", 13, "right"), TableColumn("m²", 15, "right"),
    )  # fmt: skip
    floors = [area for area in plan.areas if not area.threshold]
    doors = [area for area in plan.areas if area.threshold]
    lines = [_floor_line(area.letter, ", ".join(view.label_of(r) for r in area.rooms), [area]) for area in floors]
    if doors:
        lines.append(_floor_line("T", say("thresholds"), doors))
    return table("Floors by the letter of their pieces", columns, lines)


def _floor_line(letter: str, name: str, areas: list[PanelArea]) -> tuple[str, ...]:
    pieces = [piece for area in areas for piece in area.pieces]
    whole = sum(piece.whole for piece in pieces)
    covered = sum(area.outline.area for area in areas)
    return letter, name, f"{whole}", f"{len(pieces) - whole}", number(covered, 1)


def _count_block(plan: PanelPlan) -> Block:
    size, stud = plan.size, plan.size.stud_m
    whole = sum(piece.whole for piece in plan.pieces)
    return paragraphs(
        "Panels of this storey",
        (
            say(
                "{panels} panels {long} x {wide} mm (covering), {whole} laid whole, {cut} to cut; the spare for damage "
                "is in the order",
                panels=plan.panels,
                long=_mm(size.long * stud),
                wide=_mm(size.wide * stud),
                whole=whole,
                cut=plan.panels - whole,
            ),
            say(
                "{covered:.1f} m² covered; {waste:.0f} % of the material does not end up on the floor, of which "
                "{left:.1f} m² remain in larger off-cuts",
                covered=plan.covered_m2,
                waste=100 * plan.waste,
                left=plan.left_m2,
            ),
        ),
    )


def _cutting_table(plan: PanelPlan) -> Block:
    """Width, length, and the pieces with the panel that each is cut from, which are stacked and cut together."""
    columns = (
        TableColumn("width", 11, "right"), TableColumn("length", 12, "right"), TableColumn("", 8, "right"),
        TableColumn("pieces (from panel)", 60),
    )  # fmt: skip
    rows = [row for line in plan.cutting_list for row in _cutting_rows(line)]
    return table("To cut, in mm, laps included; one width in one stack", columns, rows)


def _cutting_rows(line: CuttingLine) -> Iterator[tuple[str, ...]]:
    for first in range(0, len(line.pieces), STACK):
        pieces = line.pieces[first : first + STACK]
        panels = line.panels[first : first + STACK]
        named = ", ".join(f"{piece} ({panel})" for piece, panel in zip(pieces, panels, strict=True))
        yield _mm(line.width_m), _mm(line.length_m), f"{len(pieces)}x", named


def _rules(plan: PanelPlan) -> tuple[str, ...]:
    """What a fitter keeps to; common practice."""
    lap = _mm(plan.size.lap * plan.size.stud_m)
    return (
        say(
            "Measure each gap before cutting: a piece is its gap and the lap ({lap} mm over each neighbour laid before "
            "it). Where a gap differs from the list, the gap counts.",
            lap=lap,
        ),
        *map(say, RULES),
    )


def _mm(metres: float) -> str:
    return f"{1000 * metres:.0f}"
