"""Guests: floor on the circuit of a neighbour. It gets no tails of its own, and the neighbour's pipe fills it.

Guests are small rooms, and small pieces that movement joints cut off a room. The level is laid without them; then a
branch of the neighbour's circuit is led into each through the way between the two, or across the joint: a branch's
neck is a pair of connecting pipes like tails. Where none is legal, the level is laid again with a circuit of their
own for those guests.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from shapely.geometry import Polygon

from ufh_core.circuits.branches import EQUAL_M2, Branched, branched
from ufh_core.circuits.cold_pieces import pitches_from
from ufh_core.circuits.field_scene import FieldScene
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.zones.divisions import islands
from ufh_core.zones.level_plan import Level, axis_area
from ufh_core.zones.screed_parts import small_parts, with_parts_aside
from ufh_core.zones.territories import territory_of

LEAST_SHARE = 0.7  # of a guest's floor that a branch must warm, or it has a circuit of its own
MOST_TRIES = 3  # layouts of a level with fewer and fewer guests

Lay = Callable[[LevelBrief], LevelLayout]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Guest:
    """A floor of a room, whether it is but a part of the room's, and the rooms whose circuits may fill it."""

    room: str
    floor: Polygon
    is_part: bool
    hosts: tuple[str, ...]


def lay_with_shared(brief: LevelBrief, scene: FieldScene, lay: Lay) -> LevelLayout:
    """A level laid by `lay`, small rooms (`brief.partners`) and small parts of rooms on neighbours' circuits."""
    guests = [*_small_rooms(brief), *_small_parts(brief)]
    for _ in range(MOST_TRIES):
        if not guests:
            break
        laid = replace(lay(replace(brief, level=_without(brief.level, guests))), level=brief.level)
        made, alone = _shared(laid, guests, brief, scene)
        if not alone:
            return made
        guests = [guest for guest in guests if guest not in alone]
    return lay(brief)


def _small_rooms(brief: LevelBrief) -> list[_Guest]:
    level, heated = brief.level, brief.level.heated
    found = []
    for guid, near in brief.partners.items():
        pieces = islands(level.floors[guid]) if guid in heated and heated & set(near) else []
        found += [_Guest(room=guid, floor=piece, is_part=False, hosts=near) for piece in pieces[:1]]
    return found


def _small_parts(brief: LevelBrief) -> list[_Guest]:
    """Small parts of rooms whose number of circuits is the tool's to choose, and that share with nobody."""
    level, limit = brief.level, brief.settings.circuits.share_below_m2
    return [
        _Guest(room=guid, floor=part, is_part=True, hosts=(guid,))
        for guid in sorted(level.heated - brief.partners.keys() - brief.wishes.circuits.keys())
        for part in small_parts(level, guid, limit)
    ]


def _without(level: Level, guests: Sequence[_Guest]) -> Level:
    """The level with no circuits for its guests."""
    level = replace(level, heated=level.heated - {guest.room for guest in guests if not guest.is_part})
    return with_parts_aside(level, [(guest.room, guest.floor) for guest in guests if guest.is_part])


def _shared(
    laid: LevelLayout, guests: Sequence[_Guest], brief: LevelBrief, scene: FieldScene
) -> tuple[LevelLayout, list[_Guest]]:
    """The layout with the guests on circuits of their neighbours, and those for which there is no way."""
    circuits = {c.number: c for c in laid.circuits}
    alone = []
    for guest in sorted(guests, key=lambda g: (g.floor.area, g.room)):
        made = _joined(guest, list(circuits.values()), brief, scene)
        if made is None:
            alone.append(guest)
        else:
            circuits[made.circuit.number] = made.circuit
    return replace(laid, circuits=tuple(circuits.values())), alone


def _joined(guest: _Guest, circuits: Sequence[LaidCircuit], brief: LevelBrief, scene: FieldScene) -> Branched | None:
    """The circuit of a neighbour, the first that can, with a branch into a guest's floor."""
    level, settings, pitch = brief.level, brief.settings, brief.pitches[guest.room]
    territory = territory_of(level, guest.room, guest.floor, pitch, axis_area(level, settings))
    least = LEAST_SHARE * guest.floor.area
    for room in guest.hosts:
        hosts = [c for c in circuits if c.rooms[0] == room]
        any_will_do = len(hosts) == 1 or guest.is_part or guest.room in brief.wishes.shares_with
        best: Branched | None = None
        for host in hosts if any_will_do else ():
            others = [c for c in circuits if c is not host]
            made = branched(scene, host, others, territory, pitches_from(pitch, brief), least)
            if made is not None and (best is None or made.worth > best.worth + EQUAL_M2):
                best = made
        if best is not None:
            return best
    return None
