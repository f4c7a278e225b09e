"""The order in design.json: as a whole, coil by coil, and what of it goes to which storey, manifold and room."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import shapely

from ufh_core.building.types import Room
from ufh_core.design_result import Design, RoomDesign, StoreyDesign
from ufh_core.exchange.coil_json import coil_rows
from ufh_core.exchange.pipe_run import circuit_run
from ufh_core.floor.fixing import PANELS, rails_m, staples
from ufh_core.floor.types import DoorwayFloor, TakeOffLine
from ufh_core.joints.pours import Pour
from ufh_core.settings.types import Settings

DIGITS = 3


def take_off_rows(design: Design) -> dict[str, Any]:
    """`take_off`: `lines` to order with spare, in whole packs; net quantities by storey, manifold and room, without.

    `deliveries` divides the lines, but for coils, by storey in the order in which storeys are laid.
    """
    rooms = [
        _room(design.building.room(room.room), room, storey, design.settings)
        for storey in design.storeys
        for room in storey.rooms
        if room.build_up is not None
    ]
    return {
        "lines": [_line(line) for line in design.take_off],
        "deliveries": [
            {"storey": each.storey, "lines": [_line(line) for line in each.lines]} for each in design.deliveries
        ],
        "coils": coil_rows(design.coils),
        "pours": [_pour(design, pour) for pour in design.pours],
        "pour_days": [_rounded(asdict(day) | {"fields": list(day.fields)}) for day in design.pour_days],
        "doorways": [_doorway(storey, each) for storey in design.storeys for each in storey.doorways],
        "storeys": [_storey(design, storey, rooms) for storey in design.storeys],
        "manifolds": [_manifold(design, name, storey) for storey in design.storeys for name in _manifolds(storey)],
        "rooms": rooms,
    }


def _line(line: TakeOffLine) -> dict[str, Any]:
    return _rounded(asdict(line) | {"quantity": float(line.quantity)})


def _pour(design: Design, pour: Pour) -> dict[str, Any]:
    """One field of screed in the order of pouring; `field` counts the storey's `joints.pour_fields` from 1."""
    storey = next(s for s in design.storeys if s.storey == pour.storey)
    rooms = [design.building.room(room).label for room in storey.joints.fields[pour.field].rooms]
    return _rounded(asdict(pour) | {"field": pour.field + 1, "rooms": rooms})


def _doorway(storey: StoreyDesign, doorway: DoorwayFloor) -> dict[str, Any]:
    """The screed in one doorway; `fields` count the storey's `joints.pour_fields` from 1 and share it equally."""
    return _rounded(
        {
            "ifc_guid": doorway.passage,
            "storey": storey.storey,
            "rooms": list(doorway.rooms),
            "fields": [k + 1 for k in doorway.fields],
            "area_m2": float(doorway.outline.area),
            "screed_m3": doorway.screed_m3,
        }
    )


def _room(room: Room, result: RoomDesign, storey: StoreyDesign, settings: Settings) -> dict[str, Any]:
    """Net quantities of one room; its pipe is all that lies in its outline, tails of others too."""
    build_up = result.build_up
    assert build_up is not None
    lines = [circuit.laid.axis.line() for circuit in storey.circuits]
    pipe = sum(float(shapely.intersection(line, room.outline).length) for line in lines)
    insulated = any(layer.role == "insulation" for layer in build_up.layers)
    return _rounded(
        {
            "ifc_guid": room.ifc_guid,
            "storey": storey.storey,
            "pipe_m": pipe,
            "panel_m2": room.outline.area if build_up.fixing == PANELS else 0.0,
            "staples": staples(pipe, settings),
            "clip_rail_m": rails_m(result.heated_area_m2, settings),
            "insulation_m2": room.outline.area if insulated else 0.0,
            "edge_strip_m": build_up.edge_strip_m,
            "screed_m3": build_up.screed_volume_m3,
            "mass_kg": build_up.mass_kg_m2 * room.outline.area,
        }
    )


def _storey(design: Design, storey: StoreyDesign, rooms: list[dict[str, Any]]) -> dict[str, Any]:
    """Sums over the rooms of a storey, with screed in doorways; its pipe is that of its circuits, with risers."""
    mine = [room for room in rooms if room["storey"] == storey.storey]
    sums = {key: sum(room[key] for room in mine) for key in ("panel_m2", "insulation_m2", "edge_strip_m", "screed_m3")}
    sums["screed_m3"] += sum(doorway.screed_m3 for doorway in storey.doorways)
    pipe = sum(circuit_run(design, storey, circuit).length_m for circuit in storey.circuits)
    return _rounded({"storey": storey.storey, "circuits": len(storey.circuits), "pipe_m": pipe, **sums})


def _manifolds(storey: StoreyDesign) -> list[str]:
    return [each.manifold.name for each in storey.manifolds]


def _manifold(design: Design, name: str, storey: StoreyDesign) -> dict[str, Any]:
    """Ports and pipe of one manifold."""
    mine = [circuit for circuit in storey.circuits if circuit.laid.manifold == name]
    pipe = sum(circuit_run(design, storey, circuit).length_m for circuit in mine)
    return _rounded({"manifold": name, "circuits": len(mine), "pipe_m": pipe})


def _rounded(values: dict[str, Any]) -> dict[str, Any]:
    return {key: round(value, DIGITS) if isinstance(value, float) else value for key, value in values.items()}
