"""Forty and more conflicts, each with a twin that is as near to it as can be and no conflict.

A case plants into models (`Models`) and returns the element that must be named. What may be found besides, because
the planted thing does more than one wrong, is listed with the case.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import ifcopenshell.util.element
from planted_house import Models, around

Plant = Callable[[Models], Any]
UPSTAIRS = 3.0
IN_CABINET = (0.8, 0.02, 0.95, 0.1)
IN_FRONT = (0.8, 0.4, 0.95, 0.55)


@dataclass(frozen=True)
class Case:
    """A conflict with its code, its twin, and the codes that may come with it."""

    code: str
    plant: Plant
    twin: Plant
    besides: tuple[str, ...] = ()


# --- the cabinet ------------------------------------------------------------------------------------


def _window(sill: float) -> Plant:
    def plant(m: Models) -> Any:
        hole = m.architect.hole(m.architect.wall_named("south"), 0.6, -0.2, 1.2, 0.0, sill, 1.0)
        return m.architect.fill(hole, "IfcWindow")

    return plant


def _doorway(x: float) -> Plant:
    return lambda m: m.architect.door("south", (x, -0.2, x + 0.9, 0.0), (-1.0, 0.0), "SLIDING_TO_LEFT")


def _swinging(kind: str, along: tuple[float, float], low: float) -> Plant:
    return lambda m: m.architect.door("west", (-0.2, low, 0.0, low + 1.2), along, kind)


def _box(ifc_class: str, box: tuple[float, ...], z: float, height: float, **values: Any) -> Plant:
    return lambda m: m.architect.solid(ifc_class, box, z, height, **values)


def _other(ifc_class: str, box: tuple[float, ...], z: float, height: float, **values: Any) -> Plant:
    return lambda m: m.other.solid(ifc_class, box, z, height, **values)


def _recess(deep: float, thick: float = 0.2, **said: Any) -> Plant:
    """The cabinet pushed into the south wall, of which the architect says something."""

    def plant(m: Models) -> Any:
        wall = m.architect.wall_named("south")
        if thick != 0.2:
            corners = [(-0.2, -thick), (8.4, -thick), (8.4, 0.0), (-0.2, 0.0)]
            wall.Representation = m.architect.body(m.architect.prism(corners, 2.6))
        if said:
            m.architect.properties(wall, "Pset_WallCommon", **said)
        m.heating.shift(m.manifold(), y=-deep)
        return wall

    return plant


def _moved_manifold(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Plant:
    def plant(m: Models) -> Any:
        m.heating.shift(m.manifold(), x, y, z)
        return m.cabinet()

    return plant


def _second_cabinet(shift: float) -> Plant:
    def plant(m: Models) -> Any:
        first = m.manifold()
        made = ifcopenshell.util.element.copy_deep(m.heating.file, first)
        made.GlobalId, made.Name = m.heating.make("IfcWall").GlobalId, "M2"
        m.heating.contain(m.heating.ground, made)
        cabinet = ifcopenshell.util.element.copy_deep(m.heating.file, m.cabinet())
        cabinet.GlobalId = m.heating.make("IfcWall").GlobalId
        cabinet.ObjectPlacement.PlacementRelTo = made.ObjectPlacement
        m.heating._part(made, [cabinet])
        m.heating.shift(made, x=shift)
        return cabinet

    return plant


def _other_storey(storey: str) -> Plant:
    def plant(m: Models) -> Any:
        manifold, target = m.manifold(), m.heating.storeys[storey]
        relation = manifold.ContainedInStructure[0]
        relation.RelatedElements = [e for e in relation.RelatedElements if e != manifold]
        m.heating.contain(target, manifold)
        return m.cabinet()

    return plant


def _lifted_manifold(by: float) -> Plant:
    return _moved_manifold(z=by)


def _without_clearance(which: str) -> Plant:
    def plant(m: Models) -> Any:
        shape = m.manifold().Representation
        left = [r for r in shape.Representations if r.RepresentationIdentifier != which]
        m.manifold().Representation = m.heating.file.createIfcProductDefinitionShape(None, None, left) if left else None
        return m.cabinet()

    return plant


# --- pipes ------------------------------------------------------------------------------------------


def _moved_pipe(room: int, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Plant:
    return lambda m: m.heating.shift(m.pipe(room), x, y, z)


def _bent_pipe(by: float) -> Plant:
    def plant(m: Models) -> Any:
        m.bend_up(m.pipe(2), by)
        return m.pipe(2)

    return plant


def _at_pipe(ifc_class: str, away: float | None, half: float, z: float, height: float, **values: Any) -> Plant:
    """A square thing of the architect's so far from a pipe; None: as far as can be."""
    return _placed(lambda m: m.architect, ifc_class, (away, half, z, height), values)


