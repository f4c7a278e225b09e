"""The heating trade's file while it is written: placed products, relations, styles, layers, stable ids.

Coordinates come in the building's plan frame with world heights [m]; they are turned into the
storey's placement and the file's length unit here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.exchange.ifc_units import FileUnits

Vector = Sequence[float] | NDArray[np.float64]
Matrix4 = NDArray[np.float64]

MODEL, DRAWING = "Model", "Plan"
DIGITS = 9

STYLES: dict[str, tuple[tuple[float, float, float], float]] = {
    "Heating flow": ((0.80, 0.20, 0.16), 0.0),
    "Heating return": ((0.16, 0.36, 0.74), 0.0),
    "Heating fittings": ((0.62, 0.60, 0.55), 0.0),
    "Manifold cabinet": ((0.86, 0.86, 0.84), 0.6),
    "Service space": ((0.95, 0.80, 0.30), 0.8),
    "Heated field": ((0.96, 0.62, 0.36), 0.7),
    "Provision for void": ((0.55, 0.25, 0.65), 0.5),
    "Damp-proof membrane and foil": ((0.35, 0.40, 0.55), 0.4),
    "Insulation": ((0.93, 0.87, 0.60), 0.4),
    "Castellated panel": ((0.30, 0.31, 0.33), 0.4),
    "Screed": ((0.70, 0.69, 0.66), 0.6),
    "Floor finish": ((0.75, 0.60, 0.45), 0.6),
    "Edge strip": ((0.55, 0.75, 0.80), 0.3),
    "Movement joint": ((0.44, 0.13, 0.48), 0.0),
    "Room": ((0.85, 0.90, 0.92), 0.9),
}
"""Surface styles by name: colour (red, green, blue) and transparency."""


class TradeModel:
    """An IFC file under construction. Relations that gather many elements are written by `finish`."""

    def __init__(self, file: Any, units: FileUnits, contexts: dict[str, Any], seed: str) -> None:
        """`contexts` are subcontexts by identifier; `seed` is the architect's project GlobalId."""
        self.file = file
        self.units = units
        self.contexts = contexts
        self.newer = file.schema == "IFC4X3"
        self.older = file.schema == "IFC2X3"
        self._seed = seed
        self._taken: set[str] = set()
        self._bases: dict[int, Matrix4] = {}
        self._at: dict[int, NDArray[np.float64]] = {}
        self._styles: dict[str, Any] = {}
        self._gathered: dict[tuple[str, int], tuple[Any, list[Any]]] = {}
        self._layers: dict[str, list[Any]] = {}
        self._materials: dict[str, Any] = {}

    # --- entities -------------------------------------------------------------------------

    def make(self, kind: str, *values: Any, **attributes: Any) -> Any:
        """A resource entity."""
        return self.file.create_entity(kind, *values, **attributes)

    def guid(self, *parts: str) -> str:
        """The GlobalId of a role; a role met twice gets a running number, so that no id is used twice."""
        made, turn = deterministic_guid(self._seed, *parts), 1
        while made in self._taken:
            turn += 1
            made = deterministic_guid(self._seed, *parts, f"#{turn}")
        self._taken.add(made)
        return made

    def keep_guid(self, guid: str) -> str:
        """An id of the architect's, marked as used."""
        self._taken.add(guid)
        return guid

    def root(self, kind: str, role: tuple[str, ...], **attributes: Any) -> Any:
        """A rooted entity whose id follows from its role."""
        return self.make(kind, GlobalId=self.guid(kind, *role), **attributes)

    def value_unit(self, measure: str) -> Any | None:
        """The unit that a value of a measure has to carry; None where the project declares it."""
        return None

    def has_set(self, owner: Any, name: str) -> bool:
        """Whether an object has a set of that name from elsewhere."""
        return False

    # --- lengths and places ---------------------------------------------------------------

    def lengths(self, point: Iterable[float]) -> list[float]:
        """Coordinates [m] in the file's unit."""
        return [round(float(c) / self.units.length_m, DIGITS) for c in point]

    def axes(self, point: Vector, axis: Vector | None = None, across: Vector | None = None) -> Any:
        """An IfcAxis2Placement3D at a point [m]; `axis` is its z, `across` its x."""
        directions = [self.direction(d) if d is not None else None for d in (axis, across)]
        return self.make("IfcAxis2Placement3D", self.make("IfcCartesianPoint", self.lengths(point)), *directions)

    def direction(self, vector: Vector) -> Any:
        """An IfcDirection."""
        return self.make("IfcDirection", [float(c) for c in vector])

    def set_base(self, container: Any, base: Matrix4) -> None:
        """Tell where the plan frame lies in the placement of a storey (4x4, metres)."""
        self._bases[container.id()] = base

    def base(self, container: Any) -> Matrix4:
        """The plan frame in the placement of a storey."""
        return self._bases[container.id()]

    def place(self, within: Any, at: Vector, axis: Vector | None = None) -> Any:
        """A placement at a point of the plan frame [m], relative to a storey or to a placed product."""
        spot = np.asarray(at, dtype=float)
        if within.id() in self._at:
            frame = self.axes(spot - self._at[within.id()], axis, _across(axis) if axis is not None else None)
        else:
            base = self._bases[within.id()]
            point = base[:3, :3] @ spot + base[:3, 3]
            frame = self.axes(point, base[:3, 2], base[:3, 0])
        return self.make("IfcLocalPlacement", within.ObjectPlacement, frame)

    def product(
        self, kind: str, role: tuple[str, ...], within: Any, at: Vector, shapes: Sequence[Any] = (), **attributes: Any
    ) -> Any:
        """A product placed at a point of the plan frame, with shape representations made relative to that point."""
        shape = self.make("IfcProductDefinitionShape", Representations=list(shapes)) if shapes else None
        placement = self.place(within, at)
        made = self.root(kind, role, ObjectPlacement=placement, Representation=shape, **attributes)
        self._at[made.id()] = np.asarray(at, dtype=float)
        return made

    # --- representations, styles, layers --------------------------------------------------

    def shape(self, identifier: str, kind: str, items: Sequence[Any], layer: str = "", style: str = "") -> Any:
        """A shape representation, on a presentation layer and with a surface style by name where given."""
        for item in items if style else ():
            self.make("IfcStyledItem", Item=item, Styles=[self.style(style)])
        made = self.make("IfcShapeRepresentation", self.contexts[identifier], identifier, kind, list(items))
        if layer:
            self._layers.setdefault(layer, []).append(made)
        return made

    def style(self, name: str) -> Any:
        """The surface style of a name, made once."""
        if name not in self._styles:
            colour, transparency = STYLES[name]
            shading = self.make("IfcSurfaceStyleShading", self.make("IfcColourRgb", None, *colour), transparency)
            self._styles[name] = self.make("IfcSurfaceStyle", name, "BOTH", [shading])
        return self._styles[name]

    def material(self, name: str, category: str) -> tuple[Any, bool]:
        """(the material of a name, whether it is new)."""
        new = name not in self._materials
        if new:
            self._materials[name] = self.make("IfcMaterial", Name=name, Category=category)
        return self._materials[name], new

    # --- relations ------------------------------------------------------------------------

    def relate(self, kind: str, role: tuple[str, ...], **attributes: Any) -> Any:
        """A relation of its own."""
        return self.root(kind, role, **attributes)

    def gather(self, kind: str, whole: Any, parts: Sequence[Any]) -> None:
        """Add parts to the one relation of a kind that a whole has (see `RELATIONS`)."""
        self._gathered.setdefault((kind, whole.id()), (whole, []))[1].extend(parts)

    def finish(self) -> None:
        """Write the gathered relations and the presentation layers."""
        for (kind, _), (whole, parts) in self._gathered.items():
            one, many = RELATIONS[kind]
            name = getattr(whole, "GlobalId", None) or str(whole.Name)
            unique = list({part.id(): part for part in parts}.values())
            self.relate(kind, (name,), **{one: whole, many: unique})
        for name, shapes in self._layers.items():
            self.make("IfcPresentationLayerAssignment", Name=name, AssignedItems=shapes)


