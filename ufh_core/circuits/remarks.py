"""What there is to say of a layout: circuits not laid, floor left out, walls drilled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Wall
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.zones.sleeve_ways import SparedWall

LEFT_OUT_SHARE = 0.15  # of a room's free floor may stay without a field before the designer is told


def layout_findings(layouts: Iterable[LevelLayout]) -> list[Finding]:
    """Findings of all levels of a storey."""
    found = []
    for layout in layouts:
        found += [_not_laid(layout, *failure) for failure in sorted({(f.room, f.reason) for f in layout.failed})]
        found += [_tail_warmed(layout, guid) for guid in layout.tail_warmed]
        found += _left_out(layout)
        found += [_done_otherwise(layout, note) for note in layout.notes]
        found += [_sleeved(c, layout) for c in layout.circuits if c.sleeves]
        found += [_spared(layout, wall) for wall in layout.level.spared_walls]
        found += [_shared(layout, c) for c in layout.circuits if len(c.rooms) > 1]
    return found


def _not_laid(layout: LevelLayout, guid: str, reason: str) -> Finding:
    room = layout.level.room(guid)
    return Finding(
        code="layout.not-laid",
        severity=Severity.ERROR,
        message=f"{room.label}: a circuit could not be laid, {reason}",
        ifc_guids=(room.ifc_guid,),
    )


def _tail_warmed(layout: LevelLayout, guid: str) -> Finding:
    fields = any(f.room == guid for c in layout.circuits for f in c.fields)
    less = "has one circuit less than planned" if fields else "has no circuit of its own"
    return Finding(
        code="layout.warmed-by-tails",
        severity=Severity.NOTE,
        message=f"{layout.level.room(guid).label} {less}: tails of other circuits take and warm the floor there",
        ifc_guids=(guid,),
    )


def _done_otherwise(layout: LevelLayout, note: str) -> Finding:
    return Finding(
        code="layout.capacity",
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


def _shared(layout: LevelLayout, circuit: LaidCircuit) -> Finding:
    own, *others = (layout.level.room(guid).label for guid in circuit.rooms)
    return Finding(
        code="layout.shared-circuit",
        severity=Severity.NOTE,
        message=(
            f"circuit {circuit.number} of {own} also warms {' and '.join(others)}: one valve controls them together"
        ),
        ifc_guids=circuit.rooms,
    )


def _sleeved(circuit: LaidCircuit, layout: LevelLayout) -> Finding:
    """The holes that a circuit asks for, and what the model says of the walls."""
    line = circuit.axis.line()
    ways = [way for way in layout.level.sleeve_ways if line.intersects(way.outline)]
    walls = list(dict.fromkeys(wall for way in ways for wall in way.walls))
    reasons = "; ".join(dict.fromkeys(way.reason for way in ways))
    remarks = [*_of_bearing(walls), *_of_fire(walls), "have each hole agreed before it is drilled"]
    return Finding(
        code="layout.wall-sleeves",
        severity=Severity.WARNING,
        message=(
            f"circuit {circuit.number}: {reasons}, so its pipes go straight through {_names(walls)} in "
            f"{circuit.sleeves} sleeves; {'; '.join(remarks)}"
        ),
        ifc_guids=(*circuit.rooms, *(w.ifc_guid for w in walls)),
    )


def _names(walls: Sequence[Wall]) -> str:
    named = [f'"{wall.name}"' for wall in walls if wall.name]
    return f"the wall{'s' * (len(named) > 1)} {' and '.join(named)}" if named else "walls"


def _of_bearing(walls: Sequence[Wall]) -> list[str]:
    unsure = [wall for wall in walls if wall.construction.load_bearing is None]
    if unsure:
        return ["the model does not say whether the wall bears: have a structural engineer decide"]
    return ["by the model the wall does not bear"] if walls else []


def _of_fire(walls: Sequence[Wall]) -> list[str]:
    rated = [w for w in walls if w.construction.fire_rating or w.construction.compartment]
    ratings = " and ".join(dict.fromkeys(w.construction.fire_rating for w in rated if w.construction.fire_rating))
    return [f"the wall resists fire{f' ({ratings})' if ratings else ''}: seal each hole to its rating"] if rated else []


def _spared(layout: LevelLayout, wall: SparedWall) -> Finding:
    rooms = " and ".join(layout.level.room(guid).label for guid in wall.rooms)
    return Finding(
        code="layout.wall-not-drilled",
        severity=Severity.WARNING,
        message=f"{rooms}: no door leads there, and {wall.why}, so no pipe goes through it; add the door to the model",
        ifc_guids=(*wall.rooms, wall.ifc_guid),
    )
