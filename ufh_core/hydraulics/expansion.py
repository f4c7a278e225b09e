"""How far the water grows from filling to its hottest, and the closed vessel that takes it up."""

from __future__ import annotations

from ufh_core.basis.errors import NoSolution
from ufh_core.heating_water import Fluid
from ufh_core.hydraulics.types import ExpansionVessel
from ufh_core.settings.types import Settings

_BAR = 1e5
_GRAVITY = 9.81
_RESERVE_SHARE, _LEAST_RESERVE_M3 = 0.005, 0.003
_OVER_STATIC_PA, _LEAST_PRE_PRESSURE_PA = 0.3e5, 0.7e5
_UNDER_SAFETY_PA, _SAFETY_SHARE = 0.5e5, 0.9


def expansion_volume(content_m3: float, fill_c: float, hottest_c: float, fluid: Fluid) -> float:
    """Volume [m³] by which a content grows from `fill_c` to `hottest_c` [°C]; the pipes' own growth is left out.

    Raises: NoSolution where the fluid would be hotter at filling, or outside the range of its properties.
    """
    if hottest_c < fill_c:
        raise NoSolution(f"water filled at {fill_c:g} °C does not expand to {hottest_c:g} °C")
    return content_m3 * (fluid.density(fill_c) / fluid.density(hottest_c) - 1)


def expansion_of(content_m3: float, settings: Settings) -> float:
    """`expansion_volume` from filling to the hottest by the settings."""
    own = settings.hydraulics
    hottest_c = max(own.hottest_c, settings.output.greatest_flow_c)
    return expansion_volume(content_m3, own.fill_c, hottest_c, own.fluid)


def vessel(content_m3: float, settings: Settings) -> ExpansionVessel:
    """The least vessel for a content [m³] of the floor heating alone; boiler, store and mains come on top.

    V = (V_e + V_WR) (p_e + 1)/(p_e − p_0), pressures in bar over the air's; V_WR is 0.5 % of the content, at least
    3 litres; p_0 is 0.3 bar over the static height, at least 0.7 bar; p_e is 0.5 bar under the safety valve, or 0.9
    of it if that is less, as it is above 5 bar.
    Source: EN 12828, from memory. Raises: NoSolution where the safety valve leaves no pressure to work with.
    """
    own = settings.hydraulics
    expansion = expansion_of(content_m3, settings)
    reserve = max(_RESERVE_SHARE * content_m3, _LEAST_RESERVE_M3)
    static = own.fluid.density(own.fill_c) * _GRAVITY * own.static_height_m
    before = max(static + _OVER_STATIC_PA, _LEAST_PRE_PRESSURE_PA)
    last = min(own.safety_valve_pa - _UNDER_SAFETY_PA, _SAFETY_SHARE * own.safety_valve_pa)
    if last <= before:
        raise NoSolution(
            f"a safety valve of {own.safety_valve_pa / _BAR:g} bar leaves no room over the {before / _BAR:.2f} bar "
            f"that {own.static_height_m:g} m of height need in the vessel"
        )
    return ExpansionVessel(
        content_m3=content_m3,
        expansion_m3=expansion,
        reserve_m3=reserve,
        vessel_m3=(expansion + reserve) * (last + _BAR) / (last - before),
        pre_pressure_pa=before,
        final_pressure_pa=last,
    )
