"""Heat over time against exact solutions, its own balance and its own convergence.

Source of the exact solutions: H. S. Carslaw, J. C. Jaeger, Conduction of heat in solids, 2nd edition: 2.4
(semi-infinite solid whose face jumps), 2.7 (with a film), 3.4 (slab, one face jumps), 10.4 (a line that gives a
constant power); formulas from memory, each checked here against the heat equation by what it is compared with.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.special import erfc, exp1
from section_cases import a_section

from ufh_core.basis.errors import NoSolution
from ufh_core.section import (
    STANDING,
    Around,
    Layer,
    PipeInSection,
    Section,
    WaterAt,
    WaterFlowing,
    WaterHeated,
    steady,
    step_response,
)
from ufh_core.section.network import HeatNetwork, Side, assemble, plain_elements
from ufh_core.section.steady import section_network
from ufh_core.section.transient import Stage, march, stored_heat

SCREED = 1.2, 2.0e6
DIFFUSIVITY = SCREED[0] / SCREED[1]
HOUR = 3600.0


def slab(thickness: float, top_r: float, bottom_r: float | None = None) -> HeatNetwork:
    """A slab of screed, one-dimensional, with "room" above and "below" under it."""
    x, y = np.array([0.0, 1.0]), np.linspace(0.0, thickness, 101)
    ones = np.ones((100, 1))
    sides = [Side(where="top", port="room", resistance=top_r)]
    if bottom_r is not None:
        sides.append(Side(where="bottom", port="below", resistance=bottom_r))
    return assemble(plain_elements(x, y, SCREED[0] * ones, SCREED[1] * ones), sides, ("room", "below"))


def heated_from_above(network: HeatNetwork, seconds: float, steps: int, below: bool = False) -> np.ndarray:
    """Temperatures by depth from the top [K] after the room has jumped by 1 K."""
    given = {"room": (1.0, 1.0), "below": (0.0, 0.0)}
    stage = Stage(seconds=seconds, steps=steps, given=given)
    history = march(network, np.zeros(network.capacities.size), [stage])
    assert below or history.temperatures[-1][0] < 1e-3, "the slab is not thick enough to pass for semi-infinite"
    return history.temperatures[-1][: network.node_count : 2][::-1]


def depths(network: HeatNetwork) -> np.ndarray:
    return network.y[-1] - network.y[::-1]


@pytest.mark.parametrize("hours", [1.0, 4.0])
def test_semi_infinite_solid_published(hours: float) -> None:
    """Carslaw & Jaeger 2.4: T = erfc(x / 2√(a t)): 1 % of the jump (found: 0.1 %)."""
    network = slab(0.6, 0.0)
    exact = erfc(depths(network) / (2 * math.sqrt(DIFFUSIVITY * hours * HOUR)))
    assert np.abs(heated_from_above(network, hours * HOUR, 60) - exact).max() < 0.002


@pytest.mark.parametrize("hours", [1.0, 4.0])
def test_semi_infinite_solid_with_a_film_published(hours: float) -> None:
    """Carslaw & Jaeger 2.7: T = erfc(ξ) − exp(h x/λ + h² a t/λ²) · erfc(ξ + h √(a t)/λ), ξ = x / 2√(a t)."""
    network, h, time = slab(0.6, 1 / 10.8), 10.8 / SCREED[0], hours * HOUR
    x, root = depths(network), math.sqrt(DIFFUSIVITY * time)
    exact = erfc(x / 2 / root) - np.exp(h * x + (h * root) ** 2) * erfc(x / 2 / root + h * root)
    assert np.abs(heated_from_above(network, time, 60) - exact).max() < 0.002


@pytest.mark.parametrize("hours", [0.25, 1.0, 3.0])
def test_slab_published(hours: float) -> None:
    """Carslaw & Jaeger 3.4: 65 mm of screed, one face jumps, the other keeps its temperature."""
    network = slab(0.065, 0.0, 0.0)
    from_below, n = 1 - depths(network) / 0.065, np.arange(1, 200)[:, None]
    decay = np.exp(-DIFFUSIVITY * (n * math.pi / 0.065) ** 2 * hours * HOUR)
    exact = from_below + (2 / math.pi * (-1.0) ** n / n * np.sin(n * math.pi * from_below) * decay).sum(axis=0)
    assert np.abs(heated_from_above(network, hours * HOUR, 60, below=True) - exact).max() < 0.002


def test_step_converges_with_its_square() -> None:
    """Crank-Nicolson: halving the step takes three quarters off what is left, jump at the start or not."""
    network = slab(0.065, 1 / 10.8, 0.2)
    ends = [heated_from_above(network, HOUR, steps, below=True) for steps in (8, 16, 32, 64)]
    changes = [np.abs(coarse - fine).max() for coarse, fine in pairwise(ends)]
    for coarse, fine in pairwise(changes):
        assert 1.7 < math.log2(coarse / fine) < 2.3


def test_nothing_rings_after_a_jump() -> None:
    """The finest elements answer in seconds, a step lasts ten minutes: without damping the flux would swing."""
    response = step_response(a_section(0.10), WaterAt(celsius=40.0), step_s=600.0)
    assert (np.diff(response.heat_flux) > -1e-9).all()
    assert (np.diff(response.water_flux[2:]) < 1e-6).all()


def test_line_that_gives_a_power_published() -> None:
    """Carslaw & Jaeger 10.4: T = q'/(4 π λ) · E1(r²/(4 a t)) round a thin pipe in a mass of screed: 1 %."""
    mass = Layer(thickness_m=1.6, conductivity=SCREED[0], heat_capacity_volumetric=SCREED[1])
    pipe = PipeInSection(outside_m=0.008, wall_m=0.001, conductivity=0.35, centre_m=0.8)
    section = Section(pitch_m=1.6, layers=(mass,), pipe=pipe, below_r=0.1)
    network, seconds, power = section_network(section), 10 * HOUR, 20.0
    stage = Stage(
        seconds=seconds, steps=200, given={"room": (0.0, 0.0), "below": (0.0, 0.0)}, powers={"water": power / 2}
    )
    state = march(network, np.zeros(network.capacities.size), [stage]).temperatures[-1]
    x, y = np.meshgrid(network.x, network.y)
    distance = np.hypot(x, y - pipe.centre_m).ravel()
    near = (distance > 0.02) & (distance < 0.25)
    exact = power / (4 * math.pi * SCREED[0]) * exp1(distance[near] ** 2 / (4 * DIFFUSIVITY * seconds))
    found = state[: network.node_count][near]
    assert np.abs(found - exact).max() < 0.01 * exact.max()
    close = distance[near] < 0.12
    assert found[close] == pytest.approx(exact[close], rel=0.01)


