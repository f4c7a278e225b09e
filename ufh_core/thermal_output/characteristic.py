"""The characteristic of a heated floor by EN 1264-2, type A (pipes in screed).

q = K_H Δθ_H, K_H = B · a_B · a_T^m_T · a_U^m_U · a_D^m_D: a product of powers around a reference floor
(45 mm of cover, 20 mm pipe). Wide pitch, thick cover, other pipe walls have rules of their own.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ufh_core.basis.errors import NoSolution
from ufh_core.floor.types import FloorSection
from ufh_core.thermal_output import tables

FILM = 10.8
"""α, film at the floor surface [W/(m² K)]. Source: EN 1264-2."""

_B_0 = 6.7  # [W/(m² K)] for the reference pipe wall
_REFERENCE_WALL_M = 0.002  # s_R0
_REFERENCE_PIPE_CONDUCTIVITY = 0.35  # λ_R0 [W/(m K)]
_REFERENCE_COVER_M = 0.045  # s_u0
_REFERENCE_CONDUCTIVITY = 1.0  # λ_u0 [W/(m K)]
WIDEST_TABLE_PITCH_M = 0.375
_GREATEST_FINISH_R = 0.15
_LAST_FINISH_STEP = 0.05


def finish_factor(section: FloorSection) -> float:
    """a_B, what finish and screed let through against the reference floor [-].

    Source: EN 1264-2; a_B = (1/α + s_u0/λ_u0) / (1/α + s_u0/λ_E + R_λB).
    """
    reference = 1 / FILM + _REFERENCE_COVER_M / _REFERENCE_CONDUCTIVITY
    return reference / (1 / FILM + _REFERENCE_COVER_M / section.screed_conductivity + section.finish_r)


def characteristic(section: FloorSection) -> float:
    """K_H, heat upward for 1 K of heating-medium overtemperature [W/(m² K)].

    Raises: NoSolution where the floor is outside the standard's range.
    Source: EN 1264-2, type A. A finish over 0.15 m² K/W is our own extension: 1/K_H grows on as steeply
    as from 0.10 to 0.15 (steeper than the added resistance alone, so on the safe side).
    Valid for: T ≥ 0.05 m, s_u ≥ 0.010 m, 0.008 ≤ D ≤ 0.030 m, R_λB ≥ 0.
    """
    _check(section)
    beyond = section.finish_r - _GREATEST_FINISH_R
    if beyond <= 1e-9:
        return _by_pitch(section)
    last = 1 / _by_pitch(replace(section, finish_r=_GREATEST_FINISH_R))
    before = 1 / _by_pitch(replace(section, finish_r=_GREATEST_FINISH_R - _LAST_FINISH_STEP))
    return 1 / (last + beyond * (last - before) / _LAST_FINISH_STEP)


def _check(section: FloorSection) -> None:
    """The range of the standard."""
    ranges = (
        ("pitch", section.pitch_m, 0.05, math.inf, "m"),
        ("screed over the pipe", section.cover_m, 0.010, math.inf, "m"),
        ("pipe diameter", section.pipe_diameter_m, 0.008, 0.030, "m"),
        ("screed conductivity", section.screed_conductivity, 0.1, math.inf, "W/(m K)"),
        ("pipe conductivity", section.pipe_conductivity, 0.01, math.inf, "W/(m K)"),
        ("finish resistance", section.finish_r, 0.0, math.inf, "m²K/W"),
        ("pipe wall", section.pipe_wall_m, 1e-5, section.pipe_diameter_m / 2 - 1e-5, "m"),
    )
    for what, value, low, high, unit in ranges:
        if not low - 1e-12 <= value <= high + 1e-12:
            bounds = f"at least {low:g}" if math.isinf(high) else f"from {low:g} to {high:g}"
            raise NoSolution(f"EN 1264-2 has no answer for {what} {value:g} {unit}: {bounds} {unit} is needed")


def _by_pitch(section: FloorSection) -> float:
    """K_H [W/(m² K)]; pitches over 0.375 m give as much for each metre of pipe as 0.375 m does."""
    if section.pitch_m <= WIDEST_TABLE_PITCH_M + 1e-9:
        return _by_cover(section)
    widest = _by_cover(replace(section, pitch_m=WIDEST_TABLE_PITCH_M))
    return widest * WIDEST_TABLE_PITCH_M / section.pitch_m


def _by_cover(section: FloorSection) -> float:
    """K_H [W/(m² K)]; cover over s_u* only adds its own resistance. Source: EN 1264-2, by one transcription."""
    thickest = 0.100 if section.pitch_m <= 0.200 else 0.5 * section.pitch_m
    if section.cover_m <= thickest:
        return _with_pipe_wall(section)
    at_thickest = _with_pipe_wall(replace(section, cover_m=thickest))
    return 1 / (1 / at_thickest + (section.cover_m - thickest) / section.screed_conductivity)


def _with_pipe_wall(section: FloorSection) -> float:
    """K_H [W/(m² K)] with B corrected for the pipe's wall.

    1/B = 1/B_0 + 1.1/π · Π(a_i^m_i) · T · (wall resistance terms). Source: EN 1264-2.
    """
    factors = _product(section)
    d = section.pipe_diameter_m
    own = math.log(d / (d - 2 * section.pipe_wall_m)) / (2 * section.pipe_conductivity)
    reference = math.log(d / (d - 2 * _REFERENCE_WALL_M)) / (2 * _REFERENCE_PIPE_CONDUCTIVITY)
    return factors / (1 / _B_0 + 1.1 / math.pi * factors * section.pitch_m * (own - reference))


def _product(section: FloorSection) -> float:
    """Π(a_i^m_i) with a_B [-]. Source: EN 1264-2."""
    pitch, finish_r = section.pitch_m, section.finish_r
    m_t = 1 - pitch / 0.075
    m_u = 100 * (0.045 - section.cover_m)
    m_d = 250 * (section.pipe_diameter_m - 0.020)
    return float(
        finish_factor(section)
        * tables.A_T.read(finish_r) ** m_t
        * tables.A_U.read(pitch, finish_r) ** m_u
        * tables.A_D.read(pitch, finish_r) ** m_d
    )
