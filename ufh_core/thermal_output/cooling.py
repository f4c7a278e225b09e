"""What a heated floor takes up as a cooled one, and how near its surface comes to the dew point.

EN 1264-5 converts the tested characteristic of a heated floor: another film at the surface is a resistance more
(or less) under it, and resistances on the floor count as a finish does. Written in resistances,

    1/K = 1/K_0 + (1/K* − 1/K_0) (ΔR_α + R_λB)/R*

with K_0 and K* for R_λB = 0 and R* = 0.15 m²K/W, ΔR_α = 1/α − 1/10.8, and α = 6.5 W/(m²K) at a cooled floor.
The standard's formula is quoted from memory; the tests hold it against a section solved in two dimensions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ufh_core.basis.errors import NoSolution
from ufh_core.floor.types import FloorSection
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.water_side import WATER_HEAT

COOLED_FLOOR_FILM, HEATED_FLOOR_FILM = 6.5, 10.8
"""α between floor and room [W/(m² K)]. Source: EN 1264-5, from memory, and EN 1264-2."""

_FINISH_R = 0.15
_MAGNUS = (17.625, 243.04)
"""Constants of the Magnus formula over water. Source: Alduchov and Eskridge 1996, J. Appl. Meteorol. 35."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CooledFloor:
    """A floor in cooling: q [W/m²] into the floor, heat taken from the room [W], temperatures [°C].

    `coldest_surface_c` is that where the water enters; `mean_surface_c` the mean over the floor.
    """

    heat_flux: float
    taken_w: float
    flow_c: float
    return_c: float
    mean_surface_c: float
    coldest_surface_c: float


def cooling_characteristic(section: FloorSection) -> float:
    """K of a cooled floor [W/(m² K)].

    Raises: NoSolution where the floor is outside EN 1264-2's range.
    Source: EN 1264-5 (see the top of the module). Valid for: wet floors, R_λB up to 0.15 m²K/W.
    """
    bare, covered = (1 / characteristic(replace(section, finish_r=r)) for r in (0.0, _FINISH_R))
    film = 1 / COOLED_FLOOR_FILM - 1 / HEATED_FLOOR_FILM
    return 1 / (bare + (covered - bare) * (film + section.finish_r) / _FINISH_R)


def cooled_floor(
    section: FloorSection,
    area_m2: float,
    mass_flow: float,
    flow_c: float,
    room_c: float,
    heat_capacity: float = WATER_HEAT,
) -> CooledFloor:
    """What a floor of `area_m2` takes up with a water flow [kg/s] of `heat_capacity` [J/(kg K)].

    The water warms towards the room as exp(−K A/(m c)): the log mean, solved for the return. Heat from below is
    left out, which states a little too much for the room. No water, or water no colder than the room, takes nothing.
    Raises: NoSolution where the floor is outside EN 1264-2's range.
    """
    under = room_c - flow_c
    if area_m2 <= 0 or mass_flow <= 0 or under <= 0:
        return CooledFloor(
            heat_flux=0.0, taken_w=0.0, flow_c=flow_c, return_c=flow_c, mean_surface_c=room_c, coldest_surface_c=room_c
        )
    k = cooling_characteristic(section)
    carried = mass_flow * heat_capacity
    left = under * math.exp(-k * area_m2 / carried)
    taken = carried * (under - left)
    return CooledFloor(
        heat_flux=taken / area_m2,
        taken_w=taken,
        flow_c=flow_c,
        return_c=room_c - left,
        mean_surface_c=room_c - taken / area_m2 / COOLED_FLOOR_FILM,
        coldest_surface_c=room_c - k * under / COOLED_FLOOR_FILM,
    )


def dew_point(air_c: float, humidity: float) -> float:
    """Temperature [°C] at which air of `air_c` [°C] and a relative `humidity` (0 to 1) is saturated.

    Raises: NoSolution outside 0 to 60 °C or for a humidity that is none.
    Source: Magnus formula, constants by Alduchov and Eskridge 1996; within 0.4 % of the pressure of saturation.
    """
    if not (0.0 <= air_c <= 60.0 and 0.0 < humidity <= 1.0):
        raise NoSolution(f"no dew point for air of {air_c:g} °C and a relative humidity of {humidity:g}")
    a, b = _MAGNUS
    steam = math.log(humidity) + a * air_c / (b + air_c)
    return b * steam / (a - steam)
