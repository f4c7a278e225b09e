"""Properties of water at heating temperatures, as four fitted polynomials in (θ − 40 °C)/30 K.

Fitted to IAPWS-IF97 at 2 bar, 5 to 70 °C, once; a test compares them with that formulation again.
Worst deviations there: density 0.006 %, heat capacity 0.012 %, viscosity 0.006 %, conductivity 0.036 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ufh_core.basis.errors import NoSolution

COLDEST_C, HOTTEST_C = 5.0, 70.0

_DENSITY = (992.284, -11.4985, -3.48431, 0.559192)
_HEAT_CAPACITY = (4178.4, 0.118024, 9.66152, -3.68363, 3.66099)
_LOG_VISCOSITY = (-7.334308, -0.5639606, 0.09971436, -0.0209754, 0.006557767, -0.002206188)
_CONDUCTIVITY = (0.6286066, 0.03907638, -0.009226319, 0.001504925)


def density(temperature_c: float) -> float:
    """ρ [kg/m³] of water at a temperature [°C]. Valid for: 5 to 70 °C.

    >>> round(density(40.0), 1)
    992.3
    """
    return _fitted(_DENSITY, temperature_c)


def heat_capacity(temperature_c: float) -> float:
    """c_p [J/(kg K)] of water at a temperature [°C]. Valid for: 5 to 70 °C."""
    return _fitted(_HEAT_CAPACITY, temperature_c)


def viscosity(temperature_c: float) -> float:
    """μ [Pa s] of water at a temperature [°C]. Valid for: 5 to 70 °C."""
    return math.exp(_fitted(_LOG_VISCOSITY, temperature_c))


def conductivity(temperature_c: float) -> float:
    """λ [W/(m K)] of water at a temperature [°C]. Valid for: 5 to 70 °C."""
    return _fitted(_CONDUCTIVITY, temperature_c)


def _fitted(coefficients: Sequence[float], temperature_c: float) -> float:
    """Polynomial of the fit.

    Raises: NoSolution outside the range of the fit.
    """
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise NoSolution(f"water of {temperature_c:g} °C is outside the range of {COLDEST_C:g} to {HOTTEST_C:g} °C")
    x = (temperature_c - 40.0) / 30.0
    value = 0.0
    for coefficient in reversed(coefficients):
        value = value * x + coefficient
    return value
