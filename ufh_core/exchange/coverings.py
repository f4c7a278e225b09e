"""The floor build-up of a room: every layer as a covering with its body, material and quantities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import shapely
from shapely.geometry import MultiPolygon, Polygon

from ufh_core.building.types import Room
from ufh_core.exchange import shapes
from ufh_core.exchange.pipes import StoreyScope
from ufh_core.exchange.properties import material_conductivity, own_set, quantities
from ufh_core.exchange.trade_model import TradeModel
from ufh_core.floor.types import BuildUp, DoorwayFloor, Layer

LAYER = "Floor heating - build-up"
INSIDE_STRIP = ("panel", "screed", "finish")
"""Layers that the edge strip parts from the wall."""


@dataclass(frozen=True, slots=True)
class Kind:
    """How a layer's role is written: name, predefined type, object type and style."""

    name: str
    predefined: str
    object_type: str | None
    style: str


KINDS = {
    "membrane": Kind("Damp-proof membrane", "MEMBRANE", None, "Damp-proof membrane and foil"),
    "insulation": Kind("Insulation", "INSULATION", None, "Insulation"),
    "foil": Kind("Foil", "MEMBRANE", None, "Damp-proof membrane and foil"),
    "panel": Kind("Castellated panel", "INSULATION", "CASTELLATED PANEL", "Castellated panel"),
    "screed": Kind("Screed", "USERDEFINED", "SCREED", "Screed"),
    "finish": Kind("Floor finish", "FLOORING", None, "Floor finish"),
    "edge strip": Kind("Edge strip", "USERDEFINED", "EDGE STRIP", "Edge strip"),
}
NEWER_SCREED = Kind("Screed", "TOPPING", None, "Screed")


def write_build_up(
    model: TradeModel, scope: StoreyScope, room: Room, build_up: BuildUp, *, panels_apart: bool = False
) -> Any | None:
    """All layers of a room's floor, with the edge strip round it; the covering of the panels, None where there is none.

    With `panels_apart` the panels' covering has no body, because its parts have theirs.
    """
    space = scope.spaces.get(room.ifc_guid)
    if space is None or not build_up.layers or not shapes.polygons(room.outline):
        return None
    panels = None
    inner = inside_strip(room, scope.design.settings.floor.edge_strip_thickness_m)
    for number, layer in enumerate(build_up.layers, start=1):
        outline = inner if layer.role in INSIDE_STRIP else room.outline
        bare = panels_apart and layer.role == "panel"
        made = _covering(model, scope, space, (room, outline), (layer, number), build_up, bare=bare)
        panels = made if layer.role == "panel" else panels
    strip = shapely.difference(room.outline, inner)
    if isinstance(strip, (Polygon, MultiPolygon)) and shapes.polygons(strip):
        _covering(model, scope, space, (room, strip), (_strip_layer(build_up), 0), build_up)
    own_set(model, space, "UFH_BuildUp", _room_rows(build_up))
    return panels


def write_doorways(model: TradeModel, scope: StoreyScope, rooms: Mapping[str, Room]) -> None:
    """The screed in doorways, each with the first of its rooms."""
    built = {room.room: room.build_up for room in scope.storey.rooms if room.build_up is not None}
    for doorway in scope.storey.doorways:
        room = doorway.rooms[0]
        for layer in (layer for layer in built[room].layers if layer.role == "screed" and room in scope.spaces):
            own = replace(built[room], screed_volume_m3=doorway.screed_m3)
            where, what = (rooms[room], doorway.outline), (layer, doorway_key(doorway))
            _covering(model, scope, scope.spaces[room], where, what, own)


def doorway_label(room: Room) -> str:
    """What a doorway's screed is called."""
    return f"doorway of {room.label}"


def doorway_key(doorway: DoorwayFloor) -> str:
    """What tells a doorway's screed from its room's."""
    return f"doorway {doorway.passage}"


def inside_strip(room: Room, thickness_m: float) -> Polygon | MultiPolygon:
    """The floor within the edge strip; the whole floor where nothing would be left."""
    inner = room.outline.buffer(-thickness_m, join_style="mitre")
    return inner if shapes.polygons(inner) else room.outline


