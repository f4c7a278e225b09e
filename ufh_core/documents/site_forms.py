"""The forms of the commissioning page: for each hold point a table, filled as far as there are records, else empty."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from ufh_core.basis.message import note
from ufh_core.documents.site_rules import RULES
from ufh_core.records import screed_rules
from ufh_core.records.hold_points import Filed, HoldPoint, Row, SiteState
from ufh_core.records.kinds import KINDS, FlowReading, HeatingDay, SiteRecord, Step
from ufh_core.records.readings import asked_of
from ufh_core.records.site_design import SiteDesign
from ufh_core.records.verdicts import Check, Outcome
from ufh_core.section.calendar import ScreedDay, screed_calendar
from ufh_core.words import number, said, say

ROUNDS = 3
HEATING_HEADS = (
    note("day"), note("earliest"), note("flow by the programme °C"), note("day read"), note("flow read °C"), note("by"),
    note("result"),
)  # fmt: skip
FLOW_HEADS = (note("circuit"), note("room"), note("design l/min"), note("set turns"))
SUBJECTS = {
    "circuit": note("circuit, room"),
    "manifold": note("manifold, room"),
    "field": note("pour field, rooms"),
}
CHOICES = {choice for kind in KINDS.values() for each in asked_of(kind) for choice in each.choices}
"""Words that a record may choose from; what people wrote themselves is not said in another language."""
MARKS = {Outcome.PASS: note("✓ pass"), Outcome.FAIL: note("✗ FAIL"), Outcome.MISSING: note("○ open")}


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a form; an empty text is a place to write in. `wide` cells hold words."""

    text: str = ""
    wide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A table: headings, rows of cells, and above it what the rule asks for."""

    rule: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    command: str = ""


def form_of(point: HoldPoint, site: SiteDesign, state: SiteState) -> Form | None:
    """The form of a hold point; None where it has none."""
    if point.name == Step.HEATING:
        return Form(
            rule=said(RULES[point.name]),
            headings=tuple(map(say, HEATING_HEADS)),
            rows=tuple(_heating_rows(point, site, state)),
            command="heating-day",
        )
    if point.name == Step.FLOWS:
        words = ("l/min", say("turns"))
        rounds = [say("round {k}: {what}", k=k, what=what) for k in range(1, ROUNDS + 1) for what in words]
        return Form(
            rule=said(RULES[point.name]),
            headings=(*map(say, FLOW_HEADS), *rounds, say("result")),
            rows=tuple(_flow_row(row, site, state) for row in point.rows),
            command="flow",
        )
    kind = next((k for k in KINDS.values() if k.step == point.name and point.name != Step.SIGNED), None)
    if kind is None:
        return None
    asked = [a for a in asked_of(kind) if not a.hidden and a.name not in kind.key and a.name != "round"]
    heading = say(SUBJECTS[kind.key[0]])
    return Form(
        rule=said(RULES[point.name]),
        headings=(heading, say("designed"), *(said(a.label) for a in asked), say("by"), say("result")),
        rows=tuple(_row(row, kind, [a.name for a in asked], site) for row in point.rows),
        command=kind.word,
    )


def mark_of(outcome: Outcome) -> str:
    """How something came out, with its sign."""
    return say(MARKS[outcome])


def outcome_word(point: HoldPoint) -> str:
    """How a hold point stands."""
    return mark_of(point.outcome) if point.asked_for else say("not asked for")


def calendar_on_file(site: SiteDesign, state: SiteState) -> tuple[ScreedDay, ...]:
    """The screed's calendar from the last pour on, where all fields are on file; else as designed."""
    rows = next(point.rows for point in state.points if point.name == Step.POUR)
    poured = [filed.record.on for row in rows for filed in row.filed]
    if site.programme is None or not site.calendar:
        return ()
    if not rows or len(poured) < len(rows):
        return screed_calendar(site.programme, next((day.on for day in site.calendar if day.day == 0), None))
    return screed_calendar(site.programme, max(poured))


def _row(row: Row, kind: type[SiteRecord], names: Sequence[str], site: SiteDesign) -> tuple[Cell, ...]:
    """A subject with its record, or with empty cells."""
    about, designed = _subject(row.subject, kind.key[0], kind.step, site)
    start = (Cell(about, wide=True), Cell(designed or "–", wide=True))
    if not row.filed:
        return (*start, *(Cell() for _ in names), Cell(), Cell())
    filed = row.filed[0]
    values = tuple(Cell(shown(getattr(filed.record, name)) or "–") for name in names)
    return (*start, *values, Cell(person(filed), wide=True), result(row.outcome, row.checks, row.filed))


