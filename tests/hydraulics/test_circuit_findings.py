"""Limits of circuits, and flows that cannot be."""

import math
from dataclasses import replace

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc, rounded
from ufh_core.hydraulics import (
    balance,
    circuit_flow,
    fill_findings,
    flow_findings,
    inner_diameter,
    vessel,
    water_content,
)
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.types import Settings

SETTINGS = Settings()


def codes(mass_flow: float, length: float) -> list[str]:
    flow = circuit_flow(mass_flow, 37.5, length, [], SETTINGS)
    return [finding.code for finding in flow_findings({"M1.01": flow}, SETTINGS)]


def test_findings_only_where_limits_are_passed() -> None:
    assert codes(0.030, 80.0) == []
    assert codes(0.052, 110.0) == ["hydraulics.pressure-drop"]
    assert codes(0.060, 20.0) == ["hydraulics.velocity"]
    assert codes(0.005, 20.0) == ["hydraulics.small-flow"]
    assert codes(0.010, 20.0) == ["hydraulics.slow"]
    assert codes(0.0135, 20.0) == ["hydraulics.slow", "hydraulics.transition"]


def test_finding_names_circuit_and_figures() -> None:
    flow = circuit_flow(0.052, 37.5, 110.0, [], SETTINGS)
    (finding,) = flow_findings({"M1.07": flow}, SETTINGS)
    assert "M1.07" in finding.message
    assert f"{flow.pressure_drop_pa / 1000:.1f} kPa" in finding.message
    assert "\n" not in finding.message


def test_bends_of_an_axis_add_a_little() -> None:
    corners = [(0.15 * (k // 2), 0.0 if k % 4 in (0, 3) else 5.0) for k in range(24)]
    axis = rounded(corners, 0.075)
    arcs = [piece for piece in axis.pieces if isinstance(piece, Arc)]
    flow = circuit_flow(0.03, 37.5, axis.length_m, arcs, SETTINGS)
    assert len(arcs) == 22
    assert 0 < flow.bend_drop_pa < 0.05 * flow.pipe_drop_pa
    parts = flow.pipe_drop_pa + flow.bend_drop_pa + flow.valve_drop_pa
    assert flow.pressure_drop_pa == pytest.approx(parts)


def test_water_that_stands_still_loses_nothing() -> None:
    flow = circuit_flow(0.0, 37.5, 80.0, [], SETTINGS)
    assert (flow.pressure_drop_pa, flow.regime) == (0.0, "laminar")
    balanced, _ = balance({"1": flow, "2": circuit_flow(0.03, 37.5, 80.0, [], SETTINGS)}, {"1": 80, "2": 80}, SETTINGS)
    assert balanced["1"].throttle_pa == 0


def test_before_balancing_the_valve_is_open_and_throttles_nothing() -> None:
    flow = circuit_flow(0.03, 37.5, 80.0, [], SETTINGS)
    assert (flow.valve_kv, flow.throttle_pa) == (SETTINGS.hydraulics.valve_kv, 0.0)
    assert (flow.valve_turns, flow.turns_flow_error) == (None, 0.0)


def test_names_of_the_laws() -> None:
    flows = [circuit_flow(m, 37.5, 80.0, [], SETTINGS) for m in (0.0120, 0.0138, 0.0160)]
    assert [flow.regime for flow in flows] == ["laminar", "transition", "turbulent"]


def test_water_content() -> None:
    assert water_content(100.0, PipeSettings()) == pytest.approx(math.pi / 4 * 0.012**2 * 100)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: circuit_flow(-0.01, 37.5, 80.0, [], SETTINGS), "cannot carry"),
        (lambda: circuit_flow(0.01, 90.0, 80.0, [], SETTINGS), "outside the range"),
        (lambda: balance({}, {}, SETTINGS), "without circuits"),
        (lambda: inner_diameter(replace(SETTINGS.pipe, wall_m=0.008)), "no bore"),
    ],
)
def test_what_cannot_be_is_one_line(call: object, words: str) -> None:
    with pytest.raises(NoSolution, match=words) as error:
        call()  # type: ignore[operator]
    assert "\n" not in str(error.value)


