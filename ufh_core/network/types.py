"""The network of one manifold and what runs in it. Pressures [Pa], mass flows [kg/s], volume flows [m³/s]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ufh_core.hydraulics.pipe import CircuitPipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A circuit between the bars: its pipe, all its valves in series by Kv [m³/h], and the flow it is designed for.

    `limit` is the flow that a self-limiting valve lets through at most; below it the valve is an opening of fixed
    Kv, which stands among `kvs`.
    """

    pipe: CircuitPipe
    kvs: tuple[float, ...]
    design_flow: float
    limit: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What all circuits share: a pressure drop at a mass flow, with its square elsewhere."""

    pressure_pa: float
    mass_flow: float

    def drop(self, mass_flow: float) -> float:
        """Pressure drop [Pa] at a mass flow [kg/s]."""
        return self.pressure_pa * (mass_flow / self.mass_flow) ** 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump:
    """A pump's curve as points, straight between them: volume flows [m³/s] from 0 on, pressures [Pa].

    `ends` says that there is nothing beyond the last point; else its pressure goes on.
    """

    kind: str
    flows: tuple[float, ...]
    pressures_pa: tuple[float, ...]
    ends: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """A network at rest: the flow [kg/s] of every circuit, 0 of a shut one."""

    flows: Mapping[str, float]
    mass_flow: float
    volume_flow: float
    circuits_pa: float  # between the bars
    entry_pa: float
    pump_pa: float

    @property
    def gap_pa(self) -> float:
        """By how much the pressures do not close [Pa]."""
        return self.pump_pa - self.entry_pa - self.circuits_pa


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemPoint:
    """A point of the system curve."""

    volume_flow: float
    pressure_pa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkCase:
    """One set of shut circuits: shares of the design flow by circuit, with either kind of valve."""

    name: str
    shut: tuple[str, ...]
    balancing: Mapping[str, float]
    self_limiting: Mapping[str, float]
    pump_pa: float  # with balancing valves
    gap_pa: float  # the greater one of both


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkTable:
    """What the circuits of a manifold get.

    With all open: `volume_flow`, `pressure_pa`, share of the design flow. `duty_pa` is what a pump must give for
    the design flows through balancing valves.
    """

    pump: str
    flow_share: float
    volume_flow: float
    pressure_pa: float
    duty_pa: float
    self_limiting_duty_pa: float
    cases: tuple[NetworkCase, ...]
    system_curve: tuple[SystemPoint, ...]
