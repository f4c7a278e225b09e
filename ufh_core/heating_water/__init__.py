"""What carries the heat: water, or water with antifreeze, by its temperature.

`heating_fluid` makes the fluid of a name and a share; its methods give density, viscosity, heat capacity and
conductivity.
"""

from ufh_core.heating_water.fluid import ANTIFREEZES, SHARES_BY, Fluid, heating_fluid, mass_share

__all__ = ["ANTIFREEZES", "SHARES_BY", "Fluid", "heating_fluid", "mass_share"]
