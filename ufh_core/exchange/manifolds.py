"""Manifolds: bars, valves, actuators, mixing station and cabinet as one assembly, joined port by port."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ufh_core.design_result import ManifoldDesign
from ufh_core.exchange import shapes
from ufh_core.exchange.manifold_plan import BAR_RADIUS_M, ManifoldPlan, plan_manifold
from ufh_core.exchange.pipe_run import Point3, manifold_floor
from ufh_core.exchange.pipes import StoreyScope, WrittenPipe
from ufh_core.exchange.ports import INTO, OUT_OF, PortState, add_port, connect, put_state
from ufh_core.exchange.properties import own_set, standard_set
from ufh_core.exchange.trade_model import TradeModel

LAYER = "Floor heating - manifolds"
FLOW, RETURN, NEUTRAL = "Heating flow", "Heating return", "Heating fittings"
VALVE_RADIUS_M, STUB_M, SHEET_M, HEADROOM_M = 0.012, 0.04, 0.002, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Workbench:
    """One manifold in the making."""

    model: TradeModel
    scope: StoreyScope
    design: ManifoldDesign
    plan: ManifoldPlan
    assembly: Any
    system: Any

    def bar(self, kind: str, name: str, ends: tuple[Point3, Point3], look: tuple[float, str], **attributes: Any) -> Any:
        """A round part of the assembly between two points; `look` is its radius [m] and its style."""
        solid = shapes.cylinder(self.model, ends[0], ends[1], look[0], ends[0])
        body = self.model.shape("Body", "SweptSolid", [solid], LAYER, look[1])
        part = self.model.product(
            kind, (self.assembly.GlobalId, name), self.assembly, ends[0], [body], Name=name, **attributes
        )
        self.model.gather("IfcRelAggregates", self.assembly, [part])
        self.model.gather("IfcRelAssignsToGroup", self.system, [part])
        return part

    def through(self, part: Any, start: Point3, end: Point3) -> tuple[Any, Any]:
        """(inlet, outlet) of a part that water passes from `start` to `end`."""
        way = np.subtract(end, start)
        inlet = add_port(self.model, part, "inlet", INTO, start, way)
        return inlet, add_port(self.model, part, "outlet", OUT_OF, end, way)

    def stub(self, kind: str, name: str, bar: Any, ends: tuple[Point3, Point3], **attributes: Any) -> Any:
        """A dead end on a bar: vent, drain or pocket."""
        way = np.subtract(ends[1], ends[0])
        part = self.bar(kind, name, ends, (0.008, NEUTRAL), **attributes)
        on_bar = add_port(self.model, bar, name, OUT_OF, ends[0], way)
        connect(self.model, on_bar, add_port(self.model, part, "inlet", INTO, ends[0], way))
        return part


def write_manifold(model: TradeModel, scope: StoreyScope, design: ManifoldDesign, pipes: Sequence[WrittenPipe]) -> None:
    """A manifold with its system, its parts and the connections to its circuits."""
    bench = _open_bench(model, scope, design)
    flow_bar, return_bar = _bars(bench)
    for written in pipes:
        _join_circuit(bench, written, flow_bar, return_bar)
    pump = _mixing_station(bench, flow_bar, return_bar)
    _ends(bench, flow_bar, return_bar, pump)
    _cabinet(bench)
    _results(bench, pump, pipes)


def _open_bench(model: TradeModel, scope: StoreyScope, design: ManifoldDesign) -> Workbench:
    """The assembly and the system of a manifold."""
    manifold, settings = design.manifold, scope.design.settings.manifold
    floor = manifold_floor(scope.design, scope.storey, manifold)
    heights = (floor + settings.flow_bar_height_m, floor + settings.return_bar_height_m)
    at = (*manifold.position, floor)
    role = (scope.entity.GlobalId, manifold.name)
    service = shapes.upright(model, manifold.service_space, (floor, floor + HEADROOM_M), at)
    shown = [model.shape("Clearance", "SweptSolid", service, LAYER, "Service space")] if service else []
    attributes = {"Name": manifold.name, "ObjectType": "FLOOR HEATING MANIFOLD", "PredefinedType": "USERDEFINED"}
    assembly = model.product("IfcElementAssembly", role, scope.entity, at, shown, **attributes)
    model.gather("IfcRelContainedInSpatialStructure", scope.entity, [assembly])
    named = {"Name": manifold.name, "LongName": f"Floor heating {manifold.name}"}
    system = model.root("IfcDistributionSystem", role, PredefinedType="HEATING", **named)
    model.gather("IfcRelAssignsToGroup", system, [assembly])
    plan = plan_manifold(manifold, settings.mixing_station_m, heights)
    return Workbench(model=model, scope=scope, design=design, plan=plan, assembly=assembly, system=system)


def _bars(bench: Workbench) -> tuple[Any, Any]:
    """The flow bar, and the return bar that reaches under the mixing valve."""
    plan = bench.plan
    mixing = plan.station("mixing")[1]
    flow = (plan.spot(plan.first_m, plan.flow_z), plan.spot(plan.last_m, plan.flow_z))
    back = (plan.spot(plan.first_m, plan.return_z), plan.spot(mixing, plan.return_z))
    kind = {"PredefinedType": "JUNCTION"}
    return (
        bench.bar("IfcPipeFitting", "Flow bar", flow, (BAR_RADIUS_M, FLOW), **kind),
        bench.bar("IfcPipeFitting", "Return bar", back, (BAR_RADIUS_M, RETURN), **kind),
    )


def _join_circuit(bench: Workbench, written: WrittenPipe, flow_bar: Any, return_bar: Any) -> None:
    """The two valves of a circuit between the bars and the pipe's ends."""
    model, number = bench.model, written.design.laid.number
    start, end = written.run.start, written.run.end
    at_flow, at_return = bench.plan.at_bar(start), bench.plan.at_bar(end)
    look = (VALVE_RADIUS_M, FLOW)
    setting = bench.bar("IfcValve", f"Setting valve {number}", (at_flow, start), look, PredefinedType="REGULATING")
    look = (VALVE_RADIUS_M, RETURN)
    shut = bench.bar("IfcValve", f"Shut-off valve {number}", (end, at_return), look, PredefinedType="ISOLATING")
    inlet, outlet = bench.through(setting, at_flow, start)
    connect(model, add_port(model, flow_bar, number, OUT_OF, at_flow, np.subtract(start, at_flow)), inlet)
    connect(model, outlet, written.inlet)
    inlet, outlet = bench.through(shut, end, at_return)
    connect(model, written.outlet, inlet)
    connect(model, outlet, add_port(model, return_bar, number, INTO, at_return, np.subtract(at_return, end)))
    actuator = _actuator(bench, shut, (end, at_return), number)
    standard_set(model, setting, "Pset_ValveTypeCommon", {"FlowCoefficient": written.design.flow.valve_kv})
    model.gather("IfcRelAssignsToGroup", bench.system, [written.pipe])
    model.gather("IfcRelAssignsToGroup", written.circuit, [written.pipe, setting, shut, actuator])
    model.gather("IfcRelAggregates", bench.system, [written.circuit])


