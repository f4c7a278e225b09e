"""Findings of the laying plan: pipe across the studs, pieces that came out too narrow, rooms that lose much panel."""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, first_of
from ufh_core.building.types import Room
from ufh_core.panels.types import LARGE_M2, MOST_WASTE, PanelPlan, RoomPanels

MOST_NAMED = 6


def panel_findings(plan: PanelPlan | None, rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """What a fitter should know of a storey's panels before the first one is laid."""
    if plan is None:
        return ()
    labels = {room.ifc_guid: room.label for room in rooms}
    off = [_off_grid(guid, length, labels) for guid, length in plan.off_grid_m]
    lost = [_lost(share, labels) for share in plan.rooms if share.covered_m2 > LARGE_M2 and share.waste > MOST_WASTE]
    return (*off, *lost, *([_slivers(plan)] if plan.slivers else []))


def _off_grid(guid: str, length_m: float, labels: dict[str, str]) -> Finding:
    return Finding(
        code="panels.off-grid",
        severity=Severity.NOTE,
        message=Message(
            "{room}: {length:.1f} m of pipe lies across the studs of the room's panels: cut studs "
            "away there, or hold it with clips",
            room=labels.get(guid, guid),
            length=length_m,
        ),
        ifc_guids=(guid,),
        source="common practice",
    )


def _lost(share: RoomPanels, labels: dict[str, str]) -> Finding:
    return Finding(
        code="panels.waste",
        severity=Severity.NOTE,
        message=Message(
            "{room}: {lost:.1f} % of its panels is lost in cutting, more than {most:.0f} %: of all rows, corners "
            "and directions tried none loses less with this panel",
            room=labels.get(share.room, share.room),
            lost=100 * share.waste,
            most=100 * MOST_WASTE,
        ),
        ifc_guids=(share.room,),
    )


def _slivers(plan: PanelPlan) -> Finding:
    named = first_of(plan.slivers, MOST_NAMED)
    rooms = {piece.number: piece.room for piece in plan.pieces}
    return Finding(
        code="panels.narrow-pieces",
        severity=Severity.NOTE,
        message=Message(
            "panel pieces {named} are narrower than {least:.0f} mm at some point: pin them, or "
            "fill the gap with insulation and tape it",
            named=named,
            least=1000 * plan.size.least * plan.size.stud_m,
        ),
        ifc_guids=tuple(dict.fromkeys(rooms[number] for number in plan.slivers)),
        source="common practice",
    )
