"""Thermal output of heated floors, room by room and circuit by circuit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorSection:
    """The section that EN 1264-2 needs: T [m], s_u [m], λ_E [W/(m K)], R_λB [m² K/W], D [m] and the pipe wall.

    `r_below` is R_u's part below the pipe plane [m² K/W] with the film there (0.17).
    """

    pitch_m: float
    cover_m: float
    screed_conductivity: float
    finish_r: float
    pipe_diameter_m: float
    pipe_wall_m: float
    pipe_conductivity: float
    r_below: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomOutput:
    """What a room's floor gives at the design flow temperature.

    q upward [W/m²] over `heated_area_m2`; `spread_k` is the room's σ; `shortfall_w` is what is
    missing (0 when carried); `limited_by` says why: "", "surface", "flow temperature", "spread".
    """

    room: str
    pitch_m: float
    heated_area_m2: float
    characteristic: float  # K_H [W/(m² K)]
    heat_flux: float  # q [W/m²]
    limit_flux: float  # q_G [W/m²]
    overtemperature_k: float  # Δθ_H
    output_w: float
    shortfall_w: float
    downward_flux: float  # q_u [W/m²]
    flow_c: float
    return_c: float
    spread_k: float
    mass_flow: float  # [kg/s], whole room
    mean_surface_c: float
    peak_surface_c: float
    limited_by: str = ""
    advice: str = ""
