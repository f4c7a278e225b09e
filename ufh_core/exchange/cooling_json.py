"""What design.json says of a floor in cooling."""

from __future__ import annotations

from ufh_core.thermal_output.cooling import CooledFloor

DIGITS = 6


def cooling_row(floor: CooledFloor) -> dict[str, float]:
    """`cooling` of a room: heat that its floor takes up [W], temperatures of water and surface [°C]."""
    figures = {
        "heat_taken_w": floor.taken_w,
        "heat_flux_w_m2": floor.heat_flux,
        "flow_temperature_c": floor.flow_c,
        "return_temperature_c": floor.return_c,
        "mean_surface_temperature_c": floor.mean_surface_c,
        "coldest_surface_temperature_c": floor.coldest_surface_c,
    }
    return {key: round(value, DIGITS) for key, value in figures.items()}
