"""A small architect: draws walls, rooms, doors and things into an IFC file, the same bytes every time.

All arguments are in metres in the building's plan; the file gets its own length unit, a turned
and shifted placement, and true north. GlobalIds are made from names, and there is no time stamp.
Outer walls are mitred round a ring of inner corners; inner walls butt against what stands there
already; rooms are what the walls leave free. Needs ifcopenshell and shapely.
"""

from __future__ import annotations

import math
import uuid
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

XY = tuple[float, float]
Entity = Any
Props = dict[str, Any]  # property -> (IFC type, value)
NAMESPACE = uuid.UUID("6f1a0c52-7d0e-4a53-9d5c-2f1b7a3c9e10")
FOOT = 0.3048


@dataclass(frozen=True, kw_only=True)
class Scene:
    """Where and in what the model is written: `turn_deg` turns the building, `north_deg` is true north from +y."""

    name: str
    schema: str
    unit_m: float
    prefix: str | None
    turn_deg: float
    north_deg: float
    origin: tuple[float, float, float]
    project: str
    building: str


@dataclass
class WallShape:
    """A wall as placed: axis, plan outline, thickness, its entity and its placement."""

    entity: Entity
    placement: Entity
    start: XY
    end: XY
    outline: Polygon
    thickness: float
    bottom: float


@dataclass
class Floor:
    """A storey that is being drawn."""

    entity: Entity
    placement: Entity
    level: float
    ring: list[XY] = field(default_factory=list)
    walls: list[WallShape] = field(default_factory=list)


