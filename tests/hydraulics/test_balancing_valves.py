"""Valves in turns, and what else a circuit's water and the pump's duty go through."""

from dataclasses import replace

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.hydraulics import balance, circuit_flow, circuit_pipe, fixed_kvs, in_turns
from ufh_core.hydraulics.pipe import series_drop
from ufh_core.hydraulics.types import CircuitFlow, PumpDuty
from ufh_core.hydraulics.valves import ValveTable, kv_for, valve_drop
from ufh_core.settings.types import Settings

SETTINGS = Settings()
TABLE = ValveTable(turns=(0.5, 1.0, 2.0, 3.0), kvs=(0.1, 0.3, 0.8, 1.2))
LENGTHS = {"M1.01": 40.0, "M1.02": 70.0, "M1.03": 95.0}
FLOWS = {"M1.01": 0.020, "M1.02": 0.026, "M1.03": 0.030}


def with_hydraulics(**changes: object) -> Settings:
    return replace(SETTINGS, hydraulics=replace(SETTINGS.hydraulics, **changes))


def balanced(settings: Settings) -> tuple[dict[str, CircuitFlow], PumpDuty]:
    flows = {n: circuit_flow(FLOWS[n], 36.0, LENGTHS[n], [], settings) for n in FLOWS}
    return balance(flows, LENGTHS, settings)


@pytest.mark.parametrize(
    ("turns", "kv"), [(0.5, 0.1), (0.75, 0.2), (1.0, 0.3), (1.5, 0.55), (2.25, 0.9), (2.9, 1.16), (3.0, 1.2)]
)
def test_table_both_ways(turns: float, kv: float) -> None:
    assert TABLE.kv_at(turns) == pytest.approx(kv)
    assert TABLE.turns_at(kv) == pytest.approx(turns)
    assert TABLE.holds(kv)


@pytest.mark.parametrize("kv", [0.0999, 1.2001])
def test_nothing_beyond_the_table(kv: float) -> None:
    assert not TABLE.holds(kv)
    with pytest.raises(NoSolution, match=r"beyond the valve's table of 0\.1 to 1\.2 m³/h"):
        TABLE.turns_at(kv)


@pytest.mark.parametrize("turns", [0.49, 3.01])
def test_nothing_beyond_the_turns(turns: float) -> None:
    with pytest.raises(NoSolution, match=r"table of 0\.5 to 3 turns"):
        TABLE.kv_at(turns)


def test_quarter_turns_stay_within_the_table() -> None:
    assert TABLE.quarter_turns(0.34) == 1.0
    assert TABLE.quarter_turns(0.37) == 1.25
    odd = ValveTable(turns=(0.3, 1.7), kvs=(0.1, 0.7))  # nearest would be 0.25 and 1.75, both beyond it
    assert odd.quarter_turns(0.1) == 0.5
    assert odd.quarter_turns(0.7) == 1.5


def test_kv_for_half_a_pascal() -> None:
    kv = kv_for(2e-5, 990.0, 0.5)
    assert valve_drop(2e-5, 990.0, kv) == pytest.approx(0.5)
    with pytest.raises(NoSolution, match="drop of nothing"):
        kv_for(2e-5, 990.0, 0.0)


def test_quarter_turn_and_the_error_that_it_makes() -> None:
    flows, duty = balanced(SETTINGS)
    own = SETTINGS.hydraulics
    table = ValveTable(turns=own.valve_turns, kvs=own.valve_turns_kv)
    for number, flow in flows.items():
        pipe = circuit_pipe(36.0, LENGTHS[number], [], SETTINGS)
        got = in_turns(flow, pipe, duty.circuits_pa, SETTINGS)
        assert got.valve_turns is not None
        assert got.valve_turns * 4 == round(got.valve_turns * 4)
        assert abs(got.valve_turns - table.turns_at(min(flow.valve_kv, 1.2))) <= 0.125 + 1e-9
        kvs = (table.kv_at(got.valve_turns), own.return_valve_kv)
        then = flow.mass_flow * (1 + got.turns_flow_error)
        assert series_drop(pipe, kvs, then) == pytest.approx(duty.circuits_pa, abs=0.01)
        if number != duty.index_circuit:
            assert (got.turns_flow_error > 0) == (kvs[0] > flow.valve_kv)
    assert in_turns(flows["M1.03"], pipe, duty.circuits_pa, SETTINGS).valve_turns == own.valve_turns[-1]
    assert in_turns(flows["M1.03"], pipe, duty.circuits_pa, SETTINGS).turns_flow_error == pytest.approx(0.0, abs=1e-9)


