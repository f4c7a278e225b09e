"""The pump of a manifold by its curve."""

from __future__ import annotations

import bisect

from ufh_core.network.types import Pump
from ufh_core.settings.hydraulic_types import HydraulicSettings

_HOUR_S = 3600.0


def pump_of(hydraulics: HydraulicSettings, duty_pa: float, duty_flow: float) -> Pump:
    """The pump of the settings; a controlled one without a pressure of its own is set to its duty [Pa], [m³/s].

    Proportional pressure falls on a straight line from the set pressure at the duty's flow to a share of it at none.
    Source: common practice of circulators' controls.
    """
    pressure = duty_pa if hydraulics.pump_pressure_pa is None else hydraulics.pump_pressure_pa
    if hydraulics.pump == "curve":
        flows = tuple(flow / _HOUR_S for flow in hydraulics.pump_curve_m3_h)
        return Pump(kind="curve", flows=flows, pressures_pa=hydraulics.pump_curve_pa, ends=True)
    rest = pressure if hydraulics.pump == "constant pressure" else hydraulics.pump_rest_share * pressure
    return Pump(kind=hydraulics.pump, flows=(0.0, duty_flow), pressures_pa=(rest, pressure), ends=False)


def pump_pressure(pump: Pump, volume_flow: float) -> float:
    """Pressure [Pa] at a volume flow [m³/s], the last one beyond the curve."""
    if volume_flow >= pump.flows[-1]:
        return pump.pressures_pa[-1]
    k = bisect.bisect_right(pump.flows, volume_flow)
    left, right = pump.flows[k - 1], pump.flows[k]
    share = (volume_flow - left) / (right - left)
    return pump.pressures_pa[k - 1] + share * (pump.pressures_pa[k] - pump.pressures_pa[k - 1])
