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
    valve_drop_pa: float  # all valves fully open, and the flow meter
    pressure_drop_pa: float  # all of the above
    least_drop_pa: float  # the same by the laminar law, and by Colebrook, where `regime` is "transition"
    greatest_drop_pa: float
    valve_kv: float  # Kv of the balancing valve as set [m³/h]
    throttle_pa: float  # pressure that the balancing valve takes at its setting, over its open loss
    valve_turns: float | None = None  # from shut, in quarter turns; None where its table has no such Kv
    turns_flow_error: float = 0.0  # share by which the quarter turn changes the circuit's flow


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureEntry:
    """A pressure drop that all circuits of a manifold share, at the design flow."""

    name: str
    pressure_pa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpDuty:
    """What the manifold's pump must do: the index circuit and the shared `entries`."""

    mass_flow: float  # [kg/s]
    volume_flow: float  # [m³/s]
    pressure_pa: float
    index_circuit: str
    water_content_m3: float
    expansion_m3: float  # that water from its filling to its hottest
    entries: tuple[PressureEntry, ...]

    @property
    def entry_pa(self) -> float:
        """All shared pressure drops."""
        return sum(entry.pressure_pa for entry in self.entries)

    @property
    def circuits_pa(self) -> float:
        """Pressure difference between the bars."""
        return self.pressure_pa - self.entry_pa


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpansionVessel:
    """The least closed vessel for a water content; pressures are gauge pressures [Pa], volumes [m³]."""

    content_m3: float
    expansion_m3: float
    reserve_m3: float
    vessel_m3: float
    pre_pressure_pa: float
    final_pressure_pa: float
