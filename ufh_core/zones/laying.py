"""How the floor of each room is to be laid: its pattern and the outer walls that count for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon

from ufh_core.building.types import Room
from ufh_core.heat_demand.types import HeatDemand, Line
from ufh_core.settings.types import Settings
from ufh_core.zones.selection import Selection

NEAR_M = 0.35  # from a part of a room to a wall that is its own: units may stand between


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """How one room is laid. `cold_walls` are its edges to the open air [m], each with the room on its left."""

    pattern: str = "counterflow"
    cold_walls: tuple[Line, ...] = ()

    def walls_of(self, part: Polygon) -> tuple[Line, ...]:
        """The cold walls beside a part of the room; all of them where none is near, so that parts lie alike."""
        return tuple(w for w in self.cold_walls if LineString(w).distance(part) <= NEAR_M) or self.cold_walls


PLAIN = Laying()


def layings(
    rooms: Iterable[Room], selection: Mapping[str, Selection], demand: HeatDemand, settings: Settings
) -> dict[str, Laying]:
    """How each of some heated rooms is to be laid, by GlobalId."""
    found = {}
    for room in rooms:
        told = selection[room.ifc_guid].override
        found[room.ifc_guid] = Laying(
            pattern=(told.pattern if told else None) or settings.layout.pattern,
            cold_walls=demand.rooms[room.ifc_guid].outer_walls,
        )
    return found