def _actuator(bench: Workbench, valve: Any, ends: tuple[Point3, Point3], number: str) -> Any:
    """The drive on top of a circuit's shut-off valve."""
    middle = np.add(ends[0], ends[1]) / 2
    foot = (float(middle[0]), float(middle[1]), float(middle[2]) + VALVE_RADIUS_M)
    top = (foot[0], foot[1], foot[2] + 0.05)
    attributes = {"PredefinedType": "ELECTRICACTUATOR"}
    actuator = bench.bar("IfcActuator", f"Actuator {number}", (foot, top), (0.016, NEUTRAL), **attributes)
    bench.model.gather("IfcRelFlowControlElements", valve, [actuator])
    return actuator


def _mixing_station(bench: Workbench, flow_bar: Any, return_bar: Any) -> Any:
    """Primary entry, thermometer, mixing valve with bypass, pump; and the way back. Returns the pump."""
    model, plan = bench.model, bench.plan
    mixed = _entry_chain(bench, flow_bar)
    middle = sum(plan.station("mixing")) / 2
    up = 1.0 if plan.flow_z > plan.return_z else -1.0
    low = plan.spot(middle, plan.return_z + up * BAR_RADIUS_M)
    high = plan.spot(middle, plan.flow_z - up * BAR_RADIUS_M)
    bypass = bench.bar("IfcPipeFitting", "Bypass", (low, high), (0.01, RETURN), PredefinedType="CONNECTOR")
    inlet, outlet = bench.through(bypass, low, high)
    connect(model, add_port(model, return_bar, "bypass", OUT_OF, low, (0.0, 0.0, up)), inlet)
    connect(model, outlet, add_port(model, mixed[0], "return", INTO, high, (0.0, 0.0, up)))
    _exit_chain(bench, return_bar)
    return mixed[1]


def _entry_chain(bench: Workbench, flow_bar: Any) -> tuple[Any, Any]:
    """The parts from the primary flow to the flow bar. Returns (mixing valve, pump)."""
    plan, model = bench.plan, bench.model
    parts = [
        ("IfcValve", "Entry valve flow", "shut-off", "ISOLATING", 0.014),
        ("IfcFlowInstrument", "Thermometer flow", "thermometer", "THERMOMETER", 0.012),
        ("IfcValve", "Mixing valve", "mixing", "MIXING", BAR_RADIUS_M),
        ("IfcPump", "Pump", "pump", "CIRCULATOR", 0.03),
    ]
    made, last = [], None
    for kind, name, place, predefined, radius in parts:
        near, far = (plan.spot(s, plan.flow_z) for s in plan.station(place))
        part = bench.bar(kind, name, (far, near), (radius, FLOW), PredefinedType=predefined)
        inlet, outlet = bench.through(part, far, near)
        if last is None:
            put_state(model, inlet, _primary(bench, bench.design.flow_c))
        else:
            connect(model, last, inlet)
        last = outlet
        made.append(part)
    at = plan.spot(plan.last_m, plan.flow_z)
    connect(model, last, add_port(model, flow_bar, "supply", INTO, at, plan.way(-1.0)))
    return made[2], made[3]


