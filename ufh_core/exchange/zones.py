"""Heated fields as thermal zones, provisions for void where pipes pass through walls, and results of rooms."""

from __future__ import annotations

from typing import Any

import shapely
from shapely.geometry import LineString

from ufh_core.basis.areas import along
from ufh_core.building.types import Storey
from ufh_core.circuits.types import HeatedField, LaidCircuit
from ufh_core.design_result import RoomDesign
from ufh_core.exchange import shapes
from ufh_core.exchange.pipes import StoreyScope, WrittenPipe
from ufh_core.exchange.properties import own_set, standard_set
from ufh_core.exchange.trade_model import TradeModel

ZONE_LAYER, SLEEVE_LAYER = "Floor heating - fields", "Floor heating - provisions"
THIN_FLOOR_M = 0.1
WALL_BAND_M = (0.02, 0.25)
SHORTEST_CROSSING_M = 0.02


def write_fields(model: TradeModel, scope: StoreyScope, written: WrittenPipe) -> None:
    """The floors that a circuit heats."""
    for number, field in enumerate(written.design.laid.fields, start=1):
        if shapes.polygons(field.outline):
            _zone(model, scope, written, field, number)


def _zone(model: TradeModel, scope: StoreyScope, written: WrittenPipe, field: HeatedField, number: int) -> None:
    """One heated field with its outline at the pipe's height and a body through the floor."""
    low, high = _floor_heights(scope, written, field.room)
    at = (*field.outline.representative_point().coords[0], _pipe_z(written))
    outline = model.shape("FootPrint", "GeometricCurveSet", [shapes.footprint(model, field.outline, at)], ZONE_LAYER)
    solids = shapes.upright(model, field.outline, (low, high), at)
    body = model.shape("Body", "SweptSolid", solids, ZONE_LAYER, "Heated field")
    label = scope.labels.get(field.room, field.room)
    circuit = written.design.laid.number
    zone = model.product(
        "IfcSpatialZone",
        (scope.entity.GlobalId, circuit, field.room, str(number)),
        scope.entity,
        at,
        [outline, body],
        Name=f"{circuit} {label}",
        LongName=f"{'Edge zone' if field.edge else 'Heated field'} of {circuit} in {label}",
        PredefinedType="THERMAL",
    )
    model.gather("IfcRelReferencedInSpatialStructure", scope.entity, [zone])
    if field.room in scope.spaces:
        model.gather("IfcRelReferencedInSpatialStructure", zone, [scope.spaces[field.room]])
    rows = [
        ("CircuitNumber", "IfcLabel", circuit),
        ("HeatedArea", "IfcAreaMeasure", field.area_m2),
        ("Pitch", "IfcLengthMeasure", written.design.laid.pitch_of(field)),
        ("EdgeZone", "IfcBoolean", field.edge),
    ]
    own_set(model, zone, "UFH_HeatedField", rows)


def _pipe_z(written: WrittenPipe) -> float:
    """Height of the pipe in the floor [m]."""
    return min(p[2] for piece in written.run.pieces for p in piece)


def _floor_heights(scope: StoreyScope, written: WrittenPipe, room: str) -> tuple[float, float]:
    """Bottom and top of a room's build-up; a thin floor round the pipe where there is none."""
    for design in scope.storey.rooms:
        if design.room == room and design.build_up is not None and design.build_up.layers:
            return design.build_up.layers[0].bottom_m, design.build_up.layers[-1].top_m
    return _pipe_z(written) - THIN_FLOOR_M / 2, _pipe_z(written) + THIN_FLOOR_M / 2


# --- sleeves ------------------------------------------------------------------------------------


def write_sleeves(model: TradeModel, scope: StoreyScope, written: WrittenPipe) -> None:
    """A provision for void for every counted crossing of a wall."""
    storey = next(s for s in scope.design.building.storeys if s.ifc_guid == scope.entity.GlobalId)
    for number, crossing in enumerate(wall_crossings(storey, written.design.laid, _pipe_z(written)), start=1):
        _provision(model, scope, written, crossing, number)


