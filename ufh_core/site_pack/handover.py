"""The handover file: as laid, with all records and verdicts, settings and cautions; what is missing is said first."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ufh_core.documents.setting_out_text import short
from ufh_core.documents.site_cautions import CAUTIONS
from ufh_core.documents.site_forms import shown
from ufh_core.documents.site_titles import title_of
from ufh_core.records.hold_points import HoldPoint, site_state
from ufh_core.records.kinds import AsLaid, FlowReading
from ufh_core.records.ledger import read_ledger
from ufh_core.records.site_design import FILE as DESIGN
from ufh_core.records.site_design import read_site_design
from ufh_core.records.verdicts import Outcome
from ufh_core.section.first_heating import GREATEST_FLOW_C
from ufh_core.site_pack.blocks import Block, Box, Chapter, Drawing, Grid, Pack, Paragraph
from ufh_core.site_pack.calendar_chapter import calendar_chapter
from ufh_core.site_pack.depth_map import HEIGHT_MM, WIDTH_MM, depth_map
from ufh_core.site_pack.drawings_chapter import drawings_chapter
from ufh_core.site_pack.drilling import BASIS, Depth, depths
from ufh_core.site_pack.forms_chapter import balancing_chapter, forms_chapter
from ufh_core.site_pack.handover_chapter import handed_over
from ufh_core.site_pack.source import SiteSource
from ufh_core.words import mark, number, said, say

MOST_UNDER_COVERING_C = 27.0
"""Warmest underside of a resilient covering [°C]. Source: BS 8203, in a public guidance."""
FINISHES = (
    mark("Wood, laminate and resilient coverings: only kinds that their makers allow on heated floors, and only after "
         "the moisture test."),
    mark("After a finish is laid, raise the flow temperature slowly at the first heating of every season."),
    mark("Thick carpets, mattresses and furniture without feet hold the heat back: floor below them gets warmer."),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Handover:
    """The pack, drawings that are made for it by file name, and what keeps it from being complete, in words."""

    pack: Pack
    drawn: Mapping[str, str]
    lacking: tuple[str, ...]
    source: SiteSource
    depths: tuple[Depth, ...]


def handover_of(folder: Path) -> Handover:
    """The handover of a design's folder, in the language that is spoken.

    Raises: RecordError where design.json or the records cannot be read.
    """
    site = read_site_design(folder)
    source = SiteSource(site=site, state=site_state(site, read_ledger(folder)), folder=folder)
    table = json.loads((folder / DESIGN).read_text(encoding="utf-8"))
    found = depths(table, site, source.state)
    drawn = dict(_maps(table, source, found))
    lacking = tuple(_lacking(source))
    chapters = (
        Chapter(key="state", title=say("State of the handover"), blocks=tuple(_state(source, lacking))),
        Chapter(key="as-laid", title=say("Circuits as laid and set"), blocks=tuple(_as_laid(source))),
        Chapter(key="drilling", title=say("Where and how deep one may drill"), blocks=tuple(_drilling(found, drawn))),
        Chapter(key="maps", title=say("Drilling depth maps"), blocks=tuple(_map_pages(drawn))),
        forms_chapter(source),
        calendar_chapter(source),
        balancing_chapter(source),
        Chapter(key="ledger", title=say("All records"), wide=True, blocks=(_ledger(source),)),
        Chapter(key="settings", title=say("Settings of the design"), blocks=(_settings(table),)),
        drawings_chapter(source),
    )
    pack = Pack(
        title=say("Handover file") if not lacking else say("Handover file – NOT COMPLETE"),
        project=short(site.project) or say("floor heating"),
        state=_of_what(source),
        foot=say("Designed by calculation; to be checked against local codes, makers' instructions and the site."),
        chapters=tuple(chapter for chapter in chapters if chapter.blocks),
    )
    return Handover(pack=pack, drawn=drawn, lacking=lacking, source=source, depths=found)


def _of_what(source: SiteSource) -> str:
    count = len(source.state.filed)
    text = say("Design {digest}, {count} records on file", digest=source.site.fingerprint, count=count)
    return f"{text}; SHA-256 {source.state.chain.last_digest}" if count else text


def _lacking(source: SiteSource) -> Iterator[str]:
    """What is not passed, not signed, or not as it was written."""
    for point in source.state.points:
        if point.outcome is Outcome.FAIL:
            yield say("{what}: fails", what=title_of(point.name)) + _subjects(point, Outcome.FAIL)
        elif point.rows and point.outcome is Outcome.MISSING:
            yield say("{what}: not complete", what=title_of(point.name)) + _subjects(point, Outcome.MISSING)
        if point.unsigned:
            roles = ", ".join(said(role) for role in point.unsigned)
            yield say("{what}: not signed by {roles}", what=title_of(point.name), roles=roles)
    old = [filed.line.number for filed in source.state.filed if not filed.same_design]
    if old:
        lines = ", ".join(map(str, old[:20]))
        yield say("recorded for an earlier state of the design, lines {lines}", lines=lines)
    if source.state.chain.faults or source.state.chain.torn or source.state.strays:
        yield say("the file of records was changed or is not whole")


def _subjects(point: HoldPoint, outcome: Outcome) -> str:
    own = [row.subject for row in point.rows if row.outcome is outcome]
    more = f" + {len(own) - 12}" if len(own) > 12 else ""
    return f" ({', '.join(own[:12])}{more})" if own else ""


def _state(source: SiteSource, lacking: tuple[str, ...]) -> Iterator[Block]:
    if lacking:
        title = say("NOT COMPLETE: this file does not prove that the heating is in order")
        yield Box(title=title, texts=lacking)
    else:
        yield Paragraph(text=say("Every hold point passes and is signed, and the file of records is whole."))
    yield from handed_over(source)
    yield Box(title=say("Cautions"), texts=tuple(said(text) for text in CAUTIONS))
    most = say("Flow at most {most:g} °C in screed (DIN 18560-2).", most=GREATEST_FLOW_C)
    under = say("At most {most:g} °C at the underside of a resilient covering (BS 8203).", most=MOST_UNDER_COVERING_C)
    finishes = (most, under, *(said(text) for text in FINISHES))
    yield Box(title=say("Finishes: limits, and the first heating under them"), texts=finishes)


def _as_laid(source: SiteSource) -> Iterator[Block]:
    """Length by the marks, flow and turns of the last reading, beside the design."""
    yield Paragraph(text=say("Lengths by the metre marks on the pipe; – where nothing is on file."))
    laid = {f.record.circuit: f.record for f in source.state.filed if isinstance(f.record, AsLaid)}
    flows = {f.record.circuit: f.record for f in source.state.filed if isinstance(f.record, FlowReading)}
    rows = []
    for circuit in source.site.circuits:
        own, flow = laid.get(circuit.number), flows.get(circuit.number)
        turns = flow.turns if flow is not None and flow.turns is not None else None
        rows.append(
            (
                circuit.number,
                ", ".join(map(short, circuit.rooms)),
                number(circuit.length_m, 1),
                "–" if own is None else number(own.length_m, 1),
                number(circuit.flow_l_min, 2),
                "–" if flow is None else number(flow.measured_l_min, 2),
                "–" if circuit.valve_turns is None else shown(circuit.valve_turns),
                "–" if turns is None else shown(turns),
                "–" if own is None or not own.change else own.change,
            )
        )
    heads = (
        say("circuit"), say("rooms"), say("drawn m"), say("laid m"), say("design l/min"), say("measured l/min"),
        say("set turns"), say("turns"), say("change"),
    )  # fmt: skip
    yield Grid(heads=heads, rows=tuple(rows), widths=(1.2, 3, 1, 1, 1.1, 1.3, 1.2, 1, 2.5), right=(2, 3, 4, 5, 6, 7))


def _drilling(found: tuple[Depth, ...], drawn: Mapping[str, str]) -> Iterator[Block]:
    if not drawn:
        return
    texts = (
        said(BASIS),
        say(
            "Only with a pipe detector and a depth stop, and never over a pipe on the map, in a doorway or at a joint."
        ),
        say("Where a depth is missing, the screed's thickness is not on file: nothing may be drilled there."),
    )
    yield Box(title=say("Before anyone drills"), texts=texts)
    rows = [
        (
            short(d.room),
            short(d.storey),
            f"{d.finish_mm:.0f}",
            f"{d.cover_mm:.0f}",
            say("no drilling") if d.most_mm is None else f"{d.most_mm:.0f}",
        )
        for d in found
    ]
    heads = (say("room"), say("storey"), say("finish mm"), say("screed over the pipe mm, designed"), say("at most mm"))
    yield Grid(heads=heads, rows=tuple(rows), widths=(4, 3, 1.5, 2.5, 2), right=(2, 3, 4))


def _maps(table: Mapping[str, Any], source: SiteSource, found: tuple[Depth, ...]) -> Iterator[tuple[str, str]]:
    names = {room.guid: room.name for room in source.site.rooms}
    for k, storey in enumerate(table["storeys"], 1):
        drawing = depth_map(storey, names, found)
        if drawing is not None:
            yield f"drilling-depth-{k}.svg", drawing


def _map_pages(drawn: Mapping[str, str]) -> Iterator[Block]:
    for k, file in enumerate(drawn, 1):
        yield Drawing(file=file, title=say("Drilling depth map {k}", k=k), width_mm=WIDTH_MM, height_mm=HEIGHT_MM)


def _ledger(source: SiteSource) -> Grid:
    """Every line of the file with its hash, so that paper and file can be held against each other."""
    rows = []
    for filed in source.state.filed:
        line, values = filed.line, filed.record.values()
        text = "; ".join(f"{name} {shown(value)}" for name, value in values.items())
        who = f"{said(line.role)} {line.person}".strip()
        rows.append((f"{line.number}", str(line.at)[:16].replace("T", " "), who, line.kind, text, line.digest[:16]))
    heads = (say("line"), say("time (UTC)"), say("who"), say("kind of record"), say("values"), "SHA-256")
    return Grid(heads=heads, rows=tuple(rows), widths=(0.6, 2.3, 2, 1.5, 7, 2), right=(0,))


def _settings(table: Mapping[str, Any]) -> Grid:
    rows = [
        (f"{section}.{name}", _plain(value))
        for section, values in table["settings"].items()
        if isinstance(values, dict)
        for name, value in values.items()
    ]
    return Grid(heads=(say("setting"), say("value")), rows=tuple(rows), widths=(2, 4))


def _plain(value: Any) -> str:
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 300 else text[:299] + "…"
