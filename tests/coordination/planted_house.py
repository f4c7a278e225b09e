"""A small house with its heating, designed once, into which conflicts are planted.

The architect's model, the heating model and other trades' models are edited by the IFC library alone, as their
authors would edit them; nothing of the checker is called here. Coordinates are the house's own [m]: two rooms of
4 x 4 m, a door between them, the manifold on the south wall of the first.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid
import numpy as np
import shapely
from building_sketch import UNITS, Sketch

from ufh_core.building.read import read_building
from ufh_core.building.types import Building
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.settings.types import Settings

TURN, PLACE = 0.4, (500.0, 300.0, 0.0)
ROOM_TWO = shapely.box(4.8, 0.6, 7.6, 3.4)


class Pencil(Sketch):
    """A sketch that goes on drawing in a file that is there already."""

    def __init__(self, file: Any, unit: str) -> None:
        self.file, self.schema, self.scale = file, file.schema, UNITS[unit]
        self.context = file.by_type("IfcGeometricRepresentationContext")[0]
        self.project, self.building = file.by_type("IfcProject")[0], file.by_type("IfcBuilding")[0]
        self.storeys = {s.Name: s for s in file.by_type("IfcBuildingStorey")}
        self.ground = self.storeys["Ground floor"]

    def wall_named(self, name: str) -> Any:
        return next(w for w in self.file.by_type("IfcWall") if w.Name == name)

    def shift(self, element: Any, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Any:
        """Move an element in the house's own directions."""
        point = element.ObjectPlacement.RelativePlacement.Location
        moved = [c + d / self.scale for c, d in zip(point.Coordinates, (x, y, z), strict=True)]
        element.ObjectPlacement.RelativePlacement.Location = self.file.createIfcCartesianPoint(moved)
        return element

    def door(self, wall: str, box: tuple[float, float, float, float], along: tuple[float, float], kind: str) -> Any:
        """A door in a wall; `along` is its x axis, and it opens to the left of that."""
        hole = self.hole(self.wall_named(wall), *box)
        made = self.fill(hole, "IfcDoor", OperationType=kind)
        made.ObjectPlacement = self._placement(self.building.ObjectPlacement, (*box[:2], 0.0), math.atan2(*along[::-1]))
        return made

    def solid(self, ifc_class: str, box: tuple[float, ...], z: float, height: float, **values: Any) -> Any:
        """A box of an element on the ground floor."""
        return self.box(ifc_class, *box, z, height, self.ground, name=values.pop("name", ifc_class[3:]), **values)


@dataclass(frozen=True)
class House:
    """The models as first written, in text, and where things are in them."""

    folder: Path
    architect: str
    heating: str
    building: Building
    design: Design
    settings: Settings

    def architects(self) -> Pencil:
        return Pencil(ifcopenshell.file.from_string(self.architect), "mm")

    def heatings(self) -> Pencil:
        return Pencil(ifcopenshell.file.from_string(self.heating), "mm")

    def others(self) -> Pencil:
        """An empty model of another trade, in feet, at the same place."""
        sketch = Sketch(unit="ft", turn=TURN, place=PLACE)
        sketch.storey()
        return Pencil(sketch.file, "ft")

    @cached_property
    def pipes(self) -> dict[str, np.ndarray]:
        """Plan points of every pipe in the house's own coordinates [m], from the design's axes."""
        back = np.array([[math.cos(TURN), -math.sin(TURN)], [math.sin(TURN), math.cos(TURN)]])
        frame = self.building.frame
        return {
            c.laid.number: (frame.to_world(c.laid.axis.points()) - PLACE[:2]) @ back
            for c in self.design.storeys[0].circuits
        }

    @cached_property
    def pipe_m(self) -> float:
        """Height of the pipes' axis [m]."""
        return next(r.build_up.pipe_axis_m for r in self.design.storeys[0].rooms if r.build_up is not None)

    @cached_property
    def spots(self) -> tuple[np.ndarray, np.ndarray]:
        """(plan points in the second room, their distances to the nearest pipe's axis) [m]."""
        x0, y0, x1, y1 = ROOM_TWO.bounds
        grid = np.stack(np.meshgrid(np.arange(x0, x1, 0.02), np.arange(y0, y1, 0.02)), axis=-1).reshape(-1, 2)
        lines = shapely.union_all([shapely.LineString(p) for p in self.pipes.values()])
        return grid, shapely.distance(shapely.points(grid), lines)

    def spot(self, away_m: float) -> tuple[float, float]:
        """A point in the second room as far as this from the nearest pipe's axis."""
        grid, gaps = self.spots
        x, y = grid[int(np.argmin(abs(gaps - away_m)))]
        return float(x), float(y)

    def free_spot(self) -> tuple[float, float]:
        """The point in the second room that is furthest from all pipes."""
        return self.spot(float(self.spots[1].max()))


