"""Circuits: one unbroken pipe each, as one element with its ports, its circuit and its results."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ufh_core.design_result import CircuitDesign, Design, StoreyDesign
from ufh_core.exchange import shapes
from ufh_core.exchange.pipe_run import PipeRun, circuit_run
from ufh_core.exchange.ports import INTO, OUT_OF, PortState, add_port, put_state
from ufh_core.exchange.properties import material_conductivity, own_set, quantities, standard_set
from ufh_core.exchange.trade_model import TradeModel
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.hydraulics.valves import valve_drop
from ufh_core.settings.floor_types import PipeSettings

LAYER = "Floor heating - pipes"


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyScope:
    """What the builders of one storey need: the results, the storey's entity, room labels and spaces by GlobalId."""

    design: Design
    storey: StoreyDesign
    entity: Any
    labels: dict[str, str]
    spaces: dict[str, Any]
    pipe_type: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPipe:
    """A circuit in the file: its group, its pipe, its ports and its way."""

    circuit: Any
    pipe: Any
    inlet: Any
    outlet: Any
    run: PipeRun
    design: CircuitDesign


def write_pipe_type(model: TradeModel, pipe: PipeSettings) -> Any:
    """The product that all circuits are made of."""
    millimetres = f"{1000 * pipe.outside_diameter_m:g} x {1000 * pipe.wall_m:g}"
    made = model.root(
        "IfcPipeSegmentType", ("pipe type",), Name=f"Heating pipe {millimetres} mm", PredefinedType="FLEXIBLESEGMENT"
    )
    inner = pipe.outside_diameter_m - 2 * pipe.wall_m
    values = {"NominalDiameter": pipe.outside_diameter_m, "OuterDiameter": pipe.outside_diameter_m}
    standard_set(model, made, "Pset_PipeSegmentTypeCommon", {**values, "InnerDiameter": inner})
    kind = "Plastic" if pipe.conductivity < 10 else "Metal"
    material, _ = model.material(f"{kind} pipe, {pipe.conductivity:g} W/(m K)", kind.lower())
    material_conductivity(model, material, pipe.conductivity)
    model.gather("IfcRelAssociatesMaterial", material, [made])
    return made


def write_circuit(model: TradeModel, scope: StoreyScope, circuit: CircuitDesign) -> WrittenPipe:
    """A circuit's group, its pipe and the ports at both ends."""
    laid, run = circuit.laid, circuit_run(scope.design, scope.storey, circuit)
    group = model.root(
        "IfcDistributionCircuit",
        (scope.entity.GlobalId, laid.number),
        Name=laid.number,
        LongName="; ".join(scope.labels.get(r, r) for r in laid.rooms),
        PredefinedType="HEATING",
    )
    pipe = _pipe(model, scope, circuit, run)
    inlet = add_port(model, pipe, "flow", INTO, run.start, (0.0, 0.0, -1.0))
    outlet = add_port(model, pipe, "return", OUT_OF, run.end, (0.0, 0.0, 1.0))
    _states(model, scope, circuit, (inlet, outlet))
    own_set(model, group, "UFH_Circuit", _circuit_rows(scope, circuit, run))
    _serve(model, scope, group, pipe, laid.rooms)
    return WrittenPipe(circuit=group, pipe=pipe, inlet=inlet, outlet=outlet, run=run, design=circuit)


def _pipe(model: TradeModel, scope: StoreyScope, circuit: CircuitDesign, run: PipeRun) -> Any:
    """The pipe with axis and body over the same curve."""
    pipe = scope.design.settings.pipe
    radius = pipe.outside_diameter_m / 2
    curve = shapes.run_curve(model, run, run.start)
    disk = shapes.swept_disk(model, curve, radius, radius - pipe.wall_m)
    body = model.shape("Body", "AdvancedSweptSolid", [disk], LAYER, "Heating flow")
    axis = model.shape("Axis", "Curve3D", [curve], LAYER)
    number = circuit.laid.number
    made = model.product(
        "IfcPipeSegment",
        (scope.entity.GlobalId, number),
        scope.entity,
        run.start,
        [body, axis],
        Name=f"Pipe {number}",
        Tag=number,
    )
    model.gather("IfcRelContainedInSpatialStructure", scope.entity, [made])
    model.gather("IfcRelDefinesByType", scope.pipe_type, [made])
    standard_set(model, made, "Pset_PipeSegmentOccurrence", {"InteriorRoughnessCoefficient": pipe.roughness_m or None})
    _pipe_quantities(model, made, pipe, run)
    return made