def test_kv_that_the_table_does_not_hold_gets_no_turns() -> None:
    flows, duty = balanced(SETTINGS)
    pipe = circuit_pipe(36.0, LENGTHS["M1.01"], [], SETTINGS)
    for odd in (replace(flows["M1.01"], valve_kv=0.01), replace(flows["M1.01"], mass_flow=0.0)):
        got = in_turns(odd, pipe, duty.circuits_pa, SETTINGS)
        assert (got.valve_turns, got.turns_flow_error) == (None, 0.0)


def test_flow_meter_is_in_series() -> None:
    settings = with_hydraulics(flow_meter_kv=0.8)
    assert fixed_kvs(SETTINGS.hydraulics) == (2.0,)
    assert fixed_kvs(settings.hydraulics) == (2.0, 0.8)
    without, with_meter = (circuit_flow(0.03, 36.0, 60.0, [], s) for s in (SETTINGS, settings))
    drop = valve_drop(without.volume_flow, 0.03 / without.volume_flow, 0.8)
    assert with_meter.pressure_drop_pa - without.pressure_drop_pa == pytest.approx(drop)
    assert with_meter.valve_drop_pa - without.valve_drop_pa == pytest.approx(drop)


def test_entries_of_the_pump_s_duty() -> None:
    """Mixing valve by its Kv at the whole flow, primary connection by its pressure, beside the bars."""
    _, plain = balanced(SETTINGS)
    _, duty = balanced(with_hydraulics(mixing_valve_kv=4.0, primary_loss_pa=1500.0))
    mixing = valve_drop(duty.volume_flow, duty.mass_flow / duty.volume_flow, 4.0)
    assert [e.name for e in plain.entries] == ["bars, entry valves and station"]
    assert [e.pressure_pa for e in duty.entries] == pytest.approx([3000.0, mixing, 1500.0])
    assert duty.entry_pa == pytest.approx(4500.0 + mixing)
    assert duty.circuits_pa == pytest.approx(plain.circuits_pa)
    assert duty.pressure_pa == pytest.approx(plain.pressure_pa + 1500.0 + mixing)
    assert duty.mass_flow == pytest.approx(sum(FLOWS.values()))


def test_manifold_without_flow_has_no_drop_in_its_mixing_valve() -> None:
    settings = with_hydraulics(mixing_valve_kv=4.0)
    idle = {"M1.01": circuit_flow(0.0, 36.0, 40.0, [], settings)}
    flows, duty = balance(idle, {"M1.01": 40.0}, settings)
    assert (duty.pressure_pa, duty.volume_flow) == (3000.0, 0.0)
    assert flows["M1.01"].throttle_pa == 0.0


def test_valve_takes_up_half_a_pascal_too() -> None:
    flows = {n: circuit_flow(0.03, 36.0, length, [], SETTINGS) for n, length in (("a", 90.0), ("b", 90.004))}
    done, duty = balance(flows, {"a": 90.0, "b": 90.004}, SETTINGS)
    assert duty.index_circuit == "b"
    assert 0.1 < done["a"].throttle_pa < 1.0
    assert done["a"].valve_kv < done["b"].valve_kv == 1.2
    assert done["a"].throttle_pa + done["a"].pressure_drop_pa == pytest.approx(duty.circuits_pa)
    assert done["b"].throttle_pa == 0.0
