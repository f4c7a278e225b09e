"""Flows of a manifold's network: pressures close, valves do what they are for, the pump meets the system."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up_manifold import LOOPS, SETTINGS, circuits, manifold

from ufh_core.basis.errors import NoSolution
from ufh_core.hydraulics import in_turns
from ufh_core.hydraulics.pipe import series_drop
from ufh_core.network import Pump, branches_of, entry_of, limited, pump_of, solve, system_curve
from ufh_core.network.branches import needed_pressure
from ufh_core.network.pump import pump_pressure


def constant(pressure_pa: float) -> Pump:
    return Pump(kind="constant pressure", flows=(0.0, 1e-3), pressures_pa=(pressure_pa, pressure_pa), ends=False)


def test_balanced_circuits_get_their_design_flow_from_their_duty() -> None:
    """Laminar, transition and turbulent circuits side by side."""
    branches, duty = manifold(LOOPS)
    found = solve(branches, entry_of(duty), constant(duty.pressure_pa))
    for number, (design, _) in LOOPS.items():
        assert found.flows[number] == pytest.approx(design, rel=1e-6)
    assert found.pump_pa == pytest.approx(duty.pressure_pa)
    assert found.circuits_pa == pytest.approx(duty.circuits_pa, abs=0.01)
    assert found.entry_pa == pytest.approx(SETTINGS.hydraulics.entry_loss_pa, abs=0.01)
    assert found.volume_flow == pytest.approx(duty.volume_flow, rel=1e-6)


many = st.lists(st.tuples(st.floats(0.003, 0.06), st.floats(8.0, 110.0)), min_size=1, max_size=8)


@given(many, st.floats(500.0, 60000.0), st.floats(0.0, 20000.0), st.data())
def test_pressures_close_whatever_is_shut(
    loops: list[tuple[float, float]], pump_pa: float, entry_pa: float, data: st.DataObject
) -> None:
    named = {f"M1.{k:02}": loop for k, loop in enumerate(loops, 1)}
    branches, duty = manifold(named)
    shut = data.draw(st.sets(st.sampled_from(sorted(named)), max_size=len(named) - 1))
    entry = replace(entry_of(duty), pressure_pa=entry_pa)
    found = solve(branches, entry, constant(pump_pa), shut)
    for number, branch in branches.items():
        if number in shut:
            assert found.flows[number] == 0
        else:
            around = entry.drop(found.mass_flow) + series_drop(branch.pipe, branch.kvs, found.flows[number])
            assert around == pytest.approx(pump_pa, abs=0.1)
    assert found.mass_flow == pytest.approx(sum(found.flows.values()))


@given(many, st.data())
def test_shutting_circuits_never_takes_from_the_open_ones(
    loops: list[tuple[float, float]], data: st.DataObject
) -> None:
    named = {f"M1.{k:02}": loop for k, loop in enumerate(loops, 1)}
    branches, duty = manifold(named)
    shut = data.draw(st.sets(st.sampled_from(sorted(named)), max_size=len(named) - 1))
    before, after = (solve(branches, entry_of(duty), constant(duty.pressure_pa), s) for s in ((), shut))
    for number in set(named) - shut:
        assert after.flows[number] >= before.flows[number] * (1 - 1e-9)
    held = solve(limited(branches, SETTINGS.hydraulics), entry_of(duty), constant(1e5), shut)
    for number in set(named) - shut:
        assert held.flows[number] <= branches[number].design_flow * (1 + 1e-9)


def test_self_limiting_valves_hold_the_flow_and_balancing_valves_do_not() -> None:
    branches, duty = manifold(LOOPS)
    shut = {"M1.01", "M1.02", "M1.04"}
    alone = solve(branches, entry_of(duty), constant(duty.pressure_pa), shut)
    assert alone.flows["M1.03"] > 1.05 * LOOPS["M1.03"][0]
    held = limited(branches, SETTINGS.hydraulics)
    enough = needed_pressure(held) + duty.entry_pa
    for closed in ((), shut):
        assert solve(held, entry_of(duty), constant(enough), closed).flows["M1.03"] == pytest.approx(0.022, rel=1e-9)


def test_self_limiting_valve_short_of_pressure_is_an_opening() -> None:
    """At its least working pressure it just holds its flow; with a quarter of that, an open one carries less."""
    own = SETTINGS.hydraulics
    branches, _ = manifold({"M1.01": (0.03, 0.0)})
    held = limited(branches, own)["M1.01"]
    pipe_and_return = series_drop(held.pipe, held.kvs[1:], 0.03)
    assert needed_pressure({"M1.01": held}) == pytest.approx(own.limiter_least_pa + pipe_and_return)
    bare = {"M1.01": replace(held, kvs=held.kvs[:1])}
    _, duty = manifold({"M1.01": (0.03, 0.0)})
    entry = replace(entry_of(duty), pressure_pa=0.0)
    for share, flow in ((0.25, 0.015), (0.81, 0.027), (1.0, 0.03), (3.0, 0.03)):
        found = solve(bare, entry, constant(share * own.limiter_least_pa))
        assert found.flows["M1.01"] == pytest.approx(flow, rel=1e-6)


def test_all_shut_leaves_the_pump_s_pressure_over_the_bars() -> None:
    branches, duty = manifold(LOOPS)
    found = solve(branches, entry_of(duty), constant(8000.0), set(LOOPS))
    assert set(found.flows.values()) == {0.0}
    assert (found.circuits_pa, found.mass_flow, found.gap_pa) == (8000.0, 0.0, 0.0)


def test_duty_point_is_where_the_curves_meet() -> None:
    branches, duty = manifold(LOOPS)
    entry = entry_of(duty)
    pump = pump_of(replace(SETTINGS.hydraulics, pump="curve"), duty.pressure_pa, duty.volume_flow)
    found = solve(branches, entry, pump)
    assert found.pump_pa == pytest.approx(pump_pressure(pump, found.volume_flow))
    assert found.pump_pa == pytest.approx(found.entry_pa + found.circuits_pa, abs=0.1)
    (*_, last, _, _) = system_curve(branches, entry, found.circuits_pa)
    assert last.volume_flow == pytest.approx(found.volume_flow, rel=1e-9)
    assert last.pressure_pa == pytest.approx(found.pump_pa, abs=0.1)


def test_system_curve_rises_from_nothing() -> None:
    branches, duty = manifold(LOOPS)
    points = system_curve(branches, entry_of(duty), duty.circuits_pa)
    assert (points[0].volume_flow, points[0].pressure_pa) == (0.0, 0.0)
    for before, after in pairwise(points):
        assert after.volume_flow > before.volume_flow
        assert after.pressure_pa > before.pressure_pa
    assert points[8].volume_flow == pytest.approx(duty.volume_flow, rel=1e-6)
    assert points[8].pressure_pa == pytest.approx(duty.pressure_pa, rel=1e-6)
    assert points[4].pressure_pa > duty.circuits_pa / 4


def test_points_of_the_system_curve_stand_at_squared_shares() -> None:
    branches, duty = manifold(LOOPS)
    points = system_curve(branches, replace(entry_of(duty), pressure_pa=0.0), 10000.0)
    assert [point.pressure_pa for point in points] == pytest.approx([10000.0 * (k / 8) ** 2 for k in range(11)])
    for point in points[1:]:
        there = solve(branches, replace(entry_of(duty), pressure_pa=0.0), constant(point.pressure_pa))
        assert point.volume_flow == pytest.approx(there.volume_flow, rel=1e-6)


def test_pump_that_stands_still_and_one_that_hardly_runs() -> None:
    branches, duty = manifold(LOOPS)
    still = solve(branches, entry_of(duty), constant(0.0))
    assert (set(still.flows.values()), still.circuits_pa, still.gap_pa) == ({0.0}, 0.0, 0.0)
    creeping = solve(branches, entry_of(duty), constant(0.5))
    assert 0 < creeping.circuits_pa <= 0.5
    assert min(creeping.flows.values()) > 0
    assert abs(creeping.gap_pa) < 1e-3


def test_curve_that_ends_just_behind_the_duty_is_long_enough() -> None:
    branches, duty = manifold(LOOPS)
    for share, enough in ((1.001, True), (0.999, False)):
        flows = (0.0, share * duty.volume_flow)
        pump = Pump(kind="curve", flows=flows, pressures_pa=(duty.pressure_pa, duty.pressure_pa), ends=True)
        if enough:
            assert solve(branches, entry_of(duty), pump).mass_flow == pytest.approx(duty.mass_flow, rel=1e-6)
        else:
            with pytest.raises(NoSolution, match="curve ends"):
                solve(branches, entry_of(duty), pump)


def test_proportional_pressure_lets_flows_rise_less_than_constant_pressure() -> None:
    branches, duty = manifold(LOOPS)
    entry, shut = entry_of(duty), {"M1.02", "M1.04"}
    own = SETTINGS.hydraulics
    proportional = pump_of(replace(own, pump="proportional pressure"), duty.pressure_pa, duty.volume_flow)
    all_open = solve(branches, entry, proportional)
    assert all_open.flows["M1.01"] == pytest.approx(LOOPS["M1.01"][0], rel=1e-6)
    rest, steady = solve(branches, entry, proportional, shut), solve(branches, entry, constant(duty.pressure_pa), shut)
    assert rest.flows["M1.01"] < 0.97 * steady.flows["M1.01"]
    assert rest.pump_pa == pytest.approx(duty.pressure_pa * (0.5 + 0.5 * rest.volume_flow / duty.volume_flow))
    around = rest.entry_pa + series_drop(branches["M1.03"].pipe, branches["M1.03"].kvs, rest.flows["M1.03"])
    assert around == pytest.approx(rest.pump_pa, abs=0.1)


def test_pump_too_small_is_one_line() -> None:
    branches, duty = manifold(LOOPS)
    tiny = Pump(kind="curve", flows=(0.0, 1e-5), pressures_pa=(30000.0, 29000.0), ends=True)
    with pytest.raises(NoSolution, match=r"curve ends at 0\.036 m³/h"):
        solve(branches, entry_of(duty), tiny)
    with pytest.raises(NoSolution, match=r"no circuit M9\.01"):
        solve(branches, entry_of(duty), constant(9000.0), {"M9.01"})


def test_valves_in_quarter_turns_are_what_is_solved() -> None:
    flows, pipes, duty = circuits(LOOPS, SETTINGS)
    turned = {n: in_turns(f, pipes[n], duty.circuits_pa, SETTINGS) for n, f in flows.items()}
    branches = branches_of(turned, pipes, SETTINGS.hydraulics)
    assert branches["M1.04"].kvs == (1.2, 2.0)
    for number, flow in turned.items():
        assert branches[number].kvs[0] != flow.valve_kv or number == "M1.04"
    idle = {**flows, "M1.01": replace(flows["M1.01"], mass_flow=0.0)}
    assert "M1.01" not in branches_of(idle, pipes, SETTINGS.hydraulics)
