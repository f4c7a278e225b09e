"""A circuit's pipe as a resistance: both laws of friction, bends by their law, and the flow of a pressure."""

import math

import fluids
import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc
from ufh_core.hydraulics import circuit_flow, circuit_pipe, flow_at
from ufh_core.hydraulics.friction import (
    LAMINAR_UP_TO,
    TURBULENT_FROM,
    bend_law,
    bend_loss,
    bend_losses,
    colebrook,
    friction_bounds,
    friction_factor,
)
from ufh_core.hydraulics.pipe import pipe_state, series_drop
from ufh_core.settings.types import Settings

SETTINGS = Settings()
INNER_M, RELATIVE = 0.012, 7e-6 / 0.012


def arc(radius: float, degrees: float) -> Arc:
    at = [math.radians(degrees * share) for share in (0, 0.5, 1)]
    points = [(radius * math.cos(angle), radius * math.sin(angle)) for angle in at]
    return Arc(points[0], points[1], points[2], (0.0, 0.0), at[2])


ARCS = [arc(0.08, 90), arc(0.08, 90), arc(0.075, 180), arc(0.128, 45), arc(0.075, -180), arc(0.0, 90)]


def flow_of(reynolds: float, length_m: float = 40.0) -> float:
    pipe = circuit_pipe(35.0, length_m, (), SETTINGS)
    return reynolds * math.pi * pipe.inner_m * pipe.viscosity / 4


def test_the_laws_are_1_7_apart_at_re_2300() -> None:
    """Source: Hagen-Poiseuille; Colebrook by `fluids`, of 0.0478 at Re 2300 in PE pipe."""
    bounds = friction_bounds(2300.0, RELATIVE)
    assert bounds.laminar == pytest.approx(64 / 2300)
    assert bounds.turbulent == pytest.approx(fluids.friction.Colebrook(2300.0, RELATIVE), rel=1e-9)
    assert bounds.turbulent / bounds.laminar == pytest.approx(1.72, abs=0.01)


@pytest.mark.parametrize("reynolds", [2000.1, 2100.0, 2150.0, 2299.9])
def test_the_line_between_the_laws_is_within_both(reynolds: float) -> None:
    bounds = friction_bounds(reynolds, RELATIVE)
    assert bounds.laminar < friction_factor(reynolds, RELATIVE) < bounds.turbulent


@pytest.mark.parametrize("reynolds", [0.0, 300.0, 1999.0, 2150.0, 2301.0, 2999.0, 9000.0])
def test_the_drop_alone_is_that_of_the_state(reynolds: float) -> None:
    """With bends, in every law; and a valve of Kv 0.5 m³/h by hand: 1 bar at 0.5 m³/h of water of 1000 kg/m³."""
    pipe, flow = circuit_pipe(35.0, 40.0, ARCS, SETTINGS), flow_of(reynolds)
    assert series_drop(pipe, (), flow) == pipe_state(pipe, flow).drop_pa
    valve_pa = 1e5 * (flow / pipe.density * 3600 / 0.5) ** 2 * pipe.density / 1000
    assert series_drop(pipe, (0.5,), flow) == pytest.approx(pipe_state(pipe, flow).drop_pa + valve_pa, rel=1e-6)


def test_the_middle_of_the_line() -> None:
    middle = (LAMINAR_UP_TO + TURBULENT_FROM) / 2
    ends = 64 / LAMINAR_UP_TO + fluids.friction.Colebrook(TURBULENT_FROM, RELATIVE)
    assert friction_factor(middle, RELATIVE) == pytest.approx(ends / 2)


def test_circuit_in_transition_states_both_drops() -> None:
    mass_flow = flow_of(2150.0)
    flow = circuit_flow(mass_flow, 35.0, 40.0, ARCS, SETTINGS)
    fixed = flow.valve_drop_pa + flow.bend_drop_pa
    dynamic = mass_flow / flow.volume_flow * flow.velocity**2 / 2
    assert flow.regime == "transition"
    assert flow.least_drop_pa - fixed == pytest.approx(64 / 2150 * 40 / INNER_M * dynamic, rel=1e-6)
    turbulent = fluids.friction.Colebrook(2150.0, RELATIVE)
    assert flow.greatest_drop_pa - fixed == pytest.approx(turbulent * 40 / INNER_M * dynamic, rel=1e-6)
    assert flow.least_drop_pa < flow.pressure_drop_pa < flow.greatest_drop_pa


@pytest.mark.parametrize("reynolds", [500.0, 1999.0, 2301.0, 5000.0])
def test_circuit_outside_the_transition_has_one_drop(reynolds: float) -> None:
    flow = circuit_flow(flow_of(reynolds), 35.0, 40.0, ARCS, SETTINGS)
    assert flow.least_drop_pa == pytest.approx(flow.pressure_drop_pa)
    assert flow.greatest_drop_pa == pytest.approx(flow.pressure_drop_pa)


