"""Friction in straight pipe against `fluids`, which solves Colebrook's law in closed form by Lambert's function.

The pressure drops are a circuit's own, laid beside the library's factor at the circuit's Reynolds number.
"""

import fluids
import pytest

from ufh_core.hydraulics import circuit_flow
from ufh_core.hydraulics.friction import colebrook, friction_factor
from ufh_core.settings.types import Settings

INNER_M, ROUGHNESS_M = 0.012, 7e-6


@pytest.mark.parametrize("relative", [0.0, 7e-6 / 0.012, 1.5e-6 / 0.012, 5e-3])
@pytest.mark.parametrize("reynolds", [1000.0, 2300.0, 3848.0, 7696.0, 20000.0, 100000.0])
def test_colebrook(reynolds: float, relative: float) -> None:
    """0.1 % is asked."""
    assert colebrook(reynolds, relative) == pytest.approx(fluids.friction.Colebrook(reynolds, relative), rel=1e-9)


@pytest.mark.parametrize("reynolds", [2301.0, 2500.0])
def test_factor_in_force_is_within_the_spread_of_honest_laws(reynolds: float) -> None:
    """At the foot of the turbulent range: Haaland within 3 %; Blasius, for smooth pipe, within 5 %."""
    found = friction_factor(reynolds, ROUGHNESS_M / INNER_M)
    assert found == pytest.approx(fluids.friction.Haaland(reynolds, ROUGHNESS_M / INNER_M), rel=0.03)
    assert found == pytest.approx(fluids.friction.Blasius(reynolds), rel=0.05)


@pytest.mark.parametrize("reynolds", [2600.0, 3848.0, 5000.0, 7696.0])
def test_factor_in_force_near_the_explicit_laws(reynolds: float) -> None:
    """Between 2500 and 8000: Haaland within 2 %, Blasius, for smooth pipe, within 4 %."""
    found = friction_factor(reynolds, ROUGHNESS_M / INNER_M)
    assert found == pytest.approx(fluids.friction.Haaland(reynolds, ROUGHNESS_M / INNER_M), rel=0.02)
    assert found == pytest.approx(fluids.friction.Blasius(reynolds), rel=0.04)


@pytest.mark.parametrize("mass_flow", [0.004, 0.010, 0.021, 0.030, 0.050])
@pytest.mark.parametrize("mean_c", [25.0, 37.5, 48.0])
def test_pressure_drop_of_a_circuit(mass_flow: float, mean_c: float) -> None:
    """f by the library's law of the regime; 0.1 % is asked."""
    flow = circuit_flow(mass_flow, mean_c, 80.0, [], Settings())
    assert not 2000 < flow.reynolds < 2300  # where every tool has a line of its own
    laminar = flow.reynolds < 2000
    factor = (
        fluids.friction.friction_laminar(flow.reynolds)
        if laminar
        else fluids.friction.Colebrook(flow.reynolds, ROUGHNESS_M / INNER_M)
    )
    dynamic = mass_flow / flow.volume_flow * flow.velocity**2 / 2
    assert flow.pipe_drop_pa == pytest.approx(factor * 80.0 / INNER_M * dynamic, rel=1e-3)
