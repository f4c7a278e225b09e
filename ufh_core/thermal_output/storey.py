"""Flow temperature and pitches of a storey, before anything is laid.

The rule. (1) The flow temperature is the one that is given, or the least at which every room but the
bathrooms gets its demand with its closest pitch and σ = `spread_k`: every kelvin less is worth more to
the heat generator than the pipe costs, and it is never below `LEAST_FLOW_C` nor above `greatest_flow_c`.
The room that needs the warmest water governs, which with mixed finishes need not be the one of the
highest heat flux. A room beyond its surface limit asks for water that takes it to the limit.
(2) Every room then takes the widest of its pitches that carries it at that temperature with at least
that spread (least pipe first), and whose surface is even (`MOST_UNEVEN_K`); a bathroom or WC not over
`WIDEST_WET_ROOM_PITCH_M`. Where none carries it, the closest pitch, with less spread, and what is
missing is told.
"""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import surface
from ufh_core.thermal_output.floors import FloorPart
from ufh_core.thermal_output.remarks import governing_remark, room_remarks
from ufh_core.thermal_output.rooms import heated_floor, needed_flow_temperature, room_output
from ufh_core.thermal_output.types import RoomOutput, RoomRequest, StoreyOutput

LEAST_FLOW_C = 30.0
"""No lower flow temperature is proposed [°C]. Source: common practice (a mixing valve still holds it)."""

MOST_UNEVEN_K = 1.0
"""Highest less mean surface temperature up to which a pitch is chosen [K]. Source: own rule for bare feet."""

WIDEST_WET_ROOM_PITCH_M = 0.20
"""Widest pitch of bathrooms and WCs [m]. Source: common practice."""

LEAST_SHARE = 0.4
"""Share of a room's floor [-] from which on the room may set the flow temperature. Source: common practice."""

_WET_ROOMS = (RoomKind.BATH, RoomKind.WC)


def design_outputs(requests: Sequence[RoomRequest], settings: Settings) -> StoreyOutput:
    """Flow temperature of the storey, pitch and output of each room, by the rule of this module.

    Raises: NoSolution where a floor is outside the standard's range.
    Source: EN 1264-3 for the governing room and the spread of the others; see the module for the choice.
    """
    flow_c, governing = _flow_temperature(requests, settings)
    rooms = {request.room: _with_best_pitch(request, flow_c, settings) for request in requests}
    findings = [remark for request in requests for remark in room_remarks(request, rooms[request.room])]
    if governing is not None:
        others = [request for request in requests if request is not governing]
        findings.append(governing_remark(governing, flow_c, _flow_temperature(others, settings)[0]))
    name = "" if governing is None else governing.room
    return StoreyOutput(flow_c=flow_c, governing_room=name, rooms=rooms, findings=tuple(findings))


def allowed_pitches(request: RoomRequest, settings: Settings) -> tuple[float, ...]:
    """The room's pitches to choose from [m], widest first."""
    if request.fixed_pitch_m is not None:
        return (request.fixed_pitch_m,)
    pitches = sorted(request.pitches_m or settings.layout.pitches_m, reverse=True)
    if request.kind in _WET_ROOMS:
        pitches = [pitch for pitch in pitches if pitch <= WIDEST_WET_ROOM_PITCH_M + 1e-9] or pitches[-1:]
    return tuple(pitches)


def governing_rooms(requests: Sequence[RoomRequest]) -> list[RoomRequest]:
    """The rooms that may set the flow temperature.

    Bathrooms are left out (EN 1264-3), and rooms of which units or tails leave less than `LEAST_SHARE` of the
    floor: warmer water for all would hardly help those few square metres, another heater does (common
    practice). Where nothing else is left, they count.
    """
    heatable = [request for request in requests if request.heatable_area_m2 > 0]
    dry = [request for request in heatable if request.kind is not RoomKind.BATH] or heatable
    return [request for request in dry if request.floor_share >= LEAST_SHARE] or dry


def _flow_temperature(requests: Sequence[RoomRequest], settings: Settings) -> tuple[float, RoomRequest | None]:
    """θ_V [°C] and the room that sets it, None where the settings or the least temperature do."""
    if settings.output.flow_c is not None:
        return settings.output.flow_c, None
    flow_c, governing = min(LEAST_FLOW_C, settings.output.greatest_flow_c), None
    for request in governing_rooms(requests):
        closest = allowed_pitches(request, settings)[-1]
        floor = heated_floor(request, [FloorPart(area_m2=request.heatable_area_m2, pitch_m=closest)], settings)
        needed = min(needed_flow_temperature(request, floor, settings), settings.output.greatest_flow_c)
        if needed > flow_c:
            flow_c, governing = needed, request
    return flow_c, governing


def _with_best_pitch(request: RoomRequest, flow_c: float, settings: Settings) -> RoomOutput:
    """The room's output at the widest pitch that will do, else at its closest."""
    pitches = allowed_pitches(request, settings)
    for pitch in pitches[:-1]:
        output = _at_pitch(request, pitch, flow_c, settings)
        if _will_do(request, output, settings):
            return output
    return _at_pitch(request, pitches[-1], flow_c, settings)


def _at_pitch(request: RoomRequest, pitch_m: float, flow_c: float, settings: Settings) -> RoomOutput:
    """The room's output at one pitch [m]."""
    part = FloorPart(area_m2=max(0.0, request.heatable_area_m2), pitch_m=pitch_m)
    floor = heated_floor(request, [part], settings)
    return room_output(request, floor, flow_c, settings)


def _will_do(request: RoomRequest, output: RoomOutput, settings: Settings) -> bool:
    """Whether a pitch carries the room with enough spread and, at the demand, an even surface."""
    asked = request.demand_w / request.heatable_area_m2 if request.heatable_area_m2 > 0 else 0.0
    uneven = surface.peak_over_mean(output.pitch_m, request.finish_r, asked)
    enough_spread = output.spread_k >= settings.output.spread_k - 1e-6
    return output.shortfall_w == 0 and enough_spread and uneven <= MOST_UNEVEN_K
