"""The frame of the heating model: the architect's project, contexts, georeference, storeys and heated rooms.

All of it keeps the architect's GlobalIds, names and placements, so that the two models overlay.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import ifcopenshell
import numpy as np
from ifcopenshell import ifcopenshell_wrapper
from ifcopenshell.util import placement as ifc_placement

from ufh_core.building.types import Building, Room, Storey
from ufh_core.design_result import Design, RoomStatus
from ufh_core.exchange import shapes
from ufh_core.exchange.entity_copy import EntityCopier
from ufh_core.exchange.ifc_units import declare_units
from ufh_core.exchange.trade_model import MODEL, Matrix4, TradeModel

VIEWS = {"Body": "MODEL_VIEW", "Axis": "GRAPH_VIEW", "FootPrint": "MODEL_VIEW", "Clearance": "MODEL_VIEW"}
SPATIAL_NAMES = (
    "GlobalId", "Name", "Description", "ObjectType", "LongName", "CompositionType", "RefLatitude", "RefLongitude",
    "RefElevation", "LandTitleNumber", "SiteAddress", "ElevationOfRefHeight", "ElevationOfTerrain",
    "BuildingAddress", "Elevation", "PredefinedType", "ElevationWithFlooring",
)  # fmt: skip
PROJECT_NAMES = ("GlobalId", "Name", "Description", "ObjectType", "LongName", "Phase")
ROOM_LAYER = "Floor heating - rooms"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectFrame:
    """What the heating elements hang on: entities by the architect's GlobalIds."""

    project: Any
    storeys: dict[str, Any]
    spaces: dict[str, Any]


def write_frame(design: Design, source: Any) -> tuple[TradeModel, ProjectFrame]:
    """A new file with the architect's frame and the rooms that are to be heated."""
    identifier = "IFC4X3_ADD2" if source.schema == "IFC4X3" else "IFC4"
    file: Any = ifcopenshell.file(schema=identifier)  # type: ignore[arg-type]  # takes identifiers too
    copier = EntityCopier(file, ifcopenshell_wrapper.schema_by_name(identifier))
    architect = source.by_type("IfcProject")[0]
    assignment, units = declare_units(file, source, copier)
    contexts = _contexts(file, architect, copier)
    model = TradeModel(file, units, _subcontexts(file, contexts), architect.GlobalId)
    project = file.create_entity("IfcProject", **copier.attributes(architect, PROJECT_NAMES))
    project.UnitsInContext, project.RepresentationContexts = assignment, contexts
    model.keep_guid(architect.GlobalId)
    _georeference(source, copier)
    tree = _SpatialTree(model, copier, source, project)
    storeys = {s.ifc_guid: tree.storey(s, design.building) for s in design.building.storeys}
    spaces = _spaces(design, tree)
    return model, ProjectFrame(project=project, storeys=storeys, spaces=spaces)


# --- contexts and georeference ------------------------------------------------------------------


def _contexts(file: Any, project: Any, copier: EntityCopier) -> list[Any]:
    """Copies of the project's geometric contexts, the one for bodies first."""
    own = [c for c in project.RepresentationContexts or () if c.is_a("IfcGeometricRepresentationContext")]
    own = [c for c in own if not c.is_a("IfcGeometricRepresentationSubContext")]
    copies = [_context(file, c, copier) for c in own]
    for_bodies = [c for c in copies if c.ContextType == MODEL] or [c for c in copies if c.CoordinateSpaceDimension == 3]
    if not for_bodies:
        for_bodies = [_new_context(file)]
    return [for_bodies[0], *(c for c in copies if c != for_bodies[0])]


def _context(file: Any, context: Any, copier: EntityCopier) -> Any:
    """The copy of a context; its true north becomes the plan direction that it must be."""
    only = ("ContextIdentifier", "ContextType", "CoordinateSpaceDimension", "Precision", "WorldCoordinateSystem")
    copy = file.create_entity("IfcGeometricRepresentationContext", **copier.attributes(context, only))
    if copy.WorldCoordinateSystem is None:
        copy.WorldCoordinateSystem = _origin(file)
    north = [float(c) for c in context.TrueNorth.DirectionRatios[:2]] if context.TrueNorth else [0.0]
    if len(north) == 2 and math.hypot(*north) > 0:
        copy.TrueNorth = file.create_entity("IfcDirection", north)
    copier.remember(context, copy)
    return copy


