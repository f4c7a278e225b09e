"""A circuit's pipe as a resistance, and the flow that a pressure drives through it and its valves."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc
from ufh_core.hydraulics.friction import BendLaw, bend_law, bend_loss, friction_bounds, friction_factor, regime
from ufh_core.hydraulics.valves import valve_drop
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.types import Settings

_FIRST_FLOW = 0.01
_MOST_DOUBLINGS = 30
_FLOW_TOLERANCE = 1e-13


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitPipe:
    """Pipe of one circuit with its bends, and what is in it at its mean temperature."""

    length_m: float
    bends: BendLaw
    inner_m: float
    roughness_m: float
    density: float  # [kg/m³]
    viscosity: float  # [Pa s]


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeState:
    """A pipe at one flow. `straight_pa` by the law in force, `least_pa` and `greatest_pa` by either law in doubt."""

    velocity: float
    reynolds: float
    regime: str
    straight_pa: float
    bend_pa: float
    least_pa: float
    greatest_pa: float

    @property
    def drop_pa(self) -> float:
        """Straights and bends."""
        return self.straight_pa + self.bend_pa


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


def circuit_pipe(mean_c: float, length_m: float, arcs: Iterable[Arc], settings: Settings) -> CircuitPipe:
    """The pipe of a circuit: mean temperature [°C], length [m] with tails and risers, the arcs of its axis.

    Raises: NoSolution for a length below nothing, or a fluid outside the range of its properties.
    """
    if length_m < 0:
        raise NoSolution(f"a circuit of {length_m:g} m cannot be laid")
    inner, fluid = inner_diameter(settings.pipe), settings.hydraulics.fluid
    return CircuitPipe(
        length_m=length_m,
        bends=bend_law(arcs, inner),
        inner_m=inner,
        roughness_m=settings.pipe.roughness_m,
        density=fluid.density(mean_c),
        viscosity=fluid.viscosity(mean_c),
    )


def pipe_state(pipe: CircuitPipe, mass_flow: float) -> PipeState:
    """Velocity, Re and pressure drops at a mass flow [kg/s]. Source: Darcy and Weisbach.

    Raises: NoSolution for a flow backwards.
    """
    velocity, reynolds = _speed(pipe, mass_flow)
    if reynolds <= 0:
        return PipeState(
            velocity=0.0, reynolds=0.0, regime=regime(0.0), straight_pa=0.0, bend_pa=0.0, least_pa=0.0, greatest_pa=0.0
        )
    relative, dynamic = pipe.roughness_m / pipe.inner_m, pipe.density * velocity**2 / 2
    lengths = pipe.length_m / pipe.inner_m
    factor, law = friction_factor(reynolds, relative), regime(reynolds)
    least, greatest = factor, factor
    if law == "transition":
        bounds = friction_bounds(reynolds, relative)
        least, greatest = bounds.laminar, bounds.turbulent
    bend_pa = bend_loss(pipe.bends, reynolds, relative) * dynamic
    return PipeState(
        velocity=velocity,
        reynolds=reynolds,
        regime=law,
        straight_pa=factor * lengths * dynamic,
        bend_pa=bend_pa,
        least_pa=least * lengths * dynamic + bend_pa,
        greatest_pa=greatest * lengths * dynamic + bend_pa,
    )


def pipe_drop(pipe: CircuitPipe, mass_flow: float) -> float:
    """Pressure drop [Pa] of straights and bends at a mass flow [kg/s], as `pipe_state`, without what else it says.

    Raises: NoSolution for a flow backwards.
    """
    velocity, reynolds = _speed(pipe, mass_flow)
    if reynolds <= 0:
        return 0.0
    relative, dynamic = pipe.roughness_m / pipe.inner_m, pipe.density * velocity**2 / 2
    straight_pa = friction_factor(reynolds, relative) * (pipe.length_m / pipe.inner_m) * dynamic
    return straight_pa + bend_loss(pipe.bends, reynolds, relative) * dynamic


def _speed(pipe: CircuitPipe, mass_flow: float) -> tuple[float, float]:
    """Velocity [m/s] and Reynolds number of a mass flow [kg/s]."""
    if mass_flow < 0:
        raise NoSolution(f"a circuit of {pipe.length_m:g} m cannot carry {mass_flow:g} kg/s")
    velocity = mass_flow / pipe.density / (math.pi / 4 * pipe.inner_m**2)
    return velocity, pipe.density * velocity * pipe.inner_m / pipe.viscosity


def series_drop(pipe: CircuitPipe, kvs: Sequence[float], mass_flow: float) -> float:
    """Pressure drop [Pa] of a pipe and of valves of `kvs` [m³/h] in series with it, at a mass flow [kg/s]."""
    valves = sum(valve_drop(mass_flow / pipe.density, pipe.density, kv) for kv in kvs)
    return pipe_drop(pipe, mass_flow) + valves


def flow_at(pressure_pa: float, pipe: CircuitPipe, kvs: Sequence[float]) -> float:
    """Mass flow [kg/s] that a pressure difference [Pa] drives through a pipe and valves in series.

    Algorithm: the drop rises with the flow under every law of friction here, so Brent's method finds the only
    root, between nothing and a flow doubled until it loses more.
    Raises: NoSolution where nothing resists.
    """
    if pressure_pa <= 0:
        return 0.0

    def error(flow: float) -> float:
        return series_drop(pipe, kvs, flow) - pressure_pa

    most = _FIRST_FLOW
    for _ in range(_MOST_DOUBLINGS):
        if error(most) >= 0:
            return float(brentq(error, 0.0, most, xtol=_FLOW_TOLERANCE, rtol=_FLOW_TOLERANCE))
        most *= 2
    raise NoSolution(f"a pressure difference of {pressure_pa:g} Pa meets no resistance")
