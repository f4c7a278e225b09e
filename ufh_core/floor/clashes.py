"""Where a floor that comes out higher than the model's meets what stands on the model's: doors, steps, stairs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, first_of, note
from ufh_core.building.types import Obstacle, Passage, Room, Storey
from ufh_core.floor.types import BuildUp

LEAF_M = 0.003  # a door leaf leaves about so much more than its gap over the floor; common practice
STEP_M = 0.004  # an edge in a doorway that one stumbles over; common practice
NOTHING_M = 0.03  # where the model leaves no more, it has no floor over the slab yet, and all of this follows from that
RISER_M = 0.005  # by which the risers of one stair may differ; DIN 18065, from memory
BESIDE_M, NEAR_M = 0.15, 0.25  # how far a stair may stand from its room, in plan and in height


def height_clashes(build_ups: Sequence[BuildUp], storey: Storey) -> tuple[Finding, ...]:
    """Findings of doors that would scrape, thresholds with an edge, and first or last steps that would be odd.

    Warnings; notes where the model draws no layers at all over its slabs, which is told with a warning of its own.
    """
    rooms = {room.ifc_guid: room for room in storey.rooms}
    raised = {b.room: b.layers[-1].top_m - rooms[b.room].floor_m for b in build_ups if b.layers and b.room in rooms}
    found = (
        _doors(raised, rooms, storey),
        _steps(raised, rooms, storey.passages),
        _stairs(raised, rooms, storey.obstacles),
    )
    drawn = any(b.available_m is not None and b.available_m > NOTHING_M for b in build_ups)
    severity = Severity.WARNING if drawn else Severity.NOTE
    return tuple(replace(finding, severity=severity) for finding in found if finding is not None)


def _doors(raised: Mapping[str, float], rooms: Mapping[str, Room], storey: Storey) -> Finding | None:
    """Doors whose leaf or threshold the finished floor would bury."""
    names = {o.ifc_guid: o.name for o in storey.openings}
    over = {
        p.ifc_guid: max(raised.get(g, 0.0) + rooms[g].floor_m - max(p.bottom_m, rooms[g].floor_m) for g in p.rooms)
        for p in storey.passages
        if p.kind == "door"
    }
    return _finding(
        "floor.door-buried",
        {guid: by for guid, by in over.items() if by > LEAF_M},
        lambda guid: names.get(guid) or guid,
        note(
            "door {named}: the finished floor comes {most:.0f} mm over the threshold: shorten the leaves and raise the "
            "thresholds, or lower the floor"
        ),
        "common practice",
    )


def _steps(raised: Mapping[str, float], rooms: Mapping[str, Room], passages: Iterable[Passage]) -> Finding | None:
    """Rooms that end up with an edge to a room beside them that the model does not have."""
    edges: dict[str, float] = {}
    for passage in passages:
        if len(passage.rooms) == 2:
            one, other = (raised.get(guid, 0.0) for guid in passage.rooms)
            if abs(one - other) > STEP_M:
                higher = passage.rooms[0] if one > other else passage.rooms[1]
                edges[higher] = max(edges.get(higher, 0.0), abs(one - other))
    return _finding(
        "floor.step",
        edges,
        lambda guid: rooms[guid].label,
        note(
            "room {named}: an edge of {most:.0f} mm that the model does not have comes between its floor and the room "
            "beside it: raise that floor too, or lower this one"
        ),
        "common practice",
    )


def _stairs(raised: Mapping[str, float], rooms: Mapping[str, Room], obstacles: Iterable[Obstacle]) -> Finding | None:
    """Stairs whose first or last riser changes by more than risers may differ."""
    odd: dict[str, float] = {}
    names: dict[str, str] = {}
    for stair in (o for o in obstacles if o.kind == "stair"):
        names[stair.ifc_guid] = stair.name
        beside = [g for g in raised if stair.outline.distance(rooms[g].outline) < BESIDE_M]
        joined = [g for g in beside if min(abs(h - rooms[g].floor_m) for h in (stair.bottom_m, stair.top_m)) < NEAR_M]
        by = max((raised[g] for g in joined), default=0.0)
        if by > RISER_M:
            odd[stair.ifc_guid] = by
    return _finding(
        "floor.stair-riser",
        odd,
        lambda guid: names[guid] or guid,
        note(
            "stair {named}: the riser at this floor changes by {most:.0f} mm, more than risers of a stair may differ: "
            "raise the stair, or lower the floor"
        ),
        "DIN 18065, from memory",
    )


def _finding(
    code: str, found: Mapping[str, float], name: Callable[[str], str], words: str, source: str
) -> Finding | None:
    """One finding for all elements of a kind, the first five by name; None where there is none."""
    if not found:
        return None
    guids = sorted(found, key=lambda guid: (name(guid), guid))
    named = first_of([name(guid) for guid in guids])
    return Finding(
        code=code,
        severity=Severity.WARNING,
        message=Message(words, named=named, most=1000 * max(found.values())),
        ifc_guids=tuple(guids),
        source=source,
    )
