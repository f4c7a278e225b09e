"""Thermal output of heated floors by EN 1264-2 and -3.

`characteristic`, `limit_flux` and their kin answer for a floor section; `design_outputs` for a storey
before anything is laid; `laid_outputs` for rooms and circuits as laid.

The standard takes the water film in the pipe as turbulent: a circuit in laminar flow gives up to about
a tenth less (own finite-element study), which is not taken off here.
"""

from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.laid import laid_flow_temperature, laid_outputs
from ufh_core.thermal_output.rooms import room_output
from ufh_core.thermal_output.storey import design_outputs
from ufh_core.thermal_output.surface import (
    limit_flux,
    mean_surface_overtemperature,
    peak_surface_overtemperature,
)
from ufh_core.thermal_output.water_side import downward_flux, flow_temperature, mass_flow, spread

__all__ = [
    "characteristic",
    "design_outputs",
    "downward_flux",
    "flow_temperature",
    "laid_flow_temperature",
    "laid_outputs",
    "limit_flux",
    "mass_flow",
    "mean_surface_overtemperature",
    "peak_surface_overtemperature",
    "room_output",
    "spread",
]
