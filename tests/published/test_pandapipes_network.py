"""A manifold's network against pandapipes and against answers in closed form.

Sources: pandapipes 0.16.0 with Colebrook's friction, both as figures computed once and, where it is installed, as
the same network solved again; Hagen-Poiseuille with a quadratic valve, whose flow is the root of a quadratic
equation; heat exchange at a constant temperature, whose return is θ_i + (θ_V − θ_i) exp(−NTU).
"""

import math

import pytest
from scipy.optimize import brentq

from ufh_core.heating_water import water
from ufh_core.hydraulics.friction import BendLaw
from ufh_core.hydraulics.pipe import CircuitPipe
from ufh_core.network import Branch, Entry, Pump, solve
from ufh_core.thermal_output.water_side import log_mean_overtemperature, mass_flow

INNER_M, ROUGHNESS_M = 0.012, 7e-6
AREA_M2 = math.pi / 4 * INNER_M**2
LITRE_PER_MINUTE = 1e-3 / 60
LENGTHS = (45.0, 60.0, 75.0, 90.0, 100.0)
BENDS = (12, 16, 20, 24, 26)
KG_S_OF_L_MIN = 728.8 / 3600 / 12.2307
"""The network with the pump has 728.8 kg/h for its 12.2307 l/min: the density there is that of cooler water."""
NO_ENTRY = Entry(pressure_pa=0.0, mass_flow=1.0)


def pipe(length_m: float, bend_k: float, celsius: float) -> CircuitPipe:
    return CircuitPipe(
        length_m=length_m,
        bends=BendLaw(fixed=bend_k, by_factor=0.0),
        inner_m=INNER_M,
        roughness_m=ROUGHNESS_M,
        density=water.density(celsius),
        viscosity=water.viscosity(celsius),
    )


def branches(bend_k: float, celsius: float, kvs: tuple[float, ...]) -> dict[str, Branch]:
    return {
        f"M1.{k:02}": Branch(pipe=pipe(length, bend_k * bends, celsius), kvs=(kv,), design_flow=0.03)
        for k, (length, bends, kv) in enumerate(zip(LENGTHS, BENDS, kvs, strict=True), 1)
    }


def constant(pressure_pa: float) -> Pump:
    return Pump(kind="constant pressure", flows=(0.0, 1e-3), pressures_pa=(pressure_pa, pressure_pa), ends=False)


def litres(network: dict[str, Branch], pressure_pa: float) -> list[float]:
    found = solve(network, NO_ENTRY, constant(pressure_pa))
    assert abs(found.gap_pa) < 0.1
    return [flow / network[number].pipe.density / LITRE_PER_MINUTE for number, flow in found.flows.items()]


def test_five_circuits_at_one_pressure_published() -> None:
    """Source: pandapipes 0.16.0, 37.5 °C, 15 kPa, K 0.8 for each bend, a valve of Kv 1.2 (of water of 1000 kg/m³).

    Its figures take that Kv's loss factor, so its valve loses 0.07 % more at most.
    """
    published = [2.9445, 2.5580, 2.2836, 2.0765, 1.9655]
    assert litres(branches(0.8, 37.5, (1.2,) * 5), 15000.0) == pytest.approx(published, rel=1e-3)


def test_five_circuits_and_a_circulation_pump_published() -> None:
    """Source: pandapipes 0.16.0, 40 °C, 150 mbar, excess K 0.15 for each bend, Kv 1.2; its bars of 25 mm left out."""
    published = [flow * KG_S_OF_L_MIN for flow in (3.0431, 2.6453, 2.3622, 2.1482, 2.0320)]
    found = solve(branches(0.15, 40.0, (1.2,) * 5), NO_ENTRY, constant(15000.0))
    assert list(found.flows.values()) == pytest.approx(published, rel=1e-3)


@pytest.mark.parametrize(
    ("length", "flow_l_min", "return_c"),
    [(45, 3.0431, 37.641), (60, 2.6453, 36.498), (75, 2.3622, 35.276), (90, 2.1482, 34.016), (100, 2.0320, 33.172)],
)
def test_return_temperature_published(length: float, flow_l_min: float, return_c: float) -> None:
    """Source: pandapipes 0.16.0, 40 °C in, 20 °C around, UA 0.587 W/(m K); and exp(−NTU). Within 0.005 K."""
    heat_capacity, conductance = water.heat_capacity(40.0), 0.587 * length
    flow = flow_l_min * KG_S_OF_L_MIN

    def error(sigma: float) -> float:
        return mass_flow(conductance * log_mean_overtemperature(20.0, sigma), sigma, heat_capacity) - flow

    found = 40.0 - brentq(error, 0.1, 19.0, xtol=1e-9)
    assert found == pytest.approx(return_c, abs=0.005)
    assert found == pytest.approx(20.0 + 20.0 * math.exp(-conductance / (flow * heat_capacity)), abs=0.005)


