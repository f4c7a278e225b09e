"""Which elements of the model are read, and their bodies in plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.bodies import (
    Body,
    PlanShape,
    carriers,
    has_body,
    parts_of,
    plan_shape,
    read_bodies,
)
from ufh_core.building.furnishing_bodies import FurnishingBodies
from ufh_core.building.furniture_words import is_hearth_name
from ufh_core.building.model_file import ModelFile
from ufh_core.building.plan_frame import local_frame

FURNITURE = ("IfcFurnishingElement", "IfcSanitaryTerminal", "IfcElectricAppliance")
STAIRS = ("IfcStair", "IfcStairFlight", "IfcRamp", "IfcRampFlight")


@dataclass(frozen=True, slots=True)
class Hole:
    """An opening element with what it cuts and what fills it (a door before anything else)."""

    opening: Any
    host: Any
    filling: Any | None


@dataclass(frozen=True, slots=True)
class Elements:
    """The elements that the design needs, by what they are to it."""

    spaces: list[Any]
    walls: list[Any]
    columns: list[Any]
    slabs: list[Any]
    floorings: list[Any]
    wall_holes: list[Hole]
    slab_holes: list[Hole]
    stairs: list[Any]
    furniture: list[Any]
    hearths: list[Any]

    def built(self) -> list[Any]:
        """Every entity whose exact body is needed, each once."""
        groups = (self.spaces, self.walls, self.columns, self.slabs, self.floorings)
        wanted = [c for group in groups for element in group for c in body_carriers(element)]
        wanted += [h.opening for h in (*self.wall_holes, *self.slab_holes) if has_body(h.opening)]
        return list({e.id(): e for e in wanted}.values())

    def furnishing(self) -> list[Any]:
        """Every entity of which a rough footprint is enough, each once."""
        wanted = [c for e in (*self.stairs, *self.furniture, *self.hearths) for c in body_carriers(e)]
        return list({e.id(): e for e in wanted}.values())


def body_carriers(element: Any) -> list[Any]:
    """What carries an element's body; doors in curtain walls and railings of stairs are left out."""
    return [c for c in carriers(element) if not c.is_a("IfcDoor") and not c.is_a("IfcRailing")]


def choose_elements(source: ModelFile) -> Elements:
    """The elements of a model that are read."""
    walls = source.of_class("IfcWall", "IfcCurtainWall")
    slabs = _whole(source.of_class("IfcSlab", "IfcRoof"))
    wall_holes, slab_holes = _holes(source, walls)
    coverings = source.of_class("IfcCovering")
    proxies = source.of_class("IfcBuildingElementProxy")
    return Elements(
        spaces=source.of_class("IfcSpace"),
        walls=_whole(walls),
        columns=_whole(source.of_class("IfcColumn")),
        slabs=slabs,
        floorings=[c for c in coverings if c.PredefinedType == "FLOORING"],
        wall_holes=wall_holes,
        slab_holes=slab_holes,
        stairs=_whole(source.of_class(*STAIRS)),
        furniture=source.of_class(*FURNITURE) + _sanitary_2x3(source),
        hearths=source.of_class("IfcChimney") + [p for p in proxies if is_hearth_name(*names_of(p))],
    )


def names_of(element: Any) -> tuple[str, str, str]:
    """Name, object type and long name of an element, empty where absent."""
    return tuple(str(getattr(element, a, None) or "") for a in ("Name", "ObjectType", "LongName"))  # type: ignore[return-value]


def _whole(elements: list[Any]) -> list[Any]:
    """Elements that are not themselves parts of one in the list that has no body."""
    taken = {p.id() for e in elements if not has_body(e) for p in parts_of(e)}
    return [e for e in elements if e.id() not in taken]


def _holes(source: ModelFile, walls: list[Any]) -> tuple[list[Hole], list[Hole]]:
    """Openings in walls and openings in slabs."""
    in_walls = {c.id() for w in walls for c in (w, *parts_of(w))}
    wall_holes, slab_holes = [], []
    for relation in source.of_class("IfcRelVoidsElement"):
        opening, host = relation.RelatedOpeningElement, relation.RelatingBuildingElement
        if opening is None or host is None:
            continue
        kind = getattr(opening, "PredefinedType", None) or opening.ObjectType or ""
        if kind.upper() == "RECESS" or not opening.is_a("IfcOpeningElement"):
            continue
        hole = Hole(opening, host, _filling(opening))
        if host.id() in in_walls:
            wall_holes.append(hole)
        elif host.is_a("IfcSlab"):
            slab_holes.append(hole)
    return wall_holes, slab_holes


def _filling(opening: Any) -> Any | None:
    """What fills an opening, a door first."""
    fillings = [r.RelatedBuildingElement for r in opening.HasFillings or () if r.RelatedBuildingElement]
    return next((f for f in fillings if f.is_a("IfcDoor")), next(iter(fillings), None))


def _sanitary_2x3(source: ModelFile) -> list[Any]:
    """IFC2X3's flow terminals that a sanitary type defines."""
    found = []
    for terminal in source.of_class("IfcFlowTerminal") if source.schema == "IFC2X3" else ():
        types = [r.RelatingType for r in terminal.IsDefinedBy or () if r.is_a("IfcRelDefinesByType") and r.RelatingType]
        if any(t.is_a("IfcSanitaryTerminalType") for t in types):
            found.append(terminal)
    return found


@dataclass(frozen=True, slots=True)
class Plan:
    """All bodies in plan: the frame, the shapes by entity id, and the elements without a shape."""

    frame: LocalFrame
    shapes: dict[int, PlanShape]
    failed: tuple[Any, ...]


def read_plan(source: ModelFile, elements: Elements) -> Plan:
    """Make every body that is needed and lay it flat in the local frame."""
    built, furnishing = elements.built(), elements.furnishing()
    bodies = read_bodies(built)
    rough = FurnishingBodies(source).read(furnishing)
    frame = local_frame(_of(elements.walls, bodies) + _of(elements.spaces, bodies))
    shapes: dict[int, PlanShape] = {}
    for key, body in (*bodies.items(), *rough.items()):
        shape = plan_shape(body, frame, rough=key in rough)
        if shape is not None:
            shapes[key] = shape
    return Plan(frame, shapes, tuple(e for e in (*built, *furnishing) if e.id() not in shapes))


def _of(elements: list[Any], bodies: dict[int, Body]) -> list[Body]:
    """Bodies of some elements."""
    return [bodies[c.id()] for e in elements for c in body_carriers(e) if c.id() in bodies]
