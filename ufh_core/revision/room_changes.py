"""What changed of rooms: added, removed, split, joined, other shape, level, use, or only the name."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from ufh_core.building.types import Building, Room
from ufh_core.revision.shapes import changed_area
from ufh_core.revision.types import TOLERANCE_M, Change, Effect, RoomPair

MOST_OF_IT = 0.5  # of a room's floor that was, or is, another's makes it a part of that one
WITHIN_M = 0.02
NEAR_LEVEL_M = 1.0
LEAST_W = 0.5
EXPLAIN = ("revision.wall-", "revision.column-", "revision.room-split", "revision.room-joined")


@dataclass(frozen=True, slots=True, kw_only=True)
class Both:
    """A room that both states have."""

    old: Room
    new: Room
    storey: str


def _both(pairs: Sequence[RoomPair]) -> list[Both]:
    return [Both(old=p.old, new=p.new, storey=p.storey) for p in pairs if p.old is not None and p.new is not None]


def come_and_gone(pairs: Sequence[RoomPair]) -> Iterator[Change]:
    """Rooms that one state has alone; those cut off another, or joined to one, say so."""
    both = _both(pairs)
    for pair in pairs:
        if pair.old is None and pair.new is not None:
            source = _holder(pair.new, [(b.old, b.new) for b in both])
            said = f"{source.label} is split: {pair.new.label} is a room of its own now" if source else ""
            words = said or f"room {pair.new.label} ({pair.new.outline.area:.1f} m²) is new"
            yield _alone(pair, words, "split" if source else "added", source)
        elif pair.new is None and pair.old is not None:
            target = _holder(pair.old, [(b.new, b.new) for b in both])
            said = f"room {pair.old.label} is joined to {target.label}" if target else ""
            words = said or f"room {pair.old.label} ({pair.old.outline.area:.1f} m²) is gone"
            yield _alone(pair, words, "joined" if target else "removed", target)


def _alone(pair: RoomPair, words: str, end: str, other: Room | None) -> Change:
    rooms = [r.ifc_guid for r in (pair.room, other) if r is not None]
    return Change(
        code=f"revision.room-{end}",
        words=words,
        storey=pair.storey,
        elements=tuple(rooms),
        rooms=tuple(rooms),
        area=pair.room.outline,
        effect=Effect.NONE if pair.room.external else Effect.LAY_ANEW,
    )


def _holder(room: Room, others: Sequence[tuple[Room, Room]]) -> Room | None:
    """The room whose floor covers most of another one's: pairs of the state that is looked at, and how it is called."""
    least = MOST_OF_IT * room.outline.area
    near = [(there, called) for there, called in others if abs(there.floor_m - room.floor_m) < NEAR_LEVEL_M]
    return next((called for there, called in near if there.outline.intersection(room.outline).area > least), None)


def shape_changes(pairs: Sequence[RoomPair], told: Sequence[Change]) -> tuple[list[Change], list[Change]]:
    """(changes told before, with the floors that they change; changes of shape that none of them explains)."""
    before, rest = list(told), []
    for both in _both(pairs):
        area = changed_area(both.old.outline, both.new.outline)
        if area.is_empty or both.new.external:
            continue
        k = next((k for k, c in enumerate(before) if _explains(c, area)), None)
        if k is None:
            rest.append(_shape(both, area))
        else:
            before[k] = _with_floor(before[k], both)
    return before, rest


def _explains(change: Change, area: shapely.Geometry) -> bool:
    """Whether a wall that changed accounts for what changed of a floor."""
    return change.code.startswith(EXPLAIN) and bool(change.area.buffer(WITHIN_M).intersects(area))


def _areas(both: Both) -> str:
    return f"{both.new.label}: {both.old.outline.area:.1f} -> {both.new.outline.area:.1f} m²"


def _with_floor(change: Change, both: Both) -> Change:
    rooms = tuple(dict.fromkeys((*change.rooms, both.new.ifc_guid)))
    joint = ", " if "m²" in change.words and "->" in change.words else "; "
    return replace(change, words=f"{change.words}{joint}{_areas(both)}", rooms=rooms)


def _shape(both: Both, area: shapely.Geometry) -> Change:
    return Change(
        code="revision.room-shape",
        words=f"floor of {_areas(both)}, changed in shape",
        storey=both.storey,
        elements=(both.new.ifc_guid,),
        rooms=(both.new.ifc_guid,),
        area=area,
        effect=Effect.LAY_ANEW,
    )


