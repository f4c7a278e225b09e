"""Findings about the model as read: what is missing, odd, or contradicts itself."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Any

from ufh_core.basis.areas import common
from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.elements import Elements, Plan, body_carriers
from ufh_core.building.model_file import ModelFile
from ufh_core.building.rooms import RoomRead
from ufh_core.building.types import Room, RoomKind, Slab, Storey

AREA_TOLERANCE = 0.05
OVERLAP_SHARE = 0.05
SET_ASIDE = (RoomKind.AREA_SCHEME, RoomKind.OUTSIDE)


def _finding(code: str, severity: Severity, message: str, guids: Sequence[str] = ()) -> Finding:
    """A finding of this room."""
    return Finding(code=f"building.{code}", severity=severity, message=message, ifc_guids=tuple(guids))


def _count(number: int, one: str, many: str = "") -> str:
    """A number with its noun."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def _names(rooms: Sequence[Room]) -> str:
    """The first names of some rooms."""
    names = ", ".join(r.label for r in rooms[:5])
    return names + (f" and {len(rooms) - 5} more" if len(rooms) > 5 else "")


def model_findings(
    source: ModelFile, elements: Elements, plan: Plan, slabs: Sequence[Slab], storeys: Sequence[Storey]
) -> tuple[Finding, ...]:
    """What the model as a whole lacks."""
    found = []
    if not source.of_class("IfcBuildingStorey"):
        words = "The model has no storeys; floors were told apart by height. Ask the architect for storeys."
        found.append(_finding("no-storeys", Severity.WARNING, words))
    if not elements.spaces:
        count = sum(len(s.rooms) for s in storeys)
        found_from = f"{count} {'was' if count == 1 else 'were'} found from the walls"
        words = f"The model has no rooms (IfcSpace); {found_from}. Ask the architect for rooms."
        found.append(_finding("rooms-derived", Severity.WARNING, words))
    if not elements.walls:
        words = "The model has no walls; pipes keep to the rooms' outlines, and heat demand lacks its outer walls."
        found.append(_finding("no-walls", Severity.WARNING, words))
    if not any(p.kind == "door" for s in storeys for p in s.passages):
        words = (
            "The model shows no door to any room; pipes get from room to room through open sides or wall sleeves only."
        )
        found.append(_finding("no-doors", Severity.WARNING, words))
    if not elements.slabs:
        instead = "the floor coverings stand in" if slabs else "the space base is taken as the top of the slab"
        words = f"The model has no slabs; {instead}. Ask the architect for the floor build-up and its height."
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
        have = "has" if len(spaces) == 1 else "have"
        words = f"{_count(len(spaces), 'space')} {have} no usable shape, so not in the design; ask the architect."
        found.append(_finding("space-without-shape", Severity.WARNING, words, [s.GlobalId for s in spaces]))
    if others:
        kinds = ", ".join(sorted({e.is_a() for e in others}))
        words = f"The shape of {_count(len(others), 'element')} ({kinds}) cannot be made; check the plan there by eye."
        found.append(_finding("shape-failed", Severity.WARNING, words, [e.GlobalId for e in others]))
    return tuple(found)


def room_findings(reads: Sequence[RoomRead], rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """What is odd about rooms: areas, levels, overlaps, refused figures."""
    inner = [r for r in rooms if r.kind not in SET_ASIDE]
    return (
        *_areas(reads),
        *_levels(inner),
        *_overlaps(inner),
        *_refused("temperature-refused", "temperature", "5 to 35 °C", [(r.room, r.refused_c) for r in reads]),
        *_refused("heat-load-refused", "heat load [W]", "2 to 500 W/m²", [(r.room, r.refused_w) for r in reads]),
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
    words = (
        f"The model's figure for the area of {_count(len(off), 'room')} is more than {100 * AREA_TOLERANCE:.0f} % off "
        f"the drawn floor (most in {worst[1].label}, {100 * worst[0]:+.0f} %); the drawn floor counts."
    )
    return (_finding("area-differs", Severity.NOTE, words, [r.ifc_guid for _, r in off]),)


def _levels(rooms: Sequence[Room]) -> tuple[Finding, ...]:
    """Rooms with no slab below, above their slab, or sunk into it."""
    none = [r for r in rooms if r.slab_top_m is None]
    above = [r for r in rooms if r.slab_top_m is not None and r.floor_m - r.slab_top_m > 0.02]
    sunk = [r for r in rooms if r.slab_top_m is not None and r.slab_top_m - r.floor_m > 0.02]
    found = []
    if none:
        words = f"No slab lies under {_count(len(none), 'room')} ({_names(none)}); the room's foot is taken as its top."
        found.append(_finding("no-slab-below", Severity.WARNING, words, [r.ifc_guid for r in none]))
    if above:
        gaps = [r.floor_m - (r.slab_top_m or 0.0) for r in above]
        least, most = round(1000 * min(gaps)), round(1000 * max(gaps))
        words = (
            f"The floor of {_count(len(above), 'room')} is {least if least == most else f'{least} to {most}'} mm above "
            f"the slab ({_names(above)}); that height is there for the floor build-up."
        )
        found.append(_finding("space-above-slab", Severity.NOTE, words, [r.ifc_guid for r in above]))
    if sunk:
        worst = max((r.slab_top_m or 0.0) - r.floor_m for r in sunk)
        words = (
            f"The floor of {_count(len(sunk), 'room')} is up to {1000 * worst:.0f} mm below the top of the slab "
            f"({_names(sunk)}); ask the architect for the levels."
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
            words = (
                f"{one.label} and {other.label} overlap by {shared:.1f} m²; ask the architect which of them is right."
            )
            found.append(_finding("rooms-overlap", Severity.WARNING, words, (one.ifc_guid, other.ifc_guid)))
    return tuple(found)


def _refused(code: str, what: str, allowed: str, pairs: Sequence[tuple[Room, float | None]]) -> tuple[Finding, ...]:
    """Figures of the model that cannot be meant."""
    bad = [(room, value) for room, value in pairs if value is not None]
    if not bad:
        return ()
    room, value = bad[0]
    first = f"{room.label}, {value:g}"
    words = f"The {what} of {_count(len(bad), 'room')} is outside {allowed} (first: {first}); it is not used."
    return (_finding(code, Severity.WARNING, words, [r.ifc_guid for r, _ in bad]),)
