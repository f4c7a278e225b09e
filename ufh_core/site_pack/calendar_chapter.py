"""The screed's heating calendar, and the first heating day by day."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.documents.site_forms import calendar_on_file, form_of
from ufh_core.records.kinds import Step
from ufh_core.section.first_heating import CAUTIONS
from ufh_core.site_pack.blocks import Block, Box, Chapter, Grid, Heading, Paragraph
from ufh_core.site_pack.forms_chapter import grid_of
from ufh_core.site_pack.source import SiteSource
from ufh_core.words import said, say


def calendar_chapter(source: SiteSource) -> Chapter:
    """The chapter."""
    return Chapter(key="calendar", title=say("Screed heating calendar"), blocks=tuple(_blocks(source)))


def _blocks(source: SiteSource) -> Iterator[Block]:
    days = calendar_on_file(source.site, source.state)
    if not days:
        yield Paragraph(text=say("No first heating is designed: ask the screed's maker."))
        return
    yield Paragraph(text=say("Days are counted from the last screed of the floor; each waits for the one before it."))
    rows = [
        (
            say("day {day:.0f}", day=-(-day.day // 1)),
            "–" if day.on is None else day.on.isoformat(),
            said(day.what),
            said(day.source),
            "",
        )
        for day in days
    ]
    heads = (say("day"), say("earliest date"), say("what"), say("source"), say("done on, by"))
    yield Grid(heads=heads, rows=tuple(rows), widths=(1, 1.5, 5, 2.2, 2.2))
    yield Box(title=say("Cautions"), texts=tuple(said(text) for text in CAUTIONS))
    point = next(point for point in source.state.points if point.name == Step.HEATING)
    form = form_of(point, source.site, source.state)
    if form is not None and form.rows:
        yield Heading(text=say("First heating, day by day"))
        yield Paragraph(text=form.rule)
        yield grid_of(form)
