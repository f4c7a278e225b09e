"""A dwelling of a hall and four rooms, drawn again with one thing changed; GlobalIds stay unless asked otherwise."""

from __future__ import annotations

import uuid
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import ifcopenshell.guid
from building_sketch import Sketch

Box = tuple[float, float, float, float]
INNER = 0.12


@dataclass(frozen=True, kw_only=True)
class Changes:
    """What is drawn otherwise than in the first state. Lengths [m], angles [rad]."""

    wall_x: float = 3.6  # middle of the wall between living room and bedroom
    door_x: float = 5.2  # left jamb of the bedroom's door
    long_names: dict[str, str] = field(default_factory=dict)
    without: tuple[str, ...] = ()  # numbers of rooms that are gone
    garden: bool = False  # a room more, beside the house
    split: bool = False  # the study is divided by a wall
    unit: Box | None = None  # something fixed on the floor
    column: Box | None = None
    floors: dict[str, float] = field(default_factory=dict)  # rooms that lie higher
    up: float = 0.0  # the storey lies higher
    slab_top: float = -0.16
    indoor: dict[str, float] = field(default_factory=dict)
    no_door: tuple[str, ...] = ()  # openings of these doors that have none
    new_ids: bool = False
    turn: float = 0.0
    place: tuple[float, float, float] = (0.0, 0.0, 0.0)
    east: float | None = None  # of a map conversion


def rooms_of(changes: Changes) -> dict[str, tuple[str, Box]]:
    """Long name and clear floor of every room by its number."""
    x = changes.wall_x
    study = (0.0, -2.95, 1.8, -0.15) if changes.split else (0.0, -2.95, 4.0, -0.15)
    rooms = {
        "1": ("Hall", (0.0, 0.0, 7.2, 1.6)),
        "2": ("Living room", (0.0, 1.75, x - INNER / 2, 4.95)),
        "3": ("Bedroom", (x + INNER / 2, 1.75, 7.2, 4.95)),
        "4": ("Study", study),
        "5": ("Bathroom", (4.12, -2.95, 7.2, -0.15)),
    }
    if changes.garden:
        rooms["6"] = ("Garden room", (7.5, 1.75, 10.5, 4.95))
    if changes.split:
        rooms["7"] = ("Box room", (1.9, -2.95, 4.0, -0.15))
    return {number: room for number, room in rooms.items() if number not in changes.without}


def walls_of(changes: Changes) -> dict[str, Box]:
    """Plan of every wall by its name."""
    x = changes.wall_x
    walls = {
        "South": (-0.3, -3.25, 7.5, -2.95),
        "North": (-0.3, 4.95, 7.5, 5.25),
        "West": (-0.3, -2.95, 0.0, 4.95),
        "East": (7.2, -2.95, 7.5, 4.95),
        "Hall north": (0.0, 1.6, 7.2, 1.75),
        "Hall south": (0.0, -0.15, 7.2, 0.0),
        "Partition": (x - INNER / 2, 1.75, x + INNER / 2, 4.95),
        "Bath wall": (4.0, -2.95, 4.12, -0.15),
    }
    if changes.split:
        walls["Study wall"] = (1.8, -2.95, 1.9, -0.15)
    return walls


def doors_of(changes: Changes) -> dict[str, tuple[str, Box]]:
    """The wall and the opening of every door by its name."""
    return {
        "Front door": ("West", (-0.3, 0.3, 0.0, 1.3)),
        "Living room door": ("Hall north", (2.0, 1.6, 2.9, 1.75)),
        "Bedroom door": ("Hall north", (changes.door_x, 1.6, changes.door_x + 0.9, 1.75)),
        "Study door": ("Hall south", (1.0, -0.15, 1.9, 0.0)),
        "Bathroom door": ("Hall south", (5.2, -0.15, 6.0, 0.0)),
    }


def dwelling(folder: Path, name: str, changes: Changes | None = None) -> Path:
    """The file of a state."""
    c = changes or Changes()
    sketch = Sketch(turn=c.turn, place=c.place)
    storey = sketch.storey(c.up, name="Ground floor")
    walls = {
        wall: sketch.box("IfcWall", *box, c.up + c.slab_top, 2.8, storey=storey, name=wall)
        for wall, box in walls_of(c).items()
    }
    for number, (long_name, (x0, y0, x1, y1)) in rooms_of(c).items():
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        called = c.long_names.get(number, long_name)
        base = c.up + c.floors.get(number, 0.0)
        space = sketch.space(corners, storey, base, 2.5 - c.floors.get(number, 0.0), name=number, long_name=called)
        if number in c.indoor:
            sketch.properties(space, "Pset_SpaceThermalRequirements", SpaceTemperature=c.indoor[number])
    for door, (wall, box) in doors_of(c).items():
        hole = sketch.hole(walls[wall], *box, z=c.up)
        if door not in c.no_door:
            sketch.fill(hole).Name = door
    sketch.box("IfcSlab", -0.3, -3.25, 7.5, 5.25, c.up + c.slab_top - 0.2, 0.2, storey, PredefinedType="BASESLAB")
    if c.unit is not None:
        sketch.box("IfcFurnishingElement", *c.unit, c.up, 2.0, storey, name="Kitchen units")
    if c.column is not None:
        sketch.box("IfcColumn", *c.column, c.up, 2.5, storey, name="Post")
    if c.east is not None:
        crs = sketch.file.createIfcProjectedCRS("EPSG:25832")
        sketch.file.createIfcMapConversion(sketch.context, crs, c.east, 5_300_000.0, 400.0)
    if not c.new_ids:
        _name_ids(sketch)
    return sketch.save(folder, f"{name}.ifc")


def _name_ids(sketch: Sketch) -> None:
    """GlobalIds that follow from class and name, counted where a name comes again."""
    met: Counter[str] = Counter()
    for entity in sketch.file.by_type("IfcRoot"):
        key = f"{entity.is_a()}/{entity.Name}"
        met[key] += 1
        entity.GlobalId = ifcopenshell.guid.compress(uuid.uuid5(uuid.NAMESPACE_DNS, f"{key}/{met[key]}").hex)
