"""Findings of the laying plan: pipe across the studs, pieces that came out too narrow, rooms that lose much panel."""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.basis.findings import Finding, Severity
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
        message=f"{labels.get(guid, guid)}: {length_m:.1f} m of pipe lies across the studs of the room's panels: "
        "cut studs away there, or hold it with clips",
        ifc_guids=(guid,),
        source="common practice",
    )


def _lost(share: RoomPanels, labels: dict[str, str]) -> Finding:
    lost, most = f"{100 * share.waste:.1f} %", f"{100 * MOST_WASTE:.0f} %"
    return Finding(
        code="panels.waste",
        severity=Severity.NOTE,
        message=f"{labels.get(share.room, share.room)}: {lost} of its panels is lost in cutting, more than {most}: of "
        "all rows, corners and directions tried none loses less with this panel",
        ifc_guids=(share.room,),
    )


def _slivers(plan: PanelPlan) -> Finding:
    named = ", ".join(plan.slivers[:MOST_NAMED])
    more = f" and {len(plan.slivers) - MOST_NAMED} more" if len(plan.slivers) > MOST_NAMED else ""
    rooms = {piece.number: piece.room for piece in plan.pieces}
    return Finding(
        code="panels.narrow-pieces",
        severity=Severity.NOTE,
        message=f"panel pieces {named}{more} are narrower than {1000 * plan.size.least * plan.size.stud_m:.0f} mm at "
        "some point: pin them, or fill the gap with insulation and tape it",
        ifc_guids=tuple(dict.fromkeys(rooms[number] for number in plan.slivers)),
        source="common practice",
    )
