"""design.json: every result of the design in SI, with the unit in the key."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LinearRing, Polygon

from ufh_core.basis.findings import Finding
from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.whole_file import write_whole
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.building.types import Building, Room, Storey
from ufh_core.circuits.types import FailedRoom, HeatedField
from ufh_core.design_result import CircuitDesign, Design, ManifoldDesign, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.exchange.choice_json import room_choices
from ufh_core.exchange.cooling_json import cooling_row
from ufh_core.exchange.demand_json import demand_row
from ufh_core.exchange.joints_json import joints_rows
from ufh_core.exchange.network_json import network_rows, valve_rows, vessel_rows
from ufh_core.exchange.panels_json import panel_rows, panel_size
from ufh_core.exchange.pipe_run import circuit_run
from ufh_core.exchange.plan_points import moved, path_of, turned
from ufh_core.exchange.screed_json import screed_rows
from ufh_core.exchange.setting_out_json import setting_out_cards, setting_out_rows
from ufh_core.exchange.surface_json import surface_of_pipe, surface_of_room
from ufh_core.exchange.take_off_json import take_off_rows
from ufh_core.floor.types import BuildUp

SCHEMA = 1
DIGITS = 6


def write_json(design: Design, out: Path) -> None:
    """Write design.json, whole or not at all. Raises `OutputError`."""
    write_whole(out, json.dumps(design_to_json(design), indent=1, ensure_ascii=False, allow_nan=False) + "\n")


def design_to_json(design: Design) -> dict[str, Any]:
    """The design as plain values, in the order of the design, floats rounded to 1e-6."""
    return {
        "schema": SCHEMA,
        "model": _model(design.building),
        "settings": {"digest": design.settings_digest, **_plain(asdict(design.settings))},
        "software_version": design.software_version,
        "storeys": [_storey(design, storey) for storey in design.storeys],
        "water": _plain(vessel_rows(design.vessel)),
        "findings": [_finding(design.building, finding) for finding in design.findings],
        "take_off": take_off_rows(design),
        **_plain(screed_rows(design)),
    }


def _plain(value: Any) -> Any:
    """Values that JSON has; what is not finite becomes null."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if isinstance(value, (bool, str, int)) or value is None:
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return _plain(asdict(value))
    number = float(value)
    return (round(number, DIGITS) + 0.0) if math.isfinite(number) else None


def _model(building: Building) -> dict[str, Any]:
    """Where the design comes from."""
    return _plain_dict(
        project_name=building.project_name,
        building_name=building.building_name,
        schema=building.schema,
        length_unit_m=building.length_unit_m,
        file_digest=building.file_digest,
        north_rad=building.north_rad,
    ) | {"plan_frame": frame_row(building.frame)}


def frame_row(frame: LocalFrame) -> dict[str, Any]:
    """A plan frame in world coordinates, to the last digit: a run that keeps circuits lays its lattices in it."""
    return {"origin_m": [float(v) for v in frame.origin], "rotation_rad": float(frame.rotation)}


def _plain_dict(**values: Any) -> dict[str, Any]:
    """Keyword values as plain values."""
    return {key: _plain(value) for key, value in values.items()}


