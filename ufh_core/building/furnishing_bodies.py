"""Bodies of furniture, sanitary ware and stairs, made cheaply.

Such elements repeat: each mapped representation is made once and then placed. Facets are read from
the file as they stand (a fan of triangles over each face, good enough for a footprint); only solids
of other kinds go through the geometry kernel. Source: measured on real models, where furniture took
nine tenths of the kernel's time.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import ifcopenshell.util.placement as ifc_placement
import numpy as np
from numpy.typing import NDArray

from ufh_core.building.bodies import NO_BODY, Body, body_of_parts, geometry_settings, kernel_mesh
from ufh_core.building.model_file import ModelFile

Mesh = tuple[NDArray[np.float64], NDArray[np.int32]]
EMPTY: Mesh = (np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))


class FurnishingBodies:
    """Makes bodies, each representation once."""

    def __init__(self, source: ModelFile) -> None:
        """Prepare the kernel's settings for shapes in their own frame."""
        self._source = source
        self._settings = geometry_settings()
        self._meshes: dict[int, Mesh] = {}

    def read(self, elements: Sequence[Any]) -> dict[int, Body]:
        """Bodies by entity id; elements without any are absent."""
        found = {}
        for element in elements:
            body = self._body(element)
            if body is not None:
                found[element.id()] = body
        return found

    def _body(self, element: Any) -> Body | None:
        """One element's body in world metres."""
        placed = self._source.world(element)
        if placed is None:
            return None
        parts = []
        for representation in element.Representation.Representations or ():
            if representation.RepresentationIdentifier in NO_BODY:
                continue
            for matrix, inner in _mapped_or_none(representation):
                matrix[:3, 3] *= self._source.scale
                vertices, faces = self._mesh(inner)
                if len(faces):
                    world = self._placed(vertices, placed @ matrix)
                    parts.append(Body(element, world, faces))
        return body_of_parts(parts) if parts else None

    @staticmethod
    def _placed(vertices: NDArray[np.float64], matrix: NDArray[np.float64]) -> NDArray[np.float64]:
        """Vertices [m] moved by a matrix [m]."""
        moved: NDArray[np.float64] = vertices @ matrix[:3, :3].T + matrix[:3, 3]
        return moved

    def _mesh(self, representation: Any) -> Mesh:
        """The mesh [m] of a representation in its own frame; empty where it cannot be made."""
        if representation.id() not in self._meshes:
            try:
                mesh = facets(representation, self._source.scale)
            except (AttributeError, IndexError, TypeError, ValueError):  # facets that lack what they need
                mesh = None
            self._meshes[representation.id()] = mesh or kernel_mesh(self._settings, representation) or EMPTY
        return self._meshes[representation.id()]


def _mapped_or_none(representation: Any) -> list[tuple[NDArray[np.float64], Any]]:
    """A representation without maps; nothing where a map leads nowhere."""
    try:
        return _mapped(representation)
    except (AttributeError, TypeError, ValueError):
        return []


def _mapped(representation: Any) -> list[tuple[NDArray[np.float64], Any]]:
    """A representation as (matrix, representation without maps); mixed ones are left to the kernel."""
    items = representation.Items or ()
    if not items or not all(item.is_a("IfcMappedItem") for item in items):
        return [(np.eye(4), representation)]
    found = []
    for item in items:
        matrix = ifc_placement.get_mappeditem_transformation(item)
        found += [(matrix @ deeper, inner) for deeper, inner in _mapped(item.MappingSource.MappedRepresentation)]
    return found


def facets(representation: Any, scale: float) -> Mesh | None:
    """All facets of a representation [m], None where an item is not made of facets."""
    rings: list[NDArray[np.float64]] = []
    for item in representation.Items or ():
        part = _item_rings(item)
        if part is None:
            return None
        rings += part
    return _fans(rings, scale)


def _item_rings(item: Any) -> list[NDArray[np.float64]] | None:
    """Corner points of an item's faces, None for other kinds of item."""
    if item.is_a("IfcTriangulatedFaceSet"):
        points = np.array(item.Coordinates.CoordList, dtype=float)
        return list(points[np.array(item.CoordIndex, dtype=int) - 1])
    if item.is_a() == "IfcPolygonalFaceSet":
        points = np.array(item.Coordinates.CoordList, dtype=float)
        chosen = item.PnIndex
        if chosen:
            points = points[np.array(chosen, dtype=int) - 1]
        return [points[np.array(face.CoordIndex, dtype=int) - 1] for face in item.Faces]
    shells = _shells(item)
    if shells is None:
        return None
    faces = [face for shell in shells for face in shell.CfsFaces]
    if not all(face.is_a() in ("IfcFace", "IfcFaceSurface") for face in faces):
        return None
    return [ring for face in faces if (ring := _outer_ring(face)) is not None]


def _shells(item: Any) -> list[Any] | None:
    """The shells of a brep or surface model with plane faces."""
    if item.is_a("IfcFacetedBrep"):
        return [item.Outer]
    if item.is_a("IfcFaceBasedSurfaceModel"):
        return list(item.FbsmFaces)
    if item.is_a("IfcShellBasedSurfaceModel"):
        return list(item.SbsmBoundary)
    return None


def _outer_ring(face: Any) -> NDArray[np.float64] | None:
    """Corner points of a face's outer bound."""
    bounds = face.Bounds
    outer = next((b for b in bounds if b.is_a("IfcFaceOuterBound")), bounds[0] if bounds else None)
    if outer is None or not outer.Bound.is_a("IfcPolyLoop"):
        return None
    return np.array([p.Coordinates for p in outer.Bound.Polygon], dtype=float)


def _fans(rings: list[NDArray[np.float64]], scale: float) -> Mesh:
    """A fan of triangles over each ring."""
    rings = [r for r in rings if len(r) >= 3 and r.shape[1] == 3]
    if not rings:
        return EMPTY
    starts = np.cumsum([0] + [len(r) for r in rings[:-1]])
    faces = [(s, s + k, s + k + 1) for s, ring in zip(starts, rings, strict=True) for k in range(1, len(ring) - 1)]
    return np.concatenate(rings) * scale, np.array(faces, dtype=np.int32)
