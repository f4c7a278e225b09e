"""A heating model that comes back: the ways of its pipes and the places of its manifolds, in the plan frame.

It may have been edited elsewhere, converted to another unit or schema, or moved as a whole with its storeys: then
coordinates that follow the storeys' own placements are the ones that were meant.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ifcopenshell.util.placement as ifc_placement
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.errors import ModelReadError
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.bodies import metres_per_unit
from ufh_core.building.types import Building
from ufh_core.exchange.heating_reader import CABINET, MANIFOLD, HeatingReader, open_heating
from ufh_core.exchange.pipe_curves import curve_pieces, heating_pipes, pipe_curve
from ufh_core.exchange.pipe_run import Piece

UPRIGHT = 1e-6
STILL_M = 1e-4
Placement = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class EditedPipe:
    """A pipe in the file; `pieces` [m, local frame with world heights] are empty where its curve cannot be read."""

    ifc_guid: str
    name: str
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EditedManifold:
    """A manifold in the file: where it was placed, and its cabinet in plan and what is kept free before it."""

    ifc_guid: str
    name: str
    placed: tuple[float, float]
    cabinet: Polygon | None
    service: Polygon | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EditedHeating:
    """What was read, in one of the frames in which it may be meant. `project` is the GlobalId of its project."""

    project: str
    pipes: tuple[EditedPipe, ...]
    manifolds: tuple[EditedManifold, ...]
    by_storeys: bool


def read_edited(path: Path, building: Building) -> tuple[EditedHeating, ...]:
    """The heating by its world coordinates, then, where storeys lie elsewhere in the file, by those in its storeys.

    Raises: ModelReadError where the file cannot be read, or holds neither pipes nor manifolds.
    """
    model = open_heating(path)
    frames = [building.frame, *_moved_frames(model, building)]
    found = tuple(_read(model, frame, by_storeys=k > 0) for k, frame in enumerate(frames))
    if not found[0].pipes and not found[0].manifolds:
        raise ModelReadError(f"{path}: holds no heating pipe and no manifold; name a heating.ifc that was edited")
    return found


def _moved_frames(model: Any, building: Building) -> Iterator[LocalFrame]:
    """The plan frame as it lies in a file whose storeys lie otherwise than in the building; at most one."""
    there = {s.GlobalId: s for s in model.by_type("IfcBuildingStorey") if s.ObjectPlacement is not None}
    for storey in building.storeys:
        if storey.ifc_guid in there:
            placed = np.array(ifc_placement.get_local_placement(there[storey.ifc_guid].ObjectPlacement), dtype=float)
            placed[:3, 3] *= metres_per_unit(model)
            frame = _carried(building.frame, np.array(storey.placement) @ np.linalg.inv(placed))
            if frame is not None:
                yield frame
            return


def _carried(frame: LocalFrame, motion: Placement) -> LocalFrame | None:
    """The frame in a world that `motion` brings back to the frame's own; None for no motion, or one that tilts."""
    if np.abs(motion[:2, 2]).max() > UPRIGHT or np.abs(motion - np.eye(4)).max() < STILL_M:
        return None
    turn, back = math.atan2(motion[1, 0], motion[0, 0]), np.linalg.inv(motion)
    x, y, z = (back @ np.array([*frame.origin, 1.0]))[:3]
    return LocalFrame(origin=(float(x), float(y), float(z)), rotation=frame.rotation - turn)


def _read(model: Any, frame: LocalFrame, *, by_storeys: bool) -> EditedHeating:
    reader = HeatingReader(model, frame)
    assemblies = [e for e in model.by_type("IfcElementAssembly") if e.ObjectType == MANIFOLD]
    return EditedHeating(
        project=next((p.GlobalId for p in model.by_type("IfcProject")), ""),
        pipes=tuple(_pipe(reader, e) for e in heating_pipes(model)),
        manifolds=tuple(_manifold(reader, e) for e in assemblies),
        by_storeys=by_storeys,
    )


def _pipe(reader: HeatingReader, element: Any) -> EditedPipe:
    curve, _ = pipe_curve(element)
    scale = metres_per_unit(reader.model)
    found = curve_pieces(curve) if curve is not None else []
    pieces = tuple(_local(reader, element, scale * np.array(p)) for p in found)
    number = element.Tag or (element.Name or "").removeprefix("Pipe ")
    return EditedPipe(ifc_guid=element.GlobalId, name=number, pieces=pieces)


def _local(reader: HeatingReader, element: Any, points: Placement) -> Piece:
    """Points of an element's own frame [m] in the plan frame."""
    placed = reader.frame.to_local(reader.world(element, points))
    return tuple((float(x), float(y), float(z)) for x, y, z in placed)


def _manifold(reader: HeatingReader, assembly: Any) -> EditedManifold:
    parts = [p for r in assembly.IsDecomposedBy or () for p in r.RelatedObjects if p.ObjectType == CABINET]
    shapes = [s[0] for s in (reader.shape(p) for p in parts) if s is not None]
    hull = shapely.union_all(shapes).convex_hull if shapes else None
    clearance = reader.shape(assembly, "Clearance")
    service = None if clearance is None else clearance[0].convex_hull
    x, y, _ = _local(reader, assembly, np.zeros((1, 3)))[0]
    return EditedManifold(
        ifc_guid=assembly.GlobalId,
        name=assembly.Name or "",
        placed=(x, y),
        cabinet=hull if isinstance(hull, Polygon) else None,
        service=service if isinstance(service, Polygon) else None,
    )
