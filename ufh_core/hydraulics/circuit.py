"""One circuit at its design flow, with its valves open."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc
from ufh_core.hydraulics.friction import bend_losses, friction_factor, regime
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.hydraulics.valves import valve_drop
from ufh_core.settings.types import PipeSettings, Settings


def inner_diameter(pipe: PipeSettings) -> float:
    """Inner diameter [m].

    Raises: NoSolution where the wall leaves no bore.
    """
    inner = pipe.outside_diameter_m - 2 * pipe.wall_m
    if inner <= 0:
        raise NoSolution(
            f"a pipe of {pipe.outside_diameter_m * 1000:g} mm with a wall of {pipe.wall_m * 1000:g} mm has no bore"
        )
    return inner


def water_content(length_m: float, pipe: PipeSettings) -> float:
    """Water [m³] in a length [m] of pipe."""
    return math.pi / 4 * inner_diameter(pipe) ** 2 * length_m


def circuit_flow(
    mass_flow: float, mean_c: float, length_m: float, arcs: Iterable[Arc], settings: Settings
) -> CircuitFlow:
    """Velocity and pressure drops of one circuit before balancing, both valves open.

    `mass_flow` [kg/s], mean water temperature [°C], pipe length with tails and risers [m], and the arcs of
    its axis. The bends of the risers at the ports are left out. A circuit without flow loses nothing.

    What is in the pipe is the settings' fluid: water, or water with antifreeze.

    Raises: NoSolution for a flow backwards, or a fluid outside the range of its properties.
    """
    if mass_flow < 0 or length_m < 0:
        raise NoSolution(f"a circuit of {length_m:g} m cannot carry {mass_flow:g} kg/s")
    inner, fluid = inner_diameter(settings.pipe), settings.hydraulics.fluid
    density = fluid.density(mean_c)
    volume_flow = mass_flow / density
    velocity = volume_flow / (math.pi / 4 * inner**2)
    reynolds = density * velocity * inner / fluid.viscosity(mean_c)
    pipe_pa, bend_pa = _pipe_and_bends(velocity, reynolds, density, length_m, tuple(arcs), settings.pipe)
    valve_pa = sum(
        valve_drop(volume_flow, density, kv)
        for kv in (settings.hydraulics.valve_kv, settings.hydraulics.return_valve_kv)
    )
    return CircuitFlow(
        mass_flow=mass_flow,
        volume_flow=volume_flow,
        velocity=velocity,
        reynolds=reynolds,
        regime=regime(reynolds),
        pipe_drop_pa=pipe_pa,
        bend_drop_pa=bend_pa,
        valve_drop_pa=valve_pa,
        pressure_drop_pa=pipe_pa + bend_pa + valve_pa,
        valve_kv=settings.hydraulics.valve_kv,
        throttle_pa=0.0,
    )


def _pipe_and_bends(
    velocity: float, reynolds: float, density: float, length_m: float, arcs: tuple[Arc, ...], pipe: PipeSettings
) -> tuple[float, float]:
    """Pressure drops [Pa] of the pipe's length and of its bends' excess. Source: Darcy and Weisbach."""
    if reynolds <= 0:
        return 0.0, 0.0
    inner = inner_diameter(pipe)
    relative = pipe.roughness_m / inner
    dynamic = density * velocity**2 / 2
    along = friction_factor(reynolds, relative) * length_m / inner * dynamic
    return along, bend_losses(arcs, inner, reynolds, relative) * dynamic