@pytest.mark.parametrize("reynolds", [800.0, 3000.0, 3848.0, 12000.0])
def test_bends_by_their_law_are_the_library_s(reynolds: float) -> None:
    """Source: Rennels by `fluids`, the arc's own friction taken off; below Re 3000 as at Re 3000."""
    factor = fluids.friction.Colebrook(max(reynolds, 3000.0), RELATIVE)
    whole = 0.0
    for bend in ARCS[:-1]:
        angle = abs(math.degrees(bend.sweep))
        k = fluids.bend_rounded(Di=INNER_M, angle=angle, fd=factor, rc=bend.radius_m, method="Rennels")
        whole += k - factor * bend.radius_m * math.radians(angle) / INNER_M
    assert bend_losses(ARCS, INNER_M, reynolds, RELATIVE) == pytest.approx(whole, rel=1e-9)
    assert bend_loss(bend_law(ARCS, INNER_M), reynolds, RELATIVE) == pytest.approx(whole, rel=1e-9)


def test_a_bend_of_more_than_half_a_turn_counts_as_half_a_turn() -> None:
    law, half = bend_law([arc(0.08, 270)], INNER_M), bend_law([arc(0.08, 180)], INNER_M)
    assert law == half
    assert bend_loss(half, 3848.0, RELATIVE) == pytest.approx(0.20, abs=0.006)


@pytest.mark.parametrize("reynolds", [999.0, 1000.0])
def test_colebrook_has_a_least_reynolds_number(reynolds: float) -> None:
    if reynolds < 1000:
        with pytest.raises(NoSolution, match="says nothing"):
            colebrook(reynolds, RELATIVE)
    else:
        assert colebrook(reynolds, RELATIVE) == pytest.approx(fluids.friction.Colebrook(reynolds, RELATIVE))


@pytest.mark.parametrize("pressure_pa", [1.0, 150.0, 800.0, 1500.0, 9000.0, 60000.0])
@pytest.mark.parametrize("kvs", [(), (1.2, 2.0), (0.1,)])
def test_flow_of_a_pressure_is_the_inverse_of_the_drop(pressure_pa: float, kvs: tuple[float, ...]) -> None:
    pipe = circuit_pipe(37.5, 60.0, ARCS, SETTINGS)
    flow = flow_at(pressure_pa, pipe, kvs)
    assert flow > 0
    assert series_drop(pipe, kvs, flow) == pytest.approx(pressure_pa, abs=1e-3)


def test_no_pressure_no_flow() -> None:
    pipe = circuit_pipe(37.5, 60.0, ARCS, SETTINGS)
    assert flow_at(0.0, pipe, (1.2,)) == 0.0
    assert flow_at(-5.0, pipe, (1.2,)) == 0.0
    still = pipe_state(pipe, 0.0)
    assert (still.velocity, still.reynolds, still.drop_pa, still.least_pa, still.greatest_pa) == (0, 0, 0, 0, 0)
    assert (still.straight_pa, still.bend_pa, still.regime) == (0, 0, "laminar")


def test_creeping_water_is_laminar() -> None:
    """Source: Hagen-Poiseuille, at Re 0.5."""
    pipe = circuit_pipe(37.5, 60.0, (), SETTINGS)
    flow = 0.5 * math.pi * INNER_M * pipe.viscosity / 4
    exact = 128 * pipe.viscosity * 60.0 * flow / pipe.density / (math.pi * INNER_M**4)
    assert pipe_state(pipe, flow).straight_pa == pytest.approx(exact)


def test_state_is_that_of_the_circuit() -> None:
    pipe = circuit_pipe(37.5, 60.0, ARCS, SETTINGS)
    flow, state = circuit_flow(0.03, 37.5, 60.0, ARCS, SETTINGS), pipe_state(pipe, 0.03)
    assert (state.velocity, state.reynolds, state.straight_pa) == (flow.velocity, flow.reynolds, flow.pipe_drop_pa)
    assert state.drop_pa == flow.pipe_drop_pa + flow.bend_drop_pa
    assert series_drop(pipe, (1.2, 2.0), 0.03) == pytest.approx(flow.pressure_drop_pa)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: circuit_pipe(37.5, -1.0, (), SETTINGS), "cannot be laid"),
        (lambda: pipe_state(circuit_pipe(37.5, 10.0, (), SETTINGS), -0.01), "cannot carry"),
        (lambda: flow_at(100.0, circuit_pipe(37.5, 0.0, (), SETTINGS), ()), "no resistance"),
        (lambda: colebrook(900.0, RELATIVE), "says nothing"),
        (lambda: friction_bounds(0.5, RELATIVE), "says nothing"),
    ],
)
def test_what_cannot_be_is_one_line(call: object, words: str) -> None:
    with pytest.raises(NoSolution, match=words) as error:
        call()  # type: ignore[operator]
    assert "\n" not in str(error.value)