WATERS = {
    "given temperature": (STANDING, WaterAt(celsius=35.0)),
    "given power": (STANDING, WaterHeated(power_w_m=8.0)),
    "flow": (STANDING, WaterFlowing(flow_c=37.0, mass_flow=0.03, length_m=80.0)),
    "cool-down": (WaterAt(celsius=35.0), STANDING),
    "more flow": (
        WaterFlowing(flow_c=37.0, mass_flow=0.01, length_m=80.0),
        WaterFlowing(flow_c=37.0, mass_flow=0.03, length_m=80.0),
    ),
}


@pytest.mark.parametrize("name", WATERS)
def test_heat_is_balanced(name: str) -> None:
    """What came in less what left is what the floor holds more, to rounding."""
    before, after = WATERS[name]
    around = Around(room_c=20.0, below_c=14.0)
    response = step_response(a_section(0.15, 0.1), after, before=before, around=around, seconds=36 * HOUR)
    assert abs(response.heat_in) > 1e5
    assert response.heat_in == pytest.approx(response.heat_stored, rel=1e-7)


@pytest.mark.parametrize("name", ["given temperature", "given power"])
def test_fluxes_add_up_to_the_heat_that_the_dimensions_hold(name: str) -> None:
    """Trapezoids under the fluxes against thickness times heat capacity, both by the test's own sums: 0.2 %."""
    before, after = WATERS[name]
    response = step_response(a_section(0.15, 0.1), after, before=before, seconds=36 * HOUR)
    net = (response.water_flux - response.heat_flux - response.downward_flux)[3:]
    came = ((net[1:] + net[:-1]) / 2 * np.diff(response.times_s)[3:]).sum()
    outer, bore = math.pi * 0.008**2, math.pi * 0.006**2
    half_wall = (outer - bore) * 2.2e6 / 2
    floor = 0.05 * 3e4 + 0.0615 * 2e6 + 0.023 * 1.5e6 - (outer * 2e6 - half_wall) / 0.15
    water = 0.0 if name == "given temperature" else (bore * 4.16e6 + half_wall) / 0.15
    held = floor * (response.floor_c[-1] - response.floor_c[3]) + water * (response.water_c[-1] - response.water_c[3])
    assert came == pytest.approx(held, rel=0.002)


