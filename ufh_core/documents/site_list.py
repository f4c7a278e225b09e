"""Where a job stands by its records, as lines for a terminal and as plain values."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ufh_core.records.hold_points import Filed, HoldPoint, Row, SiteState
from ufh_core.records.kinds import Photograph
from ufh_core.records.photographs import photograph_check
from ufh_core.records.site_design import SiteDesign
from ufh_core.records.verdicts import Check, Outcome

MOST_NAMES = 12


def site_lines(site: SiteDesign, state: SiteState, folder: Path) -> Iterator[str]:
    """The hold points in order; of what passes one line, of what does not every check that says why."""
    yield f"{site.project or folder.name}: {len(state.filed)} records, last line {state.chain.last_digest[:16]}"
    for number, point in enumerate(state.points, 1):
        outcome = point.outcome.value if point.asked_for else "–"
        yield f"{number:>2}  {outcome:<8} {point.name}{_share(point)}{_unsigned(point)}"
        yield from (line for row in point.rows if row.filed for line in _row_lines(row))
        lack = [row.subject for row in point.rows if not row.filed]
        if lack:
            more = "" if len(lack) <= MOST_NAMES else f" and {len(lack) - MOST_NAMES} more"
            yield f"      not on file: {', '.join(lack[:MOST_NAMES])}{more}"
    for filed in state.photographs:
        if isinstance(filed.record, Photograph):
            check = photograph_check(folder, filed.record)
            yield f"    {check.line}"
    yield from (f"    line {fault.line}: {fault.what}" for fault in (*state.strays, *state.aside))
    yield state.next_step


def _share(point: HoldPoint) -> str:
    if not point.rows:
        return "" if point.signed else ": not asked for"
    fine = sum(row.outcome is Outcome.PASS for row in point.rows)
    return f": {fine} of {len(point.rows)} pass"


def _unsigned(point: HoldPoint) -> str:
    return f"; to be signed by {', '.join(point.unsigned)}" if point.unsigned else ""


def _row_lines(row: Row) -> Iterator[str]:
    if any(not filed.same_design for filed in row.filed):
        yield f"      {row.subject}: recorded for an earlier state of the design; see that it still holds"
    for check in row.checks:
        if check.outcome is not Outcome.PASS:
            yield f"      {row.subject}: {check.outcome.value}: {check.words} [{check.source}]"


def site_json(site: SiteDesign, state: SiteState, folder: Path) -> dict[str, Any]:
    """The same as plain values."""
    return {
        "project": site.project,
        "design": site.fingerprint,
        "records": len(state.filed),
        "last_line_sha256": state.chain.last_digest,
        "complete": state.complete,
        "hold_points": [_point(point) for point in state.points],
        "photographs": [
            f.record.values() | _check(photograph_check(folder, f.record))
            for f in state.photographs
            if isinstance(f.record, Photograph)
        ],
        "faults": [{"line": fault.line, "what": fault.what} for fault in state.chain.faults],
        "not_known": [{"line": fault.line, "what": fault.what} for fault in state.strays],
        "put_aside": [{"line": fault.line, "what": fault.what} for fault in state.aside],
        "torn_bytes": len(state.chain.torn),
    }


def _point(point: HoldPoint) -> dict[str, Any]:
    return {
        "name": point.name,
        "outcome": point.outcome.value,
        "rows": [
            {
                "subject": row.subject,
                "outcome": row.outcome.value,
                "records": [_filed(filed) for filed in row.filed],
                "checks": [_check(check) for check in row.checks],
            }
            for row in point.rows
        ],
        "signatures": [{"role": s.role, "record": None if s.filed is None else _filed(s.filed)} for s in point.signed],
    }


def _filed(filed: Filed) -> dict[str, Any]:
    line = filed.line
    return {
        "line": line.number,
        "at": line.at,
        "role": line.role,
        "person": line.person,
        "same_design": filed.same_design,
        **filed.record.values(),
    }


def _check(check: Check) -> dict[str, str]:
    return {"outcome": check.outcome.value, "words": check.words, "source": check.source}
