"""Rooms that a model holds more than once, and spaces that cover many rooms (area schemes)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ufh_core.basis.areas import Area, common
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.building.rooms import RoomRead
from ufh_core.building.types import RoomKind

SAME_LEVEL = 0.5  # m
SAME_OUTLINE = 0.8  # intersection over union
INSIDE = 0.9  # share of a room inside a scheme
COVERED = 0.6  # share of a scheme that the rooms in it cover


def without_repeats(reads: Sequence[RoomRead]) -> tuple[tuple[RoomRead, ...], tuple[Finding, ...]]:
    """Each room once, area schemes marked, and the findings about both."""
    kept: list[RoomRead] = []
    dropped: list[tuple[RoomRead, RoomRead]] = []
    for read in sorted(reads, key=_rank):
        twin = next((k for k in kept if _same(k, read)), None)
        if twin is None:
            kept.append(read)
        else:
            dropped.append((read, twin))
    order = {id(r): k for k, r in enumerate(reads)}
    kept.sort(key=lambda r: order[id(r)])
    schemes = {r.room.ifc_guid for r in kept if _covers_rooms(r, kept)}
    marked = tuple(_as_scheme(r) if r.room.ifc_guid in schemes else r for r in kept)
    findings = _repeat_finding(dropped) + _scheme_finding([r for r in marked if r.room.ifc_guid in schemes])
    return marked, findings


def _rank(read: RoomRead) -> tuple[bool, bool, bool, bool, int]:
    """What is kept first: no area scheme, not told apart by ObjectType, a known kind, a long name, file order."""
    room, space = read.room, read.space
    return (
        room.kind is RoomKind.AREA_SCHEME,
        bool(space.ObjectType),
        room.kind is RoomKind.OTHER,
        not (room.long_name or room.name),
        space.id(),
    )


def _same(one: RoomRead, other: RoomRead) -> bool:
    """Whether two spaces are the same room: the same GlobalId, or the same floor."""
    if one.room.ifc_guid == other.room.ifc_guid:
        return True
    if abs(one.room.floor_m - other.room.floor_m) > SAME_LEVEL:
        return False
    shared = _shared(one.gross, other.gross)
    return bool(shared > SAME_OUTLINE * (one.gross.area + other.gross.area - shared))


def _shared(one: Area, other: Area) -> float:
    """Area that two outlines share [m²]."""
    return common(one, other).area if one.intersects(other) else 0.0


def _covers_rooms(read: RoomRead, others: Sequence[RoomRead]) -> bool:
    """Whether a space covers two rooms or more and little else."""
    inside = [
        o.gross.area
        for o in others
        if o is not read
        and abs(o.room.floor_m - read.room.floor_m) <= SAME_LEVEL
        and o.gross.area < 0.95 * read.gross.area
        and _shared(o.gross, read.gross) > INSIDE * o.gross.area
    ]
    return len(inside) > 1 and sum(inside) > COVERED * read.gross.area


def _as_scheme(read: RoomRead) -> RoomRead:
    """The room marked as an area scheme."""
    return replace(read, room=replace(read.room, kind=RoomKind.AREA_SCHEME))


def _repeat_finding(dropped: Sequence[tuple[RoomRead, RoomRead]]) -> tuple[Finding, ...]:
    """One finding for all rooms that are in the file more than once."""
    if not dropped:
        return ()
    names = ", ".join(sorted({twin.room.label for _, twin in dropped})[:5])
    words = Message(
        "{dropped} spaces repeat a room that is in the model already ({names}); each room is used once.",
        dropped=len(dropped),
        names=names,
    )
    guids = tuple(r.room.ifc_guid for r, _ in dropped)
    return (Finding(code="building.room-repeated", severity=Severity.NOTE, message=words, ifc_guids=guids),)


def _scheme_finding(schemes: Sequence[RoomRead]) -> tuple[Finding, ...]:
    """One finding for all spaces that cover rooms."""
    if not schemes:
        return ()
    names = ", ".join(r.room.label for r in schemes[:5])
    words = Message(
        "{schemes} spaces cover several rooms ({names}); they are areas for reckoning and are left out.",
        schemes=len(schemes),
        names=names,
    )
    guids = tuple(r.room.ifc_guid for r in schemes)
    return (Finding(code="building.area-scheme", severity=Severity.NOTE, message=words, ifc_guids=guids),)
