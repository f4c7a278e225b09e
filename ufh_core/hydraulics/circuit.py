"""One circuit at its design flow, with its valves open."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ufh_core.basis.pipe_axis import Arc
from ufh_core.hydraulics.pipe import circuit_pipe, inner_diameter, pipe_state
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.hydraulics.valves import valve_drop
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.hydraulic_types import HydraulicSettings
from ufh_core.settings.types import Settings


def water_content(length_m: float, pipe: PipeSettings) -> float:
    """Water [m³] in a length [m] of pipe."""
    return math.pi / 4 * inner_diameter(pipe) ** 2 * length_m


def fixed_kvs(hydraulics: HydraulicSettings) -> tuple[float, ...]:
    """Kv [m³/h] of what is in series with a circuit beside its balancing valve: the open actuator valve, the meter."""
    meter = () if hydraulics.flow_meter_kv is None else (hydraulics.flow_meter_kv,)
    return (hydraulics.return_valve_kv, *meter)


def circuit_flow(
    mass_flow: float, mean_c: float, length_m: float, arcs: Iterable[Arc], settings: Settings
) -> CircuitFlow:
    """Velocity and pressure drops of one circuit before balancing, both valves open.

    `mass_flow` [kg/s], mean water temperature [°C], pipe length with tails and risers [m], and the arcs of
    its axis. The bends of the risers at the ports are left out. A circuit without flow loses nothing.
    What is in the pipe is the settings' fluid: water, or water with antifreeze.

    Raises: NoSolution for a flow backwards, or a fluid outside the range of its properties.
    """
    pipe = circuit_pipe(mean_c, length_m, arcs, settings)
    state, volume_flow = pipe_state(pipe, mass_flow), mass_flow / pipe.density
    kvs = (settings.hydraulics.valve_kv, *fixed_kvs(settings.hydraulics))
    valve_pa = sum(valve_drop(volume_flow, pipe.density, kv) for kv in kvs)
    return CircuitFlow(
        mass_flow=mass_flow,
        volume_flow=volume_flow,
        velocity=state.velocity,
        reynolds=state.reynolds,
        regime=state.regime,
        pipe_drop_pa=state.straight_pa,
        bend_drop_pa=state.bend_pa,
        valve_drop_pa=valve_pa,
        pressure_drop_pa=state.drop_pa + valve_pa,
        least_drop_pa=state.least_pa + valve_pa,
        greatest_drop_pa=state.greatest_pa + valve_pa,
        valve_kv=settings.hydraulics.valve_kv,
        throttle_pa=0.0,
    )
