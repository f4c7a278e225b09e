"""What one room's floor gives at a flow temperature, and what it would need.

The spread σ answers for the demand: a room gets the σ at which it gives what is asked, between a least
and a greatest spread, and never more than its surface limit allows.
"""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.basis.message import Message
from ufh_core.floor.types import FloorSection
from ufh_core.settings.types import OutputSettings, Settings
from ufh_core.thermal_output import surface, water_side
from ufh_core.thermal_output.advice import advice_of, remedies_for
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.floors import FloorPart, HeatedFloor, surface_limit_k
from ufh_core.thermal_output.types import Remedy, RoomOutput, RoomRequest

LEAST_SPREAD_K = 3.0
"""A room that lacks heat gets more water, down to this spread [K]; below it pumps carry water for little heat.

Source: common practice.
"""

_WARMEST_SPREAD_SHARE = 0.5  # of the flow's overtemperature: where the flow is hardly warmer than the room
_COOLEST_SPREAD_SHARE = 0.8  # of the flow's overtemperature: the return stays above the room
_NOTHING_W = 0.5  # [W] that are not worth a word


def floor_section(request: RoomRequest, pitch_m: float, settings: Settings) -> FloorSection:
    """The section of a room's floor at a pitch [m], with the screed and the pipe of the settings."""
    return FloorSection(
        pitch_m=pitch_m,
        cover_m=settings.floor.screed_cover_m,
        screed_conductivity=settings.floor.screed_conductivity,
        finish_r=request.finish_r,
        pipe_diameter_m=settings.pipe.outside_diameter_m,
        pipe_wall_m=settings.pipe.wall_m,
        pipe_conductivity=settings.pipe.conductivity,
        r_below=request.r_below,
    )


def heated_floor(
    request: RoomRequest, parts: Sequence[FloorPart], settings: Settings, lost_w: float = 0.0
) -> HeatedFloor:
    """The floor of one room made of parts that share their water temperatures.

    K_H is the mean over the area; the part that first meets its surface limit limits them all. `lost_w` is what the
    floor as laid gives less than by the standard.
    """
    sections = [floor_section(request, part.pitch_m, settings) for part in parts]
    strengths = [characteristic(section) for section in sections]
    limits = [surface_limit_k(request.kind, settings.output, part.edge) for part in parts]
    inner = [k for k, part in enumerate(parts) if not part.edge] or list(range(len(parts)))
    return HeatedFloor(
        area_m2=sum(part.area_m2 for part in parts),
        section=sections[max(inner, key=lambda k: parts[k].area_m2)],
        characteristic=_mean(strengths, parts, range(len(parts))),
        limit_overtemperature_k=min(surface.limit_flux(s, k)[1] for s, k in zip(sections, limits, strict=True)),
        inner_characteristic=_mean(strengths, parts, inner),
        edge_characteristic=max((k_h for k_h, part in zip(strengths, parts, strict=True) if part.edge), default=None),
        lost_w=lost_w,
    )


def _mean(values: Sequence[float], parts: Sequence[FloorPart], of: Sequence[int]) -> float:
    """The mean of some parts' values over their area."""
    area = sum(parts[k].area_m2 for k in of)
    weights = {k: parts[k].area_m2 / area if area > 0 else 1 / len(of) for k in of}
    return sum(weight * values[k] for k, weight in weights.items())


def needed_flow_temperature(request: RoomRequest, floor: HeatedFloor, settings: Settings) -> float:
    """θ_V [°C] at which the floor gives the demand, or all that its surface allows, with σ of the governing room."""
    overtemperature = min(floor.needed_overtemperature(request), floor.limit_overtemperature_k)
    return water_side.flow_temperature(request.indoor_c, overtemperature, settings.output.spread_k)


def room_output(request: RoomRequest, floor: HeatedFloor, flow_c: float, settings: Settings) -> RoomOutput:
    """What the floor gives at the flow temperature [°C], at the spread that comes nearest to the demand.

    A room that would give more than asked even at the greatest spread is stated with what it gives then
    (`limited_by` "spread"); its thermostat holds it back. One that gives less is short, with advice.
    """
    if floor.area_m2 <= 0 or flow_c <= request.indoor_c:
        return _no_output(request, floor, flow_c)
    overtemperature, limited_by = _overtemperature(request, floor, flow_c - request.indoor_c, settings.output)
    sigma = water_side.spread(flow_c - request.indoor_c, overtemperature)
    q = floor.heat_w(overtemperature) / floor.area_m2
    shortfall = max(0.0, request.demand_w - q * floor.area_m2)
    short = shortfall > _NOTHING_W
    remedies = remedies_for(request, floor, overtemperature, settings) if short else ()
    return _stated(
        request,
        floor,
        q=q,
        overtemperature_k=overtemperature,
        shortfall_w=shortfall if short else 0.0,
        flow_c=flow_c,
        spread_k=sigma,
        heat_capacity=water_side.carried_heat(settings.hydraulics.fluid, flow_c - sigma / 2),
        limited_by=limited_by if short or limited_by == "spread" else "",
        remedies=remedies,
    )


