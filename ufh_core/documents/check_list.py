"""What a check of clash and clearance found, as lines for a terminal and as plain values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Building

CAUTION = "This compares models. It replaces neither a look at the plans and the site nor local codes."


def check_lines(findings: Sequence[Finding]) -> Iterator[str]:
    """Every finding, gravest first, then how many there are."""
    for severity in Severity:
        yield from (f"{severity.value}: {f.message} [{f.code}]" for f in findings if f.severity is severity)
    yield f"{_counted(findings)}. {CAUTION}"


def _counted(findings: Sequence[Finding]) -> str:
    """How many findings there are of each severity, in words."""
    counts = Counter(f.severity for f in findings)
    parts = [f"{counts[s]} {s.value}{'' if counts[s] == 1 else 's'}" for s in Severity if counts[s]]
    return ", ".join(parts) or "nothing clashes"


def check_json(building: Building, findings: Sequence[Finding]) -> dict[str, Any]:
    """The same as plain values; places in world coordinates [m]."""
    return {"findings": [_row(building, f) for f in findings]}


def _row(building: Building, finding: Finding) -> dict[str, Any]:
    """One finding."""
    row: dict[str, Any] = {
        "severity": finding.severity.value,
        "code": finding.code,
        "message": finding.message,
        "ifc_guids": list(finding.ifc_guids),
        "storey": finding.storey,
        "source": finding.source,
    }
    if finding.at is not None:
        row["at_world"] = [float(c) for c in building.frame.to_world(np.array([finding.at]))[0]]
    return row
