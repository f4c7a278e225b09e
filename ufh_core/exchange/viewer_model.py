"""heating.glb: pipes, fields, cabinets and sleeves for viewers that know no IFC, each a named node.

Source: glTF 2.0 (ISO/IEC 12113): metres, y up, single precision. So coordinates are the model's own less an origin,
which the root node's extras tell: model x, y, z = origin_m + (x, -z, y). Written by trimesh.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import shapely
import trimesh
import trimesh.visual.material
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area
from ufh_core.circuits.types import LaidCircuit
from ufh_core.coordination.types import PipePart
from ufh_core.design_result import Design
from ufh_core.exchange.heating_parts import design_parts
from ufh_core.exchange.trade_model import STYLES

SIDES = 8
CHORD_M = 0.0015  # by which a pipe's bends may be cut short
HOLE_M = 0.032  # height of a sleeve that is asked for
ROOT = "Floor heating"
Points = NDArray[np.float64]
meshes: Any = trimesh  # a library without types
UP = np.array([[1.0, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """One node: a mesh in the plan frame [m], how it looks (`trade_model.STYLES`), what it is."""

    name: str
    mesh: Any
    style: str
    extras: dict[str, Any]


def write_viewer_model(design: Design, project: str, out: Path) -> None:
    """Write the design's heating; `project` is the GlobalId of the architect's project, of which ids are made.

    Raises: OSError where the file cannot be written.
    """
    frame = design.building.frame
    origin = [float(v) for v in frame.origin]
    scene: Any = meshes.Scene(base_frame="world")
    told = {"origin_m": origin, "model_axes": "x = origin + x, y = origin - z, z = origin + y"}
    scene.graph.update(frame_from="world", frame_to=ROOT, matrix=np.eye(4), metadata=told)
    for part in _parts(design, project):
        vertices = frame.to_world(np.asarray(part.mesh.vertices)) - np.array(origin)
        made = meshes.Trimesh(vertices @ UP[:3, :3].T, part.mesh.faces, process=False)
        made.visual = meshes.visual.TextureVisuals(material=_material(part.style))
        made.metadata = part.extras
        scene.add_geometry(made, node_name=part.name, geom_name=part.name, parent_node_name=ROOT)
        scene.graph.update(frame_from=ROOT, frame_to=part.name, matrix=np.eye(4), metadata=part.extras)
    out.write_bytes(scene.export(file_type="glb"))


def _material(style: str) -> Any:
    colour, clear = STYLES[style]
    mode = {"alphaMode": "BLEND"} if clear else {}
    look = {"metallicFactor": 0.0, "roughnessFactor": 0.8, "doubleSided": True, **mode}
    rgba = [*(round(255 * c) for c in colour), round(255 * (1 - clear))]
    return meshes.visual.material.PBRMaterial(name=style, baseColorFactor=rgba, **look)


def _parts(design: Design, project: str) -> Iterator[_Part]:
    bodies = design_parts(design, project)
    laid = {(s.storey, c.laid.number): c.laid for s in design.storeys for c in s.circuits}
    for pipe in bodies.pipes:
        yield from _pipe(pipe, laid[pipe.storey, pipe.number], _label(design))
    for cabinet in bodies.cabinets:
        mesh = _upright(cabinet.outline, cabinet.bottom_m, cabinet.top_m)
        extras = {"ifc_guid": cabinet.ifc_guid, "manifold": cabinet.manifold}
        yield _Part(name=f"Manifold {cabinet.manifold}", mesh=mesh, style="Manifold cabinet", extras=extras)
    heights = {s.storey: [_level(p) for p in bodies.pipes if p.storey == s.storey] for s in design.storeys}
    for k, sleeve in enumerate(bodies.sleeves, 1):
        low = heights[sleeve.storey][0] - HOLE_M / 2
        for body in getattr(sleeve.outline, "geoms", [sleeve.outline]):
            mesh = _upright(body, low, low + HOLE_M)
            yield _Part(name=f"Sleeve {k}", mesh=mesh, style="Provision for void", extras={"ifc_guid": sleeve.ifc_guid})


def _label(design: Design) -> dict[str, str]:
    return {r.ifc_guid: r.label for s in design.building.storeys for r in s.rooms}


def _level(pipe: PipePart) -> float:
    """Height of most of a pipe [m]."""
    return float(np.median(pipe.points[:, 2]))


def _pipe(pipe: PipePart, laid: LaidCircuit, labels: dict[str, str]) -> Iterator[_Part]:
    """The way in and the way back of a circuit, and the floors that it heats."""
    rooms = [labels.get(r, r) for r in laid.rooms]
    extras = {"ifc_guid": pipe.ifc_guid, "circuit": pipe.number, "manifold": pipe.manifold, "rooms": "; ".join(rooms)}
    for way, half, style in zip(
        ("flow", "return"), _halves(pipe.points), ("Heating flow", "Heating return"), strict=True
    ):
        length = float(np.linalg.norm(np.diff(half, axis=0), axis=1).sum())
        told = {**extras, "way": way, "length_m": round(length, 3)}
        yield _Part(name=f"Pipe {pipe.number} {way}", mesh=_tube(half, pipe.radius_m), style=style, extras=told)
    for k, field in enumerate(laid.fields, 1):
        told = {"circuit": pipe.number, "room": labels.get(field.room, field.room), "area_m2": round(field.area_m2, 3)}
        name = f"Field {k} of {pipe.number}"
        yield _Part(name=name, mesh=_flat(field.outline, _level(pipe)), style="Heated field", extras=told)


def _halves(points: Points) -> tuple[Points, Points]:
    """A line cut at its half."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    half = along[-1] / 2
    cut = np.array([[np.interp(half, along, points[:, k]) for k in range(3)]])
    return np.vstack([points[along < half], cut]), np.vstack([cut, points[along > half]])


