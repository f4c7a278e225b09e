"""What there is to say of a layout: circuits not laid, floor left out, walls drilled."""

from __future__ import annotations

from collections.abc import Iterable

from ufh_core.basis.findings import Finding, Severity
from ufh_core.circuits.types import LaidCircuit, LevelLayout

LEFT_OUT_SHARE = 0.15  # of a room's free floor may stay without a field before the designer is told


def layout_findings(layouts: Iterable[LevelLayout]) -> list[Finding]:
    """Findings of all levels of a storey."""
    found = []
    for layout in layouts:
        found += [_not_laid(layout, *failure) for failure in sorted({(f.room, f.reason) for f in layout.failed})]
        found += _left_out(layout)
        found += [_done_otherwise(layout, note) for note in layout.notes]
        found += [_sleeved(c) for c in layout.circuits if c.sleeves]
    return found


def _not_laid(layout: LevelLayout, guid: str, reason: str) -> Finding:
    room = layout.level.room(guid)
    return Finding(
        code="layout.not-laid",
        severity=Severity.ERROR,
        message=f"{room.label}: a circuit could not be laid, {reason}",
        ifc_guids=(room.ifc_guid,),
    )


def _done_otherwise(layout: LevelLayout, note: str) -> Finding:
    return Finding(
        code="layout.more-manifolds",
        severity=Severity.NOTE,
        message=f"{layout.level.storey.name}: {note}",
        ifc_guids=(layout.level.storey.ifc_guid,),
    )


def _left_out(layout: LevelLayout) -> list[Finding]:
    """Rooms of which much floor stays without a field."""
    found = []
    for guid in sorted(layout.level.heated):
        free = layout.level.floors[guid].area
        laid = sum(f.area_m2 for c in layout.circuits for f in c.fields if f.room == guid)
        if 0 < laid < (1 - LEFT_OUT_SHARE) * free:
            text = (
                f"{layout.level.room(guid).label}: fields cover {laid:.1f} m² of {free:.1f} m² free floor, "
                "the rest goes to tails or is out of reach"
            )
            found.append(Finding(code="layout.floor-left-out", severity=Severity.NOTE, message=text, ifc_guids=(guid,)))
    return found


def _sleeved(circuit: LaidCircuit) -> Finding:
    return Finding(
        code="layout.wall-sleeves",
        severity=Severity.WARNING,
        message=(
            f"circuit {circuit.number}: no door leads to its room, so its pipes go straight through walls in "
            f"{circuit.sleeves} sleeves; have each hole agreed before it is drilled"
        ),
        ifc_guids=circuit.rooms,
    )