def _storey(design: Design, storey: StoreyDesign) -> dict[str, Any]:
    """One storey."""
    own = next(s for s in design.building.storeys if s.ifc_guid == storey.storey)
    rooms = {room.ifc_guid: room for room in own.rooms}
    turn = plan_to_storey(design.building, own)
    laid = [circuit.laid for circuit in storey.circuits]
    cards = {card.number: _plain(setting_out_rows(card, turn)) for card in setting_out_cards(design, storey)}
    return {
        "name": own.name,
        "ifc_guid": own.ifc_guid,
        "elevation_m": _plain(own.elevation_m),
        "rooms": [
            _room(own, rooms[room.room], room)
            | surface_of_room(storey.surface, room.room, turn)
            | ({"warm_up": _plain(asdict(room.warm_up))} if room.warm_up is not None else {})
            | ({"cooling": cooling_row(room.cooling)} if room.cooling is not None else {})
            | {"choices": _plain(room_choices(room.room, laid))}
            for room in storey.rooms
        ],
        "manifolds": [_manifold(manifold, turn) for manifold in storey.manifolds],
        "circuits": [
            _circuit(design, storey, circuit, turn) | {"setting_out": cards.get(circuit.laid.number)}
            for circuit in storey.circuits
        ],
        "not_laid": [_not_laid(failed, turn) for failed in storey.failed],
        "build_up": {r.room: _build_up(r.build_up) for r in storey.rooms if r.build_up is not None},
        "panels": _plain(panel_size(design, storey) | panel_rows(storey.panels, turn)),
        "joints": _plain(joints_rows(storey.joints, turn)),
    }


def _room(storey: Storey, room: Room, design: RoomDesign) -> dict[str, Any]:
    """One room with its status, and the reason unless it is heated."""
    row = _plain_dict(
        ifc_guid=room.ifc_guid,
        name=room.label,
        storey=storey.name,
        kind=str(room.kind),
        derived=room.derived,
        dwelling=room.dwelling,
        area_m2=room.outline.area,
        heated_area_m2=design.heated_area_m2,
        status=str(design.status),
    )
    if design.status is not RoomStatus.HEATED:
        row["reason"] = design.reason or "no reason was given"
    if design.answers:
        row["answers"] = [_plain(asdict(answer)) for answer in design.answers]
    if design.demand is not None:
        row |= _plain_dict(**demand_row(design.demand))
    return row | _output(design)


def _output(design: RoomDesign) -> dict[str, Any]:
    """What the floor of a room gives."""
    output = design.output
    if output is None:
        return _plain_dict(shortfall_w=design.demand.demand_w) if design.demand is not None else {}
    return _plain_dict(
        pitch_m=output.pitch_m,
        heat_output_w=output.output_w,
        tail_output_w=design.tail_output_w,
        bare_floor_loss_w=design.bare_loss_w,
        shortfall_w=output.shortfall_w,
        heat_flux_w_m2=output.heat_flux,
        limit_heat_flux_w_m2=output.limit_flux,
        downward_heat_flux_w_m2=output.downward_flux,
        characteristic_w_m2k=output.characteristic,
        overtemperature_k=output.overtemperature_k,
        flow_temperature_c=output.flow_c,
        return_temperature_c=output.return_c,
        spread_k=output.spread_k,
        mass_flow_kg_s=output.mass_flow,
        mean_surface_temperature_c=output.mean_surface_c,
        edge_surface_temperature_c=output.edge_surface_c,
        peak_surface_temperature_c=output.peak_surface_c,
        limited_by=output.limited_by,
        advice=output.advice,
        remedies=[asdict(remedy) for remedy in output.remedies],
    )


def _manifold(design: ManifoldDesign, turn: NDArray[np.float64]) -> dict[str, Any]:
    """One manifold; places in the storey's frame."""
    manifold, pump = design.manifold, design.pump
    return _plain_dict(
        name=manifold.name,
        room=manifold.room,
        position=moved(turn, manifold.position),
        normal=turned(turn, manifold.normal),
        width_m=manifold.width_m,
        depth_m=manifold.depth_m,
        station_side=manifold.station_side,
        place=manifold.place or None,
        ports=[
            {"number": p.number, "flow": moved(turn, p.flow), "return": moved(turn, p.return_)} for p in manifold.ports
        ],
        flow_temperature_c=design.flow_c,
        return_temperature_c=design.return_c,
        mass_flow_kg_s=pump.mass_flow,
        volume_flow_m3_s=pump.volume_flow,
        pump_pressure_pa=pump.pressure_pa,
        index_circuit=pump.index_circuit,
        pump_pressure_entries=[asdict(entry) for entry in pump.entries],
        water_content_m3=pump.water_content_m3,
        water_expansion_m3=pump.expansion_m3,
        network=network_rows(design.network),
    )