def test_small_flow_is_told_in_kg_an_hour() -> None:
    flow = circuit_flow(0.005, 37.5, 20.0, [], SETTINGS)
    (note,) = flow_findings({"M1.01": flow}, SETTINGS)
    assert "needs 18.0 kg/h, less than the 29 kg/h" in note.message
    fast = circuit_flow(0.06, 37.5, 120.0, [], SETTINGS)
    pressure, velocity = flow_findings({"M1.01": fast}, SETTINGS)
    assert f"loses {fast.pressure_drop_pa / 1000:.1f} kPa at 216 kg/h, more than 25 kPa" in pressure.message
    assert f"runs at {fast.velocity:.2f} m/s, faster than 0.5 m/s" in velocity.message


def test_velocity_that_carries_no_air() -> None:
    """Source: common practice: 0.15 m/s, which is 0.0168 kg/s in 12 mm of bore."""
    assert "hydraulics.slow" in codes(0.01675, 20.0)
    assert "hydraulics.slow" not in codes(0.01695, 20.0)


def test_transition_states_both_pressures() -> None:
    flow = circuit_flow(0.0138, 37.5, 80.0, [], SETTINGS)
    note = next(f for f in flow_findings({"M1.04": flow}, SETTINGS) if f.code == "hydraulics.transition")
    assert f"between {flow.least_drop_pa:.0f} and {flow.greatest_drop_pa:.0f} Pa" in note.message
    assert f"{flow.pressure_drop_pa:.0f} Pa" in note.message


def test_valve_off_its_table_and_a_coarse_quarter_turn() -> None:
    flow = circuit_flow(0.03, 37.5, 80.0, [], SETTINGS)
    (fine,) = flow_findings({"M1.02": replace(flow, valve_kv=0.04)}, SETTINGS)
    assert (fine.code, fine.severity) == ("hydraulics.valve-range", "warning")
    assert "0.040 m³/h, less than the 0.05 m³/h at 0.25 turns" in fine.message
    assert flow_findings({"M1.02": replace(flow, valve_kv=0.05)}, SETTINGS) == ()
    (coarse,) = flow_findings({"M1.02": replace(flow, valve_turns=0.5, turns_flow_error=-0.12)}, SETTINGS)
    assert coarse.code == "hydraulics.quarter-turn"
    assert "0.5 turns" in coarse.message and "88%" in coarse.message
    assert flow_findings({"M1.02": replace(flow, valve_turns=0.5, turns_flow_error=0.1)}, SETTINGS) == ()
    (more,) = flow_findings({"M1.02": replace(flow, valve_turns=0.5, turns_flow_error=0.105)}, SETTINGS)
    assert "gets 110% of" in more.message or "gets 111% of" in more.message


def test_what_is_filled_in() -> None:
    least = vessel(0.2, SETTINGS)
    (note,) = fill_findings(least, SETTINGS.hydraulics)
    assert note.code == "hydraulics.expansion"
    assert "hold 200 l" in note.message and f"{least.vessel_m3 * 1000:.0f} l of vessel" in note.message


@pytest.mark.parametrize(
    ("antifreeze", "share", "there", "not_there"),
    [
        ("ethylene glycol", 0.3, ["-15 °C", "poisonous"], ["germs"]),
        ("propylene glycol", 0.15, ["germs"], ["poisonous"]),
        ("propylene glycol", 0.199, ["germs"], []),
        ("propylene glycol", 0.201, [], ["germs"]),
    ],
)
def test_antifreeze_is_told(antifreeze: str, share: float, there: list[str], not_there: list[str]) -> None:
    own = replace(SETTINGS.hydraulics, antifreeze=antifreeze, antifreeze_share=share, antifreeze_share_by="mass")
    _, note = fill_findings(vessel(0.2, replace(SETTINGS, hydraulics=own)), own)
    assert note.code == "hydraulics.antifreeze"
    assert all(word in note.message for word in there)
    assert not any(word in note.message for word in not_there)
