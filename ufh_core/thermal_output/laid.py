"""Outputs of rooms and circuits as laid: real areas and pitches at one flow temperature.

By the standard's characteristic. Where it is known what the real floor of a room gives less than that, and what a
circuit's tails give (`AsLaid`), less that, and with water enough for the tails too.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import water_side
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.floors import FloorPart, HeatedFloor
from ufh_core.thermal_output.remarks import governing_remark, room_remarks
from ufh_core.thermal_output.rooms import floor_section, heated_floor, needed_flow_temperature, room_output
from ufh_core.thermal_output.storey import LEAST_FLOW_C, allowed_pitches, governing_rooms
from ufh_core.thermal_output.types import AsLaid, CircuitOutput, LaidField, LaidOutput, RoomOutput, RoomRequest

STANDARD = AsLaid()
"""The floor as the standard has it: no room gives less, and no tail gives anything."""


def laid_flow_temperature(
    requests: Sequence[RoomRequest],
    fields: Sequence[LaidField],
    settings: Settings,
    real: AsLaid = STANDARD,
) -> tuple[float, Finding | None]:
    """θ_V [°C] that carries the rooms as laid, with a finding that names the room that sets it.

    The settings' flow temperature where they give one; else the rule of `storey`, with the laid areas and
    pitches in place of the planned.
    """
    if settings.output.flow_c is not None:
        return settings.output.flow_c, None
    floors = _laid_floors(requests, fields, settings, real.lost_w)
    laid = [request for request in requests if floors[request.room].area_m2 > 0]
    base = min(LEAST_FLOW_C, settings.output.greatest_flow_c)
    needs = sorted(
        (
            (min(needed_flow_temperature(r, floors[r.room], settings), settings.output.greatest_flow_c), k, r)
            for k, r in enumerate(governing_rooms(laid))
        ),
        reverse=True,
    )
    if not needs or needs[0][0] <= base:
        return base, None
    without = max(base, needs[1][0]) if len(needs) > 1 else base
    return needs[0][0], governing_remark(needs[0][2], needs[0][0], without)


def laid_outputs(
    requests: Sequence[RoomRequest],
    fields: Sequence[LaidField],
    flow_c: float,
    settings: Settings,
    real: AsLaid = STANDARD,
) -> LaidOutput:
    """Output of every requested room and every circuit as laid, at the flow temperature [°C].

    A room of which nothing was laid is short by its whole demand. Fields of one room share the room's
    water temperatures; a circuit's mass flow is the sum of what its fields need, so that
    m c_W (θ_V − θ_R) is its heat upward and downward.

    Raises: NoSolution where a field is in a room that was not asked for, or outside the standard's range.
    """
    _check_rooms(requests, fields)
    floors = _laid_floors(requests, fields, settings, real.lost_w)
    rooms = {r.room: room_output(r, floors[r.room], flow_c, settings) for r in requests}
    findings = tuple(remark for r in requests for remark in room_remarks(r, rooms[r.room]))
    by_room = {request.room: request for request in requests}
    circuits = {
        circuit: _circuit_output(own, by_room, rooms, flow_c, settings, real.tails_w.get(circuit, 0.0))
        for circuit, own in _grouped(fields).items()
    }
    return LaidOutput(flow_c=flow_c, rooms=rooms, circuits=circuits, findings=findings)


def _check_rooms(requests: Iterable[RoomRequest], fields: Iterable[LaidField]) -> None:
    known = {request.room for request in requests}
    for field in fields:
        if field.room not in known:
            raise NoSolution(f"circuit {field.circuit} heats room {field.room}, for which no demand is given")


def _grouped(fields: Iterable[LaidField]) -> dict[str, list[LaidField]]:
    """Fields by circuit, in the order given."""
    groups: dict[str, list[LaidField]] = defaultdict(list)
    for field in fields:
        groups[field.circuit].append(field)
    return dict(groups)


def _laid_floors(
    requests: Sequence[RoomRequest], fields: Sequence[LaidField], settings: Settings, lost_w: Mapping[str, float]
) -> dict[str, HeatedFloor]:
    """Each room's floor as laid; without fields, its closest pitch on no area."""
    parts: dict[str, list[FloorPart]] = defaultdict(list)
    for field in fields:
        if field.area_m2 > 0:
            parts[field.room].append(FloorPart(area_m2=field.area_m2, pitch_m=field.pitch_m, edge=field.edge))
    return {
        r.room: heated_floor(r, parts.get(r.room) or [_nothing(r, settings)], settings, lost_w.get(r.room, 0.0))
        for r in requests
    }


def _nothing(request: RoomRequest, settings: Settings) -> FloorPart:
    return FloorPart(area_m2=0.0, pitch_m=allowed_pitches(request, settings)[-1])


def _circuit_output(
    fields: Sequence[LaidField],
    requests: Mapping[str, RoomRequest],
    rooms: Mapping[str, RoomOutput],
    flow_c: float,
    settings: Settings,
    tails_w: float,
) -> CircuitOutput:
    """Sum of a circuit's fields, with the return temperature of their mixed water; the flow carries the tails too."""
    up = down = flow = carried = 0.0
    fluid = settings.hydraulics.fluid
    for field in fields:
        field_up, field_down = _field_heat(field, requests[field.room], rooms[field.room], settings)
        if field_up + field_down > 0:
            up, down = up + field_up, down + field_down
            spread_k = rooms[field.room].spread_k
            heat_capacity = water_side.carried_heat(fluid, flow_c - spread_k / 2)
            own = water_side.mass_flow(field_up + field_down, spread_k, heat_capacity)
            flow, carried = flow + own, carried + own * heat_capacity
    cooled = (up + down) / carried if carried > 0 else 0.0
    return CircuitOutput(
        circuit=fields[0].circuit,
        output_w=up,
        downward_w=down,
        mass_flow=flow * (1 + max(0.0, tails_w) / (up + down)) if flow > 0 else 0.0,
        flow_c=flow_c,
        return_c=flow_c - cooled,
        tail_w=tails_w,
    )


def _field_heat(field: LaidField, request: RoomRequest, room: RoomOutput, settings: Settings) -> tuple[float, float]:
    """Heat upward and downward [W] of one field at the room's Δθ_H."""
    if room.overtemperature_k <= 0 or field.area_m2 <= 0:
        return 0.0, 0.0
    section = floor_section(request, field.pitch_m, settings)
    q = characteristic(section) * room.overtemperature_k
    return q * field.area_m2, water_side.downward_flux(section, q, request.indoor_c, request.below_c) * field.area_m2
