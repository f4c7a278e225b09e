"""A pencil for small building models: makes IFC files for the tests, in metres whatever the file's unit."""

from __future__ import annotations

import math
from pathlib import Path

import ifcopenshell
import ifcopenshell.guid
import numpy as np

UNITS = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048}


class Sketch:
    """One model with a project, a site, a building and what is drawn into it."""

    def __init__(self, schema: str = "IFC4", unit: str = "m", turn: float = 0.0, place=(0.0, 0.0, 0.0), north=None):
        self.file = ifcopenshell.file(schema=schema)
        self.schema = schema
        self.scale = UNITS[unit]
        self.ids: list[str] = []
        world = self._axes((0, 0, 0))
        self.context = self.file.create_entity(
            "IfcGeometricRepresentationContext",
            ContextType="Model",
            CoordinateSpaceDimension=3,
            Precision=1e-6,
            WorldCoordinateSystem=world,
            TrueNorth=self.file.createIfcDirection(north) if north else None,
        )
        self.project = self.make("IfcProject", Name="Small", RepresentationContexts=[self.context])
        self.project.UnitsInContext = self.file.createIfcUnitAssignment(self._units(unit))
        site_place = self._placement(None, place, turn)
        self.site = self.make("IfcSite", Name="Site", ObjectPlacement=site_place)
        self.building = self.make("IfcBuilding", Name="House", ObjectPlacement=self._placement(site_place, (0, 0, 0)))
        self._part(self.project, [self.site])
        self._part(self.site, [self.building])

    # basics -------------------------------------------------------------------------------------

    def make(self, ifc_class: str, **values):
        """A rooted entity with a new GlobalId."""
        if ifc_class in ("IfcSite", "IfcBuilding", "IfcBuildingStorey", "IfcSpace"):
            values.setdefault("CompositionType", "ELEMENT")
        entity = self.file.create_entity(ifc_class, GlobalId=ifcopenshell.guid.new(), **values)
        return entity

    def _units(self, unit: str):
        f = self.file
        metre = f.createIfcSIUnit(None, "LENGTHUNIT", None, "METRE")
        length = metre
        if unit in ("mm", "cm"):
            length = f.createIfcSIUnit(None, "LENGTHUNIT", {"mm": "MILLI", "cm": "CENTI"}[unit], "METRE")
        if unit == "ft":
            exponents = f.createIfcDimensionalExponents(1, 0, 0, 0, 0, 0, 0)
            ratio = f.createIfcMeasureWithUnit(f.create_entity("IfcLengthMeasure", 0.3048), metre)
            length = f.createIfcConversionBasedUnit(exponents, "LENGTHUNIT", "FOOT", ratio)
        return [length]

    def _point(self, p):
        return self.file.createIfcCartesianPoint([float(c) / self.scale for c in p])

    def _axes(self, p, turn: float = 0.0):
        x = self.file.createIfcDirection([math.cos(turn), math.sin(turn), 0.0])
        z = self.file.createIfcDirection([0.0, 0.0, 1.0])
        return self.file.createIfcAxis2Placement3D(self._point(p), z, x)

    def _placement(self, parent, p=(0, 0, 0), turn: float = 0.0):
        return self.file.createIfcLocalPlacement(parent, self._axes(p, turn))

    def _part(self, whole, parts):
        self.make("IfcRelAggregates", RelatingObject=whole, RelatedObjects=parts)

    def contain(self, structure, element):
        self.make("IfcRelContainedInSpatialStructure", RelatingStructure=structure, RelatedElements=[element])

    def prism(self, corners, height: float, base: float = 0.0):
        """A body: a plan polygon drawn up from `base`."""
        f = self.file
        points = [f.createIfcCartesianPoint([float(x) / self.scale, float(y) / self.scale]) for x, y in corners]
        profile = f.createIfcArbitraryClosedProfileDef("AREA", None, f.createIfcPolyline([*points, points[0]]))
        up = f.createIfcDirection([0.0, 0.0, 1.0])
        return f.createIfcExtrudedAreaSolid(profile, self._axes((0, 0, base)), up, height / self.scale)

    def body(self, *solids, kind: str = "SweptSolid"):
        shape = self.file.createIfcShapeRepresentation(self.context, "Body", kind, list(solids))
        return self.file.createIfcProductDefinitionShape(None, None, [shape])

    # the building -------------------------------------------------------------------------------

    def storey(self, z: float = 0.0, name: str = "Ground floor", elevation: float | None = None):
        storey = self.make("IfcBuildingStorey", Name=name)
        storey.ObjectPlacement = self._placement(self.building.ObjectPlacement, (0, 0, z))
        storey.Elevation = (z if elevation is None else elevation) / self.scale
        self._part(self.building, [storey])
        return storey

    def element(self, ifc_class, corners, z, height, storey=None, name="", at_building=False, **values):
        """An element with a prism body whose heights are over the building's zero."""
        element = self.make(ifc_class, Name=name, **values)
        element.ObjectPlacement = self._placement(self.building.ObjectPlacement)
        element.Representation = self.body(self.prism(corners, height, z))
        if storey is not None and not at_building:
            self.contain(storey, element)
        return element

    def space(self, corners, storey, z=0.0, height=2.5, name="1", long_name=None, **values):
        space = self.element("IfcSpace", corners, z, height, name=name, LongName=long_name, **values)
        if storey is not None:
            self._part(storey, [space])
        return space

    def wall(self, a, b, thick=0.2, z=0.0, height=2.6, storey=None, **values):
        """A wall about the line from a to b."""
        a, b = np.asarray(a, float), np.asarray(b, float)
        along = (b - a) / np.linalg.norm(b - a)
        side = np.array([-along[1], along[0]]) * thick / 2
        return self.element("IfcWall", [a - side, b - side, b + side, a + side], z, height, storey, **values)

    def box(self, ifc_class, x0, y0, x1, y1, z, height, storey=None, **values):
        return self.element(ifc_class, [(x0, y0), (x1, y0), (x1, y1), (x0, y1)], z, height, storey, **values)

    def hole(self, host, x0, y0, x1, y1, z=0.0, height=2.0):
        """An opening through a host."""
        hole = self.box("IfcOpeningElement", x0, y0, x1, y1, z, height)
        self.make("IfcRelVoidsElement", RelatingBuildingElement=host, RelatedOpeningElement=hole)
        return hole

    def fill(self, hole, ifc_class="IfcDoor", **values):
        """A door or window without a body in a hole."""
        filling = self.make(ifc_class, Name=ifc_class, **values)
        filling.ObjectPlacement = self._placement(self.building.ObjectPlacement)
        if hole is not None:
            self.make("IfcRelFillsElement", RelatingOpeningElement=hole, RelatedBuildingElement=filling)
        return filling

    def properties(self, element, name, **values):
        """A property set with real or logical values."""
        f = self.file
        items = []
        for key, value in values.items():
            kind = "IfcBoolean" if isinstance(value, bool) else "IfcReal" if isinstance(value, float) else "IfcLabel"
            nominal = f.create_entity(kind, value)
            items.append(f.create_entity("IfcPropertySingleValue", Name=key, NominalValue=nominal))
        pset = self.make("IfcPropertySet", Name=name, HasProperties=items)
        self.make("IfcRelDefinesByProperties", RelatedObjects=[element], RelatingPropertyDefinition=pset)

    def save(self, folder: Path, name: str = "model.ifc") -> Path:
        path = folder / name
        self.file.write(str(path))
        return path