def _tube(points: Points, radius: float) -> Any:
    """A tube round a line, square to it at every corner."""
    line = points[_kept(points)]
    ways = np.diff(line, axis=0)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    ahead = np.vstack([ways[:1], ways[:-1] + ways[1:], ways[-1:]])
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1), 1e-9)[:, None]
    rings, side = [], np.cross(ahead[0], [0.0, 0.0, 1.0] if abs(ahead[0][2]) < 0.9 else [1.0, 0.0, 0.0])
    for spot, way in zip(line, ahead, strict=True):
        side = side - way * (side @ way)  # carried along, so that rings do not twist
        side /= np.linalg.norm(side)
        turns = np.linspace(0, 2 * np.pi, SIDES, endpoint=False)[:, None]
        rings.append(spot + radius * (np.cos(turns) * side + np.sin(turns) * np.cross(way, side)))
    return meshes.Trimesh(np.vstack(rings), _skin(len(rings)), process=False)


def _kept(points: Points) -> list[int]:
    """Indices of the points that a line in space needs to stay within `CHORD_M` of itself (Douglas-Peucker)."""
    kept, open_ = {0, len(points) - 1}, [(0, len(points) - 1)]
    while open_:
        first, last = open_.pop()
        if last - first < 2:
            continue
        way, off = points[last] - points[first], points[first + 1 : last] - points[first]
        share = np.clip(off @ way / max(float(way @ way), 1e-18), 0.0, 1.0)
        gaps = np.linalg.norm(off - share[:, None] * way, axis=1)
        if gaps.max() > CHORD_M:
            middle = first + 1 + int(gaps.argmax())
            kept.add(middle)
            open_ += [(first, middle), (middle, last)]
    return sorted(kept)


def _skin(rings: int) -> NDArray[np.int64]:
    """Triangles between rings of points."""
    k = np.arange(SIDES)
    first, after = np.arange(rings - 1)[:, None] * SIDES + k, np.arange(rings - 1)[:, None] * SIDES + (k + 1) % SIDES
    pairs = [(first, after, after + SIDES), (first, after + SIDES, first + SIDES)]
    return np.vstack([np.stack(p, axis=-1).reshape(-1, 3) for p in pairs])


def _flat(outline: Area, height: float) -> Any:
    """An area as triangles at a height [m]."""
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(outline))
    corners = np.array([shapely.get_coordinates(t)[:3] for t in parts]).reshape(-1, 2)
    points = np.column_stack([corners, np.full(len(corners), height)])
    return meshes.Trimesh(points, np.arange(len(points)).reshape(-1, 3), process=False)


def _upright(outline: Polygon, low: float, high: float) -> Any:
    """A body over an area between two heights [m]."""
    lids = [_flat(outline, z) for z in (low, high)]
    walls = []
    for ring in (outline.exterior, *outline.interiors):
        xy = shapely.get_coordinates(ring)
        for a, b in pairwise(xy):
            quad = np.array([[*a, low], [*b, low], [*b, high], [*a, high]])
            walls.append(meshes.Trimesh(quad, [[0, 1, 2], [0, 2, 3]], process=False))
    return meshes.util.concatenate([*lids, *walls])