class Sketch:
    """One model that is being drawn."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.file = ifcopenshell.file(schema={"IFC4X3": "IFC4X3_ADD2"}.get(scene.schema, scene.schema))
        self.old = scene.schema == "IFC2X3"
        self.area_unit_m2 = FOOT**2 if scene.unit_m == FOOT else 1.0
        self._seen: Counter[str] = Counter()
        self._contained: dict[Entity, list[Entity]] = defaultdict(list)
        self._storeys: list[Entity] = []
        self._sets: dict[tuple[str, tuple[Any, ...]], list[Entity]] = defaultdict(list)
        self._layers: dict[str, list[Entity]] = defaultdict(list)
        self._layer_sets: dict[str, Entity] = {}
        self._materials: dict[str, Entity] = {}
        self._spaces: dict[Entity, list[Entity]] = defaultdict(list)
        self.owner = self._owner() if self.old else None
        self._project()

    # -- small things ---------------------------------------------------------------------------

    def make(self, ifc_class: str, *args: Any, **kwargs: Any) -> Entity:
        """An entity without identity."""
        return self.file.create_entity(ifc_class, *args, **kwargs)

    def root(self, ifc_class: str, name: str | None, **kwargs: Any) -> Entity:
        """An entity with a GlobalId made from class and name, counted where a name comes again."""
        key = f"{ifc_class}/{name}"
        self._seen[key] += 1
        guid = ifcopenshell.guid.compress(uuid.uuid5(NAMESPACE, f"{self.scene.name}/{key}/{self._seen[key]}").hex)
        return self.make(ifc_class, GlobalId=guid, OwnerHistory=self.owner, Name=name, **kwargs)

    def length(self, metres: float) -> float:
        """Metres in the file's unit."""
        return round(metres / self.scene.unit_m, 6)

    def point(self, *metres: float) -> Entity:
        """A point in the file's unit."""
        return self.make("IfcCartesianPoint", tuple(self.length(m) for m in metres))

    def placed(self, parent: Entity | None, at: tuple[float, float, float], turn: float = 0.0) -> Entity:
        """A placement `at` its parent, turned by `turn` [rad] about z."""
        axis = self.make("IfcDirection", (0.0, 0.0, 1.0)) if turn else None
        x = self.make("IfcDirection", (round(math.cos(turn), 9), round(math.sin(turn), 9), 0.0)) if turn else None
        return self.make("IfcLocalPlacement", parent, self.make("IfcAxis2Placement3D", self.point(*at), axis, x))

    def prism(self, outline: list[XY], bottom: float, height: float) -> Entity:
        """An upright prism over `outline`."""
        points = [self.point(*p) for p in outline]
        curve = self.make("IfcPolyline", [*points, points[0]])
        profile = self.make("IfcArbitraryClosedProfileDef", "AREA", None, curve)
        place = self.make("IfcAxis2Placement3D", self.point(0.0, 0.0, bottom))
        up = self.make("IfcDirection", (0.0, 0.0, 1.0))
        return self.make("IfcExtrudedAreaSolid", profile, place, up, self.length(height))

    def shape(self, solids: list[Entity], axis: list[XY] | None = None) -> Entity:
        """A product shape of solids, with a plan axis where given."""
        found = [self.make("IfcShapeRepresentation", self.body, "Body", "SweptSolid", solids)]
        if axis:
            line = self.make("IfcPolyline", [self.point(*p) for p in axis])
            found.insert(0, self.make("IfcShapeRepresentation", self.axis, "Axis", "Curve2D", [line]))
        return self.make("IfcProductDefinitionShape", None, None, found)

    def describe(self, entity: Entity, set_name: str, **props: tuple[str, Any]) -> None:
        """Give an element properties; sets that are alike are written once."""
        self._sets[(set_name, tuple(props.items()))].append(entity)

    # -- the spatial frame ----------------------------------------------------------------------

    def _owner(self) -> Entity:
        person = self.make("IfcPerson", None, "Architect")
        office = self.make("IfcOrganization", None, "Sample practice")
        who = self.make("IfcPersonAndOrganization", person, office)
        tool = self.make("IfcApplication", office, "1", "Sample sketch", "sample-sketch")
        return self.make("IfcOwnerHistory", who, tool, None, "ADDED", None, None, None, 1700000000)

    def _units(self) -> Entity:
        si = lambda kind, name, prefix=None: self.make("IfcSIUnit", None, kind, prefix, name)  # noqa: E731
        length, area, volume = si("LENGTHUNIT", "METRE", self.scene.prefix), None, None
        if self.scene.unit_m == FOOT:
            length = self._converted("LENGTHUNIT", "FOOT", FOOT, "IfcLengthMeasure", length, 1)
            area = self._converted(
                "AREAUNIT", "SQUARE FOOT", FOOT**2, "IfcAreaMeasure", si("AREAUNIT", "SQUARE_METRE"), 2
            )
            volume = self._converted(
                "VOLUMEUNIT", "CUBIC FOOT", FOOT**3, "IfcVolumeMeasure", si("VOLUMEUNIT", "CUBIC_METRE"), 3
            )
        degree = "KELVIN" if self.old else "DEGREE_CELSIUS"
        return self.make(
            "IfcUnitAssignment",
            [
                length,
                area or si("AREAUNIT", "SQUARE_METRE"),
                volume or si("VOLUMEUNIT", "CUBIC_METRE"),
                si("PLANEANGLEUNIT", "RADIAN"),
                si("POWERUNIT", "WATT"),
                si("THERMODYNAMICTEMPERATUREUNIT", degree),
            ],
        )

    def _converted(self, kind: str, name: str, factor: float, measure: str, base: Entity, power: int) -> Entity:
        exponents = self.make("IfcDimensionalExponents", power, 0, 0, 0, 0, 0, 0)
        value = self.make("IfcMeasureWithUnit", self.make(measure, round(factor, 9)), base)
        return self.make("IfcConversionBasedUnit", exponents, kind, name, value)

    def _project(self) -> None:
        scene = self.scene
        angle = math.radians(scene.north_deg)
        north = self.make("IfcDirection", (round(math.sin(angle), 9), round(math.cos(angle), 9)))
        zero = self.make("IfcAxis2Placement3D", self.point(0.0, 0.0, 0.0))
        context = self.make("IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, zero, north)
        sub = "IfcGeometricRepresentationSubContext"
        self.body = self.make(sub, "Body", "Model", ParentContext=context, TargetView="MODEL_VIEW")
        self.axis = self.make(sub, "Axis", "Model", ParentContext=context, TargetView="GRAPH_VIEW")
        self.project = self.root(
            "IfcProject", scene.project, RepresentationContexts=[context], UnitsInContext=self._units()
        )
        place = self.placed(None, scene.origin)
        self.site = self.root("IfcSite", "Site", ObjectPlacement=place, CompositionType="ELEMENT")
        inner = self.placed(place, (0.0, 0.0, 0.0), math.radians(scene.turn_deg))
        self.building = self.root("IfcBuilding", scene.building, ObjectPlacement=inner, CompositionType="ELEMENT")
        self.inner = inner

    def storey(self, name: str, level: float, ring: list[XY]) -> Floor:
        """A storey at `level` whose outer walls stand round `ring`, the inner corners anticlockwise."""
        place = self.placed(self.inner, (0.0, 0.0, level))
        entity = self.root(
            "IfcBuildingStorey", name, ObjectPlacement=place, CompositionType="ELEMENT", Elevation=self.length(level)
        )
        self._storeys.append(entity)
        return Floor(entity=entity, placement=place, level=level, ring=ring)

    def product(self, floor: Floor, ifc_class: str, name: str, place: Entity, shape: Entity, **kwargs: Any) -> Entity:
        """An element on a storey."""
        found = self.root(ifc_class, name, ObjectPlacement=place, Representation=shape, **kwargs)
        self.contain(floor, found)
        return found

    def contain(self, floor: Floor, element: Entity) -> None:
        """Put an element on a storey."""
        self._contained[floor.entity].append(element)

    # -- materials ------------------------------------------------------------------------------

    def layers(self, name: str, rows: list[tuple[str, float, float | None]]) -> None:
        """A construction: material, thickness, conductivity, from outside in (or from below up)."""
        made = []
        for material, thickness, conductivity in rows:
            made.append(self.make("IfcMaterialLayer", self._material(material, conductivity), self.length(thickness)))
        self._layer_sets[name] = self.make("IfcMaterialLayerSet", made, name)

    def _material(self, name: str, conductivity: float | None) -> Entity:
        if name in self._materials:
            return self._materials[name]
        material = self._materials[name] = self.make("IfcMaterial", name)
        if conductivity is not None and self.old:
            self.make("IfcThermalMaterialProperties", material, None, None, None, conductivity)
        elif conductivity is not None:
            value = self.make("IfcThermalConductivityMeasure", conductivity)
            single = self.make("IfcPropertySingleValue", "ThermalConductivity", None, value)
            self.make("IfcMaterialProperties", "Pset_MaterialThermal", None, [single], material)
        return material

    def built_of(self, entity: Entity, construction: str) -> None:
        """Say what an element is built of."""
        self._layers[construction].append(entity)

    # -- finishing ------------------------------------------------------------------------------

    def aggregate(self, whole: Entity, parts: list[Entity]) -> None:
        """Put parts under a whole."""
        self.root("IfcRelAggregates", None, RelatingObject=whole, RelatedObjects=parts)

    def remember_space(self, floor: Floor, space: Entity) -> None:
        """Keep a space for its storey."""
        self._spaces[floor.entity].append(space)

    def write(self, folder: Path) -> Path:
        """Write all relations and the file."""
        self.aggregate(self.project, [self.site])
        self.aggregate(self.site, [self.building])
        self.aggregate(self.building, self._storeys)
        for storey, spaces in self._spaces.items():
            self.aggregate(storey, spaces)
        for storey, found in self._contained.items():
            rel = "IfcRelContainedInSpatialStructure"
            self.root(rel, None, RelatedElements=found, RelatingStructure=storey)
        self._write_sets()
        self._write_layers()
        path = folder / f"{self.scene.name}.ifc"
        header = self.file.header
        header.file_name.name, header.file_name.time_stamp = path.name, "2024-01-01T00:00:00"
        header.file_name.author, header.file_name.organization = ("Architect",), ("Sample practice",)
        header.file_name.originating_system = header.file_name.preprocessor_version = "Sample sketch 1"
        view = "CoordinationView" if self.old else "DesignTransferView"
        header.file_description.description = (f"ViewDefinition [{view}]",)
        self.file.write(str(path))
        return path

    def _write_sets(self) -> None:
        for (name, props), elements in self._sets.items():
            singles = [
                self.make("IfcPropertySingleValue", key, None, self.make(kind, value)) for key, (kind, value) in props
            ]
            found = self.root("IfcPropertySet", name, HasProperties=singles)
            self.root("IfcRelDefinesByProperties", None, RelatedObjects=elements, RelatingPropertyDefinition=found)

    def _write_layers(self) -> None:
        for name, elements in self._layers.items():
            upright = elements[0].is_a("IfcWall")
            total = sum(layer.LayerThickness for layer in self._layer_sets[name].MaterialLayers)
            use = self.make(
                "IfcMaterialLayerSetUsage",
                self._layer_sets[name],
                "AXIS2" if upright else "AXIS3",
                "POSITIVE",
                round(-total / 2, 6) if upright else 0.0,
            )
            self.root("IfcRelAssociatesMaterial", None, RelatedObjects=elements, RelatingMaterial=use)


def mitred(ring: list[XY], thickness: float) -> list[XY]:
    """The corners of `ring` (anticlockwise) moved out by `thickness`, walls meeting in mitres."""
    out = []
    for k, corner in enumerate(ring):
        before, after = ring[k - 1], ring[(k + 1) % len(ring)]
        a, b = _outward(before, corner), _outward(corner, after)
        scale = thickness / (1 + a[0] * b[0] + a[1] * b[1])
        out.append((corner[0] + scale * (a[0] + b[0]), corner[1] + scale * (a[1] + b[1])))
    return out


def _outward(p: XY, q: XY) -> XY:
    """The outward unit normal of an edge of an anticlockwise ring."""
    size = math.dist(p, q)
    return ((q[1] - p[1]) / size, (p[0] - q[0]) / size)


def butted(start: XY, end: XY, thickness: float, standing: list[Polygon]) -> Polygon:
    """The outline of an inner wall on an axis, cut where it meets what stands already."""
    band = LineString([start, end]).buffer(thickness / 2, cap_style="square").difference(unary_union(standing))
    parts = getattr(band, "geoms", [band])
    return max(parts, key=lambda part: part.area)


def free_floor(floor: Floor) -> list[Polygon]:
    """What the walls of a storey leave free inside its ring."""
    left = Polygon(floor.ring).difference(unary_union([w.outline for w in floor.walls]))
    return list(getattr(left, "geoms", [left]))


def part_at(parts: list[Polygon], where: XY) -> Polygon:
    """The one part that holds a point."""
    (found,) = [part for part in parts if part.contains(Point(where))]
    return found