def _new_context(file: Any) -> Any:
    """A context for bodies, where the architect's file has none."""
    return file.create_entity(
        "IfcGeometricRepresentationContext",
        ContextType=MODEL,
        CoordinateSpaceDimension=3,
        Precision=1e-5,
        WorldCoordinateSystem=_origin(file),
    )


def _origin(file: Any) -> Any:
    """The world's axes."""
    return file.create_entity("IfcAxis2Placement3D", file.create_entity("IfcCartesianPoint", (0.0, 0.0, 0.0)))


def _subcontexts(file: Any, contexts: list[Any]) -> dict[str, Any]:
    """Subcontexts by representation identifier."""
    return {
        name: file.create_entity(
            "IfcGeometricRepresentationSubContext",
            ContextIdentifier=name,
            ContextType=MODEL,
            ParentContext=contexts[0],
            TargetView=view,
        )
        for name, view in VIEWS.items()
    }


def _georeference(source: Any, copier: EntityCopier) -> None:
    """Copies of the map conversions (IFC4 and later), with their reference systems."""
    if source.schema == "IFC2X3":
        return
    for operation in source.by_type("IfcCoordinateOperation"):
        if operation.SourceCRS.is_a("IfcGeometricRepresentationContext"):
            copier.copy(operation)


# --- storeys ------------------------------------------------------------------------------------


class _SpatialTree:
    """The architect's sites, buildings and storeys, copied as they are needed."""

    def __init__(self, model: TradeModel, copier: EntityCopier, source: Any, project: Any) -> None:
        self.model, self.copier, self.source = model, copier, source
        self.copies = {source.by_type("IfcProject")[0].id(): project}

    def architects(self, guid: str) -> Any | None:
        """The architect's element of a GlobalId."""
        try:
            return self.source.by_guid(guid)
        except RuntimeError:
            return None

    def copy(self, element: Any) -> Any:
        """The copy of a spatial element, hung into the copy of what it is a part of."""
        if element.id() not in self.copies:
            made = self.model.make(element.is_a(), **self.copier.attributes(element, SPATIAL_NAMES))
            self.model.keep_guid(made.GlobalId)
            made.ObjectPlacement = self.placement(element)
            self.copies[element.id()] = made
            self.model.gather("IfcRelAggregates", self.copy(self.whole(element)), [made])
        return self.copies[element.id()]

    def whole(self, element: Any) -> Any:
        """What a spatial element is a part of: the next one above that is no room; else the project."""
        above = [r.RelatingObject for r in element.Decomposes or () if r.is_a("IfcRelAggregates")]
        if not above:
            return self.source.by_type("IfcProject")[0]
        return self.whole(above[0]) if above[0].is_a("IfcSpace") else above[0]

    def placement(self, element: Any) -> Any | None:
        """The copy of an element's placement with all that it is relative to."""
        return self.copier.copy(element.ObjectPlacement) if element.ObjectPlacement is not None else None

    def first_whole(self) -> Any:
        """The copy of the first building (else site, else project)."""
        wholes = [e for kind in ("IfcBuilding", "IfcSite", "IfcProject") for e in self.source.by_type(kind)]
        return self.copy(wholes[0])

    def storey(self, storey: Storey, building: Building) -> Any:
        """The storey in the new file; one that the architect's file does not have is made."""
        element = self.architects(storey.ifc_guid)
        made = self.copy(element) if element is not None else new_storey(self.model, storey, self.first_whole())
        inverse = np.linalg.inv(world(made, self.model.units.length_m))
        self.model.set_base(made, inverse @ plan_frame_matrix(building))
        return made


def new_storey(model: TradeModel, storey: Storey, whole: Any) -> Any:
    """A storey of ours, part of `whole`."""
    matrix = np.array(storey.placement, dtype=float)
    frame = model.axes(matrix[:3, 3], matrix[:3, 2], matrix[:3, 0])
    made = model.make(
        "IfcBuildingStorey",
        GlobalId=model.keep_guid(storey.ifc_guid),
        Name=storey.name,
        ObjectPlacement=model.make("IfcLocalPlacement", None, frame),
        CompositionType="ELEMENT",
        Elevation=model.lengths((storey.elevation_m,))[0],
    )
    model.gather("IfcRelAggregates", whole, [made])
    return made


