"""What a rule says of a record, and the records that count."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from ufh_core.basis.message import note
from ufh_core.records.kinds import SiteRecord
from ufh_core.records.site_design import SiteDesign

PRACTICE = note("common practice")
OWN = note("own rule")

Kind = TypeVar("Kind", bound=SiteRecord)


class Outcome(StrEnum):
    """What a check came to."""

    PASS = "pass"
    FAIL = "fail"
    MISSING = "missing"


@dataclass(frozen=True, slots=True)
class Check:
    """One rule applied: how it came out, in words, and its source."""

    outcome: Outcome
    words: str
    source: str

    @property
    def line(self) -> str:
        """For a list: how it came out, in words, with its source."""
        return f"  {self.outcome.value:<8} {self.words}  [{self.source}]"


@dataclass(frozen=True, slots=True, kw_only=True)
class OnFile:
    """The design and all records that count: of one subject the last one."""

    site: SiteDesign
    records: tuple[SiteRecord, ...] = ()

    def of(self, kind: type[Kind]) -> list[Kind]:
        """All of a kind."""
        return [record for record in self.records if isinstance(record, kind)]

    def find(self, kind: type[Kind], *subject: object) -> Kind | None:
        """The one of a kind about a subject, or None."""
        return next((record for record in self.of(kind) if record.subject == subject), None)


def judged(fine: bool, words: str, source: str) -> Check:
    """A check that passes or fails."""
    return Check(Outcome.PASS if fine else Outcome.FAIL, words, source)


def missing(words: str, source: str) -> Check:
    """A check that cannot be made yet."""
    return Check(Outcome.MISSING, words, source)


def outcome_of(outcomes: Iterable[Outcome]) -> Outcome:
    """Of several: one that fails fails all, then one that is missing; nothing at all is missing.

    >>> str(outcome_of([Outcome.PASS, Outcome.MISSING]))
    'missing'
    """
    found = set(outcomes)
    if Outcome.FAIL in found:
        return Outcome.FAIL
    return Outcome.MISSING if Outcome.MISSING in found or not found else Outcome.PASS
