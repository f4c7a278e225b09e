"""How the floor of each room is to be laid: its pattern and the outer walls that count for it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon

from ufh_core.basis.areas import Area
from ufh_core.building.types import Room
from ufh_core.heat_demand.types import HeatDemand, Line
from ufh_core.settings.types import Settings
from ufh_core.zones.selection import Selection

LEAST_M2 = 0.05
NEAR_M = 0.35  # from a part of a room to a wall that is its own: units may stand between


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeZone:
    """A strip along outer walls, `depth_m` deep, at a pitch of its own [m], by the room's pipe or by one for it alone.

    Source: EN 1264-2, edge (peripheral) areas up to 1 m wide.
    """

    own_circuit: bool
    depth_m: float
    pitch_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """How one room is laid. `cold_walls` are its edges to the open air [m], each with the room on its left."""

    pattern: str = "counterflow"
    cold_walls: tuple[Line, ...] = ()
    edge: EdgeZone | None = None

    def edge_floor(self, part: Polygon) -> Area:
        """The floor of a part of the room that lies in its edge zone."""
        if self.edge is None or not self.cold_walls:
            return Polygon()
        return along_walls(part, self.cold_walls, self.edge.depth_m)

    def edge_pitch(self, pitch_m: float, settings: Settings) -> float:
        """The pitch of the edge zone beside floor at `pitch_m` in the same circuit [m]; `pitch_m` without one.

        Not less than a turn is wide, nor than half the floor's pitch: runs of one circuit in one field keep
        half its pitch apart.
        """
        if self.edge is None or self.edge.own_circuit:
            return pitch_m
        stud, turn = settings.layout.stud_pitch_m, 2 * settings.pipe.least_bend_radius_m
        least = math.ceil(max(turn, pitch_m / 2) / stud - 1e-6) * stud
        return round(min(pitch_m, max(self.edge.pitch_m, least)), 6)

    def walls_of(self, part: Polygon) -> tuple[Line, ...]:
        """The cold walls beside a part of the room; all of them where none is near, so that parts lie alike."""
        return tuple(w for w in self.cold_walls if LineString(w).distance(part) <= NEAR_M) or self.cold_walls


def along_walls(part: Area, walls: Iterable[Line], depth_m: float) -> Area:
    """The floor of a part that lies up to `depth_m` [m] inside some walls, each with the room on its left."""
    strips = [LineString(w).buffer(depth_m, cap_style="flat", single_sided=True) for w in walls]
    zone = shapely.intersection(part, shapely.union_all(strips))
    return MultiPolygon([p for p in shapely.get_parts(zone) if isinstance(p, Polygon) and p.area > LEAST_M2])


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
            edge=_edge((told.edge_zone if told else None) or settings.layout.edge_zone, settings),
        )
    return found


def _edge(kind: str, settings: Settings) -> EdgeZone | None:
    if kind == "none":
        return None
    layout = settings.layout
    return EdgeZone(
        own_circuit=kind == "own circuit", depth_m=layout.edge_zone_depth_m, pitch_m=layout.edge_zone_pitch_m
    )