def world(element: Any, length_m: float) -> Matrix4:
    """World matrix of a placed element, in metres."""
    matrix = np.eye(4)
    if element.ObjectPlacement is not None:
        matrix = np.array(ifc_placement.get_local_placement(element.ObjectPlacement), dtype=float)
    matrix[:3, 3] *= length_m
    return matrix


def plan_frame_matrix(building: Building) -> Matrix4:
    """World matrix of the plan frame; heights are the world's."""
    c, s = math.cos(building.frame.rotation), math.sin(building.frame.rotation)
    x, y, _ = building.frame.origin
    return np.array([[c, -s, 0.0, x], [s, c, 0.0, y], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


# --- rooms --------------------------------------------------------------------------------------


def _spaces(design: Design, tree: _SpatialTree) -> dict[str, Any]:
    """The rooms that are heated or should be, by GlobalId."""
    wanted = {r.room for s in design.storeys for r in s.rooms if r.status is not RoomStatus.NOT_HEATED}
    made = {}
    for storey in design.building.storeys:
        for room in storey.rooms:
            if room.ifc_guid in wanted:
                made[room.ifc_guid] = _space(tree, storey, room)
    return made


def _space(tree: _SpatialTree, storey: Storey, room: Room) -> Any:
    """A room with the architect's placement and body, or an outline at its height where there is none."""
    element = tree.architects(room.ifc_guid)
    parent = tree.copies.get(getattr(tree.architects(storey.ifc_guid), "id", lambda: -1)())
    if element is None:
        return derived_space(tree.model, parent or tree.model.file.by_guid(storey.ifc_guid), room)
    made = tree.copy(element)
    if made.PredefinedType is None:
        made.PredefinedType = "INTERNAL"
    copied = _copied_shapes(tree, element)
    if copied and made.ObjectPlacement is not None:
        made.Representation = tree.model.make("IfcProductDefinitionShape", Representations=copied)
    elif parent is not None:
        made.ObjectPlacement, made.Representation = _drawn_space(tree.model, parent, room)
    return made


def derived_space(model: TradeModel, storey: Any, room: Room) -> Any:
    """A room that was found from the walls."""
    placement, shape = _drawn_space(model, storey, room)
    made = model.make(
        "IfcSpace",
        GlobalId=model.keep_guid(room.ifc_guid),
        Name=room.name or None,
        LongName=room.long_name or None,
        ObjectPlacement=placement,
        Representation=shape,
        CompositionType="ELEMENT",
        PredefinedType="INTERNAL",
    )
    model.gather("IfcRelAggregates", storey, [made])
    return made


def _drawn_space(model: TradeModel, storey: Any, room: Room) -> tuple[Any, Any]:
    """(placement, shape) of a room from its clear outline; no shape where nothing of it can be drawn."""
    if not shapes.polygons(room.outline):
        return model.place(storey, (0.0, 0.0, room.floor_m)), None
    at = (*room.outline.representative_point().coords[0], room.floor_m)
    solids = shapes.upright(model, room.outline, (room.floor_m, room.floor_m + room.height_m), at)
    body = model.shape("Body", "SweptSolid", solids, ROOM_LAYER, "Room")
    return model.place(storey, at), model.make("IfcProductDefinitionShape", Representations=[body])


def _copied_shapes(tree: _SpatialTree, element: Any) -> list[Any]:
    """The architect's body and footprint of a room, copied item by item; none where this schema cannot hold them."""
    found = []
    for shape in element.Representation.Representations if element.Representation else ():
        name = shape.RepresentationIdentifier
        if name not in ("Body", "FootPrint"):
            continue
        try:
            items = [tree.copier.copy(item) for item in shape.Items]
        except (RuntimeError, ValueError, TypeError, AttributeError):
            return []
        style = "Room" if name == "Body" else ""
        found.append(tree.model.shape(name, shape.RepresentationType, items, ROOM_LAYER, style))
    return found if any(s.RepresentationIdentifier == "Body" for s in found) else []