@pytest.mark.parametrize("pressure_pa", [200.0, 600.0, 1200.0])
def test_laminar_circuits_in_closed_form(pressure_pa: float) -> None:
    """Source: Hagen-Poiseuille and Δp = 1 bar (V'/Kv)² ρ/1000: a V' + b V'² = Δp."""
    network = branches(0.0, 35.0, (0.15, 0.2, 0.3, 0.5, 1.2))
    found = solve(network, NO_ENTRY, constant(pressure_pa))
    for number, branch in network.items():
        a = 128 * branch.pipe.viscosity * branch.pipe.length_m / (math.pi * INNER_M**4)
        b = 1e5 * (3600 / branch.kvs[0]) ** 2 * branch.pipe.density / 1000
        flow = (-a + math.sqrt(a**2 + 4 * b * pressure_pa)) / (2 * b)
        assert 4 * flow * branch.pipe.density / (math.pi * INNER_M * branch.pipe.viscosity) < 2000
        assert found.flows[number] == pytest.approx(flow * branch.pipe.density, rel=1e-9)


SHARED_KV = 3.0
BALANCED = (0.1453, 0.2089, 0.3022, 0.5032, 1.2038)


@pytest.mark.parametrize("celsius", [30.0, 37.5, 45.0])
@pytest.mark.parametrize("shut", [(), ("M1.01",), ("M1.02", "M1.04"), ("M1.01", "M1.02", "M1.03", "M1.04")])
@pytest.mark.parametrize("kvs", [(1.2,) * 5, (0.6, 0.7, 0.8, 1.0, 1.2)])
def test_network_with_shared_entry_against_pandapipes(
    celsius: float, shut: tuple[str, ...], kvs: tuple[float, ...]
) -> None:
    """Source: pandapipes, the same manifold built there: flows within 0.02 % at equal properties (0.1 % is asked)."""
    network = branches(0.15, celsius, kvs)
    density = water.density(celsius)
    entry = Entry(pressure_pa=1e5 * (3600 * 1e-4 / SHARED_KV) ** 2 * density / 1000, mass_flow=1e-4 * density)
    ours = solve(network, entry, constant(20000.0), shut)
    theirs = _by_pandapipes(network, celsius, 0.2, shut)
    for number, flow in theirs.items():
        assert ours.flows[number] == pytest.approx(flow, rel=2e-4)
        assert 4 * flow / (math.pi * INNER_M * water.viscosity(celsius)) > 2300
    assert {n for n, flow in ours.flows.items() if flow == 0} == set(shut)


def _by_pandapipes(
    network: dict[str, Branch], celsius: float, lift_bar: float, shut: tuple[str, ...]
) -> dict[str, float]:
    """Mass flows [kg/s] of the open circuits by pandapipes: valves as loss factors, each pipe one section."""
    pandapipes = pytest.importorskip("pandapipes", reason="pandapipes is not installed")
    from pandapipes.properties.fluids import create_constant_fluid

    net = pandapipes.create_empty_network()
    net["fluid"] = create_constant_fluid(
        "water", "liquid", density=water.density(celsius), viscosity=water.viscosity(celsius), heat_capacity=4180.0
    )
    kelvin = celsius + 273.15
    station, flow_bar, return_bar = (pandapipes.create_junction(net, pn_bar=2, tfluid_k=kelvin) for _ in range(3))
    pandapipes.create_circ_pump_const_pressure(
        net, return_bar, station, p_flow_bar=2, plift_bar=lift_bar, t_flow_k=kelvin
    )
    _valve(pandapipes, net, station, flow_bar, _loss_factor(SHARED_KV))
    pipes = {}
    for number, branch in network.items():
        if number in shut:
            continue
        behind = pandapipes.create_junction(net, pn_bar=2, tfluid_k=kelvin)
        _valve(pandapipes, net, flow_bar, behind, _loss_factor(branch.kvs[0]) + branch.pipe.bends.fixed)
        pipes[number] = pandapipes.create_pipe_from_parameters(
            net, behind, return_bar, length_km=branch.pipe.length_m / 1000, k_mm=ROUGHNESS_M * 1000,
            inner_diameter_mm=INNER_M * 1000,
        )  # fmt: skip
    pandapipes.pipeflow(net, friction_model="colebrook", mode="hydraulics", tolerance_colebrook=1e-8, iter=200,
                        tol_p=1e-8, tol_m=1e-8)  # fmt: skip
    return {number: float(net.res_pipe.mdot_from_kg_per_s[at]) for number, at in pipes.items()}


def _valve(pandapipes: object, net: object, start: int, end: int, loss_factor: float) -> None:
    pandapipes.create_valve(  # type: ignore[attr-defined]
        net, start, end, et="ju", inner_diameter_mm=INNER_M * 1000, loss_coefficient=loss_factor
    )


def _loss_factor(kv: float) -> float:
    """K [-] of a valve in the pipe's own bore, from the definition of Kv."""
    return 2 * 1e5 * (3600 * AREA_M2 / kv) ** 2 / 1000
