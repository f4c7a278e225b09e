"""revision.bcf: a topic for each change of the architect's, with a view, the elements and a picture."""

from __future__ import annotations

from pathlib import Path

import shapely

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.documents.coordination_bcf import write_topics
from ufh_core.documents.issue_places import IssueScene, IssueStorey
from ufh_core.revision.types import Change, Effect, Revision
from ufh_core.revision.words import change_line


def write_revision_issues(revision: Revision, out: Path, version: str, earlier: Path | None = None) -> None:
    """Write the changes as topics; `earlier` is the file of an earlier comparison, whose topics it carries on.

    Raises: OutputError for a version that is not written, or an earlier file that cannot be read.
    """
    write_topics(revision_scene(revision), out, version, earlier)


def revision_scene(revision: Revision) -> IssueScene:
    """The changes as findings on the storeys of the new state, with the circuits of the earlier design."""
    storeys = [
        IssueStorey(
            storey=storey,
            pipes={c.number: c.line for c in revision.circuits if revision.same_ids.get(c.storey) == storey.ifc_guid},
            cabinets=tuple(c.outline for c in revision.cabinets if revision.same_ids.get(c.storey) == storey.ifc_guid),
        )
        for storey in revision.new.storeys
    ]
    findings = tuple(revision_finding(change, revision) for change in revision.changes)
    return IssueScene(building=revision.new, findings=findings, storeys=tuple(storeys))


def revision_finding(change: Change, revision: Revision) -> Finding:
    """A change as a finding: a warning where it touches a circuit or a manifold, or may, else a note."""
    at = shapely.make_valid(change.area).representative_point() if not change.area.is_empty else None
    grave = bool(change.circuits or change.manifolds) or (not revision.designed and change.effect is Effect.LAY_ANEW)
    return Finding(
        code=change.code,
        severity=Severity.WARNING if grave else Severity.NOTE,
        message=Message("{line}", line=change_line(change, revision)),
        ifc_guids=change.elements,
        at=None if at is None else (at.x, at.y),
    )
