"""Walls, openings, rooms and things, drawn with a `Sketch`. All lengths in metres in the building's plan."""

from __future__ import annotations

import math
from typing import Any

from ifc_sketch import XY, Entity, Floor, Sketch, WallShape, butted, free_floor, mitred, part_at
from shapely.geometry import Point, Polygon
from shapely.geometry.polygon import orient


def outer_walls(
    sketch: Sketch, floor: Floor, thickness: float, bottom: float, top: float, construction: str, u_value: float | None
) -> None:
    """Mitred outer walls round the storey's ring; every other one states its U-value, where one is given."""
    outside = mitred(floor.ring, thickness)
    for k, corner in enumerate(floor.ring):
        after = (k + 1) % len(floor.ring)
        outline = Polygon([corner, floor.ring[after], outside[after], outside[k]])
        shift = _middle_shift(corner, floor.ring[after], thickness / 2)
        start = (corner[0] + shift[0], corner[1] + shift[1])
        end = (floor.ring[after][0] + shift[0], floor.ring[after][1] + shift[1])
        wall = _wall(sketch, floor, f"Outer wall {k + 1}", (start, end), outline, thickness, bottom, top)
        props: dict[str, Any] = {"IsExternal": ("IfcBoolean", True), "LoadBearing": ("IfcBoolean", True)}
        if u_value is not None and k % 2 == 0:
            props["ThermalTransmittance"] = ("IfcThermalTransmittanceMeasure", u_value)
        sketch.describe(wall, "Pset_WallCommon", **props)
        sketch.built_of(wall, construction)


def inner_wall(
    sketch: Sketch, floor: Floor, start: XY, end: XY, thickness: float, bottom: float, top: float, construction: str
) -> None:
    """An inner wall on an axis; load-bearing from 150 mm up."""
    outline = butted(start, end, thickness, [w.outline for w in floor.walls])
    count = sum(1 for w in floor.walls if w.entity.Name.startswith("Inner"))
    wall = _wall(sketch, floor, f"Inner wall {count + 1}", (start, end), outline, thickness, bottom, top)
    sketch.describe(
        wall,
        "Pset_WallCommon",
        IsExternal=("IfcBoolean", False),
        LoadBearing=("IfcBoolean", thickness >= 0.15),
    )
    sketch.built_of(wall, construction)


def _middle_shift(p: XY, q: XY, by: float) -> XY:
    size = math.dist(p, q)
    return (by * (q[1] - p[1]) / size, by * (p[0] - q[0]) / size)


def _wall(
    sketch: Sketch,
    floor: Floor,
    name: str,
    axis: tuple[XY, XY],
    outline: Polygon,
    thickness: float,
    bottom: float,
    top: float,
) -> Entity:
    """A wall placed at the start of its axis, x along it."""
    (start, end), outline = axis, orient(outline)
    turn = math.atan2(end[1] - start[1], end[0] - start[0])
    place = sketch.placed(floor.placement, (*start, bottom), turn)
    corners = [_into(p, start, turn) for p in outline.exterior.coords[:-1]]
    shape = sketch.shape([sketch.prism(corners, 0.0, top - bottom)], [(0.0, 0.0), (math.dist(start, end), 0.0)])
    kind = {} if sketch.old else {"PredefinedType": "SOLIDWALL"}
    ifc_class = "IfcWallStandardCase" if sketch.old else "IfcWall"
    wall = sketch.product(floor, ifc_class, name, place, shape, **kind)
    floor.walls.append(WallShape(wall, place, start, end, outline, thickness, bottom))
    return wall


def _into(p: Any, origin: XY, turn: float) -> XY:
    """A plan point in a frame at `origin` turned by `turn`."""
    x, y, c, s = p[0] - origin[0], p[1] - origin[1], math.cos(turn), math.sin(turn)
    return (x * c + y * s, y * c - x * s)


def opening(sketch: Sketch, floor: Floor, at: XY, width: float, height: float, sill: float = 0.0) -> tuple[Entity, Any]:
    """An opening through the wall that stands at a point, `width` wide, centred there."""
    wall = min(floor.walls, key=lambda w: w.outline.distance(Point(at)))
    turn = math.atan2(wall.end[1] - wall.start[1], wall.end[0] - wall.start[0])
    along = _into(at, wall.start, turn)[0] - width / 2
    place = sketch.placed(wall.placement, (along, -wall.thickness / 2, sill - wall.bottom))
    box = [(0.0, 0.0), (width, 0.0), (width, wall.thickness), (0.0, wall.thickness)]
    kind = {} if sketch.old else {"PredefinedType": "OPENING"}
    shape = sketch.shape([sketch.prism(box, 0.0, height)])
    hole = sketch.root("IfcOpeningElement", "Opening", ObjectPlacement=place, Representation=shape, **kind)
    sketch.root("IfcRelVoidsElement", None, RelatingBuildingElement=wall.entity, RelatedOpeningElement=hole)
    return hole, (place, wall)


