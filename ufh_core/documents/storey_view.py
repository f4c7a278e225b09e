"""What a plan shows of one storey: the building's part and the design's part brought together."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.errors import OutputError
from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Room, RoomKind, Storey
from ufh_core.design_result import Design, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.documents.finding_groups import circuits_named
from ufh_core.documents.pen import united

ROUND_ROOMS_M = 0.7
_NOT_FLOOR = (RoomKind.OUTSIDE, RoomKind.AREA_SCHEME, RoomKind.ROOF)
_RANK = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView:
    """A room with what became of it. `shown` is False where other rooms cover it on the plan."""

    room: Room
    result: RoomDesign
    shown: bool

    @property
    def heated(self) -> bool:
        """Whether pipe lies in it."""
        return self.result.status in (RoomStatus.HEATED, RoomStatus.SHORT)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyView:
    """A storey with its rooms and its design; `bounds` is what the plan must hold [m]."""

    design: Design
    storey: Storey
    result: StoreyDesign
    rooms: tuple[RoomView, ...]
    bounds: tuple[float, float, float, float]
    window: Polygon
    findings: tuple[Finding, ...]

    @property
    def floor(self) -> BaseGeometry:
        """The floor of all rooms to heat [m]."""
        return united([view.room.outline for view in self.rooms if view.result.status is not RoomStatus.NOT_HEATED])

    @property
    def is_heated(self) -> bool:
        """Whether anything was laid on this storey, or should have been."""
        return any(view.result.status is not RoomStatus.NOT_HEATED for view in self.rooms)

    def label_of(self, ifc_guid: str) -> str:
        """A room's name for people, or its GlobalId where it is not on this storey."""
        return next((view.room.label for view in self.rooms if view.room.ifc_guid == ifc_guid), ifc_guid)


def storey_view(design: Design, result: StoreyDesign) -> StoreyView:
    """The view of `result`. Raises: OutputError where the building has no such storey."""
    storey = next((s for s in design.building.storeys if s.ifc_guid == result.storey), None)
    if storey is None:
        raise OutputError(f"storey {result.storey} of the design is not in the building: read the model again")
    rooms = _room_views(storey, result)
    bounds = _bounds(storey, rooms, result)
    window = shapely.box(*bounds)
    findings = _storey_findings(design, storey, result)
    return StoreyView(
        design=design, storey=storey, result=result, rooms=rooms, bounds=bounds, window=window, findings=findings
    )


def _room_views(storey: Storey, result: StoreyDesign) -> tuple[RoomView, ...]:
    """Every room of the design, those that the engine never saw as failed with that reason."""
    results = {room.room: room for room in result.rooms}
    views: list[RoomView] = []
    for room in storey.rooms:
        missing = RoomDesign(room=room.ifc_guid, status=RoomStatus.FAILED, reason="no result for this room")
        found = results.get(room.ifc_guid, missing)
        views.append(RoomView(room=room, result=found, shown=True))
    laid = united([v.room.outline for v in views if v.result.status is not RoomStatus.NOT_HEATED])
    return tuple(RoomView(room=v.room, result=v.result, shown=_is_shown(v, laid)) for v in views)


def _is_shown(view: RoomView, laid: BaseGeometry) -> bool:
    """Rooms to heat always; others unless they are outside, no floor, or lie over rooms that are heated."""
    if view.result.status is not RoomStatus.NOT_HEATED:
        return True
    if view.room.external or view.room.kind in _NOT_FLOOR:
        return False
    outline = shapely.make_valid(view.room.outline)
    return bool(outline.intersection(laid).area < 0.5 * outline.area)


def _bounds(storey: Storey, rooms: tuple[RoomView, ...], result: StoreyDesign) -> tuple[float, float, float, float]:
    """Round the rooms (or, without rooms, the walls) and all that was laid."""
    inside = [v.room.outline for v in rooms if v.shown and v.room.kind not in _NOT_FLOOR and not v.room.external]
    around = inside or [v.room.outline for v in rooms] or [wall.outline for wall in storey.walls]
    around = around or [slab.outline for slab in storey.slabs]
    if not around:
        return (0.0, 0.0, 4.0, 3.0)
    laid = [c.laid.axis.line() for c in result.circuits if c.laid.axis.pieces]
    laid += [m.manifold.cabinet for m in result.manifolds]
    west, south, east, north = shapely.union_all([shapely.envelope(g) for g in [*around, *laid]]).bounds
    return (west - ROUND_ROOMS_M, south - ROUND_ROOMS_M, east + ROUND_ROOMS_M, north + ROUND_ROOMS_M)


def _storey_findings(design: Design, storey: Storey, result: StoreyDesign) -> tuple[Finding, ...]:
    """Findings of this storey's elements and of the whole building, gravest first, each once."""
    here = {storey.ifc_guid} | {room.room for room in result.rooms}
    for group in (storey.rooms, storey.walls, storey.columns, storey.openings, storey.obstacles, storey.slabs):
        here |= {element.ifc_guid for element in group}
    circuits = {circuit.laid.number for circuit in result.circuits}
    mine = [f for f in design.findings if _is_about(f, here, circuits)]
    return tuple(sorted(dict.fromkeys(mine), key=lambda f: _RANK[f.severity]))


def _is_about(finding: Finding, elements: set[str], circuits: set[str]) -> bool:
    """Whether a finding is about these elements or circuits, or about the building as a whole."""
    if finding.storey:
        return finding.storey in elements
    if finding.ifc_guids:
        return bool(elements & set(finding.ifc_guids))
    named = circuits_named(finding)
    return not named or bool(named & circuits)