def _strip_layer(build_up: BuildUp) -> Layer:
    """The edge strip, from the panel's base (else the lowest layer) to the top of the floor."""
    parted = [layer for layer in build_up.layers if layer.role in INSIDE_STRIP] or list(build_up.layers)
    return Layer(role="edge strip", material="edge strip", bottom_m=parted[0].bottom_m, top_m=build_up.layers[-1].top_m)


def _covering(
    model: TradeModel,
    scope: StoreyScope,
    space: Any,
    where: tuple[Room, Polygon | MultiPolygon],
    what: tuple[Layer, int | str],
    build_up: BuildUp,
    *,
    bare: bool = False,
) -> Any | None:
    """One layer, `bare` without a body; its number is a name where it lies in a doorway."""
    (room, outline), (layer, number) = where, what
    kind = NEWER_SCREED if layer.role == "screed" and model.newer else KINDS.get(layer.role, KINDS["insulation"])
    in_doorway = isinstance(number, str)
    at = (*(outline if in_doorway else room.outline).representative_point().coords[0], layer.bottom_m)
    solids = shapes.polygons(outline) if bare else shapes.upright(model, outline, (layer.bottom_m, layer.top_m), at)
    if not solids:
        return None
    made = model.product(
        "IfcCovering",
        (room.ifc_guid, layer.role, str(number)),
        scope.entity,
        at,
        [] if bare else [model.shape("Body", "SweptSolid", solids, LAYER, kind.style)],
        Name=f"{kind.name}, {doorway_label(room) if in_doorway else room.label}",
        ObjectType=kind.object_type,
        PredefinedType=kind.predefined,
    )
    model.gather("IfcRelContainedInSpatialStructure", scope.entity, [made])
    model.gather("IfcRelCoversSpaces", space, [made])
    _material(model, made, layer)
    area = sum(p.area for p in shapes.polygons(outline))
    width = scope.design.settings.floor.edge_strip_thickness_m if layer.role == "edge strip" else layer.thickness_m
    values = {"Width": width, "GrossArea": area, "NetArea": area}
    quantities(model, made, "Qto_CoveringBaseQuantities", values)
    own_set(model, made, "UFH_BuildUp", _layer_rows(layer, build_up))
    return made


def _material(model: TradeModel, covering: Any, layer: Layer) -> None:
    """The layer's material, with the conductivity that its resistance stands for."""
    material, new = model.material(layer.material or layer.role, layer.role)
    if new and layer.r_value > 0 and layer.thickness_m > 0:
        material_conductivity(model, material, layer.thickness_m / layer.r_value)
    model.gather("IfcRelAssociatesMaterial", material, [covering])


def _layer_rows(layer: Layer, build_up: BuildUp) -> Sequence[tuple[str, str, Any]]:
    """Values of one layer; screed volume and strip length stand on the screed and the strip."""
    return [
        ("Role", "IfcLabel", layer.role),
        ("Thickness", "IfcLengthMeasure", layer.thickness_m),
        ("ThermalResistance", "IfcThermalResistanceMeasure", layer.r_value or None),
        ("NetVolume", "IfcVolumeMeasure", build_up.screed_volume_m3 if layer.role == "screed" else None),
        ("Length", "IfcLengthMeasure", build_up.edge_strip_m if layer.role == "edge strip" else None),
    ]


def _room_rows(build_up: BuildUp) -> Sequence[tuple[str, str, Any]]:
    """Values of the whole build-up."""
    return [
        ("Height", "IfcLengthMeasure", build_up.height_m),
        ("AvailableHeight", "IfcLengthMeasure", build_up.available_m),
        ("MissingHeight", "IfcLengthMeasure", build_up.missing_height_m),
        ("PipeAxisHeight", "IfcLengthMeasure", build_up.pipe_axis_m),
        ("Below", "IfcLabel", build_up.below),
        ("ThermalResistanceBelow", "IfcThermalResistanceMeasure", build_up.r_below),
        ("ScreedVolume", "IfcVolumeMeasure", build_up.screed_volume_m3),
        ("EdgeStripLength", "IfcLengthMeasure", build_up.edge_strip_m),
        ("MassPerArea", "IfcAreaDensityMeasure", build_up.mass_kg_m2),
        ("PipeFixing", "IfcLabel", build_up.fixing),
    ]
