"""The space for service in front of a manifold: what stands in it, and which door opens into it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.areas import Area
from ufh_core.basis.findings import Finding
from ufh_core.coordination.rules import Place, broken, middle_of
from ufh_core.coordination.scene import FloorScene, called, wall_called
from ufh_core.coordination.types import CabinetPart

EDGE_M = 0.03  # what stands in the outermost rim does not hinder anybody
BLOCKED_M2 = 0.005
SWEPT_M2 = 0.05
LOW_M, HIGH_M = 0.05, 2.0  # what ends below or begins above leaves room to stand [m over the floor]


def service_findings(cabinet: CabinetPart, scene: FloorScene) -> Iterator[Finding]:
    """What is wrong with the space in front of one cabinet."""
    if cabinet.service is None or cabinet.normal is None:
        yield broken("service-space-missing", _place(cabinet, ""), manifold=cabinet.manifold)
        return
    space = cabinet.service.buffer(-EDGE_M, join_style="mitre")
    for movable, name, guid, shape in _blocks(scene):
        if shape.intersection(space).area > BLOCKED_M2:
            yield _blocked(cabinet, name, guid, shape.intersection(cabinet.service), movable=movable)
    for opening in scene.storey.openings:
        swing = scene.swings.get(opening.ifc_guid)
        if swing is not None and swing.known and swing.ways[0].intersection(space).area > SWEPT_M2:
            name = called("door", opening.name, opening.ifc_guid)
            yield broken(
                "service-in-door-swing", _place(cabinet, opening.ifc_guid), manifold=cabinet.manifold, what=name
            )


def _place(cabinet: CabinetPart, guid: str) -> Place:
    at = middle_of(cabinet.service if cabinet.service is not None else cabinet.outline)
    return Place(ifc_guids=(guid, cabinet.ifc_guid), storey=cabinet.storey, at=at)


def _blocks(scene: FloorScene) -> Iterator[tuple[bool, str, str, Area]]:
    """(movable, name, GlobalId, shape) of what nobody can stand in."""
    for wall, solid in scene.walls:
        yield False, wall_called(wall), wall.ifc_guid, solid
    for column in scene.columns:
        yield False, called("column", column.name, column.ifc_guid), column.ifc_guid, column.outline
    for thing in scene.obstacles:
        in_the_way = thing.top_m > scene.floor_m + LOW_M and thing.bottom_m < scene.floor_m + HIGH_M
        if thing.kind == "void" or in_the_way:
            kind = (
                "opening in the floor" if thing.kind == "void" else "movable furniture" if thing.movable else thing.kind
            )
            yield thing.movable, called(kind, thing.name, thing.ifc_guid), thing.ifc_guid, thing.outline


def _blocked(cabinet: CabinetPart, name: str, guid: str, shared: Area, *, movable: bool) -> Finding:
    """The finding for something in the space, with the depth that it leaves free."""
    if movable:
        return broken("service-behind-furniture", _place(cabinet, guid), manifold=cabinet.manifold, what=name)
    assert cabinet.service is not None
    out = np.array(cabinet.normal)
    depths = _reach(cabinet.service, out)
    free = _reach(shared, out)[0] - depths[0]
    return broken(
        "no-service-space",
        _place(cabinet, guid),
        manifold=cabinet.manifold,
        what=name,
        free_mm=1000 * max(0.0, free),
        wanted_mm=1000 * (depths[1] - depths[0]),
    )


def _reach(shape: Area, way: NDArray[np.float64]) -> tuple[float, float]:
    """Least and greatest coordinate of a shape in a direction [m]."""
    along = shapely.get_coordinates(shape) @ way
    return float(along.min()), float(along.max())
