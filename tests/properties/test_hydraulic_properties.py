"""What must hold for every circuit and every manifold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ufh_core.hydraulics import balance, circuit_flow
from ufh_core.hydraulics.friction import LAMINAR_UP_TO, TURBULENT_FROM, friction_factor
from ufh_core.hydraulics.valves import valve_drop
from ufh_core.settings.types import Settings

SETTINGS = Settings()
flows = st.floats(0.002, 0.12)
temperatures = st.floats(20.0, 50.0)


@given(flows, st.floats(1.01, 2.0), temperatures, st.floats(5.0, 150.0))
def test_more_water_loses_more(mass_flow: float, more: float, mean_c: float, length: float) -> None:
    less, most = (circuit_flow(m, mean_c, length, [], SETTINGS) for m in (mass_flow, mass_flow * more))
    assert most.pressure_drop_pa > less.pressure_drop_pa


@given(flows, temperatures, st.floats(5.0, 150.0), st.floats(1.0, 20.0))
def test_pipe_drop_is_proportional_to_length(mass_flow: float, mean_c: float, length: float, times: float) -> None:
    one, more = (circuit_flow(mass_flow, mean_c, metres, [], SETTINGS) for metres in (length, length * times))
    assert more.pipe_drop_pa == pytest.approx(one.pipe_drop_pa * times)


@pytest.mark.parametrize("border", [LAMINAR_UP_TO, TURBULENT_FROM])
def test_no_step_where_the_law_changes(border: float) -> None:
    before, after = friction_factor(border - 1e-6, 5e-4), friction_factor(border + 1e-6, 5e-4)
    assert after == pytest.approx(before, rel=1e-6)


@given(
    st.lists(st.tuples(flows, st.floats(5.0, 120.0)), min_size=1, max_size=12),
    temperatures,
)
def test_balanced_circuits_come_to_one_pressure(loops: list[tuple[float, float]], mean_c: float) -> None:
    circuits = {f"{k}": circuit_flow(m, mean_c, length, [], SETTINGS) for k, (m, length) in enumerate(loops)}
    balanced, pump = balance(circuits, {f"{k}": length for k, (_, length) in enumerate(loops)}, SETTINGS)
    pressure = pump.pressure_pa - SETTINGS.hydraulics.entry_loss_pa
    for flow in balanced.values():
        density = flow.mass_flow / flow.volume_flow
        rest = flow.pipe_drop_pa + flow.bend_drop_pa
        rest += valve_drop(flow.volume_flow, density, SETTINGS.hydraulics.return_valve_kv)
        assert rest + valve_drop(flow.volume_flow, density, flow.valve_kv) == pytest.approx(pressure)
        assert flow.valve_kv <= SETTINGS.hydraulics.valve_kv * (1 + 1e-9)
    assert balanced[pump.index_circuit].throttle_pa == 0
    assert pump.mass_flow == pytest.approx(sum(m for m, _ in loops))
