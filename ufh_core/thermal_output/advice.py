"""Advice for a room that its floor does not carry, with figures."""

from __future__ import annotations

import math
from dataclasses import replace

from ufh_core.floor.types import FloorSection
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import surface, water_side
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.floors import HeatedFloor, surface_limit_k
from ufh_core.thermal_output.types import RoomRequest

_FINISHES_R = (0.10, 0.05, 0.02)  # parquet, thin wood or vinyl, tiles [m² K/W]: common practice
GREATEST_SCREED_C = 55.0
"""Highest mean temperature at the pipe plane in cement and calcium sulphate screed [°C]. Source: DIN 18560-2."""


def advice_for(request: RoomRequest, floor: HeatedFloor, shortfall_w: float, flow_c: float, settings: Settings) -> str:
    """What would carry the room, each remedy alone: closer pitch, better finish, warmer water, other heat."""
    remedies = [
        _closer_pitch(request, floor, flow_c, settings),
        _better_finish(request, floor, flow_c, settings),
        _warmer_water(request, floor, settings),
        f"{math.ceil(shortfall_w)} W from another heater",
    ]
    return "carried with " + ", or ".join(remedy for remedy in remedies if remedy)


def _closer_pitch(request: RoomRequest, floor: HeatedFloor, flow_c: float, settings: Settings) -> str:
    """The widest closer pitch of the settings that carries the room."""
    closer = (pitch for pitch in settings.layout.pitches_m if pitch < floor.section.pitch_m - 1e-9)
    for pitch in sorted(closer, reverse=True):
        if _carries(request, floor, replace(floor.section, pitch_m=pitch), flow_c, settings):
            return f"a pitch of {pitch * 1000:.0f} mm"
    return ""


def _better_finish(request: RoomRequest, floor: HeatedFloor, flow_c: float, settings: Settings) -> str:
    """The poorest usual finish that carries the room."""
    for finish_r in _FINISHES_R:
        better = finish_r < request.finish_r - 1e-9
        if better and _carries(request, floor, replace(floor.section, finish_r=finish_r), flow_c, settings):
            return f"a finish of at most {finish_r:.2f} m²K/W"
    return ""


def _warmer_water(request: RoomRequest, floor: HeatedFloor, settings: Settings) -> str:
    """The flow temperature that carries the room where its surface allows the demand and the screed the water."""
    needed = floor.needed_overtemperature(request)
    if needed > floor.limit_overtemperature_k:
        return ""
    flow_c = water_side.flow_temperature(request.indoor_c, needed, settings.output.spread_k)
    if flow_c > GREATEST_SCREED_C:
        return ""
    return f"a flow temperature of {math.ceil(flow_c * 10) / 10:.1f} °C"


def _carries(
    request: RoomRequest, floor: HeatedFloor, section: FloorSection, flow_c: float, settings: Settings
) -> bool:
    """Whether a floor with another section gives the demand at the flow temperature and the governing room's spread."""
    limit_k = surface_limit_k(request.kind, settings.output)
    flow_k = flow_c - request.indoor_c
    if flow_k <= settings.output.spread_k:
        return False
    reached = water_side.log_mean_overtemperature(flow_k, settings.output.spread_k)
    flux = min(characteristic(section) * reached, surface.limit_flux(section, limit_k)[0])
    return flux * floor.area_m2 - floor.lost_w >= request.demand_w