def door(
    sketch: Sketch, floor: Floor, at: XY, width: float = 0.885, height: float = 2.01, u_value: float | None = None
) -> None:
    """A door in its opening; in an outer wall it is an outer door."""
    hole, (place, wall) = opening(sketch, floor, at, width, height)
    leaf = [(0.0, 0.0), (width, 0.0), (width, 0.06), (0.0, 0.06)]
    shape = sketch.shape([sketch.prism(leaf, 0.0, height)])
    swing = "DOUBLE_DOOR_SINGLE_SWING" if width > 1.3 else "SINGLE_SWING_LEFT"
    kind = {} if sketch.old else {"PredefinedType": "DOOR", "OperationType": swing}
    size = {"OverallHeight": sketch.length(height), "OverallWidth": sketch.length(width)}
    made = sketch.product(floor, "IfcDoor", "Door", sketch.placed(place, (0.0, 0.0, 0.0)), shape, **size, **kind)
    sketch.root("IfcRelFillsElement", None, RelatingOpeningElement=hole, RelatedBuildingElement=made)
    outer = wall.entity.Name.startswith("Outer")
    props: dict[str, Any] = {"IsExternal": ("IfcBoolean", outer)}
    if u_value is not None:
        props["ThermalTransmittance"] = ("IfcThermalTransmittanceMeasure", u_value)
    sketch.describe(made, "Pset_DoorCommon", **props)


def window(
    sketch: Sketch,
    floor: Floor,
    at: XY,
    width: float,
    height: float = 1.2,
    sill: float = 0.9,
    u_value: float | None = 1.1,
) -> None:
    """A window in its opening."""
    hole, (place, wall) = opening(sketch, floor, at, width, height, sill)
    back = wall.thickness / 2
    pane = [(0.0, back), (width, back), (width, back + 0.08), (0.0, back + 0.08)]
    shape = sketch.shape([sketch.prism(pane, 0.0, height)])
    kind = {} if sketch.old else {"PredefinedType": "WINDOW"}
    size = {"OverallHeight": sketch.length(height), "OverallWidth": sketch.length(width)}
    made = sketch.product(floor, "IfcWindow", "Window", sketch.placed(place, (0.0, 0.0, 0.0)), shape, **size, **kind)
    sketch.root("IfcRelFillsElement", None, RelatingOpeningElement=hole, RelatedBuildingElement=made)
    props: dict[str, Any] = {"IsExternal": ("IfcBoolean", True)}
    if u_value is not None:
        props["ThermalTransmittance"] = ("IfcThermalTransmittanceMeasure", u_value)
    sketch.describe(made, "Pset_WindowCommon", **props)


def rooms(sketch: Sketch, floor: Floor, height: float, rows: list[tuple[str, str, XY]]) -> dict[str, Entity]:
    """Spaces on the free floor: number, long name, a point inside. Every free part must get its name."""
    parts, found = free_floor(floor), {}
    for number, long_name, where in rows:
        outline = orient(part_at(parts, where))
        found[number] = space(sketch, floor, number, long_name, outline, height)
    if len(found) != len(parts):
        raise SystemExit(f"{sketch.scene.name}: {len(parts)} free parts of floor for {len(found)} rooms")
    return found


def space(
    sketch: Sketch, floor: Floor, number: str, long_name: str, outline: Polygon, height: float, external: bool = False
) -> Entity:
    """One space, with its net floor area."""
    corner = outline.exterior.coords[0]
    corners = [(x - corner[0], y - corner[1]) for x, y in outline.exterior.coords[:-1]]
    inside = {"IFC2X3": "INTERNAL", "IFC4": "INTERNAL", "IFC4X3": "SPACE"}[sketch.scene.schema]
    key = "InteriorOrExteriorSpace" if sketch.old else "PredefinedType"
    found = sketch.root(
        "IfcSpace",
        number,
        ObjectPlacement=sketch.placed(floor.placement, (corner[0], corner[1], 0.0)),
        Representation=sketch.shape([sketch.prism(corners, 0.0, height)]),
        LongName=long_name,
        CompositionType="ELEMENT",
        **{key: "EXTERNAL" if external else inside},
    )
    sketch.remember_space(floor, found)
    area = sketch.make("IfcQuantityArea", "NetFloorArea", None, None, round(outline.area / sketch.area_unit_m2, 4))
    name = "BaseQuantities" if sketch.old else "Qto_SpaceBaseQuantities"
    quantities = sketch.root("IfcElementQuantity", name, MethodOfMeasurement="BaseQuantities", Quantities=[area])
    sketch.root("IfcRelDefinesByProperties", None, RelatedObjects=[found], RelatingPropertyDefinition=quantities)
    return found


