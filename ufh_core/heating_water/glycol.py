"""Properties of water with ethylene or propylene glycol, as fitted polynomials in share and temperature.

The glycol is named as in `glycol_data`; shares are of the mass. Inhibitors are left out, as in the source.
Source: CoolProp 8.0.0, incompressible mixtures after Melinder (2010); a test compares them again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ufh_core.basis.errors import NoSolution
from ufh_core.heating_water import glycol_data

COLDEST_C, HOTTEST_C = 0.0, 60.0
GREATEST_MASS_SHARE = 0.5


def density(glycol: str, mass_share: float, temperature_c: float) -> float:
    """ρ [kg/m³] at a temperature [°C]. Valid for: mass shares up to 0.5, 0 to 60 °C, unfrozen.

    >>> round(density("propylene glycol", 0.3, 35.0), 1)
    1016.2
    """
    return _property(glycol_data.DENSITY, glycol, mass_share, temperature_c)


def heat_capacity(glycol: str, mass_share: float, temperature_c: float) -> float:
    """c_p [J/(kg K)] at a temperature [°C]. Valid for: as `density`."""
    return _property(glycol_data.HEAT_CAPACITY, glycol, mass_share, temperature_c)


def viscosity(glycol: str, mass_share: float, temperature_c: float) -> float:
    """μ [Pa s] at a temperature [°C]. Valid for: as `density`."""
    return math.exp(_property(glycol_data.LOG_VISCOSITY, glycol, mass_share, temperature_c))


def conductivity(glycol: str, mass_share: float, temperature_c: float) -> float:
    """λ [W/(m K)] at a temperature [°C]. Valid for: as `density`."""
    return _property(glycol_data.CONDUCTIVITY, glycol, mass_share, temperature_c)


def freezing_point(glycol: str, mass_share: float) -> float:
    """Temperature [°C] at which the first ice forms. Valid for: mass shares up to 0.5.

    >>> round(freezing_point("ethylene glycol", 0.3), 1)
    -14.6
    """
    _check_share(glycol, mass_share)
    return _polynomial(glycol_data.FREEZING[glycol], _scaled_share(mass_share))


def _property(tables: dict[str, glycol_data.Table], glycol: str, mass_share: float, temperature_c: float) -> float:
    """Value of the fit, Horner's rule in temperature within Horner's rule in share.

    Raises: NoSolution outside the range of the fit, and where the mixture freezes.
    """
    coldest = max(COLDEST_C, freezing_point(glycol, mass_share))
    if not coldest <= temperature_c <= HOTTEST_C:
        raise NoSolution(
            f"water with {mass_share:.0%} {glycol} of {temperature_c:g} °C is outside the range of "
            f"{coldest:g} to {HOTTEST_C:g} °C"
        )
    x = (temperature_c - 30.0) / 30.0
    return _polynomial([_polynomial(row, x) for row in tables[glycol]], _scaled_share(mass_share))


def _check_share(glycol: str, mass_share: float) -> None:
    if not 0 <= mass_share <= GREATEST_MASS_SHARE:
        raise NoSolution(
            f"water with {mass_share:.1%} of its mass {glycol} is outside the range of 0 to {GREATEST_MASS_SHARE:.0%}"
        )


def _scaled_share(mass_share: float) -> float:
    return (mass_share - 0.25) / 0.25


def _polynomial(coefficients: Sequence[float], x: float) -> float:
    value = 0.0
    for coefficient in reversed(coefficients):
        value = value * x + coefficient
    return value
