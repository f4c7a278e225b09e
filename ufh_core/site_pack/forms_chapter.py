"""Test forms: for each hold point its rule, a table to fill in or filled in, and who signs."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.documents.site_forms import Form, form_of, outcome_word, shown
from ufh_core.documents.site_titles import title_of
from ufh_core.records.hold_points import HoldPoint
from ufh_core.records.kinds import Step
from ufh_core.site_pack.blocks import Block, Chapter, Grid, Heading, Paragraph
from ufh_core.site_pack.source import SiteSource
from ufh_core.words import said, say

TESTS = (Step.LAID, Step.LEAK, Step.FROST, Step.KEPT, Step.POUR, Step.MOISTURE)
BALANCING = (Step.FLOWS, Step.TEMPERATURES)


def forms_chapter(source: SiteSource) -> Chapter:
    """The forms of the tests; the first heating has a chapter of its own."""
    return Chapter(key="forms", title=say("Test forms"), wide=True, blocks=tuple(_of(source, TESTS)))


def balancing_chapter(source: SiteSource) -> Chapter:
    """The balancing sheet, and flow and return temperatures."""
    return Chapter(key="balancing", title=say("Balancing sheet"), wide=True, blocks=tuple(_of(source, BALANCING)))


def _of(source: SiteSource, steps: tuple[str, ...]) -> Iterator[Block]:
    for point in source.state.points:
        if point.name in steps:
            yield Heading(text=title_of(point.name), state=outcome_word(point))
            form = form_of(point, source.site, source.state)
            if form is not None:
                yield Paragraph(text=form.rule)
                yield grid_of(form) if form.rows else Paragraph(text=say("Nothing is asked for by what is on file."))
            if point.signed:
                yield signatures(point)


def grid_of(form: Form) -> Grid:
    """The table of a form; columns of words are wider."""
    wide = [any(row[k].wide for row in form.rows) or k == 0 for k in range(len(form.headings))]
    rows = tuple(tuple(cell.text for cell in row) for row in form.rows)
    return Grid(heads=form.headings, rows=rows, widths=tuple(2.0 if each else 1.0 for each in wide))


def signatures(point: HoldPoint) -> Grid:
    """Who signs, and who did."""
    rows = [
        (said(s.role), "", "", "")
        if s.filed is None
        else (
            said(s.role),
            s.filed.line.person,
            shown(s.filed.record.on),
            say("on file, line {line}", line=s.filed.line.number),
        )
        for s in point.signed
    ]
    heads = (say("who signs"), say("name"), say("date"), say("signature"))
    return Grid(heads=heads, rows=tuple(rows), widths=(2, 3, 1.5, 3))
