"""Meshes from plan shapes and heights: flat areas, upright bodies, round bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import bpy
import numpy as np
import shapely
from mathutils import Vector
from mathutils.geometry import delaunay_2d_cdt
from numpy.typing import NDArray
from shapely.geometry import LinearRing, Polygon
from shapely.geometry.base import BaseGeometry

Point3 = Sequence[float]
Face = Sequence[int]

LEAST_AREA_M2 = 1e-6
LEAST_STEP_M = 1e-6


@dataclass(slots=True)
class Body:
    """Vertices [m] and faces of a mesh in the making; each face has a slot, the number of its look."""

    vertices: list[tuple[float, float, float]] = field(default_factory=list)
    faces: list[list[int]] = field(default_factory=list)
    slots: list[int] = field(default_factory=list)

    def area(self, shape: BaseGeometry, z: float, slot: int = 0) -> None:
        """A flat area at a height [m], seen from above."""
        for polygon in polygons(shape):
            points, faces = covered(polygon)
            self._add(np.column_stack([points, np.full(len(points), z)]), faces, slot)

    def rectangle(self, box: tuple[float, float, float, float], z: float, slot: int = 0) -> None:
        """A level rectangle (west, south, east, north) [m]."""
        self.area(shapely.box(*box), z, slot)

    def upright(self, shape: BaseGeometry, low: float, high: float, slot: int = 0) -> None:
        """An upright body over a plan shape between two heights [m]."""
        for polygon in polygons(shape):
            points, faces = covered(polygon)
            self._add(np.column_stack([points, np.full(len(points), high)]), faces, slot)
            turned = [list(reversed(f)) for f in faces]
            self._add(np.column_stack([points, np.full(len(points), low)]), turned, slot)
            for ring in (polygon.exterior, *polygon.interiors):
                self._sides(shapely.get_coordinates(ring)[:-1], low, high, slot)

    def rod(self, start: Point3, end: Point3, radius: float, slot: int = 0, sides: int = 12) -> None:
        """A round bar between two points [m]."""
        first, last = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
        u, v = _across(last - first)
        angle = np.arange(sides) * 2 * np.pi / sides
        ring = radius * (np.cos(angle)[:, None] * u + np.sin(angle)[:, None] * v)
        around = [[k, (k + 1) % sides, sides + (k + 1) % sides, sides + k] for k in range(sides)]
        ends = [list(range(sides))[::-1], list(range(sides, 2 * sides))]
        self._add(np.vstack([first + ring, last + ring]), [*around, *ends], slot)

    def mesh(self, name: str) -> bpy.types.Mesh:
        """The mesh of what was added."""
        made = bpy.data.meshes.new(name)
        made.from_pydata(self.vertices, [], self.faces)
        made.polygons.foreach_set("material_index", np.array(self.slots, dtype=np.int32))
        made.update()
        return made

    def _sides(self, ring: NDArray[np.float64], low: float, high: float, slot: int) -> None:
        """The upright faces over a ring that has the body on its left."""
        count = len(ring)
        rows = np.vstack([np.column_stack([ring, np.full(count, z)]) for z in (low, high)])
        faces = [[k, (k + 1) % count, count + (k + 1) % count, count + k] for k in range(count)]
        self._add(rows, faces, slot)

    def _add(self, vertices: NDArray[np.float64], faces: Sequence[Face], slot: int) -> None:
        first = len(self.vertices)
        self.vertices.extend(map(tuple, vertices.tolist()))
        self.faces.extend([first + k for k in face] for face in faces)
        self.slots.extend([slot] * len(faces))


def polygons(shape: BaseGeometry) -> list[Polygon]:
    """The polygons of a shape that have an area, outlines anticlockwise, holes clockwise, without idle points."""
    valid = shape if shapely.is_valid(shape) else shapely.make_valid(shape)
    parts = [p for p in shapely.get_parts(shapely.get_parts(valid)) if p.geom_type == "Polygon"]
    tidy = [_tidy(p) for p in parts if p.area > LEAST_AREA_M2]
    return [shapely.geometry.polygon.orient(p) for p in tidy if p.area > LEAST_AREA_M2]


def _tidy(polygon: Polygon) -> Polygon:
    """A polygon without points on each other and holes too small to be seen."""
    holes = [ring for ring in polygon.interiors if Polygon(ring).area > LEAST_AREA_M2]
    return Polygon(_apart(polygon.exterior), [_apart(ring) for ring in holes])


def _apart(ring: LinearRing) -> NDArray[np.float64]:
    """The points of a ring that are not on the point before."""
    points = shapely.get_coordinates(ring)[:-1]
    return points[np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > LEAST_STEP_M]


def covered(polygon: Polygon) -> tuple[NDArray[np.float64], list[list[int]]]:
    """(points (n, 2), faces) that cover a polygon; the host's faces have no holes, so these are made of triangles."""
    if not polygon.interiors:
        points = shapely.get_coordinates(polygon.exterior)[:-1]
        return points, [list(range(len(points)))]
    return _triangles(polygon)


def _triangles(polygon: Polygon) -> tuple[NDArray[np.float64], list[list[int]]]:
    """The constrained Delaunay triangles of the rings whose middle lies in the polygon."""
    middle = np.array(polygon.centroid.coords[0])  # near zero, for the host has single precision
    points, edges = [], []
    for ring in (polygon.exterior, *polygon.interiors):
        first, own = len(points), shapely.get_coordinates(ring)[:-1] - middle
        points += [Vector(p) for p in own.tolist()]
        edges += [(first + k, first + (k + 1) % len(own)) for k in range(len(own))]
    found, _, faces, *_ = delaunay_2d_cdt(points, edges, [], 0, 1e-6)
    corners = np.array([tuple(p) for p in found]) + middle
    middles = corners[np.array(faces)].mean(axis=1)
    inside = shapely.contains_xy(polygon, middles[:, 0], middles[:, 1])
    return corners, [list(face) for face, kept in zip(faces, inside, strict=True) if kept]


def _across(way: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Two unit vectors at right angles to a way and to each other, the way to their left."""
    along = way / np.linalg.norm(way)
    other = np.array([0.0, 0.0, 1.0]) if abs(along[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    u = np.cross(other, along)
    u /= np.linalg.norm(u)
    return u, np.cross(along, u)
