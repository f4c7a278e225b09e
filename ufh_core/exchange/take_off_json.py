"""The order in design.json: as a whole, coil by coil, and what of it goes to which storey, manifold and room."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import shapely

from ufh_core.building.types import Room
from ufh_core.design_result import Design, RoomDesign, StoreyDesign
from ufh_core.exchange.coil_json import coil_rows
from ufh_core.exchange.pipe_run import circuit_run

DIGITS = 3


def take_off_rows(design: Design) -> dict[str, Any]:
    """`take_off`: `lines` to order with spare; `storeys`, `manifolds` and `rooms` with net quantities, without."""
    rooms = [
        _room(design.building.room(room.room), room, storey)
        for storey in design.storeys
        for room in storey.rooms
        if room.build_up is not None
    ]
    return {
        "lines": [{**asdict(line), "quantity": round(float(line.quantity), DIGITS)} for line in design.take_off],
        "coils": coil_rows(design.coils),
        "storeys": [_storey(design, storey, rooms) for storey in design.storeys],
        "manifolds": [_manifold(design, name, storey) for storey in design.storeys for name in _manifolds(storey)],
        "rooms": rooms,
    }


def _room(room: Room, result: RoomDesign, storey: StoreyDesign) -> dict[str, Any]:
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
            "panel_m2": room.outline.area,
            "insulation_m2": room.outline.area if insulated else 0.0,
            "edge_strip_m": build_up.edge_strip_m,
            "screed_m3": build_up.screed_volume_m3,
            "mass_kg": build_up.mass_kg_m2 * room.outline.area,
        }
    )


def _storey(design: Design, storey: StoreyDesign, rooms: list[dict[str, Any]]) -> dict[str, Any]:
    """Sums over the rooms of a storey; its pipe is that of its circuits, ways through doors and risers too."""
    mine = [room for room in rooms if room["storey"] == storey.storey]
    sums = {key: sum(room[key] for room in mine) for key in ("panel_m2", "insulation_m2", "edge_strip_m", "screed_m3")}
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
