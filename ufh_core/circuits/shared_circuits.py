"""Small rooms on the circuit of a neighbour: they get no tails of their own, and the neighbour's pipe fills them.

The level is laid without them; then a branch of the neighbour's circuit is led into each through the way
between the two. Where none is legal, the level is laid again with a circuit of their own for those rooms.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from ufh_core.circuits.branches import EQUAL_M2, Branched, branched
from ufh_core.circuits.cold_pieces import pitches_from
from ufh_core.circuits.field_scene import FieldScene
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.zones.level_plan import axis_area
from ufh_core.zones.territories import first_division, room_territories

LEAST_SHARE = 0.7  # of a small room's floor that a branch must warm, or the room has a circuit of its own
MOST_TRIES = 3  # layouts of a level with fewer and fewer rooms that share

Lay = Callable[[LevelBrief], LevelLayout]
Partners = Mapping[str, tuple[str, ...]]


def lay_with_shared(brief: LevelBrief, scene: FieldScene, lay: Lay) -> LevelLayout:
    """A level laid by `lay`, small rooms (`brief.partners`) on circuits of their neighbours where that can be."""
    heated = brief.level.heated
    partners: Partners = {g: near for g, near in brief.partners.items() if g in heated and heated & set(near)}
    for _ in range(MOST_TRIES):
        if not partners:
            break
        fewer = replace(brief.level, heated=heated - partners.keys())
        laid = replace(lay(replace(brief, level=fewer)), level=brief.level)
        made, alone = _shared(laid, partners, brief, scene)
        if not alone:
            return made
        partners = {g: near for g, near in partners.items() if g not in alone}
    return lay(brief)


def _shared(
    laid: LevelLayout, partners: Partners, brief: LevelBrief, scene: FieldScene
) -> tuple[LevelLayout, set[str]]:
    """The layout with the small rooms on circuits of their neighbours, and those for which there is no way."""
    circuits = {c.number: c for c in laid.circuits}
    alone = set()
    for guid in sorted(partners, key=lambda g: (brief.level.floors[g].area, g)):
        made = _joined(guid, partners[guid], list(circuits.values()), brief, scene)
        if made is None:
            alone.add(guid)
        else:
            circuits[made.circuit.number] = made.circuit
    return replace(laid, circuits=tuple(circuits.values())), alone


def _joined(
    guid: str, near: Sequence[str], circuits: Sequence[LaidCircuit], brief: LevelBrief, scene: FieldScene
) -> Branched | None:
    """The circuit of a neighbour, the first that can, with a branch into a room."""
    level, settings, pitch = brief.level, brief.settings, brief.pitches[guid]
    division = first_division(level, guid, 1, pitch, settings)
    territory = room_territories(level, guid, division, pitch, axis_area(level, settings))[0]
    least = LEAST_SHARE * level.floors[guid].area
    for room in near:
        hosts = [c for c in circuits if c.rooms[0] == room]
        best: Branched | None = None
        for host in hosts if len(hosts) == 1 or guid in brief.wishes.shares_with else ():
            others = [c for c in circuits if c is not host]
            made = branched(scene, host, others, territory, pitches_from(pitch, brief), least)
            if made is not None and (best is None or made.worth > best.worth + EQUAL_M2):
                best = made
        if best is not None:
            return best
    return None
