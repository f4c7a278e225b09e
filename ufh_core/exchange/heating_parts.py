"""A design's heating as bodies for coordination, with the GlobalIds that `heating.ifc` gives them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.basis.pipe_axis import CHORD_RAD
from ufh_core.building.types import Storey
from ufh_core.circuits.types import Manifold
from ufh_core.coordination.types import CabinetPart, HeatingParts, PipePart, ScreedPart, SleevePart
from ufh_core.design_result import CircuitDesign, Design, StoreyDesign
from ufh_core.exchange.coverings import doorway_key, doorway_label, inside_strip
from ufh_core.exchange.pipe_run import Piece, circuit_levels, circuit_run, manifold_floor
from ufh_core.exchange.zones import wall_crossings
from ufh_core.floor.types import BuildUp, DoorwayFloor


def design_parts(design: Design, project: str) -> HeatingParts:
    """The bodies of a design; `project` is the GlobalId of the architect's project."""
    storeys = {s.ifc_guid: s for s in design.building.storeys}
    return HeatingParts(
        pipes=tuple(_pipe(design, s, c, project) for s in design.storeys for c in s.circuits),
        cabinets=tuple(_cabinet(design, s, m.manifold, project) for s in design.storeys for m in s.manifolds),
        screeds=tuple(p for s in design.storeys for p in _screeds(design, storeys[s.storey], s, project)),
        sleeves=tuple(p for s in design.storeys for p in _sleeves(design, storeys[s.storey], s, project)),
    )


def piece_points(pieces: Sequence[Piece]) -> NDArray[np.float64]:
    """Points (n, 3) [m] along straights (two points each) and arcs (three), arcs every 6 degrees or finer."""
    arcs = iter(_arc_points(np.array([p for p in pieces if len(p) == 3], dtype=float).reshape(-1, 3, 3)))
    further = [next(arcs) if len(piece) == 3 else np.array(piece[-1:], dtype=float) for piece in pieces]
    return np.vstack([np.array(pieces[0][:1], dtype=float), *further])


def _arc_points(arcs: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Points of arcs in space, each through three points (n, 3, 3), without their first ones.

    Source: circumscribed circle of a triangle in its own plane. Points in line give their end.
    """
    start, u, v = arcs[:, 0], arcs[:, 1] - arcs[:, 0], arcs[:, 2] - arcs[:, 0]
    axis = np.cross(u, v)
    size = (axis**2).sum(axis=1, keepdims=True)
    flat = size[:, 0] < 1e-18
    size[flat] = 1.0
    cross = np.cross(axis, u) * (v**2).sum(axis=1, keepdims=True)
    centre = start + (cross + np.cross(v, axis) * (u**2).sum(axis=1, keepdims=True)) / (2 * size)
    out = start - centre
    side, end = np.cross(axis / np.sqrt(size), out), arcs[:, 2] - centre
    sweep = np.arctan2((end * side).sum(axis=1), (end * out).sum(axis=1)) % (2 * math.pi)
    found = []
    for k, turn in enumerate(sweep):
        turns = np.linspace(0.0, turn, max(2, math.ceil(turn / CHORD_RAD)) + 1)[1:, None]
        round_ = centre[k] + np.cos(turns) * out[k] + np.sin(turns) * side[k]
        found.append(arcs[k, 2:] if flat[k] else round_)
    return found


def _pipe(design: Design, storey: StoreyDesign, circuit: CircuitDesign, project: str) -> PipePart:
    """The pipe of a circuit."""
    number = circuit.laid.number
    return PipePart(
        ifc_guid=deterministic_guid(project, "IfcPipeSegment", storey.storey, number),
        number=number,
        manifold=circuit.laid.manifold,
        storey=storey.storey,
        points=piece_points(circuit_run(design, storey, circuit).pieces),
        radius_m=design.settings.pipe.outside_diameter_m / 2,
    )


def _cabinet(design: Design, storey: StoreyDesign, manifold: Manifold, project: str) -> CabinetPart:
    """The cabinet of a manifold and the space in front of it."""
    floor = manifold_floor(design, storey, manifold)
    whole = deterministic_guid(project, "IfcElementAssembly", storey.storey, manifold.name)
    return CabinetPart(
        ifc_guid=deterministic_guid(project, "IfcBuildingElementProxy", whole, "cabinet"),
        manifold=manifold.name,
        storey=storey.storey,
        outline=manifold.cabinet,
        bottom_m=floor,
        top_m=floor + design.settings.manifold.cabinet_height_m,
        service=manifold.service_space if manifold.service_space.area > 0 else None,
    )


def _screeds(design: Design, storey: Storey, result: StoreyDesign, project: str) -> Iterator[ScreedPart]:
    """The screed of every room with a floor build-up."""
    built = {r.room: r.build_up for r in result.rooms if r.build_up is not None}
    for room in (r for r in storey.rooms if r.ifc_guid in built):
        inner = inside_strip(room, design.settings.floor.edge_strip_thickness_m)
        for number, layer in enumerate(built[room.ifc_guid].layers, start=1):
            if layer.role == "screed":
                yield ScreedPart(
                    ifc_guid=deterministic_guid(project, "IfcCovering", room.ifc_guid, layer.role, str(number)),
                    label=room.label,
                    storey=storey.ifc_guid,
                    outline=inner,
                    bottom_m=layer.bottom_m,
                    top_m=layer.top_m,
                )

    for doorway in result.doorways:
        yield from _doorway(storey, doorway, built, project)


def _doorway(storey: Storey, doorway: DoorwayFloor, built: Mapping[str, BuildUp], project: str) -> Iterator[ScreedPart]:
    """The screed in a doorway."""
    room = next(r for r in storey.rooms if r.ifc_guid == doorway.rooms[0])
    for layer in (layer for layer in built[room.ifc_guid].layers if layer.role == "screed"):
        yield ScreedPart(
            ifc_guid=deterministic_guid(project, "IfcCovering", room.ifc_guid, layer.role, doorway_key(doorway)),
            label=doorway_label(room),
            storey=storey.ifc_guid,
            outline=doorway.outline,
            bottom_m=layer.bottom_m,
            top_m=layer.top_m,
        )


def _sleeves(design: Design, storey: Storey, result: StoreyDesign, project: str) -> Iterator[SleevePart]:
    """The sleeves through walls."""
    radius = design.settings.pipe.outside_diameter_m
    for circuit in result.circuits:
        laid = circuit.laid
        height = circuit_levels(design, result, laid).pipe_m
        for number, crossing in enumerate(wall_crossings(storey, laid, height), start=1):
            role = (storey.ifc_guid, laid.number, "provision", str(number))
            yield SleevePart(
                ifc_guid=deterministic_guid(project, "IfcBuildingElementProxy", *role),
                storey=storey.ifc_guid,
                outline=crossing.buffer(radius, cap_style="flat"),
            )
