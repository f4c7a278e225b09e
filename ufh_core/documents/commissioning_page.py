"""commissioning.html: forms, balancing sheet, screed calendar, signatures and cautions on one page for the site.

It needs no network and no script, prints on A4, and on a phone every row becomes a card.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path

from ufh_core.basis.whole_file import write_whole
from ufh_core.documents.site_cautions import CAUTIONS
from ufh_core.documents.site_forms import Cell, Form, calendar_on_file, form_of, mark_of, outcome_word, shown
from ufh_core.documents.site_titles import title_of
from ufh_core.records.chain import Fault
from ufh_core.records.hold_points import HoldPoint, SiteState
from ufh_core.records.kinds import Photograph
from ufh_core.records.photographs import photograph_check
from ufh_core.records.site_design import SiteDesign
from ufh_core.section.first_heating import CAUTIONS as HEATING_CAUTIONS
from ufh_core.words import language, said, say

FILE = "commissioning.html"
_STYLE = """
:root{color-scheme:light}*{box-sizing:border-box}
body{font:15px/1.4 system-ui,sans-serif;margin:0 auto;padding:1rem;max-width:75rem;color:#111;background:#fff}
h1{font-size:1.5rem;margin:.2rem 0}h2{font-size:1.15rem;margin:2rem 0 .3rem;border-top:2px solid #111;padding-top:.5rem}
p,li,td.w,th[scope=row],h1,h2{overflow-wrap:anywhere}p{margin:.3rem 0;max-width:60rem}code{font-size:.85em}
.caution{border:3px solid #111;padding:.4rem .9rem;margin:1rem 0}.caution ul{margin:.3rem 0;padding-left:1.2rem}
table{border-collapse:collapse;width:100%;margin:.6rem 0}thead{display:table-header-group}
th,td{border:1px solid #666;padding:.25rem .4rem;text-align:left;vertical-align:top;font-size:.82rem}
th{background:#eee}td.e{min-width:3.2rem;height:2rem}td.w{min-width:6.5rem}th[scope=row]{min-width:8rem}
td:not(.w):not(.e){white-space:nowrap}
.fail{font-weight:700;background:#fbe3e0}.state{white-space:nowrap}
nav ol{columns:2;padding-left:1.4rem}a{color:#003a8c}
@media (max-width:640px){body{padding:.6rem}nav ol{columns:1}
table,tbody,tr,td,th[scope=row]{display:block;width:100%}thead{position:absolute;left:-9999px}
tr{border:2px solid #111;margin:.7rem 0}td,th[scope=row]{border:0;border-bottom:1px solid #bbb;padding:.3rem .5rem}
td::before{content:attr(data-h) ": ";font-weight:600}td.e{height:2.4rem;min-width:0}td.w,th[scope=row]{min-width:0}
td,td:not(.w):not(.e){overflow-wrap:anywhere;white-space:normal}}
@media print{@page{size:A4 landscape;margin:10mm}body{max-width:none;padding:0;font-size:10pt}
tr,.caution{break-inside:avoid}h2,h2+p,table+p{break-after:avoid}nav{display:none}.fail{background:none}}
"""


def write_commissioning_page(site: SiteDesign, state: SiteState, folder: Path) -> Path:
    """Write the page into the folder of the design. Raises `OutputError`."""
    path = folder / FILE
    write_whole(path, commissioning_page(site, state, folder))
    return path


def commissioning_page(site: SiteDesign, state: SiteState, folder: Path) -> str:
    """The page as HTML; `folder` is where photographs are looked for."""
    title = say("Commissioning") + (f" – {site.project}" if site.project else "")
    return "\n".join(
        [
            f'<!DOCTYPE html><html lang="{language()}"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width,initial-scale=1">',
            f"<title>{_text(title)}</title><style>{_STYLE}</style></head><body>",
            f"<header><h1>{_text(say('Commissioning'))} – {_bdi(site.project or say('heating'))}</h1>",
            f"{_state(site, state)}</header><main>",
            f'<section class="caution"><strong>{_text(say("Cautions"))}</strong>',
            f"{_list([said(text) for text in CAUTIONS])}</section>",
            *_overview(state),
            *_calendar(site, state),
            *(line for k, point in enumerate(state.points, 1) for line in _point(k, point, site, state)),
            *_photographs(state, folder),
            *_strays(state),
            "</main></body></html>",
            "",
        ]
    )


def _state(site: SiteDesign, state: SiteState) -> str:
    """What the page shows, so that paper and file can be held against each other."""
    last = state.chain.last_digest if state.filed or state.chain.faults else ""
    count = _text(say("{count} records on file", count=len(state.filed)))
    text = f"<p>{_text(say('Design'))} <code>{site.fingerprint}</code>, {count}"
    if last:
        text += f"; {_text(say('SHA-256 of the last line'))} <code>{last}</code></p>"
    else:
        text += f", {_text(say('empty cells are to be filled in'))}</p>"
    if state.chain.faults:
        faults = "; ".join(_fault(fault) for fault in state.chain.faults)
        text += f'<p class="fail">{_text(say("The file of records was changed:"))} {_text(faults)}</p>'
    return text


def _fault(fault: Fault) -> str:
    return say("line {line}:", line=fault.line) + f" {said(fault.what)}"


def _overview(state: SiteState) -> Iterator[str]:
    """The hold points in order, with who signs."""
    heading = _text(say("Hold points, in order"))
    yield f'<nav aria-label="{heading}"><strong>{heading}</strong><ol>'
    for k, point in enumerate(state.points, 1):
        title, mark = _text(title_of(point.name)), _text(outcome_word(point))
        yield f'<li><a href="#p{k}">{title}</a> – {mark}{_text(_signers(point))}</li>'
    text = say(
        "Work goes on behind a hold point when it passes and is signed. Who signs is a proposal: contract and local "
        "codes rule."
    )
    yield f"</ol></nav><p>{_text(text)}</p>"


def _signers(point: HoldPoint) -> str:
    """Who has signed, and who still has to."""
    there = ", ".join(said(s.role) for s in point.signed if s.filed is not None)
    lack = ", ".join(said(role) for role in point.unsigned)
    text = "; " + say("signed by {roles}", roles=there) if there else ""
    return text + ("; " + say("to be signed by {roles}", roles=lack) if lack else "")


def _calendar(site: SiteDesign, state: SiteState) -> Iterator[str]:
    """The screed's days; by date where the screed is on file, else where the settings told its day."""
    yield f'<h2 id="calendar">{_text(say("Screed heating calendar"))}</h2>'
    days = calendar_on_file(site, state)
    if not days:
        yield _p(say("No first heating is designed: ask the screed's maker."))
        return
    yield _p(say("Days are counted from the last screed of the floor; each waits for the one before it."))
    rows = [
        (
            Cell(say("day {day:.0f}", day=-(-day.day // 1))),
            Cell("–" if day.on is None else day.on.isoformat()),
            Cell(said(day.what), wide=True),
            Cell(said(day.source), wide=True),
            Cell(),
        )
        for day in days
    ]
    yield from _table((say("day"), say("earliest date"), say("what"), say("source"), say("done on, by")), rows)
    yield f'<div class="caution">{_list([said(text) for text in HEATING_CAUTIONS])}</div>'


def _point(number: int, point: HoldPoint, site: SiteDesign, state: SiteState) -> Iterator[str]:
    """A hold point: rule, form, signatures."""
    title, mark = _text(title_of(point.name)), _text(outcome_word(point))
    yield f'<h2 id="p{number}">{number}. {title} <span class="state">{mark}</span></h2>'
    form = form_of(point, site, state)
    if form is not None:
        yield _p(form.rule)
        yield from _form(form)
    if point.signed:
        rows = [
            (Cell(said(s.role)), Cell(), Cell(), Cell())
            if s.filed is None
            else (
                Cell(said(s.role)),
                Cell(s.filed.line.person, wide=True),
                Cell(shown(s.filed.record.on)),
                Cell(say("on file, line {line}", line=s.filed.line.number)),
            )
            for s in point.signed
        ]
        yield from _table((say("who signs"), say("name"), say("date"), say("signature")), rows)


def _form(form: Form) -> Iterator[str]:
    if form.rows:
        yield from _table(form.headings, form.rows)
        yield f"<p>{_text(say('Into the file:'))} <code>warmloom record {form.command} --help</code></p>"
    else:
        yield _p(say("Nothing is asked for by what is on file."))


def _photographs(state: SiteState, folder: Path) -> Iterator[str]:
    rows = [
        (
            Cell(filed.record.file, wide=True),
            Cell(filed.record.shows, wide=True),
            Cell(filed.record.room or "–", wide=True),
            Cell(mark_of(photograph_check(folder, filed.record).outcome)),
        )
        for filed in state.photographs
        if isinstance(filed.record, Photograph)
    ]
    if rows:
        yield f"<h2>{_text(say('Photographs'))}</h2>"
        yield from _table((say("file"), say("shows"), say("room"), say("unchanged")), rows)


def _strays(state: SiteState) -> Iterator[str]:
    lines = [_fault(fault) for fault in (*state.strays, *state.aside)]
    if lines:
        yield f"<h2>{_text(say('Lines without a place above'))}</h2>{_list(lines)}"


def _table(headings: Sequence[str], rows: Sequence[Sequence[Cell]]) -> Iterator[str]:
    """A table whose first column heads its rows; every cell knows its heading, for narrow screens."""
    yield "<table><thead><tr>" + "".join(f'<th scope="col">{_text(h)}</th>' for h in headings) + "</tr></thead><tbody>"
    for row in rows:
        first = f'<th scope="row">{_bdi(row[0].text)}</th>'
        yield "<tr>" + first + "".join(_cell(h, c) for h, c in zip(headings[1:], row[1:], strict=True)) + "</tr>"
    yield "</tbody></table>"


def _cell(heading: str, cell: Cell) -> str:
    kinds = ["e"] if not cell.text else []
    kinds += ["w"] if cell.wide else []
    kinds += ["fail"] if "✗" in cell.text else []
    style = f' class="{" ".join(kinds)}"' if kinds else ""
    return f'<td{style} data-h="{_text(heading)}">{_bdi(cell.text)}</td>'


def _list(texts: Sequence[str]) -> str:
    return "<ul>" + "".join(f"<li>{_bdi(text)}</li>" for text in texts) + "</ul>"


def _p(text: str) -> str:
    return f"<p>{escape(text, quote=False)}</p>"


def _bdi(text: str) -> str:
    """A text that keeps its own direction of writing to itself."""
    return f"<bdi>{_text(text)}</bdi>" if text else ""


def _text(text: str) -> str:
    """A text for HTML, without control characters."""
    return escape(
        "".join(c if c.isprintable() or c in "\u200e\u200f\u202a\u202b\u202c\u202d\u202e" else " " for c in text)
    )
