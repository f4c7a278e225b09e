"""What would carry a room that its floor does not carry, and by how much each remedy helps, alone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from ufh_core.basis.message import Message, joined, note
from ufh_core.floor.types import FloorSection
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import surface, water_side
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.floors import HeatedFloor, surface_limit_k
from ufh_core.thermal_output.types import Remedy, RoomRequest

_FINISHES_R = (0.10, 0.05, 0.02)  # parquet, thin wood or vinyl, tiles [m² K/W]: common practice
GREATEST_SCREED_C = 55.0
"""Highest mean temperature at the pipe plane in cement and calcium sulphate screed [°C]. Source: DIN 18560-2."""

ENOUGH_W, WORTH_W = 0.5, 10.0
"""What may be missing of a demand that counts as carried, and what a remedy must give to be named [W]."""


def remedies_for(
    request: RoomRequest, floor: HeatedFloor, overtemperature_k: float, settings: Settings
) -> tuple[Remedy, ...]:
    """Closer pitch, edge zone, better finish, warmer water, other heat: each alone, with what it gives.

    `overtemperature_k` is Δθ_H of the room as it is; a changed floor is taken at the same. Of pitches and finishes
    the mildest that carries the room, or else the one that gives most. Another heater always does.
    """
    now = floor.heat_w(overtemperature_k)
    missing = request.demand_w - now
    found = [
        _best(_pitches(request, floor, overtemperature_k, settings), request, now),
        _edge_zone(request, floor, overtemperature_k, settings),
        _best(_finishes(request, floor, overtemperature_k, settings), request, now),
        _warmer_water(request, floor, missing, settings),
    ]
    helpful = [r for r in found if r is not None and (r.left_w == 0 or r.more_w >= WORTH_W)]
    return (
        *helpful,
        Remedy(words=Message("{missing} W from another heater", missing=math.ceil(missing)), more_w=missing),
    )


def advice_of(remedies: Sequence[Remedy]) -> str:
    """The remedies in words: those that carry the room, then what the others would give."""
    whole = [r.words for r in remedies if r.left_w <= ENOUGH_W]
    parts = [
        Message(
            "{words} would give {more:.0f} W more and leave {left:.0f} W missing",
            words=r.words,
            more=r.more_w,
            left=r.left_w,
        )
        for r in remedies
        if r.left_w > ENOUGH_W
    ]
    carried = Message("carried with {remedies}", remedies=joined(whole, note(", or ")))
    return joined([carried, *parts], "; ")


def _best(found: Iterator[tuple[str, str, float]], request: RoomRequest, now: float) -> Remedy | None:
    """The first of some changes, mildest first, that carries the room; else the one that gives most."""
    most: Remedy | None = None
    for words, setting, heat in found:
        left = max(0.0, request.demand_w - heat)
        remedy = Remedy(words=words, setting=setting, more_w=heat - now, left_w=left if left > ENOUGH_W else 0.0)
        if remedy.left_w == 0:
            return remedy
        most = remedy if most is None or remedy.more_w > most.more_w else most
    return most


def _pitches(
    request: RoomRequest, floor: HeatedFloor, overtemperature_k: float, settings: Settings
) -> Iterator[tuple[str, str, float]]:
    """Closer pitches of the settings, widest first, with the heat that they give [W]."""
    for pitch in sorted(settings.layout.pitches_m, reverse=True):
        if pitch < floor.section.pitch_m - 1e-9:
            heat = _heat_w(request, floor, replace(floor.section, pitch_m=pitch), overtemperature_k, settings)
            yield (
                Message("a pitch of {pitch:.0f} mm", pitch=pitch * 1000),
                f"pitch_m = {pitch:g}",
                heat,
            )


def _finishes(
    request: RoomRequest, floor: HeatedFloor, overtemperature_k: float, settings: Settings
) -> Iterator[tuple[str, str, float]]:
    """Better usual finishes, poorest first, with the heat that they give [W]."""
    for finish_r in _FINISHES_R:
        if finish_r < request.finish_r - 1e-9:
            heat = _heat_w(request, floor, replace(floor.section, finish_r=finish_r), overtemperature_k, settings)
            yield (
                Message("a finish of at most {finish_r:.2f} m²K/W", finish_r=finish_r),
                f"finish_r = {finish_r:g}",
                heat,
            )


def _heat_w(
    request: RoomRequest, floor: HeatedFloor, section: FloorSection, overtemperature_k: float, settings: Settings
) -> float:
    """What the floor would give with another section [W], no warmer than its surface may be."""
    limit = surface.limit_flux(section, surface_limit_k(request.kind, settings.output))[0]
    return min(characteristic(section) * overtemperature_k, limit) * floor.area_m2 - floor.lost_w


def _edge_zone(request: RoomRequest, floor: HeatedFloor, overtemperature_k: float, settings: Settings) -> Remedy | None:
    """An edge zone along the outer walls, where the room has none yet and a closer pitch is asked there."""
    pitch, area = settings.layout.edge_zone_pitch_m, min(request.edge_m2, floor.area_m2)
    if floor.edge_characteristic is not None or area <= 0 or pitch >= floor.section.pitch_m - 1e-9:
        return None
    edge = replace(floor.section, pitch_m=pitch)
    limit = surface.limit_flux(edge, surface_limit_k(request.kind, settings.output, edge=True))[0]
    inner = min(floor.characteristic * overtemperature_k, floor.limit_flux)
    more = (min(characteristic(edge) * overtemperature_k, limit) - inner) * area
    left = max(0.0, request.demand_w - floor.heat_w(overtemperature_k) - more)
    return Remedy(
        words=Message("an edge zone of {area:.1f} m² at {pitch:.0f} mm", area=area, pitch=pitch * 1000),
        setting='edge_zone = "same circuit"',
        more_w=more,
        left_w=left if left > ENOUGH_W else 0.0,
    )


def _warmer_water(request: RoomRequest, floor: HeatedFloor, missing_w: float, settings: Settings) -> Remedy | None:
    """The flow temperature that carries the room where its surface allows the demand and the screed the water."""
    needed = floor.needed_overtemperature(request)
    if needed > floor.limit_overtemperature_k:
        return None
    flow_c = water_side.flow_temperature(request.indoor_c, needed, settings.output.spread_k)
    if flow_c > GREATEST_SCREED_C:
        return None
    flow_c = math.ceil(flow_c * 10) / 10
    return Remedy(
        words=Message("a flow temperature of {flow:.1f} °C", flow=flow_c),
        setting=f"output.flow_c = {flow_c:.1f}",
        more_w=missing_w,
    )
