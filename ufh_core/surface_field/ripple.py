"""How far the surface over parallel pipes swings about its mean: conduction in the layers, by Fourier series.

Pipes at pitch T are a periodic line source in the screed. Each harmonic k = 2πn/T of it decays through
screed and finish as the plane wave solution cosh(kz), sinh(kz) of Laplace's equation says, with a film
on top and a resistance below. The finish is a solid layer, which spreads heat too.

Source: Carslaw and Jaeger, Conduction of Heat in Solids (the method: separation of variables in a slab with
resistances at its faces; from memory). Valid for: pipes that are thin against their distance from the surface.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ufh_core.floor.types import FloorSection
from ufh_core.thermal_output.characteristic import FILM

FINISH_CONDUCTIVITY = 0.23
"""Conductivity of the finish [W/(m K)], between wood and tiles. Source: common practice."""

UNDER_PIPE_M = 0.0005  # screed under the pipe, which lies on the insulation
HARMONICS = 40


def surface_harmonics(section: FloorSection, count: int = HARMONICS) -> NDArray[np.float64]:
    """Amplitudes of the surface temperature's harmonics 1..count against its mean over the room [-]."""
    waves = np.asarray(2 * np.pi * np.arange(1, count + 1) / section.pitch_m, dtype=np.float64)
    return np.asarray(_response(section, waves) / _response(section, np.array([1e-6])))


def peak_to_trough(harmonics: NDArray[np.float64]) -> float:
    """Highest less lowest value of a pitch, against the mean [-]: over the pipe less midway between pipes."""
    return float(4 * harmonics[::2].sum())


def _response(section: FloorSection, k: NDArray[np.float64]) -> NDArray[np.float64]:
    """Surface temperature per flux of a source layer cos(kx) at the pipe's axis [K m²/W], both as amplitudes."""
    screed, finish = section.screed_conductivity * k, FINISH_CONDUCTIVITY * k
    over = np.minimum(k * (section.cover_m + section.pipe_diameter_m / 2), 300.0)
    under = k * (section.pipe_diameter_m / 2 + UNDER_PIPE_M)
    layer = np.minimum(k * section.finish_r * FINISH_CONDUCTIVITY, 300.0)
    through_finish = 1 / (np.cosh(layer) + FILM / finish * np.sinh(layer))
    at_top = _seen(finish, FILM, layer)
    through_screed = 1 / (np.cosh(over) + at_top / screed * np.sinh(over))
    takes = _seen(screed, at_top, over) + _seen(screed, 1 / section.r_below, under)
    return np.asarray(through_screed * through_finish / takes)


def _seen(
    admittance: NDArray[np.float64], behind: NDArray[np.float64] | float, depth: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Flux for 1 K [W/(m² K)] into a layer of that wave `admittance` λk and `depth` kd with `behind` behind it."""
    t = np.tanh(depth)
    return np.asarray(admittance * (behind + admittance * t) / (admittance + behind * t))