def around(at: tuple[float, float], half: float) -> tuple[float, float, float, float]:
    """A square round a point."""
    return (at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def build_house(folder: Path) -> House:
    """Draw the house, design its heating, write both."""
    s = Sketch(unit="mm", turn=TURN, place=PLACE)
    ground, upper = s.storey(0.0), s.storey(3.0, "First floor")
    ends = {
        "south": ((-0.2, -0.1), (8.4, -0.1)),
        "north": ((-0.2, 4.1), (8.4, 4.1)),
        "west": ((-0.1, 0.0), (-0.1, 4.0)),
        "east": ((8.3, 0.0), (8.3, 4.0)),
        "middle": ((4.1, 0.0), (4.1, 4.0)),
    }
    for name, (a, b) in ends.items():
        s.wall(a, b, storey=ground, name=name)
    s.space([(0, 0), (4, 0), (4, 4), (0, 4)], ground, name="1", long_name="Living room")
    s.space([(4.2, 0), (8.2, 0), (8.2, 4), (4.2, 4)], ground, name="2", long_name="Bedroom")
    s.space([(0, 0), (8.2, 0), (8.2, 4), (0, 4)], upper, z=3.0, name="9", long_name="Attic")
    s.box("IfcSlab", -0.2, -0.2, 8.4, 4.2, -0.35, 0.2, storey=ground, PredefinedType="BASESLAB", name="base")
    pencil = Pencil(s.file, "mm")
    pencil.door("middle", (4.0, 2.0, 4.2, 2.9), (0.0, -1.0), "SINGLE_SWING_LEFT")
    model = s.save(folder, "architect.ifc")
    c, sn = math.cos(TURN), math.sin(TURN)
    at = (PLACE[0] + 0.9 * c, PLACE[1] + 0.9 * sn)
    place = ManifoldPlace(name="south", at=at)
    settings = Settings()
    settings = replace(settings, manifold=replace(settings.manifold, places=(place,)))
    building = read_building(model, settings)
    design = design_building(building, settings)
    write_heating_model(design, model, folder / "heating.ifc")
    texts = [(folder / name).read_text(encoding="utf-8") for name in ("architect.ifc", "heating.ifc")]
    return House(folder, *texts, building, design, settings)


@dataclass
class Models:
    """Copies of the models to plant something into; what was touched is written, the rest stays as it was."""

    house: House
    touched: dict[str, Pencil]

    @classmethod
    def of(cls, house: House) -> Models:
        return cls(house, {})

    def _open(self, name: str, make: Callable[[], Pencil]) -> Pencil:
        if name not in self.touched:
            self.touched[name] = make()
        return self.touched[name]

    @property
    def architect(self) -> Pencil:
        return self._open("architect", self.house.architects)

    @property
    def heating(self) -> Pencil:
        return self._open("heating", self.house.heatings)

    @property
    def other(self) -> Pencil:
        return self._open("other", self.house.others)

    def written(self) -> dict[str, Path]:
        """Paths of all models."""
        paths = {name: self.house.folder / f"{name}.ifc" for name in ("architect", "heating")}
        for name, pencil in self.touched.items():
            paths[name] = self.house.folder / f"planted-{name}.ifc"
            pencil.file.write(str(paths[name]))
        return paths

    # --- parts of the heating model -------------------------------------------------------------

    def manifold(self) -> Any:
        return self.heating.file.by_type("IfcElementAssembly")[0]

    def cabinet(self) -> Any:
        return next(
            p for p in self.heating.file.by_type("IfcBuildingElementProxy") if p.ObjectType == "MANIFOLD CABINET"
        )

    def pipe(self, room: int) -> Any:
        """A pipe of a room: the one whose axis lies furthest to its side."""
        side = -1 if room == 1 else 1
        number = max(self.house.pipes, key=lambda n: side * self.house.pipes[n][:, 0].mean())
        return next(p for p in self.heating.file.by_type("IfcPipeSegment") if p.Tag == number)

    def covering(self, room: str, object_type: str) -> Any:
        return next(
            c for c in self.heating.file.by_type("IfcCovering") if c.ObjectType == object_type and room in c.Name
        )

    def bend_up(self, pipe: Any, by_m: float) -> None:
        """Lift the middle of a pipe's axis."""
        heating = self.heating
        curve = next(r for r in pipe.Representation.Representations if r.RepresentationIdentifier == "Axis").Items[0]
        rows = [list(p) for p in curve.Points.CoordList]
        middle = len(rows) // 2
        for k in (middle, middle + 1):
            rows[k][2] += by_m / heating.scale
        curve.Points.CoordList = copy.copy(rows)
