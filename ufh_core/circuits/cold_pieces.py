"""Cold pieces of rooms, filled by circuits that pass by.

Tails of other rooms cut a hall into wedges, and where ports or room for another pair run out, some stay cold.
A piece that is large and wide enough is offered to the room's own circuit; in halls and the like, where nobody
stays for long, also to the circuits of other rooms whose tails run along it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, polygons
from ufh_core.building.types import RoomKind
from ufh_core.circuits.branches import EQUAL_M2, Branched, branched, pipes_near
from ufh_core.circuits.field_scene import FieldScene
from ufh_core.circuits.joining import STRIP_EDGE_M
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.zones.level_plan import Level, axis_area
from ufh_core.zones.territories import Territory

NOBODYS = (RoomKind.HALL, RoomKind.UTILITY, RoomKind.STORE)  # hardly missed if they follow another room's thermostat
WORTH_M2 = 1.0  # floor of a piece from which a branch is worth its bends; our own choice
LEAST_WARMED_M2 = 0.6  # that a branch must warm
LEAST_WIDE_M = 0.35  # a narrower piece holds no loop with its clearances
BESIDE_M = 1.0  # from a piece to the pipes that may fill it
MOST_HOSTS = 4  # circuits of other rooms that are tried for one piece, the nearest first


def with_cold_pieces(laid: LevelLayout, brief: LevelBrief, scene: FieldScene) -> LevelLayout:
    """The layout with the cold pieces of its rooms filled as far as circuits come by."""
    circuits = {c.number: c for c in laid.circuits}
    for guid, piece in cold_pieces(laid, circuit_rooms(laid)):
        made = _filled(laid.level, guid, piece, list(circuits.values()), brief, scene)
        if made is not None:
            circuits[made.circuit.number] = made.circuit
    return replace(laid, circuits=tuple(circuits.values()))


def circuit_rooms(laid: LevelLayout) -> frozenset[str]:
    """The rooms to be heated that have a circuit."""
    return laid.level.heated & {room for c in laid.circuits for room in c.rooms}


def cold_pieces(laid: LevelLayout, rooms: frozenset[str]) -> list[tuple[str, Polygon]]:
    """Pieces of these rooms that no field and no tails warm, the largest first, each with its room."""
    found, half = [], LEAST_WIDE_M / 2
    for guid, cold in cold_floors(laid, rooms).items():
        wide = cold.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
        found += [(guid, p) for p in polygons(areas_only(shapely.intersection(wide, cold))) if p.area >= WORTH_M2]
    return sorted(found, key=lambda one: (-round(one[1].area, 6), one[0], one[1].bounds))


def cold_floors(laid: LevelLayout, rooms: frozenset[str]) -> dict[str, Area]:
    """By room, the floor that lies neither in a field nor in the strip of a pipe."""
    warm = unary_union([f.outline for c in laid.circuits for f in c.fields])
    lines = [*(c.axis.line() for c in laid.circuits), *laid.level.laid.geoms]
    found = {}
    for guid in sorted(rooms):
        floor = laid.level.floors[guid]
        left = areas_only(shapely.difference(floor, warm))
        found[guid] = areas_only(shapely.difference(left, pipes_near(lines, floor).buffer(STRIP_EDGE_M)))
    return found


def _filled(
    level: Level, guid: str, piece: Polygon, circuits: Sequence[LaidCircuit], brief: LevelBrief, scene: FieldScene
) -> Branched | None:
    """The circuit that fills a piece: the room's own where it can, else that of the others which does so best."""
    axis = areas_only(shapely.intersection(axis_area(level, brief.settings), piece))
    territory = Territory(room=guid, part=0, pitch_m=brief.pitches[guid], floor=piece, axis=axis)
    pitches = pitches_from(brief.pitches[guid], brief)
    best: Branched | None = None
    for host in _hosts(level, guid, piece, circuits, brief):
        others = [c for c in circuits if c is not host]
        made = branched(scene, host, others, territory, pitches, LEAST_WARMED_M2)
        if made is not None and (host.rooms[0] == guid or made.fills(piece)):
            return made
        if made is not None and (best is None or made.worth > best.worth + EQUAL_M2):
            best = made
    return best


def _hosts(
    level: Level, guid: str, piece: Polygon, circuits: Sequence[LaidCircuit], brief: LevelBrief
) -> Iterator[LaidCircuit]:
    """Circuits that may fill a piece of a room: of rooms with one circuit only, whose lengths need not be alike."""
    rooms = [c.rooms[0] for c in circuits]
    lone = [c for c in circuits if rooms.count(c.rooms[0]) == 1 and c.axis.line().distance(piece) <= BESIDE_M]
    yield from (c for c in lone if c.rooms[0] == guid)
    if level.room(guid).kind in NOBODYS:
        home = [part for part in level.by_dwelling(brief.settings) if guid in part.floors]
        near = [c for c in lone if c.rooms[0] != guid and any(c.rooms[0] in part.floors for part in home)]
        yield from sorted(near, key=lambda c: (round(c.axis.line().distance(piece), 3), c.number))[:MOST_HOSTS]


def pitches_from(asked_m: float, brief: LevelBrief) -> list[float]:
    """The pitch that is asked for, then closer ones, widest first [m]."""
    return [asked_m, *sorted((p for p in brief.settings.layout.pitches_m if p < asked_m - 1e-6), reverse=True)]
