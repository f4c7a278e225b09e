"""Small rooms that may go on the circuit of a neighbour that is about as warm.

A neighbour is a room behind one of their doors, or one of those that nobody misses much if they follow another
room's thermostat and whose tails may pass the door.
"""

from __future__ import annotations

from collections.abc import Mapping

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.selection import matches
from ufh_core.zones.wishes import Wishes

ALONE = "none"
"""The designer's word for a room that keeps a circuit of its own."""

ALIKE_K = 2.0  # rooms whose design temperatures differ by more need thermostats of their own; own rule
IN_PASSING = (RoomKind.HALL, RoomKind.UTILITY, RoomKind.STORE, RoomKind.WC)


def partners_of(
    level: Level, indoor_c: Mapping[str, float], wishes: Wishes, settings: Settings
) -> dict[str, tuple[str, ...]]:
    """Rooms that may share a circuit, each with its neighbours: those behind its doors first, then the most alike.

    `indoor_c` are the rooms' design temperatures [°C]. A room with wishes for its own circuits keeps them,
    unless the designer says with which it shares: that may be any room of the flat.
    """
    if level.rooms_unknown:
        return {}
    own = wishes.circuits.keys() | wishes.entries.keys() | wishes.served_from.keys() | wishes.shares_with.keys()
    limit = settings.circuits.share_below_m2
    small = {g for g in level.heated - own if level.floors[g].area < limit}
    told = {g for g in level.heated if wishes.shares_with.get(g, ALONE) != ALONE}
    found: dict[str, tuple[str, ...]] = {}
    hosts: set[str] = set()
    for guid in sorted(small | told, key=lambda g: (g not in told, level.floors[g].area, g)):
        if guid in hosts:
            continue
        doors = _behind_doors(guid, level)
        rooms = [g for g in _flat_of(guid, level, settings) if g != guid and g not in found]
        if guid in told:
            near = [g for g in rooms if matches(wishes.shares_with[guid], level.room(g))]
        else:
            near = [g for g in rooms if g in doors or level.room(g).kind in IN_PASSING]
            near = [g for g in near if abs(indoor_c[g] - indoor_c[guid]) <= ALIKE_K]
        if near:
            ranks = {g: (g not in doors, abs(indoor_c[g] - indoor_c[guid]), level.floors[g].area, g) for g in near}
            found[guid] = tuple(sorted(near, key=ranks.__getitem__))
            hosts |= set(near)
    return found


def _behind_doors(guid: str, level: Level) -> set[str]:
    """Rooms behind the ways of a room."""
    return {g for p in level.passages if guid in p.rooms for g in p.rooms}


def _flat_of(guid: str, level: Level, settings: Settings) -> frozenset[str]:
    """Heated rooms between which tails may lead, and a room among them."""
    return next((part.heated for part in level.by_dwelling(settings) if guid in part.heated), frozenset())