def two_rooms(**options) -> tuple[Sketch, dict]:
    """Two rooms of 4 × 4 m side by side, 0.2 m walls, a door between and one out, slab below."""
    s = Sketch(**options)
    g = s.storey(0.0)
    walls = {
        "south": s.wall((-0.1, -0.1), (8.3, -0.1), storey=g),
        "north": s.wall((-0.1, 4.1), (8.3, 4.1), storey=g),
        "west": s.wall((-0.1, 0.0), (-0.1, 4.0), storey=g),
        "east": s.wall((8.3, 0.0), (8.3, 4.0), storey=g),
        "middle": s.wall((4.1, 0.0), (4.1, 4.0), storey=g),
    }
    one = s.space([(0, 0), (4, 0), (4, 4), (0, 4)], g, name="1", long_name="Living room")
    two = s.space([(4.2, 0), (8.2, 0), (8.2, 4), (4.2, 4)], g, name="2", long_name="Bedroom")
    door = s.fill(s.hole(walls["middle"], 4.0, 1.0, 4.2, 1.9))
    out = s.fill(s.hole(walls["west"], -0.2, 1.0, 0.0, 2.0))
    slab = s.box("IfcSlab", -0.2, -0.2, 8.4, 4.2, -0.35, 0.2, storey=g, PredefinedType="BASESLAB")
    return s, {"storey": g, "walls": walls, "one": one, "two": two, "door": door, "out": out, "slab": slab}
