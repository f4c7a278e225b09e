"""The inspection as a page of plain text for a terminal: four blocks, one row per room while they fit."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ufh_core.documents.inspection import InspectionReport, RoomFacts, StoreyFacts

WIDTH = 100
MOST_ROWS = 30  # a storey with more rooms is summed up by kind
MOST_FINDINGS = 12
_MARKS = {"error": "!!", "warning": "! ", "note": "- "}
_TAKEN = {"model": "the model's", "calculated": "calculated", "settings": "from the settings"}
SHORTEST_NAME, LONGEST_NAME = 12, 30
_ONE = {"furniture": "piece of furniture", "sanitary ware": "sanitary fitting"}
_SEVERAL = {"furniture": "pieces of furniture", "sanitary ware": "sanitary fittings"}


def page_lines(report: InspectionReport) -> list[str]:
    """Write a report as lines."""
    lines = [report.title[:WIDTH], ""]
    lines += [line for label, value in report.facts for line in _paragraph(f"  {label:<11} ", value, 14)]
    for storey in report.storeys:
        lines += ["", *_storey(storey)]
    if report.demands:
        lines += ["", *_demands(report)]
    lines += ["", "Assumed, or odd in the model" if report.assumed else "Nothing had to be assumed."]
    shown = report.assumed[:MOST_FINDINGS]
    lines += [line for f in shown for line in _item(_MARKS[f.severity.value], f.message)]
    if len(report.assumed) > MOST_FINDINGS:
        lines.append(f"  -  and {len(report.assumed) - MOST_FINDINGS} more (warmloom inspect --json)")
    lines += ["", "Ask the architect" if report.questions else "No question to the architect."]
    numbered = enumerate(report.questions, 1)
    return lines + [line for k, question in numbered for line in _item(f"{k}.", question.text)]


def _demands(report: InspectionReport) -> Iterator[str]:
    """Heat demand room by room: the model's load and the calculated one side by side."""
    whole = sum(room.taken_w for room in report.demands)
    yield f"Heat demand at {report.outdoor_c:g} °C outdoors, {whole:.0f} W in all; the floor's own loss is not in it"
    wide = min(LONGEST_NAME, max(SHORTEST_NAME, *(_columns(room.label) for room in report.demands)))
    yield f"  {_fit('room', wide)} {'model W':>8} {'calculated W':>13} {'differs':>8} {'W/m²':>6}  taken"
    for room in report.demands[:MOST_ROWS]:
        model, calculated = ("–" if w is None else f"{w:.0f}" for w in (room.model_w, room.calculated_w))
        differs = ""
        if room.model_w and room.calculated_w is not None:
            differs = f"{100 * (room.calculated_w / room.model_w - 1):+.0f} %"
        row = f"  {_fit(room.label, wide)} {model:>8} {calculated:>13} {differs:>8} {room.taken_w_m2:>6.0f}  "
        yield row + _TAKEN.get(room.basis, room.basis)
    if len(report.demands) > MOST_ROWS:
        yield f"  and {len(report.demands) - MOST_ROWS} more (warmloom inspect --json)"


def _storey(storey: StoreyFacts) -> Iterator[str]:
    """A storey's heading and rooms."""
    counts = ", ".join(f"{count} {_noun(name, count)}" for name, count in storey.elements.items())
    head = f"{storey.name or 'Storey without a name'}, {round(storey.elevation_m, 2) + 0.0:+.2f} m"
    yield from textwrap.wrap(f"{head}: {counts or 'nothing'}", WIDTH, subsequent_indent="  ")
    if not storey.rooms:
        return
    wide = min(LONGEST_NAME, max(SHORTEST_NAME, *(_columns(room.label) for room in storey.rooms)))
    if len(storey.rooms) > MOST_ROWS:
        wide = LONGEST_NAME
    yield f"  {_fit('room', wide)} {'kind':<11} {'m²':>6} {'high m':>6} {'build-up mm':>11} {'ways in':>7}  heated"
    if len(storey.rooms) <= MOST_ROWS:
        yield from (_row(room, wide) for room in storey.rooms)
    else:
        yield from _summed(storey.rooms, wide)


def _row(room: RoomFacts, wide: int) -> str:
    """One room, its name in `wide` columns."""
    build_up = "?" if room.build_up_m is None else f"{round(1000 * room.build_up_m)}"
    answer = ("yes" if room.heated else "no") + (f": {room.reason}" if room.reason else "")
    row = (
        f"  {_fit(room.label, wide)} {room.kind:<11} {room.area_m2:>6.1f} {room.height_m:>6.2f}"
        f" {build_up:>11} {room.ways_in:>7}  "
    )
    return row + _fit(answer, WIDTH - _columns(row)).rstrip()


def _summed(rooms: tuple[RoomFacts, ...], wide: int) -> Iterator[str]:
    """Many rooms by kind and answer."""

    def key(room: RoomFacts) -> tuple[str, bool, str]:
        return room.kind, room.heated, room.reason

    for (kind, heated, reason), group in groupby(sorted(rooms, key=key), key=key):
        members = list(group)
        label = f"{len(members)} rooms" if len(members) > 1 else members[0].label
        area = sum(room.area_m2 for room in members)
        answer = ("yes" if heated else "no") + (f": {reason}" if reason else "")
        yield f"  {_fit(label, wide)} {kind:<11} {area:>6.1f} {'':>6} {'':>11} {'':>7}  {answer}"
    yield "  (each room by itself: warmloom inspect --json)"


def _noun(name: str, count: int) -> str:
    """Write the name of `count` elements of a sort: one of the "slabs" is a "slab"."""
    if count == 1:
        return _ONE.get(name, name[:-1] if name.endswith("s") else name)
    return _SEVERAL.get(name, name)


def _item(mark: str, text: str) -> list[str]:
    """Write a marked paragraph."""
    return _paragraph(f"  {mark:<3}", text, 5)


def _paragraph(start: str, text: str, indent: int) -> list[str]:
    """Write a paragraph after `start`, its further lines set in."""
    return textwrap.wrap(text, WIDTH, initial_indent=start, subsequent_indent=" " * indent)


def _fit(text: str, width: int) -> str:
    """Text cut and padded to a number of columns; wide letters take two."""
    text = " ".join(text.split())
    if _columns(text) > width:
        while _columns(text) > width - 1:
            text = text[:-1]
        text += "…"
    return text + " " * (width - _columns(text))


def _columns(text: str) -> int:
    """Columns that a text takes on a terminal."""
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)