def _subject(name: str, what: str, step: str, site: SiteDesign) -> tuple[str, str]:
    """What a row is about, and what the design says of it."""
    if what == "circuit":
        circuit = site.circuit(name)
        designed = f"{number(circuit.length_m, 1)} m"
        if step == Step.TEMPERATURES:
            designed = say(
                "{flow:.1f} / {back:.1f} °C in the coldest weather", flow=circuit.flow_c, back=circuit.return_c
            )
        return f"{name} · {', '.join(circuit.rooms)}", designed
    if what == "manifold":
        manifold = site.manifold(name)
        return f"{name} · {manifold.room}, {manifold.storey}", say("{count} circuits", count=len(manifold.circuits))
    own = site.field(name)
    size = f"{number(own.area_m2, 1)} m², {number(own.length_m, 2)} × {number(own.width_m, 2)} m"
    designed = f"{own.thickness_m * 1000:.0f} mm {said(site.settings.floor.screed)}; {size}"
    return f"{name} · {', '.join(own.rooms)}, {own.storey}", designed


def _heating_rows(point: HoldPoint, site: SiteDesign, state: SiteState) -> Iterator[tuple[Cell, ...]]:
    """A row for each day of each manifold."""
    programme = site.programme
    if programme is None:
        return
    days = calendar_on_file(site, state)
    begin = next((day.on for day in days if day.day >= programme.earliest_days and day.on), None)
    for row in point.rows:
        read = {filed.record.subject[1]: filed for filed in row.filed}
        for day in range(1, screed_rules.days_of(programme) + 1):
            low, high = screed_rules.allowed_c(programme, day)
            span = f"{low:.0f}" if high - low < 0.5 else say("{low:.0f} to {high:.0f}", low=low, high=high)
            due = "" if begin is None else date.fromordinal(begin.toordinal() + day - 1).isoformat()
            head = (Cell(say("{manifold}, day {day}", manifold=row.subject, day=day)), Cell(due or "–"), Cell(span))
            filed = read.get(day)
            if filed is None or not isinstance(filed.record, HeatingDay):
                yield (*head, Cell(), Cell(), Cell(), Cell())
                continue
            fine = low - screed_rules.READING_K <= filed.record.flow_c <= high + screed_rules.READING_K
            done = (Cell(shown(filed.record.on)), Cell(shown(filed.record.flow_c)), Cell(person(filed), wide=True))
            yield (*head, *done, Cell(mark_of(Outcome.PASS if fine else Outcome.FAIL)))
        if row.filed:
            yield (Cell(say("{manifold}, all days", manifold=row.subject)), *(Cell("–") for _ in range(5)), _words(row))


def _words(row: Row) -> Cell:
    return result(row.outcome, row.checks, row.filed)


def _flow_row(row: Row, site: SiteDesign, state: SiteState) -> tuple[Cell, ...]:
    """A circuit of the balancing sheet, its readings by round."""
    circuit = site.circuit(row.subject)
    read = {
        f.record.round: f.record
        for f in state.filed
        if isinstance(f.record, FlowReading) and f.record.circuit == row.subject
    }
    turns = circuit.valve_turns
    cells = [Cell(row.subject), Cell(", ".join(circuit.rooms), wide=True), Cell(number(circuit.flow_l_min, 2))]
    cells.append(Cell(say("by the meter") if turns is None else shown(turns)))
    for k in range(1, ROUNDS + 1):
        one = read.get(k)
        cells += [Cell(), Cell()] if one is None else [Cell(shown(one.measured_l_min)), Cell(shown(one.turns) or "–")]
    return (*cells, result(row.outcome, row.checks, row.filed) if row.filed else Cell())


def result(outcome: Outcome, checks: Sequence[Check], filed: Sequence[Filed]) -> Cell:
    """How a row came out, with the checks that say why it did not pass."""
    why = [f"{said(check.words)} ({said(check.source)})" for check in checks if check.outcome is not Outcome.PASS]
    if any(not each.same_design for each in filed):
        why.append(say("recorded for an earlier state of the design: see that it still holds"))
    return Cell("; ".join([mark_of(outcome), *why]), wide=True)


def person(filed: Filed) -> str:
    """Who recorded it."""
    role = said(filed.line.role)
    return f"{role}, {filed.line.person}" if filed.line.person else role


def shown(value: Any) -> str:
    """A value of a record as people read it; nothing for nothing."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if isinstance(value, float):
        return say("{value:g}", value=value)
    return said(value) if value in CHOICES else str(value)
