"""What is cut: coils into circuits, panels into pieces."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.panels.types import CuttingLine, PanelPlan
from ufh_core.site_pack.blocks import Block, Chapter, Grid, Heading, Paragraph
from ufh_core.site_pack.source import Source
from ufh_core.words import number, say


def cutting_chapter(source: Source) -> Chapter:
    """The chapter."""
    return Chapter(key="cutting", title=say("Cutting lists"), blocks=(*_coils(source), *_panels(source)))


def _coils(source: Source) -> Iterator[Block]:
    """Each coil with its circuits in the order of cutting."""
    coils = source.design.coils.coils if source.design.coils else ()
    yield Heading(text=say("Pipe from coils"))
    if not coils:
        yield Paragraph(text=say("No coil is long enough for these circuits: ask for longer ones."))
        return
    yield Paragraph(text=say("Longest first, in this order: so the coils are enough. No joint lies in the floor."))
    rows = []
    for k, coil in enumerate(coils, 1):
        for n, (circuit, cut) in enumerate(zip(coil.circuits, coil.cuts_m, strict=True)):
            head = (f"{k}", f"{coil.length_m:.0f} m") if n == 0 else (f"{k}", "–")
            left = number(coil.left_m, 1) if n == len(coil.circuits) - 1 else "–"
            rows.append((*head, circuit, number(cut, 1), left, ""))
    heads = (say("coil"), say("coil holds"), say("circuit"), say("cut m"), say("remains m"), say("cut by"))
    yield Grid(heads=heads, rows=tuple(rows), widths=(1, 2, 2, 2, 2, 3), right=(3, 4))


def _panels(source: Source) -> Iterator[Block]:
    """The pieces of panels of each storey."""
    for storey in source.design.storeys:
        if storey.panels is not None and storey.panels.cutting_list:
            yield Heading(text=say("Panel pieces, {storey}", storey=source.storey(storey.storey)))
            yield Paragraph(text=_rule(storey.panels))
            heads = (say("width mm"), say("length mm"), say("pieces"), say("piece (from panel)"))
            rows = tuple(_line(line) for line in storey.panels.cutting_list)
            yield Grid(heads=heads, rows=rows, widths=(1, 1, 1, 9), right=(0, 1, 2))


def _rule(plan: PanelPlan) -> str:
    return say(
        "Laps of {lap:.0f} mm over each neighbour are included. Measure each gap before cutting: where it differs "
        "from the list, the gap and the lap count.",
        lap=1000 * plan.size.lap * plan.size.stud_m,
    )


def _line(line: CuttingLine) -> tuple[str, ...]:
    named = ", ".join(f"{piece} ({panel})" for piece, panel in zip(line.pieces, line.panels, strict=True))
    return f"{1000 * line.width_m:.0f}", f"{1000 * line.length_m:.0f}", f"{len(line.pieces)}", named
