"""A small architect's model: two rooms with a hall between them, in any schema, unit, turn and place."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ifcopenshell

from ufh_core.basis.ifc_guid import deterministic_guid

WALL, OUTER = 0.12, 0.30
ROOM_A = (0.0, 0.0, 4.0, 3.0)
HALL = (4.12, 0.0, 6.12, 3.0)
ROOM_B = (6.24, 0.0, 10.24, 3.0)
ROOMS = {"A": ROOM_A, "hall": HALL, "B": ROOM_B}
LONG_NAMES = {"A": "Living", "hall": "Hall", "B": "Office"}
DOORS = {"A": (4.0, 0.05, 4.12, 0.95), "B": (6.12, 0.05, 6.24, 0.95)}
HEIGHT = 2.5
BOXES = {
    "south": (-OUTER, -OUTER, 10.24 + OUTER, 0.0),
    "north": (-OUTER, 3.0, 10.24 + OUTER, 3.0 + OUTER),
    "west": (-OUTER, 0.0, 0.0, 3.0),
    "east": (10.24, 0.0, 10.24 + OUTER, 3.0),
    "A": (4.0, 0.0, 4.12, 3.0),
    "B": (6.12, 0.0, 6.24, 3.0),
}


@dataclass(frozen=True)
class Place:
    """Schema, metres in the length unit, turn [rad], plan place and storey height [m] of a model."""

    schema: str = "IFC4"
    unit_m: float = 1.0
    angle: float = 0.0
    origin: tuple[float, float] = (0.0, 0.0)
    storey_z: float = 0.0
    doors: tuple[str, ...] = ("A", "B")


PLACES = {
    "IFC2X3-feet": Place("IFC2X3", 0.3048, 0.3, (120.0, -45.0), 3.2),
    "IFC4-mm": Place("IFC4", 0.001, 0.0, (0.0, 0.0), 0.0),
    "IFC4X3-m-far": Place("IFC4X3_ADD2", 1.0, math.radians(-142), (1_500_000.25, 480_000.75), 12.5),
}


def guid_of(role: str) -> str:
    """The architect's id of a role."""
    return deterministic_guid("made-up house", role)


