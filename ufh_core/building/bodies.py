"""Bodies of elements and their outlines in plan.

Only the elements that are needed go through the geometry kernel, with opening subtraction off. A
plan outline is the union of the projected triangles; where that fails, of the triangles on a 1 mm
grid; its area is compared with the triangles' own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import ifcopenshell.geom
import ifcopenshell.util.unit as ifc_unit
import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, collected, joined, polygons, polygons_only
from ufh_core.basis.frame import LocalFrame

SNAP = 1e-3  # grid of the fallback [m]
FLAT = 1e-9  # twice the area of a triangle that projects to a line [m²]
HEAVY = 150  # triangles from which hulls stand in for the outline of furniture
NO_BODY = frozenset(("Axis", "FootPrint", "Box", "Annotation", "Profile", "Reference", "Clearance", "CoG"))
LEAST_SHARE = 0.9  # of the triangles' area, below which a union counts as failed


@dataclass(frozen=True, slots=True)
class Body:
    """Triangles of one element in world metres: `vertices` (n, 3), `faces` (m, 3)."""

    entity: Any
    vertices: NDArray[np.float64]
    faces: NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class PlanShape:
    """Plan outline [m, local frame] and height range [m, world] of one element."""

    entity: Any
    area: Area
    bottom_m: float
    top_m: float


def read_bodies(elements: Sequence[Any]) -> dict[int, Body]:
    """Bodies by entity id; elements whose shape cannot be made are absent.

    One element at a time: the library's iterator stops, or waits for ever, at some broken shapes,
    and its threads gain nothing on the few plain bodies that are needed here (measured).
    """
    settings = geometry_settings()
    settings.set("use-world-coords", True)
    found = {}
    for element in elements:
        body = _made(settings, element)
        if body is not None:
            found[element.id()] = body
    return found


def geometry_settings() -> Any:
    """No opening subtraction, no normals, no colours; lengths stay in the file's unit.

    The kernel overlooks the length unit of some files, which it gives as if in metres: `kernel_mesh` scales.
    """
    settings = ifcopenshell.geom.settings()  # type: ignore[no-untyped-call]
    settings.set("disable-opening-subtractions", True)
    settings.set("no-normals", True)
    settings.set("apply-default-materials", False)
    settings.set("convert-back-units", True)
    return settings


def metres_per_unit(model: Any) -> float:
    """Metres in a length unit of a file; 1 where it declares none."""
    try:
        return float(ifc_unit.calculate_unit_scale(model))
    except Exception:  # a unit that is not there or is broken raises errors of many kinds
        return 1.0


def kernel_mesh(settings: Any, shaped: Any) -> tuple[NDArray[np.float64], NDArray[np.int32]] | None:
    """Vertices [m] and triangles of an element or representation; None where the kernel refuses it."""
    try:
        shape: Any = ifcopenshell.geom.create_shape(settings, shaped)
    except Exception:  # the kernel refuses shapes with errors of many kinds
        return None
    geometry: Any = getattr(shape, "geometry", shape)
    raw: NDArray[np.float64] = np.frombuffer(geometry.verts_buffer, "d").reshape(-1, 3)
    vertices: NDArray[np.float64] = raw * metres_per_unit(shaped.file)
    faces = np.frombuffer(geometry.faces_buffer, "i").reshape(-1, 3).copy()
    whole = np.asarray(np.isfinite(vertices).all(axis=1), dtype=bool)
    return vertices, faces[whole[faces].all(axis=1)]


def _made(settings: Any, element: Any) -> Body | None:
    """The body of one element."""
    mesh = kernel_mesh(settings, element)
    return None if mesh is None or not len(mesh[1]) else Body(element, *mesh)


def body_of_parts(parts: list[Body]) -> Body:
    """Several representations of one element as one body."""
    if len(parts) == 1:
        return parts[0]
    starts = np.cumsum([0] + [len(p.vertices) for p in parts[:-1]])
    faces = np.concatenate([p.faces + np.int32(s) for p, s in zip(parts, starts, strict=True)])
    return Body(parts[0].entity, np.concatenate([p.vertices for p in parts]), faces)


def plan_shape(body: Body, frame: LocalFrame, *, rough: bool = False) -> PlanShape | None:
    """Outline of a body in the local frame; `rough` for furniture: hulls of its separate pieces."""
    used = body.vertices[np.unique(body.faces)]
    low, high = float(used[:, 2].min()), float(used[:, 2].max())
    flat = frame.to_local(body.vertices)[:, :2]
    in_pieces = rough and len(body.faces) > HEAVY
    area = joined(_hulls(body, flat)) if in_pieces else union_of_triangles(flat[body.faces])
    return None if area.is_empty else PlanShape(body.entity, area, low, high)


def _hulls(body: Body, flat: NDArray[np.float64]) -> list[Area]:
    """Plan hulls of the pieces of a body that hang together by their corners (to 1 mm)."""
    _, corner = np.unique(np.round(body.vertices, 3), axis=0, return_inverse=True)
    faces = corner.reshape(-1)[body.faces]
    count = int(corner.max()) + 1
    links = np.concatenate([faces[:, :2], faces[:, 1:]])
    graph = coo_matrix((np.ones(len(links)), (links[:, 0], links[:, 1])), shape=(count, count))
    _, piece = connected_components(graph, directed=False)
    of_face = piece[faces[:, 0]]
    order = np.argsort(of_face, kind="stable")
    groups = np.split(body.faces[order], np.flatnonzero(np.diff(of_face[order])) + 1)
    return [polygons_only(shapely.multipoints(flat[np.unique(group)]).convex_hull) for group in groups]


def union_of_triangles(corners: NDArray[np.float64]) -> Area:
    """Plan outline of projected triangles (n, 3, 2)."""
    edge, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    doubled = edge[:, 0] * other[:, 1] - edge[:, 1] * other[:, 0]
    expected = 0.5 * max(doubled[doubled > 0].sum(), -doubled[doubled < 0].sum(), 0.0)
    kept = corners[np.abs(doubled) > FLAT]
    if not len(kept):
        return Polygon()
    triangles = shapely.polygons(np.concatenate([kept, kept[:, :1]], axis=1))
    plain = _union(triangles, None)
    if plain.is_valid and plain.area > LEAST_SHARE * min(expected, _hull_area(kept)):
        return _tidy(plain)
    return _tidy(max(plain, _union(triangles, SNAP), key=lambda a: a.area if a.is_valid else 0.0))


def _union(triangles: Any, grid: float | None) -> Area:
    """Union of triangles, empty where the engine gives up."""
    try:
        return polygons_only(shapely.union_all(triangles, grid_size=grid))
    except shapely.errors.GEOSException:
        return Polygon()


def _hull_area(corners: NDArray[np.float64]) -> float:
    """Area of the convex hull of all corners [m²]."""
    return float(shapely.multipoints(corners.reshape(-1, 2)).convex_hull.area)


def _tidy(area: Area) -> Area:
    """The area without points in line and specks below 1 cm²."""
    tidy = polygons_only(area.simplify(1e-5))
    parts = [p for p in polygons(tidy) if p.area > 1e-4]
    return collected(parts) if parts else area


def parts_of(element: Any) -> list[Any]:
    """Elements that make up an element, at any depth."""
    direct = [p for r in getattr(element, "IsDecomposedBy", None) or () for p in r.RelatedObjects]
    return direct + [q for p in direct for q in parts_of(p)]


def has_body(element: Any) -> bool:
    """Whether an element has a representation that may hold solids or surfaces."""
    shape = getattr(element, "Representation", None)
    shown = shape.Representations if shape is not None else None
    return any(r.RepresentationIdentifier not in NO_BODY for r in shown or ())


def carriers(element: Any) -> list[Any]:
    """What carries the body of an element: itself, or its parts where it has none."""
    return [element] if has_body(element) else [p for p in parts_of(element) if has_body(p)]
