"""Water, friction, bends, valves and balancing against other libraries' figures.

Sources: IAPWS-IF97 by the library `iapws`; IAPWS-95 by CoolProp; friction by `fluids` 1.3.1; a network of
five circuits on one manifold solved by pandapipes 0.16.0 (Colebrook). The figures were computed with those
once and are kept here as data.
"""

import math

import pytest

from ufh_core.basis.pipe_axis import Arc
from ufh_core.heating_water import water
from ufh_core.hydraulics import balance, circuit_flow
from ufh_core.hydraulics.friction import bend_losses, friction_factor
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.hydraulics.valves import kv_for, valve_drop
from ufh_core.settings.types import Settings

INNER_M = 0.012
ROUGHNESS = 7e-6 / INNER_M
LITRE_PER_MINUTE = 1e-3 / 60


@pytest.mark.parametrize(
    ("celsius", "rho", "cp", "mu", "conductivity"),
    [
        (20.0, 998.25, 4184.0, 10.016e-4, 0.5981),
        (30.0, 995.69, 4179.6, 7.972e-4, 0.6144),
        (35.0, 994.08, 4179.0, 7.191e-4, 0.6218),
        (37.5, 993.19, 4179.0, 6.846e-4, 0.6252),
        (40.0, 992.26, 4179.2, 6.527e-4, 0.6285),
        (45.0, 990.26, 4179.9, 5.958e-4, 0.6348),
        (50.0, 988.08, 4181.1, 5.465e-4, 0.6407),
    ],
)
def test_water_published(celsius: float, rho: float, cp: float, mu: float, conductivity: float) -> None:
    """Source: IAPWS-95 by CoolProp, 2 bar."""
    assert water.density(celsius) == pytest.approx(rho, rel=1e-3)
    assert water.heat_capacity(celsius) == pytest.approx(cp, rel=1e-3)
    assert water.viscosity(celsius) == pytest.approx(mu, rel=1e-3)
    assert water.conductivity(celsius) == pytest.approx(conductivity, rel=1e-3)


@pytest.mark.parametrize("celsius", [5.0, 9.0, 12.0, 20.0, 28.0, 36.0, 44.0, 50.0, 55.0, 62.0, 67.0, 70.0])
def test_water_against_if97(celsius: float) -> None:
    """Source: IAPWS-IF97, 2 bar: what the four formulas were fitted to, within the deviations that they state."""
    state = pytest.importorskip("iapws").IAPWS97(T=celsius + 273.15, P=0.2)
    assert water.density(celsius) == pytest.approx(state.rho, rel=6.5e-5)
    assert water.heat_capacity(celsius) == pytest.approx(state.cp * 1000, rel=1.25e-4)
    assert water.viscosity(celsius) == pytest.approx(state.mu, rel=6.5e-5)
    assert water.conductivity(celsius) == pytest.approx(state.k, rel=3.65e-4)


@pytest.mark.parametrize(
    ("litres", "velocity", "reynolds", "colebrook", "haaland", "blasius"),
    [
        (1.0, 0.1474, 2565, 41.50, 42.30, 39.95),
        (1.5, 0.2210, 3848, 82.80, 83.61, 81.23),
        (2.0, 0.2947, 5131, 135.78, 136.37, 134.39),
        (2.5, 0.3684, 6413, 199.79, 199.94, 198.59),
        (3.0, 0.4421, 7696, 274.36, 273.86, 273.23),
    ],
)
def test_pressure_drop_published(  # 16 x 2 mm, water of 37.5 °C, Pa/m
    litres: float, velocity: float, reynolds: float, colebrook: float, haaland: float, blasius: float
) -> None:
    """Source: `fluids` 1.3.1 with properties of IF97; Haaland and Blasius are other laws: 2 % and 4 %."""
    mass_flow = litres * LITRE_PER_MINUTE * water.density(37.5)
    flow = circuit_flow(mass_flow, 37.5, 1.0, [], Settings())
    assert flow.velocity == pytest.approx(velocity, rel=1e-3)
    assert flow.reynolds == pytest.approx(reynolds, rel=1e-3)
    assert flow.pipe_drop_pa == pytest.approx(colebrook, rel=1e-3)
    assert flow.pipe_drop_pa == pytest.approx(haaland, rel=0.02)
    assert flow.pipe_drop_pa == pytest.approx(blasius, rel=0.04)


def test_laminar_flow_is_hagen_poiseuille() -> None:
    """Source: Hagen-Poiseuille, Δp = 128 μ L V' / (π d⁴)."""
    mass_flow = 0.010
    flow = circuit_flow(mass_flow, 35.0, 60.0, [], Settings())
    exact = 128 * water.viscosity(35.0) * 60.0 * flow.volume_flow / (math.pi * INNER_M**4)
    assert flow.regime == "laminar"
    assert flow.pipe_drop_pa == pytest.approx(exact, rel=1e-9)


