"""The floor section as a fin: what the plane model needs so that endless parallel pipes give EN 1264-2's output.

In the plane of the screed, temperature t obeys −κ∇²t + G_o (t − θ_i) + G_u (t − θ_u) = heat of the pipes, with

* G_o = 1/R_o and G_u = 1/R_u, so that q_u = (R_o q + θ_i − θ_u)/R_u as in EN 1264-2;
* κ = λ_E (s_u + D), the screed's conduction in the plane;
* a pipe that gives U (θ_w − t) for each metre. U is what remains of the resistance from water to room that K_H
  stands for, when the fin's own is taken off: 1/U = G_o/((G_o + G_u) K_H T) − S, where S [m K/W] is the fin's
  temperature at a pipe for 1 W/m from each of the endless row.

All of it on the grid of cells: harmonic by harmonic, with the spline by which a pipe's heat is shared out
among cells and the difference quotient in place of the derivative, so that the size of the cells cancels out.

The fin knows no depth: its swing reaches the surface damped. So the upward flux s is smoothed,
s − ∇·(ℓ²∇s) = G_o (t − θ_i), which keeps its sum; ℓ makes the swing between pipes what `ripple` says.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from ufh_core.floor.types import FloorSection
from ufh_core.surface_field.ripple import peak_to_trough, surface_harmonics
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.water_side import upward_resistance

LEAST_WALL_SHARE = 0.25  # 1/U is at least this share of the pipe wall's resistance; else κ is raised
CLOSEST_SWING_M = 0.10
_HARMONICS = 400
_SPLINE_POWER = 4  # a cubic B-spline's spectrum is sinc⁴
_LONGEST_SPREAD_M = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneSection:
    """κ [W/K], G_o and G_u [W/(m² K)], U [W/(m K)] and ℓ [m] of a floor at one pitch."""

    plane_conductance: float
    up: float
    down: float
    pipe: float
    spread_m: float


@lru_cache(maxsize=512)
def plane_section(section: FloorSection, cell_m: float, least_plane: float = 0.0) -> PlaneSection:
    """The fin of a floor section on cells of `cell_m` [m], with κ [W/K] of at least `least_plane`.

    Raises: NoSolution outside EN 1264-2's range.
    """
    up, down = 1 / upward_resistance(section), 1 / section.r_below
    whole = up / ((up + down) * characteristic(section) * section.pitch_m)
    wall = pipe_wall_resistance(section)
    plane = max(least_plane, section.screed_conductivity * (section.cover_m + section.pipe_diameter_m))

    def rest(kappa: float) -> float:
        return whole - _row_response(section.pitch_m, kappa, up + down, cell_m)

    least = LEAST_WALL_SHARE * wall
    if rest(plane) < least:
        # Where even a plane of endless conduction leaves less, the pipe is as good as its wall is thin.
        most = 1e3 * plane
        plane = float(brentq(_less(rest, least), plane, most)) if rest(most) > least else plane
    return PlaneSection(
        plane_conductance=plane,
        up=up,
        down=down,
        pipe=1 / max(rest(plane), 0.05 * wall),
        spread_m=_spread(section, plane, up + down, cell_m),
    )


def pipe_wall_resistance(section: FloorSection) -> float:
    """Resistance of the pipe's wall [m K/W]."""
    d = section.pipe_diameter_m
    return math.log(d / (d - 2 * section.pipe_wall_m)) / (2 * math.pi * section.pipe_conductivity)


def _less(function: Callable[[float], float], value: float) -> Callable[[float], float]:
    return lambda x: function(x) - value


def with_pitch(section: FloorSection, pitch_m: float) -> FloorSection:
    """The section at another pitch [m]."""
    return section if abs(section.pitch_m - pitch_m) < 1e-9 else replace(section, pitch_m=pitch_m)


def _waves(pitch_m: float) -> NDArray[np.float64]:
    return np.asarray(2 * np.pi * np.arange(1, _HARMONICS + 1) / pitch_m, dtype=np.float64)


def _curvature(k: NDArray[np.float64], cell_m: float) -> NDArray[np.float64]:
    """−∇² of a wave on the cells [1/m²]."""
    return (2 - 2 * np.cos(k * cell_m)) / cell_m**2


def _shared(k: NDArray[np.float64], cell_m: float) -> NDArray[np.float64]:
    """How much of a wave the sharing out among cells lets through [-]."""
    return np.asarray(np.sinc(k * cell_m / (2 * np.pi)) ** _SPLINE_POWER, dtype=np.float64)


def _row_response(pitch_m: float, plane: float, sink: float, cell_m: float) -> float:
    """S [m K/W]: mean over all places of the row on the grid."""
    k = _waves(pitch_m)
    damped = _shared(k, cell_m) ** 2 / (1 + plane / sink * _curvature(k, cell_m))
    return float((1 + 2 * damped.sum()) / (sink * pitch_m))


def _spread(section: FloorSection, plane: float, sink: float, cell_m: float) -> float:
    """ℓ [m] that leaves the swing of the layered floor; 0 where the fin swings less already.

    Pitches under 0.10 m take that of 0.10 m: hardly anything swings there, and a longer ℓ would blur their rim.
    """
    section = with_pitch(section, max(section.pitch_m, CLOSEST_SWING_M))
    k = _waves(section.pitch_m)
    fin = _shared(k, cell_m) / (1 + plane / sink * _curvature(k, cell_m))
    wanted = peak_to_trough(surface_harmonics(section))

    def excess(ell: float) -> float:
        return peak_to_trough(fin / (1 + ell**2 * _curvature(k, cell_m))) - wanted

    if excess(0.0) <= 0:
        return 0.0
    if excess(_LONGEST_SPREAD_M) >= 0:
        return _LONGEST_SPREAD_M
    return float(brentq(excess, 0.0, _LONGEST_SPREAD_M, xtol=1e-6))