def _exit_chain(bench: Workbench, return_bar: Any) -> None:
    """The parts from the return bar to the primary return."""
    plan, model = bench.plan, bench.model
    at = plan.spot(plan.station("mixing")[1], plan.return_z)
    last = add_port(model, return_bar, "return", OUT_OF, at, plan.way())
    parts = [
        ("IfcFlowInstrument", "Thermometer return", "thermometer", "THERMOMETER", 0.012),
        ("IfcValve", "Entry valve return", "shut-off", "ISOLATING", 0.014),
    ]
    for kind, name, place, predefined, radius in parts:
        near, far = (plan.spot(s, plan.return_z) for s in plan.station(place))
        part = bench.bar(kind, name, (near, far), (radius, RETURN), PredefinedType=predefined)
        inlet, outlet = bench.through(part, near, far)
        connect(model, last, inlet)
        last = outlet
    put_state(model, last, _primary(bench, bench.design.return_c))


def _ends(bench: Workbench, flow_bar: Any, return_bar: Any, pump: Any) -> None:
    """Air vent and drain at the far end of each bar; the safety stat's pocket behind the pump."""
    plan = bench.plan
    for bar, word, z in ((flow_bar, "flow", plan.flow_z), (return_bar, "return", plan.return_z)):
        along = plan.first_m + 0.012
        top, foot = plan.spot(along, z + BAR_RADIUS_M), plan.spot(along, z - BAR_RADIUS_M)
        vent, drain = (*top[:2], top[2] + STUB_M), (*foot[:2], foot[2] - STUB_M)
        bench.stub("IfcValve", f"Air vent {word}", bar, (top, vent), PredefinedType="AIRRELEASE")
        bench.stub("IfcValve", f"Drain cock {word}", bar, (foot, drain), PredefinedType="DRAWOFFCOCK")
    pocket = plan.spot(plan.last_m - 0.012, plan.flow_z + BAR_RADIUS_M)
    ends = (pocket, (*pocket[:2], pocket[2] + STUB_M))
    stat = bench.stub("IfcUnitaryControlElement", "Safety stat", flow_bar, ends, PredefinedType="THERMOSTAT")
    bench.model.gather("IfcRelFlowControlElements", pump, [stat])


def _cabinet(bench: Workbench) -> None:
    """The cabinet: a frame of sheet round the parts."""
    model, cabinet = bench.model, bench.design.manifold.cabinet
    low = _floor(bench)
    at = (*bench.design.manifold.position, low)
    frame = cabinet.difference(cabinet.buffer(-SHEET_M, join_style="mitre"))
    height = bench.scope.design.settings.manifold.cabinet_height_m
    solids = shapes.upright(model, frame, (low, low + height), at)
    if not solids:
        return
    made = model.product(
        "IfcBuildingElementProxy",
        (bench.assembly.GlobalId, "cabinet"),
        bench.assembly,
        at,
        [model.shape("Body", "SweptSolid", solids, LAYER, "Manifold cabinet")],
        Name=f"Cabinet {bench.design.manifold.name}",
        ObjectType="MANIFOLD CABINET",
        PredefinedType="USERDEFINED",
    )
    model.gather("IfcRelAggregates", bench.assembly, [made])
    model.gather("IfcRelAssignsToGroup", bench.system, [made])


def _floor(bench: Workbench) -> float:
    """Height of the finished floor at the manifold [m]."""
    return manifold_floor(bench.scope.design, bench.scope.storey, bench.design.manifold)


def _primary(bench: Workbench, temperature_c: float) -> PortState:
    """The water at a primary connection, as if the mixing valve were fully open."""
    pump = bench.design.pump
    return PortState(temperature_c=temperature_c, mass_flow=pump.mass_flow, volume_flow=pump.volume_flow)


def _results(bench: Workbench, pump: Any, pipes: Sequence[WrittenPipe]) -> None:
    """Duty of the pump and values of the manifold."""
    model, design, duty = bench.model, bench.design, bench.design.pump
    ranges = {"FlowRateRange": duty.mass_flow, "FlowResistanceRange": duty.pressure_pa}
    standard_set(model, pump, "Pset_PumpTypeCommon", ranges, "design duty")
    rows = [
        ("Circuits", "IfcInteger", len(pipes)),
        ("Ports", "IfcInteger", len(design.manifold.ports)),
        ("FlowTemperature", "IfcThermodynamicTemperatureMeasure", design.flow_c),
        ("ReturnTemperature", "IfcThermodynamicTemperatureMeasure", design.return_c),
        ("MassFlow", "IfcMassFlowRateMeasure", duty.mass_flow),
        ("VolumeFlow", "IfcVolumetricFlowRateMeasure", duty.volume_flow),
        ("PumpPressure", "IfcPressureMeasure", duty.pressure_pa),
        ("IndexCircuit", "IfcLabel", duty.index_circuit),
        ("WaterContent", "IfcVolumeMeasure", duty.water_content_m3),
    ]
    own_set(model, bench.assembly, "UFH_Manifold", rows)