@pytest.mark.parametrize("name", WATERS)
def test_ends_where_the_steady_state_is(name: str) -> None:
    before, after = WATERS[name]
    around = Around(room_c=20.0, below_c=18.0)
    section = a_section(0.15, 0.05)
    response = step_response(section, after, before=before, around=around, seconds=240 * HOUR, step_s=1200.0)
    end = response.heat_flux[-1]
    assert end == pytest.approx(response.final_flux, abs=1e-3)
    same = steady(section, water_c=float(response.water_c[-1]), around=around)
    assert (same.heat_flux, same.downward_flux) == pytest.approx((end, response.downward_flux[-1]), abs=2e-3)
    assert same.mean_surface_c == pytest.approx(response.mean_surface_c[-1], abs=1e-3)
    assert same.peak_surface_c == pytest.approx(response.peak_surface_c[-1], abs=1e-3)


def test_power_is_that_of_a_metre_of_pipe() -> None:
    around = Around(room_c=20.0, below_c=16.0)
    response = step_response(a_section(), WaterHeated(power_w_m=7.0), around=around, seconds=HOUR)
    assert response.final_flux == pytest.approx(steady(a_section(), power_w_m=7.0, around=around).heat_flux, rel=1e-9)
    assert response.water_flux[-1] == pytest.approx(7.0 / 0.15)


def test_flowing_water_gives_its_spread() -> None:
    """Source: energy of the water: (q + q_u) T L = ṁ c σ, and the mean is half of σ under the flow."""
    water = WaterFlowing(flow_c=37.0, mass_flow=0.03, length_m=80.0)
    response = step_response(a_section(0.15, 0.1), water, seconds=240 * HOUR, step_s=1200.0)
    spread = 2 * (37.0 - response.water_c[-1])
    heat = (response.heat_flux[-1] + response.downward_flux[-1]) * 0.15 * 80.0
    assert heat == pytest.approx(0.03 * 4180.0 * spread, rel=1e-4)


def test_heating_and_cooling_at_one_given_resistance_mirror_each_other() -> None:
    """Conduction is linear: with a power switched on or off the same time passes to any share of the change."""
    section = a_section(0.20, 0.05)
    heating = step_response(section, WaterHeated(power_w_m=8.0), seconds=72 * HOUR)
    cooling = step_response(section, STANDING, before=WaterHeated(power_w_m=8.0), seconds=72 * HOUR)
    assert heating.time_constant_s == pytest.approx(cooling.time_constant_s, rel=1e-6)
    assert heating.time_to_90_s == pytest.approx(cooling.time_to_90_s, rel=1e-6)
    assert heating.time_constant_s < heating.time_to_90_s


def test_time_constant_of_a_floor_that_is_one_temperature() -> None:
    """Source: a lumped body, τ = C/(U_up + U_down); 63.2 % is at τ, 90 % at 2.303 τ."""
    mass = Layer(thickness_m=0.05, conductivity=1e4, heat_capacity_volumetric=2e6)
    pipe = PipeInSection(outside_m=0.016, wall_m=0.002, conductivity=1e3, centre_m=0.025)
    section = Section(pitch_m=0.15, layers=(mass,), pipe=pipe, below_r=0.5)
    response = step_response(section, WaterHeated(power_w_m=5.0), seconds=48 * HOUR, step_s=60.0)
    circle, bore = math.pi * 0.008**2, math.pi * 0.006**2
    capacity = (0.15 * 0.05 - circle) * 2e6 + (circle - bore) * 2.2e6 + bore * 4.16e6
    tau = capacity / 0.15 / (10.8 + 1 / 0.5)
    assert response.time_constant_s == pytest.approx(tau, rel=2e-3)
    assert response.time_to_90_s == pytest.approx(math.log(10) * tau, rel=2e-3)