def arc(radius: float, degrees: float) -> Arc:
    """Bend about the origin."""
    at = [math.radians(degrees * share) for share in (0, 0.5, 1)]
    points = [(radius * math.cos(angle), radius * math.sin(angle)) for angle in at]
    return Arc(points[0], points[1], points[2], (0.0, 0.0), at[2])


@pytest.mark.parametrize(
    ("radius", "degrees", "excess", "whole_by_ito"),
    [(0.080, 90, 0.15, 0.687), (0.080, 180, 0.20, 1.300), (0.128, 90, 0.14, 0.944), (0.128, 180, 0.20, 1.888)],
)
def test_bends_published(radius: float, degrees: float, excess: float, whole_by_ito: float) -> None:
    """Source: Rennels by `fluids` at Re 3848, the arc's own friction taken off; Ito's law within half."""
    found = bend_losses([arc(radius, degrees)], INNER_M, 3848.0, ROUGHNESS)
    assert found == pytest.approx(excess, abs=0.006)
    along = friction_factor(3848.0, ROUGHNESS) * radius * math.radians(degrees) / INNER_M
    assert found + along == pytest.approx(whole_by_ito, rel=0.5)
    assert bend_losses([arc(radius, degrees)] * 7, INNER_M, 3848.0, ROUGHNESS) == pytest.approx(7 * found)


def test_valve_published() -> None:
    """Source: the definition of Kv: 0.09 m³/h of water of 40 °C through Kv 1.0 loses 8.04 mbar."""
    assert valve_drop(0.09 / 3600, water.density(40.0), 1.0) == pytest.approx(804.0, rel=1e-3)
    assert kv_for(0.09 / 3600, 992.26, 803.74) == pytest.approx(1.0, rel=1e-4)


@pytest.mark.parametrize(
    ("length", "bends", "litres"),
    [(45, 12, 2.9445), (60, 16, 2.5580), (75, 20, 2.2836), (90, 24, 2.0765), (100, 26, 1.9655)],
)
def test_flows_of_a_network_published(length: float, bends: int, litres: float) -> None:
    """Source: pandapipes 0.16.0: flows of five circuits at 15 kPa, K 0.8 for each bend, a valve of Kv 1.2."""
    volume_flow, density = litres * LITRE_PER_MINUTE, water.density(37.5)
    velocity = volume_flow / (math.pi / 4 * INNER_M**2)
    reynolds = density * velocity * INNER_M / water.viscosity(37.5)
    losses = friction_factor(reynolds, ROUGHNESS) * length / INNER_M + 0.8 * bends
    drop = losses * density * velocity**2 / 2 + valve_drop(volume_flow, density, 1.2)
    assert drop == pytest.approx(15000.0, rel=2e-3)


def loop(litres: float, drop_pa: float, settings: Settings) -> CircuitFlow:
    """A circuit with a known drop at a known flow, and the valve of the settings."""
    density = water.density(37.5)
    volume_flow = litres * LITRE_PER_MINUTE
    valve_pa = valve_drop(volume_flow, density, settings.hydraulics.valve_kv)
    return CircuitFlow(
        mass_flow=volume_flow * density,
        volume_flow=volume_flow,
        velocity=volume_flow / (math.pi / 4 * INNER_M**2),
        reynolds=4000.0,
        regime="turbulent",
        pipe_drop_pa=drop_pa,
        bend_drop_pa=0.0,
        valve_drop_pa=valve_pa,
        pressure_drop_pa=drop_pa + valve_pa,
        least_drop_pa=drop_pa + valve_pa,
        greatest_drop_pa=drop_pa + valve_pa,
        valve_kv=settings.hydraulics.valve_kv,
        throttle_pa=0.0,
    )


def test_balancing_published() -> None:
    """Source: pandapipes 0.16.0 returns the design flows to 0.002 % with these valve settings at 15467 Pa.

    The settings are stated there for water of 1000 kg/m³, so they are taken times √(ρ/1000) here.
    """
    settings = Settings()
    loops = [(0.9, 1646, 0.1453), (1.2, 3592, 0.2089), (1.5, 6597, 0.3022), (1.8, 10860, 0.5032), (2.0, 14473, 1.2038)]
    circuits = {f"M1.{k:02}": loop(litres, drop, settings) for k, (litres, drop, _) in enumerate(loops, 1)}
    balanced, pump = balance(circuits, dict.fromkeys(circuits, 75.0), settings)
    for flow, (_, _, kv) in zip(balanced.values(), loops, strict=True):
        expected = min(kv * math.sqrt(water.density(37.5) / 1000), 1.2)
        assert flow.valve_kv == pytest.approx(expected, rel=1e-3)
    assert pump.index_circuit == "M1.05"
    assert pump.pressure_pa - settings.hydraulics.entry_loss_pa == pytest.approx(15467.0, rel=1e-3)
    assert pump.volume_flow == pytest.approx(7.4 * LITRE_PER_MINUTE)
    assert pump.water_content_m3 == pytest.approx(5 * 75.0 * math.pi / 4 * INNER_M**2)