def wall_crossings(storey: Storey, laid: LaidCircuit, pipe_m: float) -> list[LineString]:
    """The straight pieces of a circuit's axis inside walls and outside passages, the longest `sleeves` of them."""
    if laid.sleeves <= 0:
        return []
    low, high = pipe_m + WALL_BAND_M[0], pipe_m + WALL_BAND_M[1]
    walls = shapely.union_all([w.outline for w in storey.walls if w.bottom_m <= high and w.top_m >= low])
    passages = shapely.union_all([p.outline for p in storey.passages])
    inside = along(laid.axis.line(), walls).difference(passages)
    parts = shapely.get_parts(shapely.line_merge(inside))
    lines = [p for p in parts if p.geom_type == "LineString" and p.length >= SHORTEST_CROSSING_M]
    longest = sorted(lines, key=lambda p: -p.length)[: laid.sleeves]
    return sorted(longest, key=lambda p: float(laid.axis.line().project(p.centroid)))


def _provision(model: TradeModel, scope: StoreyScope, written: WrittenPipe, crossing: LineString, number: int) -> None:
    """A round hole through the wall, asked of the architect."""
    height, circuit = _pipe_z(written), written.design.laid.number
    hole = 2 * scope.design.settings.pipe.outside_diameter_m
    ends = [(*crossing.coords[k], height) for k in (0, -1)]
    bar = shapes.cylinder(model, ends[0], ends[1], hole / 2, ends[0])
    made = model.product(
        "IfcBuildingElementProxy",
        (scope.entity.GlobalId, circuit, "provision", str(number)),
        scope.entity,
        ends[0],
        [model.shape("Body", "SweptSolid", [bar], SLEEVE_LAYER, "Provision for void")],
        Name=f"Sleeve {number} of {circuit}",
        PredefinedType="PROVISIONFORVOID",
    )
    model.gather("IfcRelContainedInSpatialStructure", scope.entity, [made])
    values = {"Diameter": hole, "Depth": crossing.length, "System": "Floor heating"}
    standard_set(model, made, "Pset_BuildingElementProxyProvisionForVoid", {**values, "Shape": "Round"})
    standard_set(model, made, "Pset_ProvisionForVoid", {**values, "VoidShape": "Round"})


# --- rooms --------------------------------------------------------------------------------------


def write_room_results(model: TradeModel, scope: StoreyScope, room: RoomDesign) -> None:
    """Demand and output of a room, in our set and in the standard one of the schema."""
    space, demand, output = scope.spaces.get(room.room), room.demand, room.output
    if space is None:
        return
    rows: list[tuple[str, str, Any]] = [
        ("Status", "IfcLabel", str(room.status)),
        ("Reason", "IfcText", room.reason or None),
    ]
    if demand is not None:
        rows += [
            ("DesignIndoorTemperature", "IfcThermodynamicTemperatureMeasure", demand.indoor_c),
            ("HeatDemand", "IfcPowerMeasure", demand.demand_w),
            ("HeatDemandBasis", "IfcLabel", str(demand.basis)),
        ]
        standard_set(model, space, "Pset_ThermalLoad", {"TotalHeatingLoad": demand.demand_w})
        standard_set(model, space, "Pset_SpaceHVACDesign", {"TemperatureSetPoint": demand.indoor_c})
        loss = {"TotalHeatLoss": demand.demand_w, "HeatingDryBulb": demand.indoor_c}
        standard_set(model, space, "Pset_SpaceThermalDesign", loss)
    if output is not None:
        rows += [
            ("HeatOutput", "IfcPowerMeasure", output.output_w),
            ("TailOutput", "IfcPowerMeasure", room.tail_output_w),
            ("BareFloorLoss", "IfcPowerMeasure", room.bare_loss_w),
            ("MeanSurfaceTemperature", "IfcThermodynamicTemperatureMeasure", output.mean_surface_c),
            ("EdgeSurfaceTemperature", "IfcThermodynamicTemperatureMeasure", output.edge_surface_c),
            ("PeakSurfaceTemperature", "IfcThermodynamicTemperatureMeasure", output.peak_surface_c),
        ]
    rows.append(("Shortfall", "IfcPowerMeasure", _shortfall(room)))
    own_set(model, space, "UFH_Room", rows)


def _shortfall(room: RoomDesign) -> float | None:
    """What is missing [W]: all of the demand where nothing is laid."""
    if room.output is not None:
        return room.output.shortfall_w
    return room.demand.demand_w if room.demand is not None else None
