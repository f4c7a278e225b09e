"""The surface field of a storey as it was laid, and what there is to say of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import shapely
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, areas_only
from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.building.types import Obstacle, Room
from ufh_core.circuits.types import LaidCircuit
from ufh_core.settings.types import Settings
from ufh_core.surface_field import FloorPipe, RoomFloor, SurfaceField, limit_findings, surface_field
from ufh_core.thermal_output.floors import surface_limit_k
from ufh_core.thermal_output.rooms import floor_section
from ufh_core.thermal_output.types import CircuitOutput, LaidOutput, RoomOutput, RoomRequest
from ufh_core.thermal_output.water_side import carried_heat
from ufh_core.zones.level_plan import Level

NO_FLOOR = ("stair", "void")
STEP_M = 0.1  # what begins higher over the floor leaves it free


def storey_surface(
    levels: Sequence[Level],
    requests: Sequence[RoomRequest],
    outputs: LaidOutput,
    circuits: Sequence[LaidCircuit],
    settings: Settings,
) -> tuple[SurfaceField | None, tuple[Finding, ...]]:
    """The field over all rooms to heat, with a finding for each place over its limit."""
    floors = room_floors(levels, requests, outputs.rooms, settings)
    pipes = floor_pipes(circuits, outputs, settings)
    try:
        field = surface_field(floors, pipes)
    except NoSolution as error:
        guids = tuple(request.room for request in requests)
        message = Message("no surface temperatures over the plan: {error}", error=error.message)
        return None, (Finding(code="surface.none", severity=Severity.NOTE, message=message, ifc_guids=guids),)
    labels = {request.room: request.called for request in requests}
    return field, limit_findings(field.hot_places, labels) if field is not None else ()


def floor_pipes(circuits: Iterable[LaidCircuit], outputs: LaidOutput, settings: Settings) -> list[FloorPipe]:
    """The circuits with their water, as the surface field takes them."""
    return [_floor_pipe(circuit, outputs.circuits[circuit.number], settings) for circuit in circuits]


def _floor_pipe(laid: LaidCircuit, output: CircuitOutput, settings: Settings) -> FloorPipe:
    return FloorPipe(
        number=laid.number,
        axis=laid.axis,
        flow_c=output.flow_c,
        mass_flow=output.mass_flow,
        fields=tuple((field, laid.pitch_of(field)) for field in laid.fields),
        heat_capacity=carried_heat(settings.hydraulics.fluid, (output.flow_c + output.return_c) / 2),
    )


def room_floors(
    levels: Iterable[Level], requests: Sequence[RoomRequest], outputs: Mapping[str, RoomOutput], settings: Settings
) -> list[RoomFloor]:
    """Every room to heat with the floor in its doors; a door between two of them is the first one's."""
    asked = {request.room: request for request in requests}
    floors: list[RoomFloor] = []
    for level in levels:
        thresholds = _thresholds(level, [room for room in asked if room in level.floors])
        for room in level.rooms:
            if room.ifc_guid in asked:
                request, pitch = asked[room.ifc_guid], outputs[room.ifc_guid].pitch_m
                outline = _walked_on(room, level.storey.obstacles)
                floors.append(_room_floor(request, outline, pitch, thresholds.get(room.ifc_guid), settings))
    return floors


def _walked_on(room: Room, obstacles: Iterable[Obstacle]) -> Area:
    """The floor of a room less stairs and openings that take it away; all of it where they would take everything."""
    gone = [o.outline for o in obstacles if o.kind in NO_FLOOR and o.bottom_m < room.floor_m + STEP_M < o.top_m]
    left = areas_only(room.outline.difference(shapely.union_all(gone))) if gone else room.outline
    return left if left.area > 0 else room.outline


def _thresholds(level: Level, rooms: Iterable[str]) -> dict[str, Area]:
    """The floor in doors and openings between rooms, by the room that it goes with; none round sleeves."""
    known, inside = set(rooms), {room.ifc_guid for room in level.rooms}
    found: dict[str, list[Polygon]] = {}
    for passage in level.passages:
        owner = next((room for room in passage.rooms if room in known), None)
        if owner is not None and len(inside & set(passage.rooms)) > 1 and passage.kind != "sleeve":
            found.setdefault(owner, []).append(passage.outline)
    unions = {room: shapely.union_all(parts) for room, parts in found.items()}
    return {room: area for room, area in unions.items() if area.area > 0}


def _room_floor(
    request: RoomRequest, outline: Area, pitch_m: float, threshold: Area | None, settings: Settings
) -> RoomFloor:
    return RoomFloor(
        room=request.room,
        outline=outline,
        section=floor_section(request, pitch_m, settings),
        indoor_c=request.indoor_c,
        below_c=request.below_c,
        limit_k=surface_limit_k(request.kind, settings.output),
        edge_limit_k=surface_limit_k(request.kind, settings.output, edge=True),
        tail_spacing_m=max(0.05, settings.layout.tail_spacing_m),
        threshold=threshold,
    )
