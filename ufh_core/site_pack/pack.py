"""The chapters in order, in the language that is spoken."""

from __future__ import annotations

from pathlib import Path

from ufh_core.design_result import Design
from ufh_core.documents.setting_out_text import short
from ufh_core.records.hold_points import site_state
from ufh_core.records.ledger import read_ledger
from ufh_core.records.site_design import read_site_design
from ufh_core.site_pack.blocks import Chapter, Pack
from ufh_core.site_pack.calendar_chapter import calendar_chapter
from ufh_core.site_pack.cards_chapter import cards_chapter
from ufh_core.site_pack.cutting_chapter import cutting_chapter
from ufh_core.site_pack.drawings_chapter import drawings_chapter
from ufh_core.site_pack.forms_chapter import balancing_chapter, forms_chapter
from ufh_core.site_pack.handover_chapter import handover_chapter
from ufh_core.site_pack.job_chapter import job_chapter
from ufh_core.site_pack.method_chapter import method_chapter
from ufh_core.site_pack.order_chapter import order_chapter
from ufh_core.site_pack.source import Source
from ufh_core.words import say

CHAPTERS = (
    job_chapter,
    drawings_chapter,
    cards_chapter,
    cutting_chapter,
    order_chapter,
    method_chapter,
    forms_chapter,
    calendar_chapter,
    balancing_chapter,
    handover_chapter,
)


def source_of(design: Design, folder: Path, records_in: Path) -> Source:
    """What the pack of a design is written from; `folder` holds its design.json and drawings.

    Raises: RecordError where design.json or the records in `records_in` cannot be read.
    """
    site = read_site_design(folder)
    return Source(design=design, site=site, state=site_state(site, read_ledger(records_in)), folder=folder)


def pack_of(source: Source) -> Pack:
    """The whole pack."""
    project = short(source.site.project)
    chapters: tuple[Chapter, ...] = tuple(make(source) for make in CHAPTERS)
    return Pack(
        title=say("Site pack"),
        project=project or say("floor heating"),
        state=_state(source),
        foot=say("Designed by calculation; to be checked against local codes, makers' instructions and the site."),
        chapters=tuple(chapter for chapter in chapters if chapter.blocks),
    )


def _state(source: Source) -> str:
    """Of which design and which records the pack is."""
    text = say(
        "Design {digest}, {count} records on file", digest=source.site.fingerprint, count=len(source.state.filed)
    )
    last = source.state.chain.last_digest
    return f"{text}; SHA-256 {last}" if source.state.filed and last else text
