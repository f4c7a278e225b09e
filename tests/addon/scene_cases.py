"""What the tests of the host's scene share: the bungalow with its design, a fresh scene, and what is in it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

bpy = pytest.importorskip("bpy", reason="the host's module bpy is not installed")

from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.samples import sample_model
from ufh_core.settings.types import Settings

KINDS_OF_DATA = ("objects", "meshes", "curves", "collections", "materials", "fonts", "images", "node_groups")


@cache
def designed() -> Design:
    """The bungalow, designed once a process."""
    return design_building(read_building(sample_model("bungalow"), Settings()), Settings())


def fresh_scene() -> None:
    """An empty file."""
    bpy.ops.wm.read_factory_settings(use_empty=True)


def counts() -> dict[str, int]:
    """How many there are of every kind of data in the file."""
    return {kind: len(getattr(bpy.data, kind)) for kind in KINDS_OF_DATA}


def of_kind(objects: Iterable[bpy.types.Object], kind: str) -> list[bpy.types.Object]:
    """The objects of a kind."""
    return [each for each in objects if each["ufh_kind"] == kind]


def corners(mesh: bpy.types.Mesh) -> NDArray[np.float64]:
    """Vertices (n, 3) of a mesh."""
    found = np.empty(len(mesh.vertices) * 3, dtype=np.float32)
    mesh.vertices.foreach_get("co", found)
    return found.reshape(-1, 3).astype(float)


def points(curve: bpy.types.Curve) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(points (n, 3), thickness (n,)) of a curve of one spline."""
    (spline,) = curve.splines
    places, thickness = np.empty(len(spline.points) * 4, dtype=np.float32), np.empty(len(spline.points), np.float32)
    spline.points.foreach_get("co", places)
    spline.points.foreach_get("radius", thickness)
    return places.reshape(-1, 4)[:, :3].astype(float), thickness.astype(float)


def length(places: NDArray[np.float64]) -> float:
    """Length of the way through points."""
    return float(np.linalg.norm(np.diff(places, axis=0), axis=1).sum())


def area(mesh: bpy.types.Mesh, slots: Iterable[int] | None = None) -> float:
    """Area of a mesh's faces, of those with these looks or of all."""
    return sum(face.area for face in mesh.polygons if slots is None or face.material_index in set(slots))


def volume(mesh: bpy.types.Mesh) -> float:
    """Volume within a mesh's faces, negative where they are inside out. Source: divergence theorem."""
    mesh.calc_loop_triangles()
    at, middle = corners(mesh), corners(mesh).mean(axis=0)
    triangles = np.array([at[list(t.vertices)] for t in mesh.loop_triangles]) - middle
    return float(np.sum(np.cross(triangles[:, 0], triangles[:, 1]) * triangles[:, 2]) / 6)