def slab(
    sketch: Sketch,
    floor: Floor,
    name: str,
    outline: list[XY],
    top: float,
    thickness: float,
    kind: str,
    construction: str,
    u_value: float | None = None,
    hole: list[XY] | None = None,
) -> Entity:
    """A slab with its top at `top` over the storey, perhaps with a hole."""
    place = sketch.placed(floor.placement, (0.0, 0.0, top - thickness))
    shape = sketch.shape([sketch.prism(outline, 0.0, thickness)])
    made = sketch.product(floor, "IfcSlab", name, place, shape, PredefinedType=kind)
    if hole:
        void = sketch.root(
            "IfcOpeningElement",
            "Stairwell",
            ObjectPlacement=sketch.placed(place, (0.0, 0.0, 0.0)),
            Representation=sketch.shape([sketch.prism(hole, 0.0, thickness)]),
            **({} if sketch.old else {"PredefinedType": "OPENING"}),
        )
        sketch.root("IfcRelVoidsElement", None, RelatingBuildingElement=made, RelatedOpeningElement=void)
    if u_value is not None:
        sketch.describe(made, "Pset_SlabCommon", ThermalTransmittance=("IfcThermalTransmittanceMeasure", u_value))
    sketch.built_of(made, construction)
    return made


def box(x: float, y: float, width: float, depth: float) -> list[XY]:
    """A rectangle by its lower left corner."""
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]


def thing(
    sketch: Sketch,
    floor: Floor,
    ifc_class: str,
    name: str,
    outline: list[XY],
    height: float,
    base: float = 0.0,
    **kwargs: Any,
) -> Entity:
    """Something that stands on the floor."""
    place = sketch.placed(floor.placement, (*outline[0], base))
    corners = [(x - outline[0][0], y - outline[0][1]) for x, y in outline]
    return sketch.product(floor, ifc_class, name, place, sketch.shape([sketch.prism(corners, 0.0, height)]), **kwargs)


def sanitary(sketch: Sketch, floor: Floor, kind: str, name: str, outline: list[XY], height: float) -> None:
    """A bath, tray, basin or pan; in IFC2X3 a flow terminal with a type that says which."""
    if not sketch.old:
        thing(sketch, floor, "IfcSanitaryTerminal", name, outline, height, PredefinedType=kind)
        return
    made = thing(sketch, floor, "IfcFlowTerminal", name, outline, height)
    style = sketch.root("IfcSanitaryTerminalType", name, PredefinedType=kind)
    sketch.root("IfcRelDefinesByType", None, RelatedObjects=[made], RelatingType=style)


def furniture(sketch: Sketch, floor: Floor, name: str, outline: list[XY], height: float) -> None:
    """A piece of furniture or a fitted unit."""
    thing(sketch, floor, "IfcFurnishingElement" if sketch.old else "IfcFurniture", name, outline, height)


def straight_stair(
    sketch: Sketch, floor: Floor, x: float, width: float, y_start: float, going: float, rise: float, steps: int
) -> None:
    """A straight flight that climbs towards -y, its steps as upright blocks."""
    place = sketch.placed(floor.placement, (x, y_start, 0.0))
    blocks = []
    for k in range(steps):
        low = max(0.0, k * rise - 0.2)
        blocks.append(sketch.prism(box(0.0, -(k + 1) * going, width, going), low, (k + 1) * rise - low))
    flight = sketch.root(
        "IfcStairFlight",
        "Flight",
        ObjectPlacement=sketch.placed(place, (0.0, 0.0, 0.0)),
        Representation=sketch.shape(blocks),
        **({} if sketch.old else {"PredefinedType": "STRAIGHT"}),
    )
    key = "ShapeType" if sketch.old else "PredefinedType"
    stair = sketch.root("IfcStair", "Stair", ObjectPlacement=place, **{key: "STRAIGHT_RUN_STAIR"})
    sketch.aggregate(stair, [flight])
    sketch.contain(floor, stair)