def _other_at_pipe(ifc_class: str, away: float | None, half: float, z: float, height: float, **values: Any) -> Plant:
    """The same in another trade's model."""
    return _placed(lambda m: m.other, ifc_class, (away, half, z, height), values)


def _placed(pencil: Any, ifc_class: str, size: tuple[Any, ...], values: dict[str, Any]) -> Plant:
    away, half, z, height = size

    def plant(m: Models) -> Any:
        at = m.house.free_spot() if away is None else m.house.spot(away)
        return pencil(m).solid(ifc_class, around(at, half), z, height, **values)

    return plant


def _hole_in_slab(away: float | None) -> Plant:
    def plant(m: Models) -> Any:
        at = m.house.free_spot() if away is None else m.house.spot(away)
        slab = next(s for s in m.architect.file.by_type("IfcSlab") if s.Name == "base")
        return m.architect.hole(slab, *around(at, 0.054), -0.35, 0.2)

    return plant


def _shaft(z: float) -> Plant:
    def plant(m: Models) -> Any:
        storey = m.architect.ground if z == 0 else m.architect.storeys["First floor"]
        corners = [(5.5, 1.5), (6.1, 1.5), (6.1, 2.1), (5.5, 2.1)]
        return m.architect.space(corners, storey, z=z, name="S", long_name="Shaft")

    return plant


def _moved_partition(by: float) -> Plant:
    return lambda m: m.architect.shift(m.architect.wall_named("middle"), x=by)


def _walled_up(m: Models) -> Any:
    """The door of the partition and its opening taken out."""
    file = m.architect.file
    wall = m.architect.wall_named("middle")
    for relation in (*wall.HasOpenings[0].RelatedOpeningElement.HasFillings, wall.HasOpenings[0]):
        file.remove(relation)
    for element in (*file.by_type("IfcDoor"), *file.by_type("IfcOpeningElement")):
        file.remove(element)
    return wall


def _without_leaf(m: Models) -> Any:
    """Only the door taken out; its opening stays."""
    file = m.architect.file
    for element in (*file.by_type("IfcRelFillsElement"), *file.by_type("IfcDoor")):
        file.remove(element)
    return m.architect.wall_named("middle")


def _sleeves(**said: Any) -> Plant:
    """The door walled up, its pipes in sleeves through the wall, of which the architect says something."""

    def plant(m: Models) -> Any:
        wall = _walled_up(m)
        m.architect.properties(wall, "Pset_WallCommon", **said)
        m.heating.solid(
            "IfcBuildingElementProxy", (3.95, 2.0, 4.25, 2.9), -0.1, 0.06, PredefinedType="PROVISIONFORVOID"
        )
        return wall

    return plant


# --- screed and other trades --------------------------------------------------------------------------


def _lower_screed(by: float) -> Plant:
    def plant(m: Models) -> Any:
        screed = m.covering("Bedroom", "SCREED")
        for solid in screed.Representation.Representations[0].Items:
            solid.Depth -= by / m.heating.scale
        return screed

    return plant


def _without_layer(object_type: str) -> Plant:
    def plant(m: Models) -> Any:
        m.covering("Bedroom", object_type).Representation = None
        return next(s for s in m.heating.file.by_type("IfcSpace") if s.LongName == "Bedroom")

    return plant


def _across(ifc_class: str, over_m: float, half: float = 0.01, **values: Any) -> Plant:
    """A bar of another trade across the second room, its middle so far over the pipes' axis."""

    def plant(m: Models) -> Any:
        z = m.house.pipe_m + over_m
        return m.other.solid(ifc_class, (6.0, 0.6, 6.0 + 2 * half, 3.4), z - half, 2 * half, **values)

    return plant


def _other_wall(opening: bool) -> Plant:
    """The structural engineer's wall in place of the partition, with or without the opening for the door."""

    def plant(m: Models) -> Any:
        wall = m.other.solid("IfcWall", (4.0, 0.0, 4.2, 4.0), -0.15, 2.7)
        if opening:
            m.other.hole(wall, 3.9, 2.0, 4.3, 2.9, -0.2, 2.2)
        return wall

    return plant


