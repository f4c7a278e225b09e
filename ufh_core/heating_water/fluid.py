"""The fluid in the pipes, water or a mixture, behind one face."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.basis.errors import NoSolution
from ufh_core.heating_water import glycol, water

ANTIFREEZES = ("none", "ethylene glycol", "propylene glycol")
SHARES_BY = ("volume", "mass")

_WATER_20_C = 998.2
_PURE_20_C = {"ethylene glycol": 1113.0, "propylene glycol": 1036.0}
"""Density [kg/m³] of the pure liquids at 20 °C. Source: handbook values, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """Water with an antifreeze ("none" for plain water) of a share of the mass. Temperatures [°C].

    Plain water is that of `water`, not the mixture's limit at a share of nothing (which is up to 0.5 % off).
    Raises: NoSolution, by each method, outside the range of its properties.
    """

    antifreeze: str = "none"
    mass_share: float = 0.0

    @property
    def is_water(self) -> bool:
        """Whether it is plain water."""
        return self.antifreeze == "none"

    @property
    def name(self) -> str:
        """For people: "water", or what is in it."""
        return "water" if self.is_water else f"water with {self.mass_share:.0%} of its mass {self.antifreeze}"

    @property
    def freezing_c(self) -> float:
        """Temperature at which the first ice forms."""
        return 0.0 if self.is_water else glycol.freezing_point(self.antifreeze, self.mass_share)

    def density(self, temperature_c: float) -> float:
        """ρ [kg/m³]."""
        if self.is_water:
            return water.density(temperature_c)
        return glycol.density(self.antifreeze, self.mass_share, temperature_c)

    def heat_capacity(self, temperature_c: float) -> float:
        """c_p [J/(kg K)]."""
        if self.is_water:
            return water.heat_capacity(temperature_c)
        return glycol.heat_capacity(self.antifreeze, self.mass_share, temperature_c)

    def viscosity(self, temperature_c: float) -> float:
        """μ [Pa s]."""
        if self.is_water:
            return water.viscosity(temperature_c)
        return glycol.viscosity(self.antifreeze, self.mass_share, temperature_c)

    def conductivity(self, temperature_c: float) -> float:
        """λ [W/(m K)]."""
        if self.is_water:
            return water.conductivity(temperature_c)
        return glycol.conductivity(self.antifreeze, self.mass_share, temperature_c)


def heating_fluid(antifreeze: str, share: float, share_by: str) -> Fluid:
    """The fluid with an antifreeze of `ANTIFREEZES` and its share by "volume" or by "mass".

    Raises: NoSolution for a share beyond the range of the properties, or none of an antifreeze that is named.

    >>> round(heating_fluid("propylene glycol", 0.30, "volume").mass_share, 3)
    0.308
    """
    if antifreeze == "none":
        return Fluid()
    share_of_mass = mass_share(antifreeze, share) if share_by == "volume" else share
    if not 0 < share_of_mass <= glycol.GREATEST_MASS_SHARE:
        raise NoSolution(
            f"{share:.0%} of the {share_by} {antifreeze} is {share_of_mass:.1%} of the mass, outside the range of "
            f"more than nothing to {glycol.GREATEST_MASS_SHARE:.0%}"
        )
    return Fluid(antifreeze=antifreeze, mass_share=share_of_mass)


def mass_share(antifreeze: str, volume_share: float) -> float:
    """Share of the mass of an antifreeze of which `volume_share` was put in, volumes before mixing, at 20 °C."""
    pure, rest = volume_share * _PURE_20_C[antifreeze], (1 - volume_share) * _WATER_20_C
    return pure / (pure + rest)
