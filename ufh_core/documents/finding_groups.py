"""Findings that say the same of several rooms or circuits, as one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ufh_core.basis.findings import Finding, Severity
from ufh_core.words import said, say

MOST_NAMED = 6
_RANK = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}
_CIRCUIT = re.compile(r"\bM\d+\.\d+\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingGroup:
    """Findings of one code: the first one's message stands for all; `others` names what else it holds for."""

    code: str
    severity: Severity
    count: int
    message: str
    others: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The message, in the language that is spoken, and for what it holds likewise."""
        rest = self.count - 1
        message = said(self.message)
        if not rest:
            return message
        named = self.others[:MOST_NAMED] if len(self.others) == rest else ()
        if not named:
            return say("{message} ({rest} more such in design.json)", message=message, rest=rest)
        listed = ", ".join(named)
        if rest == len(named):
            return say("{message} (likewise {named})", message=message, named=listed)
        return say(
            "{message} (likewise {named} and {more} more)", message=message, named=listed, more=rest - len(named)
        )


def grouped(findings: Iterable[Finding], labels: Mapping[str, str] | None = None) -> tuple[FindingGroup, ...]:
    """Put findings in groups by code, gravest first, else as they came. `labels` are rooms' names by GlobalId."""
    groups: dict[tuple[Severity, str], list[Finding]] = {}
    for finding in findings:
        groups.setdefault((finding.severity, finding.code), []).append(finding)
    lines = [_group(members, labels or {}) for members in groups.values()]
    return tuple(sorted(lines, key=lambda group: _RANK[group.severity]))


def circuits_named(finding: Finding) -> frozenset[str]:
    """The circuit numbers that a message names."""
    return frozenset(_CIRCUIT.findall(finding.message))


def _group(members: list[Finding], labels: Mapping[str, str]) -> FindingGroup:
    first = members[0]
    others = [name for name in (_about(finding, labels) for finding in members[1:]) if name]
    return FindingGroup(
        code=first.code,
        severity=first.severity,
        count=len(members),
        message=first.message,
        others=tuple(others) if len(set(others)) == len(others) else (),
    )


def _about(finding: Finding, labels: Mapping[str, str]) -> str:
    """The one circuit or room that a finding is about, or nothing."""
    circuits = circuits_named(finding)
    if len(circuits) == 1:
        return next(iter(circuits))
    return labels.get(finding.ifc_guids[0], "") if len(finding.ifc_guids) == 1 else ""
