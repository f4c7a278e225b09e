"""Findings about the model as read: what is missing, odd, or contradicts itself."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Any

from ufh_core.basis.areas import common
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, first_of, note
from ufh_core.building.elements import Elements, Plan, body_carriers
from ufh_core.building.model_file import ModelFile
from ufh_core.building.rooms import RoomRead
from ufh_core.building.types import Room, RoomKind, Slab, Storey

AREA_TOLERANCE = 0.05
OVERLAP_SHARE = 0.05
SET_ASIDE = (RoomKind.AREA_SCHEME, RoomKind.OUTSIDE)


def _finding(code: str, severity: Severity, message: Message, guids: Sequence[str] = ()) -> Finding:
    """A finding of this room."""
    return Finding(code=f"building.{code}", severity=severity, message=message, ifc_guids=tuple(guids))


def _count(number: int, one: str, many: str) -> Message:
    """A number with its noun; both words take {count}."""
    return Message(one if number == 1 else many, count=number)


def _names(rooms: Sequence[Room]) -> str:
    """The first names of some rooms."""
    return first_of([r.label for r in rooms])


def model_findings(
    source: ModelFile, elements: Elements, plan: Plan, slabs: Sequence[Slab], storeys: Sequence[Storey]
) -> tuple[Finding, ...]:
    """What the model as a whole lacks."""
    found = []
    if not source.of_class("IfcBuildingStorey"):
        words = Message("The model has no storeys; floors were told apart by height. Ask the architect for storeys.")
        found.append(_finding("no-storeys", Severity.WARNING, words))
    if not elements.spaces:
        count = sum(len(s.rooms) for s in storeys)
        found_from = _count(count, note("{count} was found from the walls"), note("{count} were found from the walls"))
        words = Message(
            "The model has no rooms (IfcSpace); {found_from}. Ask the architect for rooms.",
            found_from=found_from,
        )
        found.append(_finding("rooms-derived", Severity.WARNING, words))
    if not elements.walls:
        words = Message(
            "The model has no walls; pipes keep to the rooms' outlines, and heat demand lacks its outer walls."
        )
        found.append(_finding("no-walls", Severity.WARNING, words))
    if not any(p.kind == "door" for s in storeys for p in s.passages):
        words = Message(
            "The model shows no door to any room; pipes get from room to room through open sides or wall sleeves only."
        )
        found.append(_finding("no-doors", Severity.WARNING, words))
    if not elements.slabs:
        instead = Message("the space base is taken as the top of the slab")
        if slabs:
            instead = Message("the floor coverings stand in")
        words = Message(
            "The model has no slabs; {instead}. Ask the architect for the floor build-up and its height.",
            instead=instead,
        )
        found.append(_finding("no-slabs", Severity.WARNING, words))
    return tuple(found) + _shapeless(plan.failed, elements)


def _shapeless(failed: Sequence[Any], elements: Elements) -> tuple[Finding, ...]:
    """Elements whose body could not be made, and spaces that have none."""
    refused = {e.id() for e in failed}
    spaces = [s for s in elements.spaces if not body_carriers(s) or s.id() in refused]
    others = [e for e in failed if not e.is_a("IfcSpace") and not e.is_a("IfcOpeningElement")]
    others += [w for w in elements.walls if not body_carriers(w)]
    found = []
    if spaces:
        words = Message(
            "{have} no usable shape, so not in the design; ask the architect.",
            have=_count(len(spaces), note("{count} space has"), note("{count} spaces have")),
        )
        found.append(_finding("space-without-shape", Severity.WARNING, words, [s.GlobalId for s in spaces]))
    if others:
        kinds = ", ".join(sorted({e.is_a() for e in others}))
        words = Message(
            "The shape of {count} ({kinds}) cannot be made; check the plan there by eye.",
            count=_count(len(others), note("{count} element"), note("{count} elements")),
            kinds=kinds,
        )
        found.append(_finding("shape-failed", Severity.WARNING, words, [e.GlobalId for e in others]))
    return tuple(found)


def room_findings(reads: Sequence[RoomRead], rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """What is odd about rooms: areas, levels, overlaps, refused figures."""
    inner = [r for r in rooms if r.kind not in SET_ASIDE]
    return (
        *_areas(reads),
        *_levels(inner),
        *_overlaps(inner),
        *_refused(
            "temperature-refused", note("temperature"), note("5 to 35 °C"), [(r.room, r.refused_c) for r in reads]
        ),
        *_refused(
            "heat-load-refused", note("heat load [W]"), note("2 to 500 W/m²"), [(r.room, r.refused_w) for r in reads]
        ),
    )


def _areas(reads: Sequence[RoomRead]) -> tuple[Finding, ...]:
    """Rooms whose stated area is not that of their outline."""
    off = []
    for read in reads:
        stated, drawn = read.room.stated_area_m2, read.room.outline.area
        if stated and drawn and abs(stated / drawn - 1) > AREA_TOLERANCE:
            off.append((stated / drawn - 1, read.room))
    if not off:
        return ()
    worst = max(off, key=lambda pair: abs(pair[0]))
    words = Message(
        "The model's figure for the area of {count} is more than {most:.0f} % off the "
        "drawn floor (most in {label}, {worst:+.0f} %); the drawn floor counts.",
        count=_count(len(off), note("{count} room"), note("{count} rooms")),
        most=100 * AREA_TOLERANCE,
        label=worst[1].label,
        worst=100 * worst[0],
    )
    return (_finding("area-differs", Severity.NOTE, words, [r.ifc_guid for _, r in off]),)


def _levels(rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """Rooms with no slab below, above their slab, or sunk into it."""
    none = [r for r in rooms if r.slab_top_m is None]
    above = [r for r in rooms if r.slab_top_m is not None and r.floor_m - r.slab_top_m > 0.02]
    sunk = [r for r in rooms if r.slab_top_m is not None and r.slab_top_m - r.floor_m > 0.02]
    found = []
    if none:
        words = Message(
            "No slab lies under {count} ({names}); the room's foot is taken as its top.",
            count=_count(len(none), note("{count} room"), note("{count} rooms")),
            names=_names(none),
        )
        found.append(_finding("no-slab-below", Severity.WARNING, words, [r.ifc_guid for r in none]))
    if above:
        gaps = [r.floor_m - (r.slab_top_m or 0.0) for r in above]
        least, most = round(1000 * min(gaps)), round(1000 * max(gaps))
        words = Message(
            "The floor of {count} is {gap} mm above the slab ({names}); that height is there for the floor build-up.",
            count=_count(len(above), note("{count} room"), note("{count} rooms")),
            gap=Message("{least}", least=least)
            if least == most
            else Message("{least} to {most}", least=least, most=most),
            names=_names(above),
        )
        found.append(_finding("space-above-slab", Severity.NOTE, words, [r.ifc_guid for r in above]))
    if sunk:
        worst = max((r.slab_top_m or 0.0) - r.floor_m for r in sunk)
        words = Message(
            "The floor of {count} is up to {worst:.0f} mm below the top of the slab ({names}); ask "
            "the architect for the levels.",
            count=_count(len(sunk), note("{count} room"), note("{count} rooms")),
            worst=1000 * worst,
            names=_names(sunk),
        )
        found.append(_finding("space-below-slab", Severity.WARNING, words, [r.ifc_guid for r in sunk]))
    return tuple(found)


def _overlaps(rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """Rooms that share floor."""
    found = []
    for one, other in combinations(rooms, 2):
        if abs(one.floor_m - other.floor_m) > 0.5 or not one.outline.intersects(other.outline):
            continue
        shared = common(one.outline, other.outline).area
        if shared > OVERLAP_SHARE * min(one.outline.area, other.outline.area):
            words = Message(
                "{room} and {other} overlap by {shared:.1f} m²; ask the architect which of them is right.",
                room=one.label,
                other=other.label,
                shared=shared,
            )
            found.append(_finding("rooms-overlap", Severity.WARNING, words, (one.ifc_guid, other.ifc_guid)))
    return tuple(found)


def _refused(code: str, what: str, allowed: str, pairs: Sequence[tuple[Room, float | None]]) -> tuple[Finding, ...]:
    """Figures of the model that cannot be meant."""
    bad = [(room, value) for room, value in pairs if value is not None]
    if not bad:
        return ()
    room, value = bad[0]
    first = Message("{room}, {value:g}", room=room.label, value=value)
    words = Message(
        "The {what} of {count} is outside {allowed} (first: {first}); it is not used.",
        what=Message(what),
        count=_count(len(bad), note("{count} room"), note("{count} rooms")),
        allowed=Message(allowed),
        first=first,
    )
    return (_finding(code, Severity.WARNING, words, [r.ifc_guid for r, _ in bad]),)
