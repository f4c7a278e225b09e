"""What is asked of a storey before its pipes: its floors, its levels, and what every room needs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from ufh_core.basis.areas import Area
from ufh_core.building.types import Room, Storey
from ufh_core.circuits.field_layer import Fields
from ufh_core.floor import design_build_up, pipe_levels
from ufh_core.floor.types import BuildUp
from ufh_core.heat_demand import HeatDemand, slab_below
from ufh_core.settings.types import Settings
from ufh_core.thermal_output.types import RoomRequest
from ufh_core.zones.laying import along_walls, layings
from ufh_core.zones.level_plan import Level, levels_of
from ufh_core.zones.selection import Selection
from ufh_core.zones.wishes import NO_WISHES, Wishes

PLANNED_SHARE = 0.93  # of a room's free floor is heated in the end, as a first guess; the laid area counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """What is asked of a storey. `fields` are those that were laid before, whatever for."""

    storey: Storey
    selection: Mapping[str, Selection]
    demand: HeatDemand
    settings: Settings
    first_manifold: int
    tell: Callable[[str], None]
    wishes: Wishes = NO_WISHES
    fields: Fields = field(default_factory=dict, compare=False, repr=False)


def storey_requests(brief: Brief) -> list[RoomRequest]:
    """What is asked of the floor of every room to heat, before anything is laid."""
    return planned_storey(brief).requests


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A storey before its pipes: rooms to heat, their floors, the levels that they lie on, what is asked of them."""

    heated: list[Room]
    build_ups: dict[str, BuildUp]
    levels: list[Level]
    requests: list[RoomRequest]


def planned_storey(brief: Brief) -> Planned:
    """The storey before its pipes."""
    heated = [r for r in brief.storey.rooms if brief.selection[r.ifc_guid].heat]
    build_ups = _build_ups(heated, brief)
    how = layings(heated, brief.selection, brief.demand, brief.settings)
    levels = [replace(level, layings=how) for level in levels_of(brief.storey, frozenset(how), brief.settings)]
    free = {guid: level.floors[guid] for level in levels for guid in level.heated}
    requests = [_request(r, build_ups[r.ifc_guid], free[r.ifc_guid], brief) for r in heated]
    return Planned(heated=heated, build_ups=build_ups, levels=levels, requests=requests)


def _build_ups(heated: list[Room], brief: Brief) -> dict[str, BuildUp]:
    below = {r.ifc_guid: brief.demand.rooms[r.ifc_guid].below for r in heated}
    levels = pipe_levels(heated, below, brief.settings)
    return {
        r.ifc_guid: design_build_up(
            r,
            below[r.ifc_guid],
            brief.settings,
            finish_resistance(r, brief),
            pipe_axis_m=levels[r.ifc_guid],
            slab=slab_below(r, brief.storey.slabs),
        )
        for r in heated
    }


def finish_resistance(room: Room, brief: Brief) -> float:
    """Thermal resistance of a room's finish [m² K/W]: its own answer, its kind's, or that of all others."""
    selection = brief.selection[room.ifc_guid]
    if selection.override is not None and selection.override.finish_r is not None:
        return selection.override.finish_r
    return brief.settings.floor.finish_r_by_kind.get(selection.kind.value, brief.settings.floor.finish_r)


def _request(room: Room, build_up: BuildUp, free: Area, brief: Brief) -> RoomRequest:
    demand = brief.demand.rooms[room.ifc_guid]
    selection = brief.selection[room.ifc_guid]
    return RoomRequest(
        room=room.ifc_guid,
        kind=selection.kind,
        indoor_c=demand.indoor_c,
        demand_w=demand.demand_w,
        heatable_area_m2=PLANNED_SHARE * free.area,
        finish_r=finish_resistance(room, brief),
        r_below=build_up.r_below,
        below_c=demand.below_c,
        fixed_pitch_m=selection.override.pitch_m if selection.override else None,
        label=room.label,
        floor_share=free.area / room.outline.area,
        edge_m2=along_walls(free, demand.outer_walls, brief.settings.layout.edge_zone_depth_m).area,
    )