RELATIONS = {
    "IfcRelAggregates": ("RelatingObject", "RelatedObjects"),
    "IfcRelNests": ("RelatingObject", "RelatedObjects"),
    "IfcRelContainedInSpatialStructure": ("RelatingStructure", "RelatedElements"),
    "IfcRelReferencedInSpatialStructure": ("RelatingStructure", "RelatedElements"),
    "IfcRelAssignsToGroup": ("RelatingGroup", "RelatedObjects"),
    "IfcRelServicesBuildings": ("RelatingSystem", "RelatedBuildings"),
    "IfcRelAssociatesMaterial": ("RelatingMaterial", "RelatedObjects"),
    "IfcRelCoversSpaces": ("RelatingSpace", "RelatedCoverings"),
    "IfcRelDefinesByType": ("RelatingType", "RelatedObjects"),
    "IfcRelFlowControlElements": ("RelatingFlowElement", "RelatedControlElements"),
}
"""Relations with one relating and many related objects: (relating, related)."""


def _across(axis: Vector) -> NDArray[np.float64]:
    """A unit vector at right angles to an axis."""
    other = (1.0, 0.0, 0.0) if abs(axis[0]) < 0.9 * float(np.linalg.norm(axis)) else (0.0, 1.0, 0.0)
    across = np.cross(np.cross(axis, other), axis)
    return np.asarray(across / np.linalg.norm(across))
