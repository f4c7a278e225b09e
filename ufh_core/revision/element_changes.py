"""What changed of walls, columns, doors, openings, windows and fixed units, each in a line."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from ufh_core.building.types import Building, Room
from ufh_core.revision.pairing import pairs_of
from ufh_core.revision.shapes import bar_words, differs
from ufh_core.revision.types import TOLERANCE_M, Change, Effect, RoomPair

BESIDE_M = 0.08  # a room whose floor begins so near to an element is beside it
LEAST_CONTACT_M = 0.3
NEAR_LEVEL_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of element: code, word, and where it stands in a storey."""

    code: str
    word: str
    of: Callable[[Any], Sequence[Any]]
    alike: Callable[[Any, Any], bool]


def _level(old: Any, new: Any) -> bool:
    return bool(abs(old.bottom_m - new.bottom_m) < NEAR_LEVEL_M)


def _same_kind(old: Any, new: Any) -> bool:
    return bool(old.kind == new.kind) and _level(old, new)


def _doors(storey: Any) -> list[Any]:
    return [o for o in storey.openings if o.kind == "door"]


def _voids(storey: Any) -> list[Any]:
    return [o for o in storey.openings if o.kind == "void"]


def _windows(storey: Any) -> list[Any]:
    return [o for o in storey.openings if o.kind == "window"]


