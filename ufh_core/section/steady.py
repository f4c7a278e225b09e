"""The floor in the steady state: the section as a network, solved for given temperatures or a given power."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np

from ufh_core.basis.errors import NoSolution
from ufh_core.section.cut_cells import water_links, with_pipe
from ufh_core.section.grid import graded_lines
from ufh_core.section.network import HeatNetwork, Side, assemble, heat_from, plain_elements, solve, storing
from ufh_core.section.types import Array, Index, Section, SteadyResult

WATER, ROOM, BELOW = "water", "room", "below"
CELLS_TO_RADIUS = 8  # elements from the pipe's centre to its outside
_GROWTH = 0.8  # by how much an element is wider for each metre from the pipe, times `cells` [m/m]
_WATER_HEAT_CAPACITY = 4.16e6  # ρ c at 35 °C [J/(m³ K)]. Source: IAPWS-IF97, 994 kg/m³, 4179 J/(kg K)


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """Temperatures round the section [°C]: the room θ_i and what lies below θ_u (None: as warm as the room)."""

    room_c: float = 20.0
    below_c: float | None = None

    @property
    def under_c(self) -> float:
        """θ_u [°C]."""
        return self.room_c if self.below_c is None else self.below_c


def steady(
    section: Section,
    *,
    water_c: float | None = None,
    power_w_m: float | None = None,
    around: Around | None = None,
    cells: int = CELLS_TO_RADIUS,
) -> SteadyResult:
    """Heat and temperatures of the floor with its water at `water_c` [°C] or giving `power_w_m` [W/m of pipe].

    `cells` are the elements from the pipe's centre to its outside: the grid's fineness.
    Raises: NoSolution unless exactly one of water temperature and power is given.
    Source: two-dimensional conduction as EN ISO 10211 has it; the film to the room is EN 1264-2's.
    Valid for: constant properties, long straight pipes side by side with equally warm water.
    """
    around = around or Around()
    if (water_c is None) == (power_w_m is None):
        raise NoSolution("give either the water's temperature or its power")
    network = section_network(section, cells)
    given = {ROOM: around.room_c} | ({BELOW: around.under_c} if BELOW in network.ports else {})
    if water_c is not None:
        given[WATER] = water_c
    found = solve(network, given, {} if power_w_m is None else {WATER: power_w_m / 2})
    return _result(section, network, found, around)


def _result(section: Section, network: HeatNetwork, found: Array, around: Around) -> SteadyResult:
    """What the temperatures found say, and the floor's output by kelvin."""
    unit = solve(network, dict.fromkeys(network.ports, 0.0) | {WATER: 1.0})
    width, surface = section.half_pitch_m, surface_temperatures(section, network, found, around.room_c)
    return SteadyResult(
        heat_flux=-heat_from(network, found, ROOM) / width,
        downward_flux=-heat_from(network, found, BELOW) / width if BELOW in network.ports else 0.0,
        characteristic=-heat_from(network, unit, ROOM) / width,
        linear_output=2 * heat_from(network, unit, WATER),
        surface_x_m=network.x,
        surface_c=surface,
        peak_surface_c=float(surface.max()),
        mean_surface_c=float(row_shares(network) @ surface),
        least_surface_c=float(surface.min()),
        screed_peak_c=warmest(section, network, found),
        water_c=float(found[network.at(WATER)]),
    )


def section_network(section: Section, cells: int = CELLS_TO_RADIUS) -> HeatNetwork:
    """Half a pitch of the floor as a network with the ports "water", "room" and, if heat goes down, "below".

    Raises: NoSolution for fewer cells than one.
    """
    if cells < 1:
        raise NoSolution("the grid of a section needs cells: at least one from the pipe's centre to its outside")
    x, y = _lines(section, cells)
    conductivity, heat_capacity = _materials(section, x, y)
    elements = plain_elements(x, y, conductivity, heat_capacity)
    elements = with_pipe(elements, conductivity, heat_capacity, section.pipe)
    ports = (WATER, ROOM) if section.below_r is None else (WATER, ROOM, BELOW)
    sides = [Side(where="top", port=ROOM, resistance=section.finish_r + section.room_film_r)]
    if section.below_r is not None:
        sides.append(Side(where="bottom", port=BELOW, resistance=section.below_r))
    nodes, matrices, arcs = water_links(x, y, section.pipe, x.size * y.size)
    network = assemble(elements, sides, ports, [(nodes, matrices)])
    return _with_wall_and_water(network, section, nodes, arcs)


def surface_temperatures(section: Section, network: HeatNetwork, temperatures: Array, room_c: float) -> Array:
    """Temperature of the floor's surface over x [°C]; over a covering that only resists, by the heat that passes it."""
    share = section.room_film_r / (section.room_film_r + section.finish_r)
    return np.asarray(room_c + (temperatures[..., network.row(-1)] - room_c) * share)


def row_shares(network: HeatNetwork) -> Array:
    """What part of the width each node of a row stands for; adds up to 1."""
    length = np.diff(network.x)
    return np.asarray((np.append(length, 0.0) + np.append(0.0, length)) / 2 / network.x[-1])


def warmest(section: Section, network: HeatNetwork, temperatures: Array) -> float:
    """Highest temperature of the layers [°C], nodes in the pipe left out."""
    x, y = np.meshgrid(network.x, network.y)
    outside = np.hypot(x, y - section.pipe.centre_m).ravel() >= section.pipe.radius_m * (1 - 1e-9)
    return float(temperatures[: network.node_count][outside].max())


def _lines(section: Section, cells: int) -> tuple[Array, Array]:
    pipe, fine = section.pipe, section.pipe.radius_m / cells
    levels = list(accumulate((layer.thickness_m for layer in section.layers), initial=0.0))
    low, high = pipe.centre_m - pipe.radius_m, pipe.centre_m + pipe.radius_m
    growth = _GROWTH / cells
    x = graded_lines([0.0, pipe.radius_m, section.half_pitch_m], (0.0, pipe.radius_m), fine, growth)
    return x, graded_lines([*levels, low, pipe.centre_m, high], (low, high), fine, growth)


def _materials(section: Section, x: Array, y: Array) -> tuple[Array, Array]:
    """λ [W/(m K)] and ρ c [J/(m³ K)] of every element, by row and column."""
    tops = np.cumsum([layer.thickness_m for layer in section.layers])
    at = np.searchsorted(tops[:-1], (y[1:] + y[:-1]) / 2)
    conductivity = np.array([layer.conductivity for layer in section.layers])[at]
    heat_capacity = np.array([layer.heat_capacity_volumetric for layer in section.layers])[at]
    columns = np.ones(x.size - 1)
    return np.outer(conductivity, columns), np.outer(heat_capacity, columns)


def _with_wall_and_water(network: HeatNetwork, section: Section, nodes: Index, arcs: Array) -> HeatNetwork:
    """Store half of the wall's heat at its outside, half with the water."""
    pipe = section.pipe
    wall = np.pi / 2 * (pipe.radius_m**2 - pipe.bore_radius_m**2) * pipe.heat_capacity_volumetric
    water = np.pi / 2 * pipe.bore_radius_m**2 * _WATER_HEAT_CAPACITY
    outside = arcs * (wall / 2 / arcs.sum())
    network = storing(network, WATER, wall / 2 + water)
    capacities = network.capacities + np.bincount(nodes[:, :4].ravel(), outside.ravel(), network.capacities.size)
    return replace(network, capacities=capacities)