def test_time_constant_needs_no_fine_grid_or_step() -> None:
    section = a_section(0.15, 0.1)
    quick = step_response(section, WaterAt(celsius=35.0))
    fine = step_response(section, WaterAt(celsius=35.0), step_s=50.0, cells=16)
    assert quick.time_constant_s == pytest.approx(fine.time_constant_s, rel=3e-3)
    assert quick.time_to_90_s == pytest.approx(fine.time_to_90_s, rel=3e-3)


def test_times_do_not_depend_on_how_far_the_water_jumps() -> None:
    """Conduction is linear: a jump by 0.1 K takes the floor as long as one by 15 K."""
    great, small = (step_response(a_section(0.15, 0.1), WaterAt(celsius=celsius)) for celsius in (35.0, 20.1))
    assert small.time_constant_s == pytest.approx(great.time_constant_s, rel=1e-6)


def test_short_stage() -> None:
    assert Stage(seconds=0.5, steps=1, given={}).seconds == 0.5
    assert step_response(a_section(), WaterAt(celsius=35.0), seconds=100.0).times_s.tolist() == [0.0, 100.0]


def test_times_that_are_not_reached_are_told() -> None:
    response = step_response(a_section(0.15, 0.1), WaterAt(celsius=35.0), seconds=HOUR)
    assert response.time_constant_s is None
    assert response.time_to(0.05) is not None
    idle = step_response(a_section(), WaterAt(celsius=20.0), seconds=HOUR)
    assert idle.time_constant_s == 0.0


def test_stages_follow_ramps() -> None:
    """Under a straight rise of the water the floor ends as far behind as its heat and its resistance say."""
    section = a_section(0.15, 0.0)
    network = section_network(section)
    given = {"room": (20.0, 20.0), "below": (20.0, 20.0), "water": (20.0, 60.0)}
    start = np.full(network.capacities.size, 20.0)
    history = march(network, start, [Stage(seconds=400 * HOUR, steps=400, given=given)])
    rate = 40.0 / (400 * HOUR)
    first, last = history.heat[-2], history.heat[-1]
    power = (last - first).sum() / HOUR * 2 / 0.15
    unit = steady(section, water_c=21.0)
    assert history.times_s[-1] == pytest.approx(400 * HOUR)
    behind = unit.heat_flux * (history.temperatures[-1][network.at("water")] - 20.0) - heat_up(history.heat)
    assert 0 < behind < 5.0
    assert power == pytest.approx(rate * quasi_steady_capacity(network), rel=1e-4)
    assert stored_heat(network, start, start + 1.0, ["water", "room", "below"]) == pytest.approx(
        network.capacities[: network.node_count][~network.idle[: network.node_count]].sum()
    )


def heat_up(heat: np.ndarray) -> float:
    return -float(heat[-1][1] - heat[-2][1]) / HOUR / 0.075


def quasi_steady_capacity(network: HeatNetwork) -> float:
    """Heat [J/(m² K)] that the floor takes up for each kelvin of water when it follows slowly."""
    from ufh_core.section.network import solve

    shape = solve(network, {"water": 1.0, "room": 0.0, "below": 0.0})
    return float(stored_heat(network, np.zeros(shape.size), shape, ["water", "room", "below"])) / 0.075


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: WaterFlowing(flow_c=40.0, mass_flow=0.0, length_m=80.0), "mass flow"),
        (lambda: WaterFlowing(flow_c=40.0, mass_flow=0.01, length_m=-1.0), "length"),
        (lambda: step_response(a_section(), WaterAt(celsius=40.0), seconds=0.0), "time to follow"),
        (lambda: step_response(a_section(), WaterAt(celsius=40.0), step_s=0.0), "time to follow"),
        (lambda: step_response(a_section(), WaterAt(celsius=40.0), seconds=math.inf), "time to follow"),
        (lambda: step_response(a_section(), WaterAt(celsius=math.nan)), "not a number"),
        (lambda: Stage(seconds=0.0, steps=5, given={}), "stage"),
        (lambda: Stage(seconds=1.0, steps=0, given={}), "stage"),
    ],
)
def test_bad_input_is_one_line(make: object, words: str) -> None:
    with pytest.raises(NoSolution, match=words) as error:
        make()  # type: ignore[operator]
    assert "\n" not in str(error.value)
