"""What came back in lines for people and as plain values for programs."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from ufh_core.basis.findings import Finding, Severity
from ufh_core.returned.types import Returned, State

NOTHING = "nothing was changed"


def returned_lines(returned: Returned) -> list[str]:
    """One line for each change, the gravest first, and below what stays."""
    if not returned.findings:
        return [NOTHING]
    order = list(Severity)
    found = sorted(returned.findings, key=lambda f: order.index(f.severity))
    return [f"{f.severity.value}: {f.message} [{f.code}]" for f in found] + [f"In sum: {_sum(returned)}"]


def _sum(returned: Returned) -> str:
    count = Counter(c.state for c in returned.circuits)
    total = len(returned.circuits)
    stay = f"{count[State.AS_IT_WAS]} of {total} circuits stay as they lay"
    changed = f"{count[State.CHANGED]} as they were drawn"
    return f"{stay}, {changed}, {total - len(returned.staying)} are laid anew"


def returned_json(returned: Returned) -> dict[str, Any]:
    """What came back as plain values: lengths in m, places in world coordinates."""
    return {
        "circuits": [
            {"number": c.number, "manifold": c.manifold, "state": c.state.value, "reason": c.reason}
            for c in returned.circuits
        ],
        "manifolds_moved": [{"name": m.name, "to": _world(returned, m.position)} for m in returned.moved],
        "findings": [_row(returned, f) for f in returned.findings],
    }


def _row(returned: Returned, finding: Finding) -> dict[str, Any]:
    row = {"severity": finding.severity.value, "code": finding.code, "message": finding.message}
    at = {} if finding.at is None else {"at_world": _world(returned, finding.at)}
    return {**row, "ifc_guids": list(finding.ifc_guids), **at}


def _world(returned: Returned, point: tuple[float, float]) -> list[float]:
    return [round(float(v), 6) for v in returned.building.frame.to_world(np.array([point], dtype=float))[0]]