def level_changes(pairs: Sequence[RoomPair], new: Building) -> Iterator[Change]:
    """Floors that lie higher or lower, and floors with another room for their build-up; a line a storey and height."""
    heights: dict[tuple[str, str, float], list[Both]] = defaultdict(list)
    for both in _both(pairs):
        if both.new.external:
            continue
        rise = both.new.floor_m - both.old.floor_m
        if abs(rise) > TOLERANCE_M:
            heights["level", both.storey, round(rise, 2)].append(both)
        deeper = _deeper(both)
        if deeper is not None and abs(deeper) > TOLERANCE_M:
            heights["build-up", both.storey, round(deeper, 2)].append(both)
    for (what, storey, by), some in heights.items():
        yield _height(what, storey, by, some, new)


def _deeper(both: Both) -> float | None:
    """How much more height there is between slab and finished floor [m]."""
    if both.old.slab_top_m is None or both.new.slab_top_m is None:
        return None
    return (both.new.floor_m - both.new.slab_top_m) - (both.old.floor_m - both.old.slab_top_m)


def _height(what: str, storey: str, by: float, some: Sequence[Both], new: Building) -> Change:
    whole = next((s for s in new.storeys if s.ifc_guid == storey), None)
    inside = [r for r in whole.rooms if not r.external] if whole else []
    rooms = ", ".join(b.new.label for b in some[:6]) + (", …" if len(some) > 6 else "")
    where = f"{whole.name or 'storey'}, all {len(some)} rooms," if whole and 1 < len(some) == len(inside) else rooms
    if what == "level":
        words = f"finished floor of {where} {_lies(by, some)}: heights of pipes follow"
    else:
        words = f"floor of {where} has {abs(by):.3f} m {'more' if by > 0 else 'less'} height for its build-up"
    return Change(
        code=f"revision.{what}-changed",
        words=words,
        storey=storey,
        elements=tuple(b.new.ifc_guid for b in some),
        rooms=tuple(b.new.ifc_guid for b in some),
        area=shapely.union_all([shapely.make_valid(b.new.outline) for b in some]),
        effect=Effect.FIGURES,
    )


def _lies(by: float, some: Sequence[Both]) -> str:
    rise = some[0].new.floor_m - some[0].old.floor_m
    return f"lies {abs(rise):.3f} m {'higher' if by > 0 else 'lower'}"


def use_changes(pairs: Sequence[RoomPair]) -> Iterator[Change]:
    """Rooms with another use, other figures of the model, or only another name."""
    for both in _both(pairs):
        old, new = both.old, both.new
        if old.kind != new.kind or old.external != new.external:
            words = f"{new.label} is for another use: {old.kind.value} -> {new.kind.value}"
            yield _of_room(both, "revision.room-use", words, Effect.LAY_ANEW)
        if figures := _figures(old, new):
            words = f"{new.label}: {figures}; its heat demand is reckoned anew"
            yield _of_room(both, "revision.room-figures", words, Effect.FIGURES)
        if old.label != new.label:
            words = f"room {old.label} is called {new.label} now"
            yield _of_room(both, "revision.room-renamed", words, Effect.NONE)


def _of_room(both: Both, code: str, words: str, effect: Effect) -> Change:
    guid = both.new.ifc_guid
    return Change(
        code=code,
        words=words,
        storey=both.storey,
        elements=(guid,),
        rooms=(guid,),
        area=both.new.outline,
        effect=effect,
    )


def _figures(old: Room, new: Room) -> str:
    """Figures of the model that changed, in words."""
    rows = (
        ("indoor temperature", "°C", old.indoor_c, new.indoor_c, 0.05, ".1f"),
        ("heat load", "W", old.heat_load_w, new.heat_load_w, LEAST_W, ".0f"),
        ("clear height", "m", old.height_m, new.height_m, TOLERANCE_M, ".2f"),
    )
    return ", ".join(
        f"{what} {_said(before, form)} -> {_said(after, form)} {unit}"
        for what, unit, before, after, least, form in rows
        if (before is None) != (after is None) or (before and after and abs(before - after) > least)
    )


def _said(value: float | None, form: str) -> str:
    return "not stated" if value is None else format(value, form)