class HouseWriter:
    """Writes the house; lengths are given in metres in the house's own frame."""

    def __init__(self, place: Place) -> None:
        self.place, self.file = place, ifcopenshell.file(schema=place.schema)
        self.old = place.schema == "IFC2X3"
        self.owner = {"OwnerHistory": self.history()} if self.old else {}
        north = self.make("IfcDirection", (math.sin(0.4), math.cos(0.4)))
        self.context = self.make(
            "IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, self.axes((0, 0, 0)), north
        )
        self.project = self.root("IfcProject", "project", Name="Made up", RepresentationContexts=[self.context])
        self.project.UnitsInContext = self.make("IfcUnitAssignment", self.units())
        self.spatial()

    def make(self, kind: str, *values: Any, **attributes: Any) -> Any:
        return self.file.create_entity(kind, *values, **attributes)

    def history(self) -> Any:
        firm = self.make("IfcOrganization", Name="made up")
        both = self.make("IfcPersonAndOrganization", self.make("IfcPerson", FamilyName="Nobody"), firm)
        tool = self.make("IfcApplication", firm, "1", "made up", "made up")
        return self.make("IfcOwnerHistory", both, tool, ChangeAction="ADDED", CreationDate=0)

    def units(self) -> list[Any]:
        metre = self.make("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
        if self.place.unit_m == 0.001:
            metre.Prefix = "MILLI"
        if self.place.unit_m == 0.3048:
            zero = self.make("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
            factor = self.make("IfcMeasureWithUnit", self.make("IfcLengthMeasure", 0.3048), metre)
            foot = self.make("IfcConversionBasedUnit", zero, "LENGTHUNIT", "FOOT", factor)
            square = self.make("IfcSIUnit", UnitType="AREAUNIT", Name="SQUARE_METRE")
            size = self.make("IfcMeasureWithUnit", self.make("IfcAreaMeasure", 0.3048**2), square)
            two = self.make("IfcDimensionalExponents", 2, 0, 0, 0, 0, 0, 0)
            return [foot, self.make("IfcConversionBasedUnit", two, "AREAUNIT", "SQUARE FOOT", size)]
        return [metre, self.make("IfcSIUnit", UnitType="PLANEANGLEUNIT", Name="RADIAN")]

    def root(self, kind: str, role: str, **attributes: Any) -> Any:
        return self.make(kind, GlobalId=guid_of(f"{kind} {role}"), **self.owner, **attributes)

    def lengths(self, point: tuple[float, ...]) -> list[float]:
        return [float(c) / self.place.unit_m for c in point]

    def axes(self, point: tuple[float, ...], across: tuple[float, float] = (1.0, 0.0)) -> Any:
        up, along = self.make("IfcDirection", (0.0, 0.0, 1.0)), self.make("IfcDirection", (*across, 0.0))
        return self.make("IfcAxis2Placement3D", self.make("IfcCartesianPoint", self.lengths(point)), up, along)

    def spatial(self) -> None:
        """Site, building and storey; the turn is shared between site and storey."""
        half = self.place.angle / 2
        across = (math.cos(half), math.sin(half))
        site = self.make("IfcLocalPlacement", None, self.axes((*self.place.origin, 0.0), across))
        lift = self.make("IfcLocalPlacement", site, self.axes((0.0, 0.0, self.place.storey_z), across))
        self.site = self.root("IfcSite", "site", Name="Plot", ObjectPlacement=site, RefLatitude=(48, 10, 0))
        building = self.make("IfcLocalPlacement", site, self.axes((0, 0, 0)))
        self.building = self.root("IfcBuilding", "building", Name="House", ObjectPlacement=building)
        self.storey = self.root("IfcBuildingStorey", "storey", Name="Ground", ObjectPlacement=lift)
        self.storey.Elevation = self.lengths((self.place.storey_z,))[0]
        for whole, part in ((self.project, self.site), (self.site, self.building), (self.building, self.storey)):
            self.root("IfcRelAggregates", part.is_a(), RelatingObject=whole, RelatedObjects=[part])
        for element in (self.site, self.building, self.storey):
            element.CompositionType = "ELEMENT"

    def box(self, kind: str, role: str, bounds: tuple[float, ...], high: float = HEIGHT, **attributes: Any) -> Any:
        x0, y0, x1, y1 = bounds
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
        line = self.make("IfcPolyline", [self.make("IfcCartesianPoint", self.lengths(c)) for c in corners])
        profile = self.make("IfcArbitraryClosedProfileDef", "AREA", None, line)
        up, depth = self.make("IfcDirection", (0.0, 0.0, 1.0)), self.lengths((high,))[0]
        solid = self.make("IfcExtrudedAreaSolid", profile, self.axes((0, 0, 0)), up, depth)
        body = self.make("IfcShapeRepresentation", self.context, "Body", "SweptSolid", [solid])
        placement = self.make("IfcLocalPlacement", self.storey.ObjectPlacement, self.axes((0, 0, 0)))
        shape = self.make("IfcProductDefinitionShape", None, None, [body])
        return self.root(kind, role, Name=role, ObjectPlacement=placement, Representation=shape, **attributes)

    def fill(self) -> None:
        """Walls, doors and rooms."""
        walls = {name: self.box("IfcWall", name, bounds) for name, bounds in BOXES.items()}
        for name in self.place.doors:
            opening = self.box("IfcOpeningElement", name, DOORS[name], 2.0)
            voids = {"RelatingBuildingElement": walls[name], "RelatedOpeningElement": opening}
            self.root("IfcRelVoidsElement", name, **voids)
            door = self.box("IfcDoor", name, DOORS[name], 2.0)
            fills = {"RelatingOpeningElement": opening, "RelatedBuildingElement": door}
            self.root("IfcRelFillsElement", name, **fills)
            walls[f"door {name}"] = door
        kind = {"CompositionType": "ELEMENT"} | ({"InteriorOrExteriorSpace": "INTERNAL"} if self.old else {})
        rooms = [
            self.box("IfcSpace", name, bounds, LongName=LONG_NAMES[name], **kind) for name, bounds in ROOMS.items()
        ]
        self.root("IfcRelAggregates", "rooms", RelatingObject=self.storey, RelatedObjects=rooms)
        contained = {"RelatedElements": list(walls.values()), "RelatingStructure": self.storey}
        self.root("IfcRelContainedInSpatialStructure", "walls", **contained)

    def georeference(self) -> None:
        system = self.make("IfcProjectedCRS", Name="EPSG:25832")
        offsets = {"Eastings": 600_000.0, "Northings": 5_300_000.0, "OrthogonalHeight": 110.0}
        self.make(
            "IfcMapConversion",
            SourceCRS=self.context,
            TargetCRS=system,
            **offsets,
            XAxisAbscissa=0.8,
            XAxisOrdinate=0.6,
            Scale=1.0,
        )


def write_house(place: Place, path: Path) -> None:
    """Write the architect's model."""
    house = HouseWriter(place)
    house.fill()
    if not house.old:
        house.georeference()
    house.file.header.file_name.author = ("A. Architect",)
    house.file.write(str(path))
