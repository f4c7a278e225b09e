"""Flows, pressure drops and settings of circuits and manifolds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitFlow:
    """One circuit at its design flow. Pressures [Pa]; `regime` is "laminar", "transition" or "turbulent"."""

    mass_flow: float  # [kg/s]
    volume_flow: float  # [m³/s]
    velocity: float  # [m/s]
    reynolds: float
    regime: str
    pipe_drop_pa: float
    bend_drop_pa: float
    valve_drop_pa: float  # both valves fully open
    pressure_drop_pa: float  # all of the above
    valve_kv: float  # Kv of the balancing valve as set [m³/h]
    throttle_pa: float  # pressure that the balancing valve takes at its setting, over its open loss


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpDuty:
    """What the manifold's pump must do."""

    mass_flow: float  # [kg/s]
    volume_flow: float  # [m³/s]
    pressure_pa: float
    index_circuit: str
    water_content_m3: float
