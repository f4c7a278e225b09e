"""What there is to say of a layout: circuits not laid, floor left out, walls drilled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, joined, note
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
        found += [_done_otherwise(layout, words) for words in layout.notes]
        found += [_sleeved(c, layout) for c in layout.circuits if c.sleeves]
        found += [_spared(layout, wall) for wall in layout.level.spared_walls]
        found += [_shared(layout, c) for c in layout.circuits if len(c.rooms) > 1]
    return found


def _not_laid(layout: LevelLayout, guid: str, reason: str) -> Finding:
    room = layout.level.room(guid)
    return Finding(
        code="layout.not-laid",
        severity=Severity.ERROR,
        message=Message("{label}: a circuit could not be laid, {reason}", label=room.label, reason=reason),
        ifc_guids=(room.ifc_guid,),
    )


def _tail_warmed(layout: LevelLayout, guid: str) -> Finding:
    fields = any(f.room == guid for c in layout.circuits for f in c.fields)
    less = Message("has one circuit less than planned") if fields else Message("has no circuit of its own")
    return Finding(
        code="layout.warmed-by-tails",
        severity=Severity.NOTE,
        message=Message(
            "{label} {less}: tails of other circuits take and warm the floor there",
            label=layout.level.room(guid).label,
            less=less,
        ),
        ifc_guids=(guid,),
    )


def _done_otherwise(layout: LevelLayout, words: str) -> Finding:
    return Finding(
        code="layout.capacity",
        severity=Severity.NOTE,
        message=Message("{storey}: {words}", storey=layout.level.storey.name, words=words),
        ifc_guids=(layout.level.storey.ifc_guid,),
    )


def _left_out(layout: LevelLayout) -> list[Finding]:
    """Rooms of which much floor stays without a field."""
    found = []
    for guid in sorted(layout.level.heated):
        free = layout.level.floors[guid].area
        laid = sum(f.area_m2 for c in layout.circuits for f in c.fields if f.room == guid)
        if 0 < laid < (1 - LEFT_OUT_SHARE) * free:
            text = Message(
                "{label}: fields cover {laid:.1f} m² of {free:.1f} m² free floor, the rest goes to tails "
                "or is out of reach",
                label=layout.level.room(guid).label,
                laid=laid,
                free=free,
            )
            found.append(Finding(code="layout.floor-left-out", severity=Severity.NOTE, message=text, ifc_guids=(guid,)))
    return found


def _shared(layout: LevelLayout, circuit: LaidCircuit) -> Finding:
    own, *others = (layout.level.room(guid).label for guid in circuit.rooms)
    return Finding(
        code="layout.shared-circuit",
        severity=Severity.NOTE,
        message=(
            Message(
                "circuit {number} of {own} also warms {others}: one valve controls them together",
                number=circuit.number,
                own=own,
                others=joined(others, note(" and ")),
            )
        ),
        ifc_guids=circuit.rooms,
    )


def _sleeved(circuit: LaidCircuit, layout: LevelLayout) -> Finding:
    """The holes that a circuit asks for, and what the model says of the walls."""
    line = circuit.axis.line()
    ways = [way for way in layout.level.sleeve_ways if line.intersects(way.outline)]
    walls = list(dict.fromkeys(wall for way in ways for wall in way.walls))
    reasons = joined(dict.fromkeys(way.reason for way in ways), "; ")
    remarks = [*_of_bearing(walls), *_of_fire(walls), Message("have each hole agreed before it is drilled")]
    return Finding(
        code="layout.wall-sleeves",
        severity=Severity.WARNING,
        message=(
            Message(
                "circuit {number}: {reasons}, so its pipes go straight through {names} in {sleeves} sleeves; {remarks}",
                number=circuit.number,
                reasons=reasons,
                names=_names(walls),
                sleeves=circuit.sleeves,
                remarks=joined(remarks, "; "),
            )
        ),
        ifc_guids=(*circuit.rooms, *(w.ifc_guid for w in walls)),
    )


def _names(walls: Sequence[Wall]) -> str:
    named = [f'"{wall.name}"' for wall in walls if wall.name]
    if not named:
        return Message("walls")
    if len(named) == 1:
        return Message("the wall {name}", name=named[0])
    return Message("the walls {names}", names=joined(named, note(" and ")))


def _of_bearing(walls: Sequence[Wall]) -> list[str]:
    unsure = [wall for wall in walls if wall.construction.load_bearing is None]
    if unsure:
        return [Message("the model does not say whether the wall bears: have a structural engineer decide")]
    return [Message("by the model the wall does not bear")] if walls else []


def _of_fire(walls: Sequence[Wall]) -> list[str]:
    rated = [w for w in walls if w.construction.fire_rating or w.construction.compartment]
    ratings = list(dict.fromkeys(w.construction.fire_rating for w in rated if w.construction.fire_rating))
    if ratings:
        words = note("the wall resists fire ({ratings}): seal each hole to its rating")
        return [Message(words, ratings=joined(ratings, note(" and ")))]
    return [Message("the wall resists fire: seal each hole to its rating")] if rated else []


def _spared(layout: LevelLayout, wall: SparedWall) -> Finding:
    rooms = joined((layout.level.room(guid).label for guid in wall.rooms), note(" and "))
    return Finding(
        code="layout.wall-not-drilled",
        severity=Severity.WARNING,
        message=Message(
            "{rooms}: no door leads there, and {why}, so no pipe goes through it; add the door to the model",
            rooms=rooms,
            why=wall.why,
        ),
        ifc_guids=(*wall.rooms, wall.ifc_guid),
    )
