"""The layers of one room's floor, their heights, and the section that the thermal calculation needs."""

from __future__ import annotations

import math
from dataclasses import replace

from ufh_core.basis.areas import Area
from ufh_core.basis.message import Message, note
from ufh_core.building.types import Room, Slab
from ufh_core.floor.fixing import fixing_of
from ufh_core.floor.levels import (
    available_height,
    height_below_pipe,
    height_over_pipe,
    insulation_thickness,
    pipe_levels,
)
from ufh_core.floor.types import BuildUp, FloorSection, Layer
from ufh_core.heat_demand.u_values import R_SI_DOWN, load_bearing_r
from ufh_core.settings.types import Settings

FINISH_DENSITY = 2000.0  # kg/m³, tiles with their bed; common practice, on the safe side
LIGHT_DENSITY = 25.0  # kg/m³, expanded polystyrene; common practice
GREATEST_INSULATION_M = 0.20
_STEP_M = 0.005


def design_build_up(
    room: Room,
    below: str,
    settings: Settings,
    finish_r: float,
    *,
    pipe_axis_m: float | None = None,
    slab: Slab | None = None,
    pipe_length_m: float = 0.0,
) -> BuildUp:
    """Design the floor of a room.

    `below` is "heated", "unheated", "ground" or "outside"; `finish_r` [m² K/W]; `pipe_axis_m` is the
    storey's height of the pipe (`pipe_levels`), the room's own without it; `slab` lends its heavy
    layers to R_u; `pipe_length_m` [m] is what lies in this room's screed.
    Source: EN 1264-4 (layers, least insulation), EN 1264-2 (R_u with its film of 0.17 m² K/W).
    """
    axis = pipe_levels([room], {room.ifc_guid: below}, settings)[room.ifc_guid] if pipe_axis_m is None else pipe_axis_m
    available = available_height(room)
    needed = height_below_pipe(below, settings) + height_over_pipe(settings)
    layers = _layers(room, below, settings, finish_r, axis)
    screeded = screed_area(room.outline, settings)
    volume = screed_volume(screeded, pipe_length_m, settings)
    build_up = BuildUp(
        room=room.ifc_guid,
        layers=layers,
        pipe_axis_m=axis,
        below=below,
        r_below=_r_below(layers, slab),
        available_m=available,
        missing_height_m=0.0 if available is None else max(0.0, round(needed - available, 6)),
        screed_volume_m3=volume,
        edge_strip_m=room.outline.length,
        mass_kg_m2=0.0,
        fixing=fixing_of(settings).name,
    )
    return replace(build_up, mass_kg_m2=_mass(build_up, screeded, settings))


def screed_area(outline: Area, settings: Settings) -> float:
    """Floor [m²] within the edge strip; all of it where the strip would leave nothing."""
    inner = outline.buffer(-settings.floor.edge_strip_thickness_m, join_style="mitre").area
    return float(inner if inner > 0 else outline.area)


def screed_volume(area_m2: float, pipe_length_m: float, settings: Settings) -> float:
    """Screed [m³] over an area [m²], less what studs and pipe displace."""
    fixing, diameter = fixing_of(settings), settings.pipe.outside_diameter_m
    per_m2 = fixing.seat_m + diameter + settings.floor.screed_cover_m - fixing.stud_volume_m3_per_m2
    return max(0.0, area_m2 * per_m2 - pipe_length_m * math.pi * diameter**2 / 4)


def with_pipe(build_up: BuildUp, area_m2: float, pipe_length_m: float, settings: Settings) -> BuildUp:
    """Return the floor with the pipe that was laid in it taken off the screed."""
    changed = replace(build_up, screed_volume_m3=screed_volume(area_m2, pipe_length_m, settings))
    return replace(changed, mass_kg_m2=_mass(changed, area_m2, settings))


def floor_section(build_up: BuildUp, pitch_m: float, settings: Settings, finish_r: float) -> FloorSection:
    """Give the section that EN 1264-2 needs, for a pitch T [m] and a finish R_λB [m² K/W]."""
    return FloorSection(
        pitch_m=pitch_m,
        cover_m=settings.floor.screed_cover_m,
        screed_conductivity=settings.floor.screed_conductivity,
        finish_r=finish_r,
        pipe_diameter_m=settings.pipe.outside_diameter_m,
        pipe_wall_m=settings.pipe.wall_m,
        pipe_conductivity=settings.pipe.conductivity,
        r_below=build_up.r_below,
    )


def _layers(room: Room, below: str, settings: Settings, finish_r: float, axis: float) -> tuple[Layer, ...]:
    """Stack the layers from below to above round the axis of the pipe."""
    floor, fixing, half = settings.floor, fixing_of(settings), settings.pipe.outside_diameter_m / 2
    screed = fixing.seat_m + 2 * half + floor.screed_cover_m
    insulation = _insulation(room, below, settings, axis)
    thickness = [
        ("membrane", note("damp-proof membrane"), floor.membrane_thickness_m if below == "ground" else 0.0, 0.0),
        ("insulation", note("insulation board"), insulation, insulation / floor.insulation_conductivity),
        ("foil", note("polyethylene foil"), floor.foil_thickness_m, 0.0),
        ("panel", note("castellated panel"), fixing.base_m, fixing.base_r),
        (
            "screed",
            Message("{screed} screed", screed=Message(floor.screed)),
            screed,
            screed / floor.screed_conductivity,
        ),
        ("finish", note("floor finish"), floor.finish_thickness_m, finish_r),
    ]
    height = axis - half - fixing.seat_m - sum(t for _, _, t, _ in thickness[:4])
    layers = []
    for role, material, t, r in thickness:
        if t > 0:
            layers.append(Layer(role=role, material=material, bottom_m=height, top_m=height + t, r_value=r))
        height += t
    return tuple(layers)


def _insulation(room: Room, below: str, settings: Settings, axis: float) -> float:
    """Thickness [m] of the insulation: the least, or what fills the height down to the slab, in 5 mm steps."""
    least = insulation_thickness(below, settings)
    if available_height(room) is None or room.slab_top_m is None:
        return least
    spare = axis - height_below_pipe(below, settings) - room.slab_top_m
    return min(least + max(0.0, _STEP_M * math.floor(spare / _STEP_M + 1e-6)), max(least, GREATEST_INSULATION_M))


def _r_below(layers: tuple[Layer, ...], slab: Slab | None) -> float:
    """R_u's part below the pipe plane [m² K/W]: insulation, panel, the slab's heavy layers, film 0.17."""
    under = sum(layer.r_value for layer in layers if layer.role in {"insulation", "panel"})
    return under + (load_bearing_r(slab.construction) if slab else 0.0) + R_SI_DOWN


def _mass(build_up: BuildUp, area_m2: float, settings: Settings) -> float:
    """Mass [kg/m²] of the layers over the base; membrane, foil and water are not counted."""
    by_role = {layer.role: layer.thickness_m for layer in build_up.layers}
    light = (by_role.get("insulation", 0.0) + by_role.get("panel", 0.0)) * LIGHT_DENSITY
    screed = build_up.screed_volume_m3 / area_m2 * settings.floor.screed_density if area_m2 > 0 else 0.0
    return screed + light + by_role.get("finish", 0.0) * FINISH_DENSITY