def _circuit(design: Design, storey: StoreyDesign, circuit: CircuitDesign, turn: NDArray[np.float64]) -> dict[str, Any]:
    """One circuit; its length is that of the pipe as it is drawn in heating.ifc."""
    laid, flow = circuit.laid, circuit.flow
    return _plain_dict(
        number=laid.number,
        manifold=laid.manifold,
        port=laid.port,
        rooms=laid.rooms,
        length_m=circuit_run(design, storey, circuit).length_m,
        tail_length_m=laid.tail_length_m,
        pitch_m=laid.pitch_m,
        edge_zones=[{"pitch_m": laid.pitch_of(f), "area_m2": f.area_m2} for f in laid.fields if f.edge] or None,
        heated_area_m2=laid.heated_area_m2,
        heat_output_w=circuit.output_w,
        downward_loss_w=circuit.downward_w,
        flow_temperature_c=circuit.flow_c,
        return_temperature_c=circuit.return_c,
        mass_flow_kg_s=flow.mass_flow,
        volume_flow_m3_s=flow.volume_flow,
        velocity_m_s=flow.velocity,
        reynolds=flow.reynolds,
        flow_regime=flow.regime,
        **valve_rows(flow),
        valve_setting=circuit.valve_setting,
        wall_sleeves=laid.sleeves,
        kept=laid.kept or None,
        fields=[_field(f, turn) for f in laid.fields],
        path=path_of(laid.axis, turn),
        surface=surface_of_pipe(storey.surface, laid.number),
    )


def _not_laid(failed: FailedRoom, turn: NDArray[np.float64]) -> dict[str, Any]:
    """A room or a part of one without a circuit; the path nearest to one breaks a rule and is not in heating.ifc."""
    path = path_of(failed.best_attempt, turn) if failed.best_attempt is not None else None
    return _plain_dict(room=failed.room, reason=failed.reason, best_attempt_path=path)


def _field(field: HeatedField, turn: NDArray[np.float64]) -> dict[str, Any]:
    """The floor that a circuit heats in one room."""
    rings = [[moved(turn, (x, y)) for x, y in ring.coords[:-1]] for ring in _rings(field.outline)]
    return {"room": field.room, "area_m2": field.area_m2, "outline": rings[0], "holes": rings[1:]}


def _rings(outline: Polygon) -> list[LinearRing]:
    return [outline.exterior, *outline.interiors]


def _build_up(build_up: BuildUp) -> dict[str, Any]:
    """The floor of one room, from below to above."""
    return _plain_dict(
        height_m=build_up.height_m,
        pipe_axis_m=build_up.pipe_axis_m,
        below=build_up.below,
        thermal_resistance_below_m2k_w=build_up.r_below,
        available_m=build_up.available_m,
        missing_height_m=build_up.missing_height_m,
        screed_volume_m3=build_up.screed_volume_m3,
        edge_strip_m=build_up.edge_strip_m,
        mass_kg_m2=build_up.mass_kg_m2,
        fixing=build_up.fixing,
        layers=[
            {
                "role": layer.role,
                "material": layer.material,
                "bottom_m": layer.bottom_m,
                "top_m": layer.top_m,
                "thermal_resistance_m2k_w": layer.r_value,
            }
            for layer in build_up.layers
        ],
    )


def _finding(building: Building, finding: Finding) -> dict[str, Any]:
    """One finding; its place in world coordinates."""
    row = _plain_dict(
        severity=str(finding.severity),
        code=finding.code,
        message=finding.message,
        ifc_guids=finding.ifc_guids,
        source=finding.source,
    )
    if finding.at is not None:
        row["at_world"] = _plain(building.frame.to_world(np.array([finding.at]))[0].tolist())
    return row