def _overtemperature(
    request: RoomRequest, floor: HeatedFloor, flow_k: float, settings: OutputSettings
) -> tuple[float, str]:
    """Δθ_H [K] nearest to what the demand needs, and what keeps it from that."""
    most_spread = min(settings.greatest_spread_k, _COOLEST_SPREAD_SHARE * flow_k)
    least_spread = min(LEAST_SPREAD_K, settings.spread_k, _WARMEST_SPREAD_SHARE * flow_k)
    least = water_side.log_mean_overtemperature(flow_k, most_spread)
    most = water_side.log_mean_overtemperature(flow_k, least_spread)
    needed = floor.needed_overtemperature(request)
    reached, limited_by = needed, ""
    if needed > most:
        reached, limited_by = most, "flow temperature"
    elif needed < least:
        reached, limited_by = least, "spread"
    if reached > floor.limit_overtemperature_k:
        return floor.limit_overtemperature_k, "surface" if needed > floor.limit_overtemperature_k else "spread"
    return reached, limited_by


def _stated(
    request: RoomRequest,
    floor: HeatedFloor,
    *,
    q: float,
    overtemperature_k: float,
    shortfall_w: float,
    flow_c: float,
    spread_k: float,
    heat_capacity: float,
    limited_by: str,
    remedies: tuple[Remedy, ...],
) -> RoomOutput:
    """The result with what follows from q [W/m²] and σ [K]: downward loss, water, surface."""
    down = water_side.downward_flux(floor.section, q, request.indoor_c, request.below_c)
    pitch, finish_r = floor.section.pitch_m, request.finish_r
    inner_q = floor.inner_characteristic * overtemperature_k
    edge_q = None if floor.edge_characteristic is None else floor.edge_characteristic * overtemperature_k
    return RoomOutput(
        room=request.room,
        pitch_m=pitch,
        heated_area_m2=floor.area_m2,
        characteristic=floor.characteristic,
        heat_flux=q,
        limit_flux=floor.limit_flux,
        overtemperature_k=overtemperature_k,
        output_w=q * floor.area_m2,
        shortfall_w=shortfall_w,
        downward_flux=down,
        flow_c=flow_c,
        return_c=flow_c - spread_k,
        spread_k=spread_k,
        mass_flow=water_side.mass_flow((q + down) * floor.area_m2, spread_k, heat_capacity),
        mean_surface_c=request.indoor_c + surface.mean_surface_overtemperature(inner_q),
        peak_surface_c=request.indoor_c + surface.peak_surface_overtemperature(pitch, finish_r, inner_q),
        edge_surface_c=None if edge_q is None else request.indoor_c + surface.mean_surface_overtemperature(edge_q),
        limited_by=limited_by,
        advice=advice_of(remedies) if remedies else "",
        remedies=remedies,
    )


def _no_output(request: RoomRequest, floor: HeatedFloor, flow_c: float) -> RoomOutput:
    """A room without a floor to heat, or with water no warmer than the room."""
    without_floor = floor.area_m2 <= 0
    short = request.demand_w > _NOTHING_W
    reason = (
        Message("no floor is left to heat")
        if without_floor
        else Message("water of {flow:.1f} °C is no warmer than the room", flow=flow_c)
    )
    return RoomOutput(
        room=request.room,
        pitch_m=floor.section.pitch_m,
        heated_area_m2=max(0.0, floor.area_m2),
        characteristic=floor.characteristic,
        heat_flux=0.0,
        limit_flux=floor.limit_flux,
        overtemperature_k=0.0,
        output_w=0.0,
        shortfall_w=request.demand_w if short else 0.0,
        downward_flux=0.0,
        flow_c=flow_c,
        return_c=flow_c,
        spread_k=0.0,
        mass_flow=0.0,
        mean_surface_c=request.indoor_c,
        peak_surface_c=request.indoor_c,
        limited_by="area" if without_floor else "flow temperature",
        advice=Message(
            "{reason}: {demand:.0f} W of other heat is needed",
            reason=reason,
            demand=request.demand_w,
        )
        if short
        else "",
    )