NEAR_PIPES = ("coordination.pipe-near-column", "coordination.pipe-near-wall", "coordination.pipe-in-wall",
              "coordination.pipe-in-column")  # fmt: skip
RISERS = ("coordination.pipe-leaves-floor",)
OUTSIDE = ("coordination.pipe-outside-rooms", *RISERS)
CASES = {
    "window behind the cabinet": Case("cabinet-in-window", _window(0.4), _window(0.9)),
    "door behind the cabinet": Case("cabinet-in-doorway", _doorway(0.7), _doorway(2.2)),
    "door swings against the cabinet": Case(
        "cabinet-in-door-swing",
        _swinging("SINGLE_SWING_RIGHT", (0.0, -1.0), 0.02),
        _swinging("SINGLE_SWING_LEFT", (0.0, 1.0), 0.02),
        ("coordination.service-in-door-swing",),
    ),
    "door swings into the service space": Case(
        "service-in-door-swing",
        _swinging("SINGLE_SWING_LEFT", (0.0, -1.0), 0.2),
        _swinging("SLIDING_TO_LEFT", (0.0, -1.0), 0.2),
    ),
    "column in the cabinet": Case(
        "cabinet-in-column",
        _box("IfcColumn", IN_CABINET, 0, 2.6),
        _box("IfcColumn", IN_CABINET, UPSTAIRS, 2.6),
        NEAR_PIPES,
    ),
    "wall across the cabinet": Case(
        "cabinet-in-wall",
        _box("IfcWall", (0.85, 0.0, 0.95, 0.3), 0, 2.6),
        _box("IfcWall", (0.85, 0.0, 0.95, 0.3), UPSTAIRS, 2.6),
        ("coordination.no-service-space", *NEAR_PIPES),
    ),
    "cabinet in a thin wall": Case("cabinet-too-deep", _recess(0.12, 0.075), _recess(0.12, LoadBearing=False)),
    "cabinet in a bearing wall": Case(
        "recess-in-bearing-wall", _recess(0.12, LoadBearing=True), _recess(0.0, LoadBearing=True)
    ),
    "cabinet in a wall that resists fire": Case(
        "recess-in-fire-wall", _recess(0.12, FireRating="REI 90"), _recess(0.0, FireRating="REI 90")
    ),
    "cabinet in an outer wall": Case(
        "recess-in-outer-wall",
        _recess(0.12, LoadBearing=False, IsExternal=True),
        _recess(0.12, LoadBearing=False, IsExternal=False),
    ),
    "cabinet without a wall": Case("cabinet-without-wall", _moved_manifold(y=1.2), _moved_manifold(x=0.05), RISERS),
    "stair in the cabinet": Case(
        "cabinet-on-stair",
        _box("IfcStairFlight", IN_CABINET, 0, 0.9),
        _box("IfcStairFlight", IN_CABINET, 2.2, 0.4),
        ("coordination.pipe-under-stair",),
    ),
    "unit in the cabinet": Case(
        "cabinet-in-unit",
        _box("IfcFurniture", IN_CABINET, 0, 0.9, name="Kitchen unit"),
        _box("IfcFurniture", IN_CABINET, 1.4, 0.6, name="Kitchen wall unit"),
        ("coordination.pipe-under-unit",),
    ),
    "sofa before the cabinet": Case(
        "cabinet-behind-furniture",
        _box("IfcFurniture", IN_CABINET, 0, 0.7, name="Sofa"),
        _box("IfcFurniture", (2.0, 3.0, 3.5, 3.8), 0, 0.7, name="Sofa"),
    ),
    "two cabinets in one place": Case("cabinets-meet", _second_cabinet(0.3), _second_cabinet(1.2)),
    "manifold of another storey": Case(
        "manifold-of-other-storey",
        _other_storey("First floor"),
        _other_storey("Ground floor"),
        ("coordination.cabinet-off-storey",),
    ),
    "cabinet at the height of another storey": Case(
        "cabinet-off-storey",
        _lifted_manifold(3.0),
        _lifted_manifold(0.03),
        ("coordination.cabinet-without-wall", *RISERS),
    ),
    "no service space in the model": Case(
        "service-space-missing", _without_clearance("Clearance"), _without_clearance("Box")
    ),
    "wall before the cabinet": Case(
        "no-service-space",
        _box("IfcWall", (0.3, 0.5, 1.5, 0.6), 0, 2.6),
        _box("IfcWall", (0.3, 0.5, 1.5, 0.6), 2.1, 0.5),
        NEAR_PIPES,
    ),
    "column before the cabinet": Case(
        "no-service-space", _box("IfcColumn", IN_FRONT, 0, 2.6), _box("IfcColumn", IN_FRONT, 2.1, 0.5), NEAR_PIPES
    ),
    "unit before the cabinet": Case(
        "no-service-space",
        _box("IfcFurniture", IN_FRONT, 0, 0.9, name="Kitchen unit"),
        _box("IfcFurniture", IN_FRONT, 2.02, 0.3, name="Kitchen wall unit"),
        ("coordination.pipe-under-unit",),
    ),
    "duct through the cabinet": Case(
        "cabinet-other-trade",
        _other("IfcDuctSegment", (0.3, 0.02, 2.0, 0.1), 0.4, 0.1),
        _other("IfcDuctSegment", (0.3, 0.02, 2.0, 0.1), 0.9, 0.1),
        ("coordination.pipe-on-duct",),
    ),
    "waste pipe before the cabinet": Case(
        "service-other-trade",
        _other("IfcPipeSegment", IN_FRONT, 0.1, 2.4),
        _other("IfcPipeSegment", IN_FRONT, 2.05, 0.5),
    ),
    # --- pipes and the building ---
    "pipe through a wall beside the door": Case(
        "pipe-in-wall", _moved_pipe(2, y=-1.1), _moved_pipe(2, y=0.002), OUTSIDE
    ),
    "partition moved onto pipes": Case(
        "pipe-in-wall", _moved_partition(0.35), _moved_partition(0.005), ("coordination.pipe-near-wall", *OUTSIDE)
    ),
    "pipe too near to a wall": Case("pipe-near-wall", _moved_pipe(2, x=0.03), _moved_pipe(2, x=0.002)),
    "door walled up": Case("pipe-in-wall", _walled_up, _without_leaf),
    "sleeves in a bearing wall": Case(
        "sleeve-in-bearing-wall", _sleeves(LoadBearing=True), _sleeves(LoadBearing=False)
    ),
    "sleeves in a wall that resists fire": Case(
        "sleeve-in-fire-wall", _sleeves(FireRating="EI 60"), _sleeves(Reference="EI 60")
    ),
    "column on a pipe": Case(
        "pipe-in-column", _at_pipe("IfcColumn", 0, 0.05, 0, 2.6), _at_pipe("IfcColumn", 0, 0.05, UPSTAIRS, 2.6)
    ),
    "column beside a pipe": Case(
        "pipe-near-column", _at_pipe("IfcColumn", 0.035, 0.01, 0, 2.6), _at_pipe("IfcColumn", None, 0.01, 0, 2.6)
    ),
    "hole in the slab under a pipe": Case("pipe-in-shaft", _hole_in_slab(0.0), _hole_in_slab(None)),
    "shaft in a field": Case("pipe-in-shaft", _shaft(0.0), _shaft(UPSTAIRS)),
    "chimney beside pipes": Case(
        "pipe-at-hearth", _at_pipe("IfcChimney", None, 0.05, 0, 2.6), _at_pipe("IfcChimney", None, 0.05, UPSTAIRS, 2.6)
    ),
    "stair on pipes": Case(
        "pipe-under-stair", _at_pipe("IfcStairFlight", 0, 0.4, 0, 2.0), _at_pipe("IfcStairFlight", 0, 0.4, 2.2, 0.4)
    ),
    "unit on pipes": Case(
        "pipe-under-unit",
        _at_pipe("IfcFurniture", 0, 0.3, 0, 0.9, name="Kitchen island"),
        _at_pipe("IfcFurniture", 0, 0.3, 0, 0.7, name="Sofa"),
    ),
    "pan on pipes": Case(
        "pipe-at-sanitary",
        _at_pipe("IfcSanitaryTerminal", 0, 0.2, 0, 0.4, PredefinedType="TOILETPAN"),
        _at_pipe("IfcSanitaryTerminal", 0, 0.2, 0.5, 0.3, PredefinedType="WASHHANDBASIN"),
    ),
    "pipe beside the house": Case(
        "pipe-outside-rooms", _moved_pipe(2, x=2.0), _moved_pipe(2, x=0.001), ("coordination.pipe-in-wall", *RISERS)
    ),
    "pipe at another storey's height": Case("pipe-off-storey", _moved_pipe(2, z=1.5), _moved_pipe(2, z=0.001), RISERS),
    "pipe that rises in a room": Case("pipe-leaves-floor", _bent_pipe(0.3), _bent_pipe(0.002)),
    # --- pipes and other trades ---
    "drain on a pipe": Case(
        "pipe-on-drain",
        _other_at_pipe("IfcWasteTerminal", 0, 0.05, -0.3, 0.3, PredefinedType="FLOORTRAP"),
        _other_at_pipe("IfcWasteTerminal", None, 0.01, -0.3, 0.3, PredefinedType="FLOORTRAP"),
    ),
    "drain beside a pipe": Case(
        "pipe-near-drain",
        _other_at_pipe("IfcWasteTerminal", 0.035, 0.01, -0.3, 0.3, PredefinedType="FLOORTRAP"),
        _other_at_pipe("IfcWasteTerminal", 0.035, 0.01, -0.3, 0.2, PredefinedType="FLOORTRAP"),
    ),
    "duct riser through a field": Case(
        "pipe-on-duct",
        _other_at_pipe("IfcDuctSegment", 0, 0.1, -0.5, 4.0),
        _other_at_pipe("IfcDuctSegment", 0, 0.1, 2.2, 1.5),
    ),
    "duct riser beside a pipe": Case(
        "pipe-near-duct",
        _other_at_pipe("IfcDuctSegment", 0.035, 0.01, -0.5, 4.0),
        _other_at_pipe("IfcDuctSegment", None, 0.01, -0.5, 4.0),
    ),
    "cold water across the pipes": Case(
        "pipe-on-pipe",
        _across("IfcPipeSegment", 0.0),
        _across("IfcPipeSegment", -0.05),
        ("coordination.body-in-screed",),
    ),
    "conduit across the pipes": Case(
        "pipe-on-cable",
        _across("IfcCableCarrierSegment", 0.0),
        _across("IfcCableCarrierSegment", -0.05),
        ("coordination.body-in-screed",),
    ),
    "conduit in the screed over the pipes": Case(
        "body-in-screed", _across("IfcCableCarrierSegment", 0.03), _across("IfcCableCarrierSegment", 0.2)
    ),
    "another trade's column on a pipe": Case(
        "pipe-in-structure",
        _other_at_pipe("IfcColumn", 0, 0.1, -0.3, 3.0),
        _other_at_pipe("IfcColumn", 0, 0.1, -0.6, 0.45),
    ),
    "another trade's wall without the door": Case("pipe-in-structure", _other_wall(False), _other_wall(True)),
    "another trade's machine on pipes": Case(
        "pipe-on-other",
        _other_at_pipe("IfcUnitaryEquipment", 0, 0.3, -0.15, 1.0),
        _other_at_pipe("IfcUnitaryEquipment", 0, 0.3, 0.0, 1.0),
    ),
    # --- what the architect's model calls a proxy ---
    "proxy through the floor": Case(
        "pipe-on-unstated",
        _at_pipe("IfcBuildingElementProxy", 0, 0.1, -0.3, 0.6),
        _at_pipe("IfcBuildingElementProxy", 0, 0.1, -0.5, 0.2),
    ),
    "proxy on the floor over pipes": Case(
        "pipe-under-unstated",
        _at_pipe("IfcBuildingElementProxy", 0, 0.3, 0, 0.9),
        _at_pipe("IfcBuildingElementProxy", 0, 0.3, 0.9, 0.9),
    ),
    "proxy in the cabinet": Case(
        "cabinet-at-unstated",
        _box("IfcBuildingElementProxy", IN_CABINET, 0, 0.9),
        _box("IfcBuildingElementProxy", IN_CABINET, 1.4, 0.6),
        ("coordination.pipe-under-unstated", "coordination.pipe-on-unstated"),
    ),
    "proxy before the cabinet": Case(
        "service-at-unstated",
        _box("IfcBuildingElementProxy", IN_FRONT, 0, 0.9),
        _box("IfcBuildingElementProxy", IN_FRONT, 2.05, 0.5),
        ("coordination.pipe-under-unstated",),
    ),
    # --- screed ---
    "screed too thin": Case("cover-too-thin", _lower_screed(0.02), _lower_screed(0.001)),
    "pipe below its screed": Case("pipe-below-screed", _moved_pipe(2, z=-0.02), _moved_pipe(2, z=-0.001)),
    "room without screed": Case("pipe-without-screed", _without_layer("SCREED"), _without_layer("CASTELLATED PANEL")),
}
