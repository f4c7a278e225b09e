"""Where a finding is: the storey, the point and the stretch of plan that show it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Point, Polygon

from ufh_core.basis.findings import Finding
from ufh_core.building.types import Building, Storey
from ufh_core.design_result import Design
from ufh_core.documents.finding_groups import circuits_named

LEAST_VIEW_M = 4.0
AROUND_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueStorey:
    """What a storey shows round a finding: what is built, pipes by circuit's number, cabinets [m, plan frame]."""

    storey: Storey
    pipes: dict[str, LineString]
    cabinets: tuple[Polygon, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueScene:
    """Findings and the storeys on which they are."""

    building: Building
    findings: tuple[Finding, ...]
    storeys: tuple[IssueStorey, ...]


def issue_scene(design: Design) -> IssueScene:
    """The findings of a design on its storeys."""
    storeys = {s.ifc_guid: s for s in design.building.storeys}
    shown = [
        IssueStorey(
            storey=storeys[result.storey],
            pipes={c.laid.number: c.laid.axis.line() for c in result.circuits},
            cabinets=tuple(m.manifold.cabinet for m in result.manifolds),
        )
        for result in design.storeys
    ]
    return IssueScene(building=design.building, findings=design.findings, storeys=tuple(shown))


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuePlace:
    """A square of plan: its middle and half its side [m, plan frame], and the floor's world height [m]."""

    shown: IssueStorey
    middle: tuple[float, float]
    half_m: float
    floor_m: float
    exact: bool


def issue_place(scene: IssueScene, finding: Finding) -> IssuePlace | None:
    """The place of a finding: its own point, else its rooms or circuits, else the whole storey; None without plan."""
    known = {shown.storey.ifc_guid for shown in scene.storeys}
    storeys = [s for s in scene.storeys if s.storey.ifc_guid == finding.storey or finding.storey not in known]
    found = [_on_storey(shown, finding) for shown in storeys]
    places = [place for place in found if place is not None]
    return min(places, key=lambda p: not p.exact, default=None)


def _on_storey(shown: IssueStorey, finding: Finding) -> IssuePlace | None:
    """What a storey shows of a finding; None where it has no rooms."""
    storey = shown.storey
    if not storey.rooms:
        return None
    whole = shapely.union_all([room.outline for room in storey.rooms])
    named = _named(shown, finding)
    exact = not named.is_empty and named.distance(whole) < AROUND_M
    area = (named if exact else whole).bounds
    half = max(area[2] - area[0], area[3] - area[1], LEAST_VIEW_M) / 2 + AROUND_M
    middle = ((area[0] + area[2]) / 2, (area[1] + area[3]) / 2)
    floor = min(room.floor_m for room in storey.rooms)
    return IssuePlace(shown=shown, middle=middle, half_m=half, floor_m=floor, exact=exact)


def _named(shown: IssueStorey, finding: Finding) -> shapely.Geometry:
    """The shapes that a finding names on a storey."""
    if finding.at is not None:
        return Point(finding.at)
    shapes = [room.outline for room in shown.storey.rooms if room.ifc_guid in finding.ifc_guids]
    circuits = circuits_named(finding)
    shapes += [line for number, line in shown.pipes.items() if number in circuits and not shapes]
    return shapely.union_all(shapes)
