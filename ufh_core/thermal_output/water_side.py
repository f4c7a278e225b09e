"""Water temperatures, downward loss and mass flow by EN 1264-2 and -3.

The log-mean is solved exactly; the standard's series for the spread is kept for comparison with it.
"""

from __future__ import annotations

import math

from scipy.optimize import brentq

from ufh_core.basis.errors import NoSolution
from ufh_core.floor.types import FloorSection
from ufh_core.heating_water import Fluid
from ufh_core.thermal_output.characteristic import FILM

WATER_HEAT = 4190.0
"""c_W [J/(kg K)]. Source: EN 1264-3 (water at 20 to 55 °C has 4179 to 4184)."""


def log_mean_overtemperature(flow_k: float, spread_k: float) -> float:
    """Δθ_H [K] of water that enters `flow_k` over the room and cools by σ = `spread_k` [K].

    Raises: NoSolution where the water would leave at or below the room's temperature.
    Source: EN 1264-2; Δθ_H = σ / ln(Δθ_V / (Δθ_V − σ)).

    >>> round(log_mean_overtemperature(20.4306, 5.0), 4)
    17.8138
    """
    if not 0 <= spread_k < flow_k:
        raise NoSolution(f"water {flow_k:.1f} K over the room cannot cool by {spread_k:.1f} K in it")
    if spread_k < 1e-9:
        return flow_k
    return -spread_k / math.log1p(-spread_k / flow_k)


def flow_overtemperature(overtemperature_k: float, spread_k: float) -> float:
    """Δθ_V [K]: flow over room that gives Δθ_H = `overtemperature_k` at σ = `spread_k` [K].

    Source: EN 1264-2's log-mean inverted: Δθ_V = σ / (1 − exp(−σ/Δθ_H)).

    >>> round(flow_overtemperature(17.8138, 5.0), 4)
    20.4306
    """
    if overtemperature_k <= 0:
        return spread_k
    if spread_k < 1e-9:
        return overtemperature_k
    return -spread_k / math.expm1(-spread_k / overtemperature_k)


def flow_temperature(indoor_c: float, overtemperature_k: float, spread_k: float) -> float:
    """θ_V [°C] that a room at `indoor_c` needs for Δθ_H [K] at σ [K]. Source: EN 1264-3, with the exact log-mean."""
    return indoor_c + flow_overtemperature(overtemperature_k, spread_k)


def spread(flow_k: float, overtemperature_k: float) -> float:
    """σ [K] at which water that enters `flow_k` [K] over the room has Δθ_H = `overtemperature_k` [K].

    Raises: NoSolution where the flow is too cool for it.
    Source: EN 1264-2's log-mean, solved by Brent's method.
    """
    if overtemperature_k > flow_k:
        raise NoSolution(f"water {flow_k:.1f} K over the room cannot be {overtemperature_k:.1f} K over it in the mean")
    low, high = 0.0, flow_k * (1 - 1e-12)
    if log_mean_overtemperature(flow_k, high) >= overtemperature_k:
        return high
    error = lambda sigma: log_mean_overtemperature(flow_k, sigma) - overtemperature_k  # noqa: E731
    return float(brentq(error, low, high, xtol=1e-10))


def spread_by_series(flow_k: float, overtemperature_k: float) -> float:
    """σ_j [K] by the standard's own series, which is 0.02 K off the exact value at 10 K and 0.25 K at 17 K.

    Source: EN 1264-3; σ_j = 3 Δθ_H,j (√(1 + 4 (Δθ_V − Δθ_H,j) / (3 Δθ_H,j)) − 1).
    """
    if not 0 < overtemperature_k <= flow_k:
        raise NoSolution(f"water {flow_k:.1f} K over the room cannot be {overtemperature_k:.1f} K over it in the mean")
    root = math.sqrt(1 + 4 * (flow_k - overtemperature_k) / (3 * overtemperature_k))
    return 3 * overtemperature_k * (root - 1)


def upward_resistance(section: FloorSection) -> float:
    """R_o [m² K/W] from the pipe plane to the room: 1/α + R_λB + s_u/λ_E. Source: EN 1264-2."""
    return 1 / FILM + section.finish_r + section.cover_m / section.screed_conductivity


def downward_flux(section: FloorSection, q: float, indoor_c: float, below_c: float) -> float:
    """q_u [W/m²] lost downward while q [W/m²] goes up; heat that would come from below counts as nothing.

    Source: EN 1264-2; q_u = (R_o q + θ_i − θ_u) / R_u. Half the pipe is left out there: 2 to 5 % too little.
    """
    return max(0.0, (upward_resistance(section) * q + indoor_c - below_c) / section.r_below)


def carried_heat(fluid: Fluid, mean_c: float) -> float:
    """c_W [J/(kg K)]: the standard's for water, the mixture's own at its mean temperature [°C]."""
    return WATER_HEAT if fluid.is_water else fluid.heat_capacity(mean_c)


def mass_flow(heat_w: float, spread_k: float, heat_capacity: float = WATER_HEAT) -> float:
    """Water [kg/s] that carries `heat_w` [W], upward and downward, at σ [K] and c_W. Source: EN 1264-3."""
    if spread_k <= 0:
        raise NoSolution(f"water that cools by {spread_k:.1f} K carries no heat")
    return heat_w / (spread_k * heat_capacity)
