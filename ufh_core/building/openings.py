"""Openings in walls: rectangles in plan, with what fills them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, common
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.bodies import PlanShape
from ufh_core.building.constructions import ConstructionReader
from ufh_core.building.elements import Hole
from ufh_core.building.model_file import ModelFile
from ufh_core.building.types import Opening, Wall

Vector = NDArray[np.float64]

AROUND = 0.3  # a wall's depth is taken this far beside an opening [m]
SLACK = 0.02  # a hole is this much deeper than its wall, either way [m]
LOOSE_DEPTH = 0.25  # a door that fills no opening reaches this far either way [m]
LEAST_WIDTH, LEAST_HEIGHT = 0.3, 1.0  # of an unfilled opening that a pipe passes [m]


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle in plan: spans along a wall and across it, from a corner [m]."""

    corner: Vector
    along: Vector
    a: tuple[float, float]
    c: tuple[float, float]

    @property
    def across(self) -> Vector:
        """Unit vector through the wall."""
        return np.array([-self.along[1], self.along[0]])

    @property
    def width_m(self) -> float:
        """Width along the wall [m]."""
        return self.a[1] - self.a[0]

    def polygon(self, a: tuple[float, float] | None = None, c: tuple[float, float] | None = None) -> Polygon:
        """The rectangle, or one with other spans."""
        (a0, a1), (c0, c1) = a or self.a, c or self.c
        corners = [self.corner + self.along * p + self.across * q for p, q in ((a0, c0), (a1, c0), (a1, c1), (a0, c1))]
        return Polygon(corners)

    def across_span(self, area: Area) -> tuple[float, float]:
        """Least and greatest coordinate of an area across the wall [m]."""
        reach = (shapely.get_coordinates(area) - self.corner) @ self.across
        return float(reach.min()), float(reach.max())


@dataclass(frozen=True, slots=True)
class WallHole:
    """An opening as read with its rectangle through the wall and the rectangle of the whole hole.

    `wall` is as deep as the wall; `hole` is also as deep as the opening's own body, and 20 mm more.
    """

    opening: Opening
    wall: Rectangle
    hole: Rectangle
    area: Polygon
    host: Wall | None = None

    def passable(self, floor_m: float) -> bool:
        """Whether a pipe on a floor can pass: a door, or a void that is wide and high enough.

        The threshold is at most 0.25 m high, the headroom at least 1 m, and the wall stands there.
        """
        o = self.opening
        if o.bottom_m > floor_m + 0.25 or o.top_m < floor_m + 1.0:
            return False
        if self.host is not None and not self.host.bottom_m < floor_m + 0.25 < self.host.top_m:
            return False
        wide = o.width_m >= LEAST_WIDTH and o.top_m - o.bottom_m >= LEAST_HEIGHT
        return o.kind == "door" or (o.kind == "void" and wide)


def read_wall_holes(
    source: ModelFile,
    holes: Sequence[Hole],
    walls: Sequence[Wall],
    shapes: Mapping[int, PlanShape],
    frame: LocalFrame,
    reader: ConstructionReader,
) -> tuple[WallHole, ...]:
    """Openings in walls by their own bodies; doors and windows that fill none by their placement."""
    by_guid = {w.ifc_guid: w for w in walls}
    found, placed = [], set()
    for hole in holes:
        shape = shapes.get(hole.opening.id())
        if shape is None:
            continue
        found.append(_from_body(hole, shape, _host_wall(hole.host, by_guid), reader))
        if hole.filling is not None:
            placed.add(hole.filling.id())
    loose = [e for e in source.of_class("IfcDoor", "IfcWindow") if e.id() not in placed]
    found += [w for e in loose if (w := _from_placement(source, e, walls, frame, reader)) is not None]
    return tuple(found)


def _host_wall(host: Any, by_guid: Mapping[str, Wall]) -> Wall | None:
    """The wall that an opening cuts, also where it cuts one of its parts."""
    if host.GlobalId in by_guid:
        return by_guid[host.GlobalId]
    wholes = [r.RelatingObject for r in getattr(host, "Decomposes", None) or () if r.RelatingObject]
    return next((by_guid[w.GlobalId] for w in wholes if w.GlobalId in by_guid), None)


def long_direction(area: Area) -> Vector:
    """Direction of the long side of the smallest rectangle round an area."""
    box = area.minimum_rotated_rectangle
    if box.geom_type != "Polygon":
        return np.array([1.0, 0.0])
    sides = np.diff(np.asarray(box.exterior.coords)[:3], axis=0)
    longest = sides[np.argmax(np.linalg.norm(sides, axis=1))]
    return np.asarray(longest / np.linalg.norm(longest))


