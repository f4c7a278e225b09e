"""Limits of circuits, and flows that cannot be."""

import math
from dataclasses import replace

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc, rounded
from ufh_core.hydraulics import balance, circuit_flow, flow_findings, inner_diameter, water_content
from ufh_core.settings.types import PipeSettings, Settings

SETTINGS = Settings()


def codes(mass_flow: float, length: float) -> list[str]:
    flow = circuit_flow(mass_flow, 37.5, length, [], SETTINGS)
    return [finding.code for finding in flow_findings({"M1.01": flow}, SETTINGS)]


def test_findings_only_where_limits_are_passed() -> None:
    assert codes(0.030, 80.0) == []
    assert codes(0.052, 110.0) == ["hydraulics.pressure-drop"]
    assert codes(0.060, 20.0) == ["hydraulics.velocity"]
    assert codes(0.005, 20.0) == ["hydraulics.small-flow"]


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
