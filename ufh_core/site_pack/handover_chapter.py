"""The sheet with which the heating is handed over: what is passed on, what to keep to, and who signs."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.documents.site_forms import outcome_word
from ufh_core.documents.site_titles import title_of
from ufh_core.records.kinds import Step
from ufh_core.site_pack.blocks import Block, Box, Chapter, Grid, Heading, Paragraph
from ufh_core.site_pack.forms_chapter import signatures
from ufh_core.site_pack.source import SiteSource
from ufh_core.words import mark, said, say

PASSED_ON = (
    mark("as-laid drawings, changes in red"),
    mark("photographs of the pipes before the screed"),
    mark("records of leak test, screed, first heating, moisture"),
    mark("balancing sheet with the valve settings as they stand"),
    mark("data sheets of pipe, manifold, pump, screed and finish"),
    mark("where the main switch, the shut-off valves and the drain cock are"),
)
KEEP_TO = (
    mark("No drilling, no nails, no screws in the heated floor without the drilling depth map."),
    mark("Change a finish only for one whose maker allows it on heated floors, and within its thermal resistance."),
    mark("Leave the set valves as they are; room temperature is set on the thermostat."),
    mark("The safety limit stat stays fitted: water that is too hot harms the floor and scalds."),
    mark("Fill up with water of the quality that the makers ask for, and look at the pressure once a year."),
)


def handover_chapter(source: SiteSource) -> Chapter:
    """The chapter."""
    return Chapter(key="handover", title=say("Handover sheet"), blocks=tuple(_blocks(source)))


def _blocks(source: SiteSource) -> Iterator[Block]:
    points = source.state.points
    lacking = [title_of(p.name) for p in points if p.asked_for and p.name != Step.SIGNED and p.outcome != "pass"]
    if lacking:
        yield Box(title=say("Not ready for handover"), texts=(say("Still open: {what}.", what=", ".join(lacking)),))
    yield from handed_over(source)


def handed_over(source: SiteSource) -> Iterator[Block]:
    """What is passed on, how the hold points stand, what to keep to, who signs."""
    points = source.state.points
    yield Heading(text=say("What is handed over"))
    heads = (say("handed over"), say("yes / no"), say("remarks"))
    given = tuple((said(text), "", "") for text in PASSED_ON)
    yield Grid(heads=heads, rows=given, widths=(5, 1.2, 4))
    yield Heading(text=say("Hold points"))
    rows = tuple((title_of(p.name), outcome_word(p)) for p in points if p.name != Step.SIGNED)
    yield Grid(heads=(say("hold point"), say("result")), rows=rows, widths=(3, 2))
    yield Box(title=say("What the owner keeps to"), texts=tuple(said(text) for text in KEEP_TO))
    yield Heading(text=say("Signatures"))
    yield signatures(next(p for p in points if p.name == Step.SIGNED))
    yield Paragraph(text=say("Who signs is a proposal: contract and local codes rule."))
