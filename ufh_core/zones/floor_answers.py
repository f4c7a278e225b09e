"""What the designer says of floors and flats, room by room, put into the building before it is laid.

An area left out becomes an obstacle of its own, so that all that comes after (pipes, tails, heated
floor, drawings) keeps clear of it as of any fixed unit; an area taken in is cut out of the units that
the model shows there. Stairs, hearths and holes in the floor are never taken in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, common, polygons_only
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.basis.message import Message
from ufh_core.building.types import Building, Obstacle, Room, Storey
from ufh_core.settings.steering import Ring
from ufh_core.zones.selection import Selection

NEVER_TAKEN_IN = frozenset({"stair", "void", "hearth"})
LEAST_M2 = 1e-3
LEFT_OUT_NAME = "left out"
LEFT_OUT_HIGH_M = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One area of one room's settings, in the local frame [m]."""

    room: Room
    key: str  # "leave_out", "take_in"
    number: int
    area: Polygon

    @property
    def words(self) -> str:
        """Where it stands in the settings."""
        return f"{self.room.label}: {self.key} {self.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorAnswer:
    """What became of the areas of one room under one `key` of the settings; `remark` says what was not followed."""

    room: str
    key: str
    areas: int
    square_metres: float
    remark: str = ""


def floor_answers(building: Building, selection: Mapping[str, Selection]) -> dict[str, tuple[FloorAnswer, ...]]:
    """Answers by room (GlobalId), from the building as the model has it."""
    found: dict[str, tuple[FloorAnswer, ...]] = {}
    for storey in building.storeys:
        for room in storey.rooms:
            asked = [a for a in _asked(room, selection[room.ifc_guid], building) if _inside(a) > LEAST_M2]
            if asked:
                found[room.ifc_guid] = tuple(_answer(key, asked, storey) for key in sorted({a.key for a in asked}))
    return found


def _answer(key: str, asked: list[_Asked], storey: Storey) -> FloorAnswer:
    mine = [a for a in asked if a.key == key]
    return FloorAnswer(
        room=mine[0].room.ifc_guid,
        key=key,
        areas=len(mine),
        square_metres=sum(_inside(a) for a in mine),
        remark="; ".join(f.message for f in _troubles(mine, storey)),
    )


def with_floor_answers(building: Building, selection: Mapping[str, Selection]) -> tuple[Building, tuple[Finding, ...]]:
    """The building with the designer's flats and areas, and what of them could not be followed."""
    findings: list[Finding] = []
    storeys = []
    for storey in building.storeys:
        asked = [a for r in storey.rooms for a in _asked(r, selection[r.ifc_guid], building)]
        findings += _troubles(asked, storey)
        rooms = tuple(_in_dwelling(r, selection[r.ifc_guid]) for r in storey.rooms)
        storeys.append(replace(storey, rooms=rooms, obstacles=_obstacles(storey, asked)))
    return replace(building, storeys=tuple(storeys)), tuple(findings)


def _asked(room: Room, selection: Selection, building: Building) -> list[_Asked]:
    override = selection.override
    if override is None:
        return []
    rings = {"leave_out": override.leave_out or (), "take_in": override.take_in or ()}
    return [
        _Asked(room=room, key=key, number=k, area=_local(ring, building))
        for key, some in rings.items()
        for k, ring in enumerate(some, 1)
    ]


def _in_dwelling(room: Room, selection: Selection) -> Room:
    override = selection.override
    return room if override is None or override.dwelling is None else replace(room, dwelling=override.dwelling)


def _local(ring: Ring, building: Building) -> Polygon:
    return Polygon(building.frame.to_local(np.array(ring, dtype=float)))


def _obstacles(storey: Storey, asked: list[_Asked]) -> tuple[Obstacle, ...]:
    """What stands on the floor, by the designer's word."""
    taken = [(a.room, common(a.area, a.room.outline)) for a in asked if a.key == "take_in"]
    left = [o for obstacle in storey.obstacles if (o := _without(obstacle, taken)) is not None]
    return (*left, *(_left_out(a) for a in asked if a.key == "leave_out" and _inside(a) > LEAST_M2))


def _without(obstacle: Obstacle, taken: list[tuple[Room, Area]]) -> Obstacle | None:
    """An obstacle less the areas taken in on its floor; None where nothing is left of it."""
    areas = [area for room, area in taken if _stands_on(obstacle, room) and area.intersects(obstacle.outline)]
    if not areas or obstacle.kind in NEVER_TAKEN_IN:
        return obstacle
    outline = polygons_only(shapely.difference(obstacle.outline, shapely.union_all(areas)))
    return replace(obstacle, outline=outline) if outline.area > LEAST_M2 else None


def _stands_on(obstacle: Obstacle, room: Room) -> bool:
    return obstacle.bottom_m < room.floor_m + 0.25 and obstacle.top_m > room.floor_m - 0.5


def _left_out(asked: _Asked) -> Obstacle:
    room = asked.room
    return Obstacle(
        ifc_guid=deterministic_guid(LEFT_OUT_NAME, room.ifc_guid, str(asked.number)),
        name=LEFT_OUT_NAME,
        kind="other",
        outline=common(asked.area, room.outline),
        bottom_m=room.floor_m,
        top_m=room.floor_m + LEFT_OUT_HIGH_M,
    )


def _inside(asked: _Asked) -> float:
    return float(shapely.intersection(asked.area, asked.room.outline).area)


def _troubles(asked: list[_Asked], storey: Storey) -> list[Finding]:
    """What is not followed as it was given; an area for several rooms need only lie in one of them."""
    inside = {(a.key, a.area.wkb) for a in asked if _inside(a) > LEAST_M2}
    outside = {(a.key, a.area.wkb): a for a in reversed(asked) if (a.key, a.area.wkb) not in inside}
    return [_outside(a) for a in reversed(outside.values())] + [
        f for a in asked if a.key == "take_in" and _inside(a) > LEAST_M2 for f in _not_taken_in(a, storey)
    ]


def _outside(asked: _Asked) -> Finding:
    x0, y0, x1, y1 = asked.room.outline.bounds
    words = Message(
        "{words} lies outside the room and is passed over; the room is {wide:.1f} x {deep:.1f} m, "
        "and corners are model coordinates in metres",
        words=asked.words,
        wide=x1 - x0,
        deep=y1 - y0,
    )
    return _finding("zones.area-outside-room", words, asked)


def _not_taken_in(asked: _Asked, storey: Storey) -> list[Finding]:
    under = [o for o in storey.obstacles if _stands_on(o, asked.room) and o.outline.intersects(asked.area)]
    never = [o for o in under if o.kind in NEVER_TAKEN_IN]
    if never:
        words = Message(
            "{words}: the {kind} there cannot be heated and stays left out",
            words=asked.words,
            kind=Message(never[0].kind),
        )
        return [_finding("zones.area-not-taken-in", words, asked, *(o.ifc_guid for o in never))]
    if not under:
        return [
            _finding(
                "zones.nothing-to-take-in",
                Message("{words}: no unit stands there, nothing changes", words=asked.words),
                asked,
            )
        ]
    return []


def _finding(code: str, message: Message, asked: _Asked, *guids: str) -> Finding:
    return Finding(code=code, severity=Severity.WARNING, message=message, ifc_guids=(asked.room.ifc_guid, *guids))
