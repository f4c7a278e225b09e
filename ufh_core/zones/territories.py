"""Territories: the floor of a room, or of a part of it, that one circuit heats.

A room that needs k circuits is divided into k parts (`divisions.py`). Fields of two territories that
meet without a wall keep half a pitch from the line between them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import compress

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, common, polygons
from ufh_core.settings.types import Settings
from ufh_core.zones.divisions import Division, divided, parts_of, ruler_for
from ufh_core.zones.level_plan import Level, axis_area


@dataclass(frozen=True, slots=True, kw_only=True)
class Territory:
    """The floor of one circuit: `floor` to heat, `axis` where its field's pipe may run (no lanes yet).

    `shared` says that other circuits heat the same room, so that lengths should be alike.
    """

    room: str
    part: int
    pitch_m: float
    floor: Polygon
    axis: Area
    shared: bool = False


def territories(
    level: Level,
    counts: Mapping[str, int],
    pitches: Mapping[str, float],
    settings: Settings,
    divisions: Mapping[str, Division] | None = None,
) -> tuple[Territory, ...]:
    """The territories of all heated rooms: `counts` circuits in each, at `pitches` [m].

    Rooms in `divisions` are divided as it says, others into equal parts.
    """
    given, rooms = divisions or {}, DividedRooms(level, pitches, axis_area(level, settings))
    whole = {
        guid: given.get(guid) or first_division(level, guid, counts[guid], pitches[guid], settings)
        for guid in level.heated
    }
    return rooms.territories(whole)


class DividedRooms:
    """Territories of a level's rooms, remembered: most rooms stay divided as they were in the last round.

    Pipes of the level may run `everywhere`, at `pitches` [m] by room.
    """

    def __init__(self, level: Level, pitches: Mapping[str, float], everywhere: Area) -> None:
        self._level, self._pitches, self._everywhere = level, pitches, everywhere
        self._known: dict[tuple[str, Division], tuple[Territory, ...]] = {}

    def territories(self, divisions: Mapping[str, Division]) -> tuple[Territory, ...]:
        """The territories of all heated rooms, in the order of the level's floors."""
        heated = [guid for guid in self._level.floors if guid in self._level.heated]
        return tuple(part for guid in heated for part in self.of(guid, divisions[guid]))

    def of(self, guid: str, division: Division) -> tuple[Territory, ...]:
        """The territories of one room."""
        key = (guid, division)
        if key not in self._known:
            self._known[key] = room_territories(self._level, guid, division, self._pitches[guid], self._everywhere)
        return self._known[key]


def first_division(
    level: Level,
    guid: str,
    count: int,
    pitch_m: float,
    settings: Settings,
    entries: Sequence[tuple[float, float]] = (),
) -> Division:
    """A room in `count` equal parts, reached from `entries` [m] where tails come in, else by its doors."""
    ruler = ruler_for(pitch_m, settings.layout.stud_pitch_m)
    return divided(level.floors[guid], count, ruler, entries or _doors(level, guid))


def room_territories(
    level: Level, guid: str, division: Division, pitch_m: float, everywhere: Area
) -> tuple[Territory, ...]:
    """The territories of one room as divided; pipes of the level may run `everywhere`."""
    parts = parts_of(level.floors[guid], division)
    others = [floor for g, floor in level.floors.items() if g != guid]
    return tuple(
        Territory(
            room=guid,
            part=k,
            pitch_m=pitch_m,
            floor=part,
            shared=len(parts) > 1,
            axis=_axis_of(part, [*parts[:k], *parts[k + 1 :], *others], everywhere, pitch_m),
        )
        for k, part in enumerate(parts)
    )


def territory_of(level: Level, guid: str, part: Polygon, pitch_m: float, everywhere: Area) -> Territory:
    """The territory of one part of a room's floor as if it were all that is to be laid of the room."""
    around = [p for p in polygons(level.floors[guid]) if not p.equals(part)]
    others = [*around, *(floor for g, floor in level.floors.items() if g != guid)]
    return Territory(room=guid, part=0, pitch_m=pitch_m, floor=part, axis=_axis_of(part, others, everywhere, pitch_m))


def _doors(level: Level, guid: str) -> list[tuple[float, float]]:
    """Middles of the ways that lead from a room to others of the level."""
    inner = [p for p in level.passages if guid in p.rooms and len(set(p.rooms) & set(level.floors)) > 1]
    return [p.outline.centroid.coords[0] for p in inner]


def _axis_of(part: Polygon, foreign: Sequence[Area], everywhere: Area, pitch: float) -> Area:
    shapely.prepare(part)
    near = list(compress(foreign, shapely.dwithin(part, foreign, pitch)))
    own = common(everywhere, part.buffer(1e-4, join_style="mitre"))
    if near:
        own = shapely.difference(own, unary_union([f.buffer(pitch / 2, join_style="mitre") for f in near]))
    return areas_only(own)
