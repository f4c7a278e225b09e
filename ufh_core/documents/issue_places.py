"""Where a finding is: the storey, the point and the stretch of plan that show it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import Point

from ufh_core.basis.findings import Finding
from ufh_core.building.types import Storey
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.finding_groups import circuits_named

LEAST_VIEW_M = 4.0
AROUND_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuePlace:
    """A square of plan: its middle and half its side [m, plan frame], and the floor's world height [m]."""

    storey: Storey
    result: StoreyDesign
    middle: tuple[float, float]
    half_m: float
    floor_m: float
    exact: bool


def issue_place(design: Design, finding: Finding) -> IssuePlace | None:
    """The place of a finding: its own point, else its rooms or circuits, else the whole storey; None without plan."""
    known = {result.storey for result in design.storeys}
    shown = [r for r in design.storeys if r.storey == finding.storey or finding.storey not in known]
    found = [_on_storey(design, result, finding) for result in shown]
    places = [place for place in found if place is not None]
    return min(places, key=lambda p: not p.exact, default=None)


def _on_storey(design: Design, result: StoreyDesign, finding: Finding) -> IssuePlace | None:
    """What a storey shows of a finding; None where it has no rooms."""
    storey = next(s for s in design.building.storeys if s.ifc_guid == result.storey)
    if not storey.rooms:
        return None
    whole = shapely.union_all([room.outline for room in storey.rooms])
    named = _named(storey, result, finding)
    exact = not named.is_empty and named.distance(whole) < AROUND_M
    area = (named if exact else whole).bounds
    half = max(area[2] - area[0], area[3] - area[1], LEAST_VIEW_M) / 2 + AROUND_M
    middle = ((area[0] + area[2]) / 2, (area[1] + area[3]) / 2)
    floor = min(room.floor_m for room in storey.rooms)
    return IssuePlace(storey=storey, result=result, middle=middle, half_m=half, floor_m=floor, exact=exact)


def _named(storey: Storey, result: StoreyDesign, finding: Finding) -> shapely.Geometry:
    """The shapes that a finding names on a storey."""
    if finding.at is not None:
        return Point(finding.at)
    shapes = [room.outline for room in storey.rooms if room.ifc_guid in finding.ifc_guids]
    circuits = circuits_named(finding)
    shapes += [c.laid.axis.line() for c in result.circuits if c.laid.number in circuits and not shapes]
    return shapely.union_all(shapes)