def _span(points: Vector, direction: Vector) -> tuple[float, float]:
    """Least and greatest projection of points on a direction."""
    reach = points @ direction
    return float(reach.min()), float(reach.max())


def _from_body(hole: Hole, shape: PlanShape, wall: Wall | None, reader: ConstructionReader) -> WallHole:
    """An opening by its body and by the depth of the wall beside it."""
    body = common(wall.outline, shape.area.buffer(AROUND)) if wall is not None else Polygon()
    along = long_direction(shape.area if body.is_empty else body)
    across = np.array([-along[1], along[0]])
    corner = shapely.get_coordinates(shape.area)[0]
    opening = shapely.get_coordinates(shape.area) - corner
    beside = shapely.get_coordinates(body) - corner if not body.is_empty else opening
    a = _span(opening, along)
    in_wall = Rectangle(corner, along, a, _span(beside, across))
    c0, c1 = _span(np.vstack([opening, beside]), across)
    whole = Rectangle(corner, along, a, (c0 - SLACK, c1 + SLACK))
    element = hole.filling if hole.filling is not None else hole.opening
    return WallHole(
        _opening(element, in_wall, (shape.bottom_m, shape.top_m), wall, reader), in_wall, whole, whole.polygon(), wall
    )


def _from_placement(
    source: ModelFile, element: Any, walls: Sequence[Wall], frame: LocalFrame, reader: ConstructionReader
) -> WallHole | None:
    """A door or window that fills no opening: from its placement and overall size."""
    matrix = source.world(element)
    if matrix is None or _in_slab(element):
        return None
    ends = np.array([matrix[:3, 3], matrix[:3, 3] + matrix[:3, 0]])
    local = frame.to_local(ends)
    along = local[1, :2] - local[0, :2]
    if np.linalg.norm(along) < 0.5:  # it lies flat or hangs on its side
        return None
    width = float(element.OverallWidth or 0.9 / source.scale) * source.scale
    height = float(element.OverallHeight or 2.0 / source.scale) * source.scale
    box = Rectangle(local[0, :2], along / np.linalg.norm(along), (0.0, width), (-LOOSE_DEPTH, LOOSE_DEPTH))
    bottom = float(local[0, 2])
    wall = _wall_there(box.polygon(), bottom, bottom + height, walls)
    in_wall = box
    if wall is not None:
        c = box.across_span(common(wall.outline, box.polygon()))
        in_wall = Rectangle(box.corner, box.along, box.a, c)
    return WallHole(
        _opening(element, in_wall, (bottom, bottom + height), wall, reader), in_wall, box, box.polygon(), wall
    )


def _in_slab(element: Any) -> bool:
    """Whether a window or hatch fills an opening of a slab or roof."""
    openings = [r.RelatingOpeningElement for r in element.FillsVoids or () if r.RelatingOpeningElement]
    hosts = [r.RelatingBuildingElement for o in openings for r in o.VoidsElements or () if r.RelatingBuildingElement]
    return any(h.is_a("IfcSlab") or h.is_a("IfcRoof") for h in hosts)


def _wall_there(box: Polygon, bottom: float, top: float, walls: Sequence[Wall]) -> Wall | None:
    """The wall that shares most with a box at that height."""
    beside = [w for w in walls if w.bottom_m < top and w.top_m > bottom and w.outline.intersects(box)]
    shared = [(common(w.outline, box).area, k) for k, w in enumerate(beside)]
    area, index = max(shared, default=(0.0, -1))
    return beside[index] if area > 1e-4 else None


def _opening(
    element: Any, box: Rectangle, height: tuple[float, float], wall: Wall | None, reader: ConstructionReader
) -> Opening:
    """The opening of the building model."""
    kind = "door" if element.is_a("IfcDoor") else "void" if element.is_a("IfcOpeningElement") else "window"
    return Opening(
        ifc_guid=element.GlobalId,
        name=element.Name or "",
        kind=kind,
        outline=box.polygon(),
        bottom_m=height[0],
        top_m=height[1],
        width_m=box.width_m,
        wall_guid=wall.ifc_guid if wall is not None else None,
        construction=reader.read(element),
    )


def holes_at(floor_m: float, holes: Iterable[WallHole]) -> list[WallHole]:
    """The holes that a pipe on this floor can pass."""
    return [h for h in holes if h.passable(floor_m)]
