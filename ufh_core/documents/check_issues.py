"""clashes.bcf: a topic for each finding of a check, with a view, the elements and a picture."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from shapely.geometry import LineString

from ufh_core.clash_check import Checked
from ufh_core.coordination.types import PipePart
from ufh_core.documents.coordination_bcf import write_topics
from ufh_core.documents.issue_places import IssueScene, IssueStorey


def write_check_issues(checked: Checked, out: Path, version: str, earlier: Path | None = None) -> None:
    """Write what a check found as topics; `earlier` is the file of an earlier check, whose topics it carries on.

    Raises: OutputError for a version that is not written, or an earlier file that cannot be read.
    """
    write_topics(check_scene(checked), out, version, earlier)


def check_scene(checked: Checked) -> IssueScene:
    """The findings on the storeys, with the heating that was checked, whoever made it."""
    storeys = [
        IssueStorey(
            storey=storey,
            pipes=_lines([p for p in checked.parts.pipes if p.storey == storey.ifc_guid]),
            cabinets=tuple(c.outline for c in checked.parts.cabinets if c.storey == storey.ifc_guid),
        )
        for storey in checked.building.storeys
    ]
    return IssueScene(building=checked.building, findings=checked.findings, storeys=tuple(storeys))


def _lines(pipes: Sequence[PipePart]) -> dict[str, LineString]:
    """Pipes in plan by their circuit's number."""
    return {p.number: LineString(p.points[:, :2]) for p in pipes if len(p.points) > 1}