KINDS = (
    Kind(code="wall", word="wall", of=lambda s: s.walls, alike=_level),
    Kind(code="column", word="column", of=lambda s: s.columns, alike=_level),
    Kind(code="door", word="door", of=_doors, alike=_same_kind),
    Kind(code="opening", word="open way", of=_voids, alike=_same_kind),
    Kind(code="unit", word="", of=lambda s: s.obstacles, alike=_same_kind),
)
UNIT_WORDS = {"furniture": "unit", "sanitary": "sanitary unit", "stair": "stair", "void": "void", "hearth": "hearth"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """Both states with their rooms, the storeys of the new state by those of the old, and elements by kind's code.

    An element is (old, new, GlobalId of the storey on which it is first met).
    """

    old: Building
    new: Building
    rooms: tuple[RoomPair, ...]
    storeys: dict[str, str]
    elements: dict[str, list[tuple[Any, Any, str]]] = field(default_factory=dict)

    @property
    def same_ids(self) -> dict[str, str]:
        """GlobalIds of the new state by those of the old, of storeys, rooms and elements."""
        pairs: list[tuple[Any, Any]] = [(p.old, p.new) for p in self.rooms]
        pairs += [(o, n) for some in self.elements.values() for o, n, _ in some]
        return self.storeys | {o.ifc_guid: n.ifc_guid for o, n in pairs if o is not None and n is not None}


def sides_of(old: Building, new: Building, rooms: tuple[RoomPair, ...], storeys: dict[str, str]) -> Sides:
    """Both states with all elements matched."""
    bare = Sides(old=old, new=new, rooms=rooms, storeys=storeys)
    return replace(bare, elements={kind.code: element_pairs(bare, kind) for kind in KINDS})


def element_pairs(sides: Sides, kind: Kind) -> list[tuple[Any, Any, str]]:
    """Elements of a kind in both states with the storey (GlobalId) on which they are first met."""
    home: dict[str, str] = {}
    groups: list[list[Any]] = []
    for building, turned in ((sides.old, sides.storeys), (sides.new, {})):
        mine: dict[str, Any] = {}
        for storey in building.storeys:
            for element in kind.of(storey):
                mine.setdefault(element.ifc_guid, element)
                home.setdefault(element.ifc_guid, turned.get(storey.ifc_guid, storey.ifc_guid))
        groups.append(list(mine.values()))
    found: list[tuple[Any, Any]] = pairs_of(groups[0], groups[1], kind.alike)
    return [(o, n, home[(n or o).ifc_guid]) for o, n in found]


def element_changes(sides: Sides, kind: Kind) -> Iterator[Change]:
    """A change for every element of a kind that came, went, or is elsewhere than it was."""
    for old, new, storey in sides.elements[kind.code]:
        if old is not None and new is not None and not differs(old.outline, new.outline):
            continue
        yield _change(sides, kind, (old, new), storey)


def with_doors_put_together(changes: Sequence[Change]) -> list[Change]:
    """The changes, of which a door that is taken out of its opening, or put into one, is one and not two."""
    left = list(changes)
    for gone, came, words in (
        ("revision.door-removed", "revision.opening-added", "is an open way without a door now"),
        ("revision.opening-removed", "revision.door-added", "has a door now"),
    ):
        for change in [c for c in left if c.code == gone]:
            twin = next((c for c in left if c.code == came and c.area.intersection(change.area).area > 0), None)
            if twin is not None:
                left.remove(twin)
                said = replace(change, code="revision.door-changed", words=change.words.replace("is gone", words))
                left[left.index(change)] = replace(said, elements=(*twin.elements, *change.elements))
    return left


def _change(sides: Sides, kind: Kind, pair: tuple[Any, Any], storey: str) -> Change:
    old, new = pair
    beside = rooms_beside(sides, old, new)
    outlines = [e.outline for e in pair if e is not None]
    how = "is new" if old is None else "is gone" if new is None else _how(kind, old, new)
    end = "added" if old is None else "removed" if new is None else "moved"
    movable = getattr(new or old, "movable", False)
    whole = shapely.union_all(outlines)
    return Change(
        code=f"revision.{kind.code}-{end}",
        words=f"{_called(kind, new or old)}{_between(beside)} {how}",
        storey=storey,
        elements=tuple(dict.fromkeys(e.ifc_guid for e in (new, old) if e is not None)),
        rooms=tuple(r.ifc_guid for r in beside),
        area=whole.convex_hull if len(outlines) == 2 and kind.code == "wall" else whole,
        effect=Effect.NONE if movable else Effect.LAY_ANEW,
    )


def _how(kind: Kind, old: Any, new: Any) -> str:
    if kind.code in ("door", "opening"):
        by = float(old.outline.centroid.distance(new.outline.centroid))
        wide = abs(old.width_m - new.width_m) > TOLERANCE_M
        parts = [f"moved by {by:.2f} m"] if by > TOLERANCE_M else []
        parts += [f"is {new.width_m:.2f} m wide, was {old.width_m:.2f} m"] if wide else []
        return " and ".join(parts) or "is as deep as its wall, which changed"
    return bar_words(old.outline, new.outline)


def _called(kind: Kind, element: Any) -> str:
    word = kind.word or UNIT_WORDS.get(element.kind, "unit")
    name = element.name or element.ifc_guid
    return f'{"movable " if getattr(element, "movable", False) else ""}{word} "{name}"'


def rooms_beside(sides: Sides, old: Any, new: Any) -> list[Room]:
    """The rooms at an element, those along most of it first: two where it parts rooms."""
    found: dict[str, tuple[float, Room]] = {}
    for pair in sides.rooms:
        contact = max(_contact(pair.old, old), _contact(pair.new, new))
        if contact >= LEAST_CONTACT_M and not pair.room.external:
            found[pair.room.ifc_guid] = (contact, pair.room)
    return [room for _, room in sorted(found.values(), key=lambda f: (-round(f[0], 2), f[1].label))][:2]


def _contact(room: Room | None, element: Any) -> float:
    """Length along which an element touches a room's floor, or the side of a square of floor that it stands on [m]."""
    if room is None or element is None or not room.floor_m - 0.5 < element.top_m or element.bottom_m > room.floor_m + 2:
        return 0.0
    shared = float(room.outline.buffer(BESIDE_M).intersection(element.outline).area)
    return max(shared / BESIDE_M, shared**0.5) if shared > 0 else 0.0


def _between(rooms: Sequence[Room]) -> str:
    if not rooms:
        return ""
    return f" between {rooms[0].label} and {rooms[1].label}" if len(rooms) > 1 else f" of {rooms[0].label}"


def figure_changes(sides: Sides) -> Iterator[Change]:
    """What changes heat demand and no pipe's way: windows, and constructions of walls and slabs; a line each."""
    windows = Kind(code="window", word="window", of=_windows, alike=_same_kind)
    moved = [
        (n or o, s)
        for o, n, s in element_pairs(sides, windows)
        if o is None or n is None or differs(o.outline, n.outline) or _height(o, n)
    ]
    if moved:
        yield _counted("revision.windows-changed", "window", "changed in place or size, came or went", moved)
    for word, of in (("wall", lambda s: s.walls), ("slab or roof", lambda s: s.slabs)):
        kind = Kind(code="construction", word=word, of=of, alike=_level)
        other = [
            (n, s)
            for o, n, s in element_pairs(sides, kind)
            if o is not None and n is not None and o.construction != n.construction
        ]
        if other:
            yield _counted("revision.construction-changed", word, "built otherwise (layers, U-value or rating)", other)


def _height(old: Any, new: Any) -> bool:
    return bool(abs((old.top_m - old.bottom_m) - (new.top_m - new.bottom_m)) > TOLERANCE_M)


def _counted(code: str, word: str, how: str, elements: Sequence[tuple[Any, str]]) -> Change:
    count = len(elements)
    names = ", ".join(f'"{e.name or e.ifc_guid}"' for e, _ in elements[:5]) + (", …" if count > 5 else "")
    return Change(
        code=code,
        words=f"{count} {word}{'s' if count > 1 else ''} {how} ({names}): heat demand is reckoned anew",
        elements=tuple(e.ifc_guid for e, _ in elements),
        area=shapely.union_all([_plan(e) for e, _ in elements]),
        effect=Effect.FIGURES,
    )


def _plan(element: Any) -> BaseGeometry:
    return shapely.make_valid(element.outline)
