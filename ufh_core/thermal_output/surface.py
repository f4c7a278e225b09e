"""The floor's surface: mean and highest temperature, and the limits that they set on the output."""

from __future__ import annotations

import math
from dataclasses import replace

from ufh_core.basis.errors import NoSolution
from ufh_core.floor.types import FloorSection
from ufh_core.thermal_output import tables
from ufh_core.thermal_output.characteristic import WIDEST_TABLE_PITCH_M, characteristic

_TABLE_COVER_R = 0.0792  # s_u/λ_E [m² K/W] up to which the limit curves depend on it
_TABLE_FLUX = 50.0  # [W/m²] of the table of peaks


def surface_flux(overtemperature_k: float) -> float:
    """Heat flux q [W/m²] of a floor whose mean surface is θ_F,m − θ_i [K] over the room.

    Source: EN 1264-2, basic characteristic.

    >>> round(surface_flux(9.0), 1), round(surface_flux(15.0), 1)
    (100.0, 175.4)
    """
    return 8.92 * float(max(overtemperature_k, 0.0) ** 1.1)


def mean_surface_overtemperature(q: float) -> float:
    """θ_F,m − θ_i [K] of a floor that gives q [W/m²]. Source: EN 1264-2, basic characteristic.

    >>> round(mean_surface_overtemperature(50.0), 2)
    4.79
    """
    return float((max(q, 0.0) / 8.92) ** (1 / 1.1))


def peak_over_mean(pitch_m: float, finish_r: float, q: float) -> float:
    """Highest less mean surface temperature [K] at q [W/m²]: an estimate.

    The table at 50 W/m² is read bilinearly and scaled with q (conduction is linear). A finish over
    0.15 m² K/W is read at 0.15; a pitch over 0.30 m is carried on as steeply as from 0.25 m.
    Source: own finite-element study, see `tables.PEAK_OVER_MEAN`.
    """
    finish_r = min(max(finish_r, 0.0), 0.15)
    pitch_m = max(pitch_m, 0.05)
    if pitch_m <= 0.30:
        at_table = tables.PEAK_OVER_MEAN.read(pitch_m, finish_r)
    else:
        low, high = (tables.PEAK_OVER_MEAN.read(pitch, finish_r) for pitch in (0.25, 0.30))
        at_table = high + (high - low) * (pitch_m - 0.30) / 0.05
    return at_table * max(q, 0.0) / _TABLE_FLUX


def peak_surface_overtemperature(pitch_m: float, finish_r: float, q: float) -> float:
    """Highest surface temperature over the room [K] at q [W/m²]: an estimate, see `peak_over_mean`."""
    return mean_surface_overtemperature(q) + peak_over_mean(pitch_m, finish_r, q)


def limit_flux(section: FloorSection, limit_k: float) -> tuple[float, float]:
    """(q_G [W/m²], Δθ_H,G [K]): the most that the floor may give with its surface at most `limit_k` over the room.

    Raises: NoSolution outside the range of the tables.
    Source: EN 1264-2, limit curves; never more than the basic characteristic gives at `limit_k`.
    Valid for: s_u/λ_E ≥ 0.01; 0.05 ≤ T, over 0.375 m by the standard's rule for wide pitch.
    """
    k_h = characteristic(section)
    if section.pitch_m <= WIDEST_TABLE_PITCH_M + 1e-9:
        flux = _limit_in_table(section, limit_k, k_h)
    else:
        flux = _limit_at_wide_pitch(section, limit_k)
    flux = min(flux, surface_flux(limit_k))
    return flux, flux / k_h


def _limit_in_table(section: FloorSection, limit_k: float, k_h: float) -> float:
    """q_G [W/m²] where the limit curve meets the characteristic, T ≤ 0.375 m."""
    scale = (limit_k / 9.0) ** 1.1  # φ
    b_g, n_g = _limit_curve(section)
    overtemperature = scale * (b_g / k_h) ** (1 / (1 - n_g))
    return float(scale * b_g * (overtemperature / scale) ** n_g)


def _limit_curve(section: FloorSection) -> tuple[float, float]:
    """(B_G [W/m²], n_G [-]). A cover under 0.173 T is read at 0.173 T where the screed resists much (safe side)."""
    cover_r = section.cover_m / section.screed_conductivity
    if cover_r < 0.01 - 1e-9:
        raise NoSolution(
            f"EN 1264-2 has no limit curve for {section.cover_m * 1000:.0f} mm of screed of "
            f"{section.screed_conductivity:g} W/(m K): use more cover"
        )
    pitch = min(section.pitch_m, WIDEST_TABLE_PITCH_M)
    if cover_r <= _TABLE_COVER_R:
        return tables.B_G.read(pitch, cover_r), tables.N_G.read(pitch, cover_r)
    ratio = min(max(section.cover_m / pitch, 0.173), 0.75)
    return tables.B_G_THICK.read(ratio), tables.N_G_THICK.read(ratio)


def _limit_at_wide_pitch(section: FloorSection, limit_k: float) -> float:
    """q_G [W/m²] for T > 0.375 m. Source: EN 1264-2, by one transcription."""
    widest = replace(section, pitch_m=WIDEST_TABLE_PITCH_M)
    thinned = limit_flux(widest, limit_k)[0] * WIDEST_TABLE_PITCH_M / section.pitch_m
    ratio = section.cover_m / section.pitch_m
    if ratio <= 0.173:
        return thinned
    most = surface_flux(limit_k)
    return most - (most - thinned) * math.exp(-20 * (ratio - 0.173) ** 2)
