"""The hold points in order: what is on file for each, whether it passes, what is missing, who has signed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ufh_core.basis.message import Message, note
from ufh_core.records.chain import Chain, Fault, Line
from ufh_core.records.kinds import (
    KINDS,
    STEPS,
    AsLaid,
    FlowReading,
    FrostMeasure,
    HeatingDay,
    LeakTest,
    MoistureTest,
    Photograph,
    PressureKept,
    ScreedPour,
    Signature,
    SiteRecord,
    Step,
    TemperatureReading,
)
from ufh_core.records.ledger import SET_ASIDE
from ufh_core.records.pipe_rules import (
    flow_checks,
    frost_checks,
    in_danger_of_frost,
    kept_checks,
    laid_checks,
    leak_checks,
    temperature_checks,
)
from ufh_core.records.readings import RecordError, asked_of, checked
from ufh_core.records.screed_rules import days_of, heating_checks, moisture_checks, pour_checks
from ufh_core.records.site_design import SiteDesign
from ufh_core.records.verdicts import OWN, PRACTICE, Check, OnFile, Outcome, judged, outcome_of

SIGNERS: Mapping[str, tuple[str, ...]] = {
    Step.LAID: ("fitter",),
    Step.LEAK: ("fitter", "site manager"),
    Step.KEPT: ("screed layer",),
    Step.POUR: ("screed layer",),
    Step.HEATING: ("commissioning engineer",),
    Step.MOISTURE: ("screed layer",),
    Step.FLOWS: ("commissioning engineer",),
    Step.SIGNED: ("fitter", "commissioning engineer", "owner"),
}
"""Who signs which hold point. A proposal of our own: the contract and local codes rule."""

WORDS = {Outcome.PASS: "passes", Outcome.FAIL: "fails", Outcome.MISSING: "is not complete"}

_RULES: dict[type[SiteRecord], Callable[..., Iterator[Check]]] = {
    AsLaid: laid_checks,
    LeakTest: leak_checks,
    FrostMeasure: frost_checks,
    PressureKept: kept_checks,
    ScreedPour: pour_checks,
    HeatingDay: heating_checks,
    MoistureTest: moisture_checks,
    FlowReading: flow_checks,
    TemperatureReading: temperature_checks,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Filed:
    """A record with the line that it stands in; `same_design` is False where the design has changed since."""

    line: Line
    record: SiteRecord
    same_design: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that a hold point asks for: its subject, the record that counts, and its checks."""

    subject: str
    filed: tuple[Filed, ...] = ()
    checks: tuple[Check, ...] = ()

    @property
    def outcome(self) -> Outcome:
        """Nothing on file is missing."""
        return outcome_of(check.outcome for check in self.checks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who should sign, and who did."""

    role: str
    filed: Filed | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPoint:
    """A hold point; work goes on behind it when it passes."""

    name: str
    rows: tuple[Row, ...]
    signed: tuple[Signed, ...]

    @property
    def outcome(self) -> Outcome:
        """Its rows together; without rows, whether it is signed; one that asks for nothing passes."""
        if self.rows:
            return outcome_of(row.outcome for row in self.rows)
        return Outcome.MISSING if self.unsigned else Outcome.PASS

    @property
    def asked_for(self) -> bool:
        """Whether there is anything to do."""
        return bool(self.rows or self.signed)

    @property
    def unsigned(self) -> tuple[str, ...]:
        """The roles that have not signed."""
        return tuple(s.role for s in self.signed if s.filed is None)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteState:
    """All hold points in order, photographs, all records, and lines without a place among them.

    `aside` tells of torn lines that were put aside, `strays` of lines that the design or this version does not know.
    """

    points: tuple[HoldPoint, ...]
    photographs: tuple[Filed, ...]
    filed: tuple[Filed, ...]
    strays: tuple[Fault, ...]
    aside: tuple[Fault, ...]
    chain: Chain

    @property
    def next_step(self) -> str:
        """The first hold point that does not pass, in a sentence."""
        waits = next((p.name for p in self.points if p.outcome is not Outcome.PASS), None)
        return f"Next: {waits}." if waits else "All hold points pass."

    @property
    def complete(self) -> bool:
        """Whether everything passes, is signed, and the file is whole."""
        fine = all(p.outcome is Outcome.PASS and not p.unsigned for p in self.points)
        return fine and not self.chain.faults and not self.chain.torn and not self.strays


def site_state(site: SiteDesign, chain: Chain) -> SiteState:
    """Where the job stands by the records on file."""
    filed, strays = _filed(site, chain.lines)
    aside = tuple(_aside(chain.lines))
    counting = {(type(f.record), f.record.subject): f for f in filed}
    on_file = OnFile(site=site, records=tuple(f.record for f in counting.values()))
    rows = _Rows(site, on_file, counting)
    points = tuple(
        HoldPoint(name=step, rows=tuple(rows.of(step)), signed=tuple(_signed(step, filed))) for step in STEPS
    )
    photographs = tuple(f for f in counting.values() if isinstance(f.record, Photograph))
    return SiteState(points=points, photographs=photographs, filed=filed, strays=strays, aside=aside, chain=chain)


def known_to(site: SiteDesign, record: SiteRecord) -> None:
    """Raise RecordError, one line that says what there is, where a record refers to what the design has not."""
    for asked in asked_of(type(record)):
        name = getattr(record, asked.name)
        if asked.refers and name is not None and name not in site.names(asked.refers):
            there = ", ".join(site.names(asked.refers)) or "none"
            raise RecordError(f"{asked.option} {name}: the design has no such {asked.refers}; there are: {there}")


def record_checks(record: SiteRecord, site: SiteDesign, chain: Chain) -> tuple[Check, ...]:
    """The checks of a record that was added to those on file; for a signature, what it is given for."""
    if isinstance(record, Signature):
        return tuple(_signature_checks(record, site_state(site, chain)))
    filed, _ = _filed(site, chain.lines)
    known: dict[Any, SiteRecord] = {(type(f.record), f.record.subject): f.record for f in filed}
    known[type(record), record.subject] = record
    return checks_of(record, OnFile(site=site, records=tuple(known.values())))


def _signature_checks(record: Signature, state: SiteState) -> Iterator[Check]:
    """Everything up to the hold point that is signed; a signature is kept whatever they say."""
    until = [point for point in state.points[: STEPS.index(record.point) + 1] if point.rows]
    lacking = [point for point in until if point.outcome is not Outcome.PASS]
    for point in lacking:
        yield judged(False, f"signed while {point.name} {WORDS[point.outcome]}", PRACTICE)
    if not lacking:
        yield judged(True, f"everything up to {record.point} passes", PRACTICE)


def checks_of(record: SiteRecord, on_file: OnFile) -> tuple[Check, ...]:
    """What the rules say of a record; none for photographs and signatures."""
    rule = _RULES.get(type(record))
    return () if rule is None else tuple(rule(record, on_file))


def _filed(site: SiteDesign, lines: Iterable[Line]) -> tuple[tuple[Filed, ...], tuple[Fault, ...]]:
    found: list[Filed] = []
    strays: list[Fault] = []
    for line in lines:
        if line.kind == SET_ASIDE:
            continue
        try:
            if line.kind not in KINDS:
                raise RecordError(f"{line.kind}: a kind that this version does not know")
            record = checked(KINDS[line.kind], line.values)
            known_to(site, record)
        except RecordError as error:
            strays.append(Fault(line.number, str(error)))
            continue
        found.append(Filed(line=line, record=record, same_design=line.design == site.fingerprint))
    return tuple(found), tuple(strays)


def _aside(lines: Iterable[Line]) -> Iterator[Fault]:
    for line in lines:
        if line.kind == SET_ASIDE:
            yield Fault(line.number, f"a torn line was found before it and is kept in {line.values.get('file')}")


def _signed(step: str, filed: Iterable[Filed]) -> Iterator[Signed]:
    """The last signature of every role that should sign."""
    for role in SIGNERS.get(step, ()):
        own = [f for f in filed if isinstance(f.record, Signature) and (f.record.point, f.line.role) == (step, role)]
        yield Signed(role=role, filed=own[-1] if own else None)


@dataclass(frozen=True, slots=True)
class _Rows:
    """What each hold point asks for."""

    site: SiteDesign
    on_file: OnFile
    counting: Mapping[Any, Filed]

    def of(self, step: str) -> Iterator[Row]:
        """The rows of a hold point."""
        names = self.site.names
        every: dict[str, tuple[type[SiteRecord], tuple[str, ...]]] = {
            Step.LAID: (AsLaid, names("circuit")),
            Step.LEAK: (LeakTest, names("manifold")),
            Step.FROST: (FrostMeasure, tuple(self._cold())),
            Step.KEPT: (PressureKept, names("manifold")),
            Step.POUR: (ScreedPour, names("field")),
            Step.MOISTURE: (MoistureTest, names("field")),
            Step.FLOWS: (FlowReading, names("circuit")),
            Step.TEMPERATURES: (TemperatureReading, names("circuit")),
        }
        if step in every:
            kind, subjects = every[step]
            yield from (self._row(kind, subject) for subject in subjects)
        elif step == Step.HEATING:
            yield from (self._heating(manifold) for manifold in names("manifold"))

    def _cold(self) -> Iterator[str]:
        """Manifolds whose filled pipes are in danger of frost, or for which something was done."""
        for name in self.site.names("manifold"):
            test = self.on_file.find(LeakTest, name)
            if (test is not None and in_danger_of_frost(test)) or self.on_file.find(FrostMeasure, name) is not None:
                yield name

    def _row(self, kind: type[SiteRecord], subject: str) -> Row:
        filed = self.counting.get((kind, (subject,)))
        if filed is None:
            return Row(subject=subject)
        return Row(subject=subject, filed=(filed,), checks=checks_of(filed.record, self.on_file))

    def _heating(self, manifold: str) -> Row:
        """All days of a manifold's first heating, and which are missing."""
        own = [f for f in self.counting.values() if isinstance(f.record, HeatingDay) and f.record.manifold == manifold]
        own.sort(key=lambda f: f.record.subject)
        checks = [check for f in own for check in checks_of(f.record, self.on_file)]
        there = {f.record.subject[1] for f in own}
        if own and self.site.programme is not None:
            lack = [str(day) for day in range(1, days_of(self.site.programme) + 1) if day not in there]
            if lack:
                words = Message("no reading of day {days}", days=", ".join(lack))
                checks.append(Check(Outcome.MISSING, words, OWN))
            else:
                checks.append(judged(True, note("a reading of every day"), OWN))
        return Row(subject=manifold, filed=tuple(own), checks=tuple(checks))
