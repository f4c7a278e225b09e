"""How the floor answers when its water changes: time constant, heating up, cooling down."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ufh_core.basis.errors import NoSolution
from ufh_core.section.network import HeatNetwork, heat_from, linked, solve
from ufh_core.section.steady import (
    BELOW,
    CELLS_TO_RADIUS,
    ROOM,
    WATER,
    Around,
    row_shares,
    section_network,
    surface_temperatures,
)
from ufh_core.section.transient import History, Stage, march, stored_heat
from ufh_core.section.types import Array, Section

TIME_CONSTANT_SHARE = 1 - 1 / np.e  # 63.2 %
SUPPLY = "supply"
_SPECIFIC_HEAT = 4180.0  # of water [J/(kg K)]. Source: IAPWS-IF97 at 35 °C, rounded


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterAt:
    """Water whose mean temperature in this section is given [°C]."""

    celsius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterHeated:
    """Water that gets a given power [W/m of pipe]; 0: it stands still and cools with the floor."""

    power_w_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterFlowing:
    """A circuit's flow θ_V [°C], mass flow [kg/s] and length [m]; the section answers for the circuit's mean.

    The mean water temperature is taken as θ_V less half the spread, so heat = 2 ṁ c (θ_V − θ_m).
    Valid for: a spread of up to half the overtemperature (beyond, the logarithmic mean is lower).
    """

    flow_c: float
    mass_flow: float
    length_m: float

    def __post_init__(self) -> None:
        if not (0 < self.mass_flow < float("inf") and 0 < self.length_m < float("inf")):
            raise NoSolution("a circuit that flows needs a mass flow and a length of more than 0")


Water = WaterAt | WaterHeated | WaterFlowing
STANDING = WaterHeated()


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """The floor over time (all arrays as `times_s` [s]); fluxes [W/m² of floor], temperatures [°C].

    `heat_flux` q upward, `downward_flux` q_u, `water_flux` what the water gives; `floor_c` is the mean of all layers,
    weighed by the heat that they store; `final_flux` is q in the steady state that is neared. `heat_in` [J/m²] came
    from the water (its supply, its power) less what left above and below since the start; `heat_stored` [J/m²] is
    what the floor holds more, with its water where that has no given temperature: both are equal but for rounding.
    """

    times_s: Array
    heat_flux: Array
    downward_flux: Array
    water_flux: Array
    mean_surface_c: Array
    peak_surface_c: Array
    floor_c: Array
    water_c: Array
    final_flux: float
    heat_in: float
    heat_stored: float

    @property
    def time_constant_s(self) -> float | None:
        """Time to 63.2 % of the change of q [s]; None where the time followed is too short."""
        return self.time_to(TIME_CONSTANT_SHARE)

    @property
    def time_to_90_s(self) -> float | None:
        """Time to 90 % of the change of q [s]; None where the time followed is too short."""
        return self.time_to(0.9)

    def time_to(self, share: float) -> float | None:
        """Time [s] until q has first made `share` of its way to the steady state, straight between two steps."""
        change = self.final_flux - self.heat_flux[0]
        if abs(change) < 1e-9:
            return 0.0
        made = (self.heat_flux - self.heat_flux[0]) / change
        later = np.flatnonzero(made >= share)
        if later.size == 0:
            return None
        k = int(later[0])
        if k == 0:
            return 0.0
        part = (share - made[k - 1]) / (made[k] - made[k - 1])
        return float(self.times_s[k - 1] + part * (self.times_s[k] - self.times_s[k - 1]))


def step_response(
    section: Section,
    after: Water,
    *,
    before: Water = STANDING,
    around: Around | None = None,
    seconds: float = 86400.0,
    step_s: float = 300.0,
    cells: int = CELLS_TO_RADIUS,
) -> Response:
    """Follow the floor from its steady state with the water `before` to that with the water `after`.

    `after` a warmer water, a greater flow or a power: heating up; `STANDING`: cooling down. `before` is a floor
    without heat unless it is given. `seconds` are followed in steps of about `step_s`.
    Raises: NoSolution for times that are not positive.
    Valid for: a room whose temperature stays; its walls and furniture take longer than its floor.
    """
    around = around or Around()
    start = steady_state(water_network(section, before, cells), before, around)
    network = water_network(section, after, cells)
    final = steady_state(network, after, around)
    history = march(network, start, [stage(network, after, around, seconds, steps_of(seconds, step_s))])
    return response_of(section, network, history, around, final, after)


def water_network(section: Section, water: Water, cells: int = CELLS_TO_RADIUS) -> HeatNetwork:
    """The section with one more port, "supply", that reaches its water by as much as this water flows."""
    conductance = 0.0
    if isinstance(water, WaterFlowing):  # of half a pipe: 2 ṁ c / L, halved
        conductance = water.mass_flow * _SPECIFIC_HEAT / water.length_m
    return linked(section_network(section, cells), WATER, SUPPLY, conductance)


def response_of(
    section: Section, network: HeatNetwork, history: History, around: Around, final: Array, water: Water
) -> Response:
    """What a history says of the floor; `final` is the steady state that it nears, `water` the water meanwhile."""
    width, power = section.half_pitch_m, half_power(water)
    states = history.temperatures
    flows = {port: (network.conductances[[network.at(port)]] @ states.T)[0] / width for port in network.ports}
    surface = surface_temperatures(section, network, states, around.room_c)
    given = [port for port in network.ports if port in given_temperatures(network, water, around)]
    heat = sum(history.heat[-1][network.ports.index(port)] for port in given) + power * history.times_s[-1]
    share = network.capacities[: network.node_count] / network.capacities[: network.node_count].sum()
    nothing = np.zeros(history.times_s.size)
    return Response(
        times_s=history.times_s,
        heat_flux=-flows[ROOM],
        downward_flux=-flows.get(BELOW, nothing),
        water_flux=flows[SUPPLY] + (power / width if WATER not in given else flows[WATER]),
        mean_surface_c=surface @ row_shares(network),
        peak_surface_c=surface.max(axis=1),
        floor_c=states[:, : network.node_count] @ share,
        water_c=states[:, network.at(WATER)],
        final_flux=-heat_from(network, final, ROOM) / width,
        heat_in=float(heat) / width,
        heat_stored=stored_heat(network, states[0], states[-1], given) / width,
    )


def steady_state(network: HeatNetwork, water: Water, around: Around) -> Array:
    """Temperatures of all nodes and ports [°C] when this water has run for long."""
    return solve(network, given_temperatures(network, water, around), {WATER: half_power(water)})


def stage(network: HeatNetwork, water: Water, around: Around, seconds: float, steps: int) -> Stage:
    """So many steps with this water."""
    given = {port: (value, value) for port, value in given_temperatures(network, water, around).items()}
    return Stage(seconds=seconds, steps=steps, given=given, powers={WATER: half_power(water)})


def given_temperatures(network: HeatNetwork, water: Water, around: Around) -> dict[str, float]:
    """Temperatures [°C] that do not follow from the floor."""
    given = {ROOM: around.room_c, SUPPLY: water.flow_c if isinstance(water, WaterFlowing) else around.room_c}
    if BELOW in network.ports:
        given[BELOW] = around.under_c
    if isinstance(water, WaterAt):
        given[WATER] = water.celsius
    return given


def half_power(water: Water) -> float:
    """Power put into half a pipe [W/m]."""
    return water.power_w_m / 2 if isinstance(water, WaterHeated) else 0.0


def steps_of(seconds: float, step_s: float) -> int:
    """Number of equal steps of at most `step_s` in a time [s]. Raises: NoSolution unless both are more than 0."""
    if not (0 < seconds < float("inf") and step_s > 0):
        raise NoSolution("the time to follow and its step must be more than 0 s")
    return max(1, math.ceil(seconds / step_s - 1e-9))
