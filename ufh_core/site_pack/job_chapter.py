"""The job on one page: what is laid where, how warm, what is still open, and how to use the pack."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.basis.findings import Severity
from ufh_core.design_result import RoomStatus
from ufh_core.documents.setting_out_text import short
from ufh_core.documents.site_cautions import CAUTIONS
from ufh_core.site_pack.blocks import Block, Box, Chapter, Grid, Heading, Paragraph, Points
from ufh_core.site_pack.source import Source
from ufh_core.words import mark, number, said, say

MOST_FINDINGS = 14
_STATUS = {
    RoomStatus.HEATED: mark("carried"),
    RoomStatus.NOT_HEATED: mark("not heated"),
    RoomStatus.SHORT: mark("short"),
    RoomStatus.FAILED: mark("not laid"),
}


def job_chapter(source: Source) -> Chapter:
    """The chapter."""
    return Chapter(key="job", title=say("The job on one page"), blocks=tuple(_blocks(source)))


def _blocks(source: Source) -> Iterator[Block]:
    yield Box(title=say("Cautions"), texts=tuple(said(text) for text in CAUTIONS))
    yield _facts(source)
    yield Heading(text=say("Manifolds"))
    yield _manifolds(source)
    yield Heading(text=say("Rooms"))
    yield _rooms(source)
    yield from _open(source)


def _facts(source: Source) -> Grid:
    design, site = source.design, source.site
    screed = {round(1000 * field.thickness_m) for field in site.fields}
    rows = [
        (say("Storeys with heating"), ", ".join(source.storey(s.storey) for s in design.storeys if s.circuits) or "–"),
        (say("Circuits"), f"{len(site.circuits)}"),
        (say("Pipe laid"), f"{number(sum(c.length_m for c in site.circuits), 0)} m, {_pipe(source)}"),
        (
            say("Screed"),
            f"{said(design.settings.floor.screed)}, {', '.join(f'{mm}' for mm in sorted(screed)) or '–'} mm",
        ),
        (say("Movement joints and pour fields"), say("{count} pour fields", count=len(site.fields))),
        (say("State of the design"), site.fingerprint),
    ]
    return Grid(heads=(say("the job"), ""), rows=tuple(rows), widths=(2, 5))


def _pipe(source: Source) -> str:
    pipe = source.design.settings.pipe
    return f"{1000 * pipe.outside_diameter_m:g} × {1000 * pipe.wall_m:g} mm"


def _manifolds(source: Source) -> Grid:
    rows = [
        (
            short(m.name),
            f"{short(m.room)}, {short(m.storey)}",
            f"{len(m.circuits)}",
            f"{number(m.flow_c, 1)} / {number(m.return_c, 1)}",
            number(60000 * m.volume_flow, 1),
            number(m.pump_pa / 1000, 1),
        )
        for m in source.site.manifolds
    ]
    heads = (say("manifold"), say("where"), say("circuits"), say("flow / return °C"), "l/min", say("pump kPa"))
    return Grid(heads=heads, rows=tuple(rows), widths=(1, 4, 1, 2, 1, 1), right=(2, 3, 4, 5))


def _rooms(source: Source) -> Grid:
    rows = []
    for storey in source.design.storeys:
        for room in storey.rooms:
            own = [c.laid.number for c in storey.circuits if room.room in c.laid.rooms]
            need = room.demand.demand_w if room.demand else None
            rows.append(
                (
                    source.room(room.room),
                    source.storey(storey.storey),
                    ", ".join(own) or "–",
                    "–" if need is None else f"{need:.0f}",
                    f"{room.heat_w:.0f}" if own else "–",
                    say(_STATUS[room.status]),
                )
            )
    heads = (say("room"), say("storey"), say("circuits"), say("needs W"), say("gets W"), say("result"))
    return Grid(heads=heads, rows=tuple(rows), widths=(3, 2, 3, 1, 1, 1.3), right=(3, 4))


def _open(source: Source) -> Iterator[Block]:
    """What the design itself says is not in order, in its own words."""
    grave = [f for f in source.design.findings if f.severity is not Severity.NOTE]
    if grave:
        yield Heading(text=say("To be settled before work begins"))
        yield Paragraph(text=say("As the design says it, word for word; all of it is on the plans and in design.json."))
        yield Points(texts=tuple(short_sentence(said(f.message)) for f in grave[:MOST_FINDINGS]))
    more = len(grave) - MOST_FINDINGS
    if more > 0:
        yield Paragraph(text=say("{count} more stand in design.json.", count=more))


def short_sentence(text: str, most: int = 320) -> str:
    """A finding of bearable length, on one line."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"
