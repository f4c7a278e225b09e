"""The water of a storey: what the fitter sets, what the pump's network says, and what is to be filled in."""

from dataclasses import replace

import pytest
from shapely.geometry import Polygon, box

from ufh_core.basis.pipe_axis import rounded
from ufh_core.circuits.types import HeatedField, LaidCircuit, LevelLayout, Manifold, Port
from ufh_core.design_result import CircuitDesign, ManifoldDesign, StoreyDesign
from ufh_core.hydraulics import circuit_flow
from ufh_core.settings.types import Settings
from ufh_core.storeys.water import water, whole_water, with_networks
from ufh_core.thermal_output.types import CircuitOutput, LaidOutput

SETTINGS = Settings()
FLOW_C = 38.0
LOOPS = {"M1.01": (30.0, 0.012, 32.0), "M1.02": (60.0, 0.024, 33.0), "M1.03": (90.0, 0.028, 31.0)}


def laid(number: str, length: float) -> LaidCircuit:
    axis = rounded([(0.0, 0.0), (length / 2, 0.0), (length / 2, 1.0), (0.0, 1.0)], 0.075)
    field = HeatedField(room="room", circuit=number, outline=box(0, 0, 1, 1))
    return LaidCircuit(
        number=number, manifold="M1", port=int(number[-2:]), rooms=("room",), axis=axis, pitch_m=0.15, fields=(field,),
        tail_length_m=2.0, riser_length_m=1.0,
    )  # fmt: skip


def manifold() -> Manifold:
    ports = tuple(Port(number=k, flow=(0.0, 0.1 * k), return_=(0.0, 0.1 * k + 0.05)) for k in (1, 2, 3))
    return Manifold(
        name="M1", storey="s", room="room", position=(0.0, 0.0), normal=(1.0, 0.0), width_m=0.6, depth_m=0.12,
        ports=ports, cabinet=Polygon(), service_space=Polygon(), station_side="left",
    )  # fmt: skip


def storey_water(settings: Settings = SETTINGS) -> tuple[list[CircuitDesign], list[ManifoldDesign]]:
    outputs = {
        n: CircuitOutput(circuit=n, output_w=500, downward_w=50, mass_flow=m, flow_c=FLOW_C, return_c=back)
        for n, (_, m, back) in LOOPS.items()
    }
    layout = LevelLayout(
        level=None,  # type: ignore[arg-type]
        manifolds=(manifold(),),
        circuits=tuple(laid(n, length) for n, (length, _, _) in LOOPS.items()),
        failed=(),
    )
    return water([layout], LaidOutput(flow_c=FLOW_C, rooms={}, circuits=outputs), settings)


def test_fitter_is_told_flow_and_turns() -> None:
    circuits, _ = storey_water()
    for circuit in circuits:
        litres = circuit.flow.volume_flow * 60_000
        assert circuit.valve_setting == f"{litres:.2f} l/min, {circuit.flow.valve_turns:g} turns"
    fine = replace(SETTINGS.hydraulics, valve_turns=(2.0, 3.0), valve_turns_kv=(1.0, 1.2))
    (first, *_), _ = storey_water(replace(SETTINGS, hydraulics=fine))
    assert first.flow.valve_turns is None
    assert first.valve_setting == f"{first.flow.volume_flow * 60_000:.2f} l/min"


def test_pipe_is_taken_at_each_circuit_s_own_mean_temperature() -> None:
    circuits, _ = storey_water()
    for circuit in circuits:
        _, mass_flow, back = LOOPS[circuit.laid.number]
        arcs = [p for p in circuit.laid.axis.pieces if hasattr(p, "sweep")]
        alone = circuit_flow(mass_flow, (FLOW_C + back) / 2, circuit.laid.length_m, arcs, SETTINGS)
        assert circuit.flow.pressure_drop_pa == pytest.approx(alone.pressure_drop_pa)
        assert abs(circuit.flow.turns_flow_error) < 0.25


def test_network_of_the_storey_s_manifold() -> None:
    """With all open the shares are the quarter turns' own errors, nearly: the entry couples them a little."""
    circuits, manifolds = storey_water()
    (done,), (note,) = with_networks(manifolds, circuits, SETTINGS)
    assert done.network is not None
    assert done.network.cases[0].name == "all open"
    for circuit in circuits:
        share = done.network.cases[0].balancing[circuit.laid.number]
        assert share == pytest.approx(1 + circuit.flow.turns_flow_error, abs=0.02)
    assert note.code == "network.shut-circuits" and "manifold M1" in note.message


def test_pump_whose_curve_is_too_short_leaves_a_warning_and_no_table() -> None:
    own = replace(SETTINGS.hydraulics, pump="curve", pump_curve_m3_h=(0.0, 0.05), pump_curve_pa=(50000.0, 40000.0))
    settings = replace(SETTINGS, hydraulics=own)
    circuits, manifolds = storey_water(settings)
    (done,), (warning,) = with_networks(manifolds, circuits, settings)
    assert done.network is None
    assert (warning.code, warning.severity) == ("network.pump-too-small", "warning")
    assert "manifold M1: the pump's curve ends at 0.05 m³/h" in warning.message


def test_manifold_without_flow_has_no_network() -> None:
    circuits, manifolds = storey_water()
    idle = [replace(c, flow=replace(c.flow, mass_flow=0.0)) for c in circuits]
    (done,), findings = with_networks(manifolds, idle, SETTINGS)
    assert (done.network, findings) == (None, ())


def test_whole_water_adds_up_all_manifolds() -> None:
    _, manifolds = storey_water()
    storey = StoreyDesign(storey="s", rooms=(), manifolds=tuple(manifolds), circuits=())
    vessel, (note,) = whole_water([storey, storey], SETTINGS)
    assert vessel is not None
    assert vessel.content_m3 == pytest.approx(2 * manifolds[0].pump.water_content_m3)
    assert vessel.expansion_m3 == pytest.approx(2 * manifolds[0].pump.expansion_m3)
    assert note.code == "hydraulics.expansion"
    assert whole_water([], SETTINGS) == (None, ())