def _pipe_quantities(model: TradeModel, made: Any, pipe: PipeSettings, run: PipeRun) -> None:
    """Length, sections and outer surface."""
    outside, inside = pipe.outside_diameter_m, pipe.outside_diameter_m - 2 * pipe.wall_m
    values = {
        "Length": run.length_m,
        "GrossCrossSectionArea": shapes.ring_area(outside),
        "NetCrossSectionArea": shapes.ring_area(outside, inside),
        "OuterSurfaceArea": 4 * shapes.ring_area(outside) / outside * run.length_m,
    }
    quantities(model, made, "Qto_PipeSegmentBaseQuantities", values)


def _states(model: TradeModel, scope: StoreyScope, circuit: CircuitDesign, ports: tuple[Any, Any]) -> None:
    """The water where it enters the pipe and where it leaves it."""
    flow, pipe = circuit.flow, scope.design.settings.pipe
    behind = _return_valve_drop(scope, flow)
    along = flow.pipe_drop_pa + flow.bend_drop_pa
    ends = ((circuit.flow_c, behind + along), (circuit.return_c, behind))
    for port, (temperature, pressure) in zip(ports, ends, strict=True):
        state = PortState(
            temperature_c=temperature,
            mass_flow=flow.mass_flow,
            volume_flow=flow.volume_flow,
            velocity=flow.velocity,
            pressure_pa=pressure,
            inner_diameter_m=pipe.outside_diameter_m - 2 * pipe.wall_m,
        )
        put_state(model, port, state)


def _return_valve_drop(scope: StoreyScope, flow: CircuitFlow) -> float:
    """Pressure drop of the open valve on the return bar [Pa]."""
    if flow.volume_flow <= 0:
        return 0.0
    return valve_drop(
        flow.volume_flow, flow.mass_flow / flow.volume_flow, scope.design.settings.hydraulics.return_valve_kv
    )


def _circuit_rows(scope: StoreyScope, circuit: CircuitDesign, run: PipeRun) -> list[tuple[str, str, Any]]:
    """The values of UFH_Circuit."""
    laid = circuit.laid
    return [
        ("CircuitNumber", "IfcLabel", laid.number),
        ("Manifold", "IfcLabel", laid.manifold),
        ("Rooms", "IfcLabel", tuple(scope.labels.get(r, r)[:255] for r in laid.rooms) or None),
        ("PipeLength", "IfcLengthMeasure", run.length_m),
        ("TailLength", "IfcLengthMeasure", laid.tail_length_m),
        ("Pitch", "IfcLengthMeasure", laid.pitch_m),
        ("HeatedArea", "IfcAreaMeasure", laid.heated_area_m2),
        ("HeatOutput", "IfcPowerMeasure", circuit.output_w),
        ("DownwardLoss", "IfcPowerMeasure", circuit.downward_w),
        ("FlowTemperature", "IfcThermodynamicTemperatureMeasure", circuit.flow_c),
        ("ReturnTemperature", "IfcThermodynamicTemperatureMeasure", circuit.return_c),
        ("MassFlow", "IfcMassFlowRateMeasure", circuit.flow.mass_flow),
        ("PressureDrop", "IfcPressureMeasure", circuit.flow.pressure_drop_pa),
        ("ValveSetting", "IfcLabel", circuit.valve_setting),
        ("WallSleeves", "IfcInteger", laid.sleeves),
    ]


def _serve(model: TradeModel, scope: StoreyScope, group: Any, pipe: Any, rooms: tuple[str, ...]) -> None:
    """Tie a circuit and its pipe to the rooms that it heats."""
    served = [scope.spaces[r] for r in rooms if r in scope.spaces]
    for space in served:
        related = [pipe, group] if model.newer else [pipe]
        model.gather("IfcRelReferencedInSpatialStructure", space, related)
    if served and not model.newer:
        model.gather("IfcRelServicesBuildings", group, served)
