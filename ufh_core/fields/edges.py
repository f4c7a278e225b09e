"""Edge zones inside one field: floor along outer walls where runs lie closer together.

The lines of the lattice that run along a wall get the zone's pitch as their wish where they lie in its
strip; what crosses the strip keeps the room's pitch. A loop is then rated by how much of the zone it
reaches at the tighter pitch, and only that part is told to be edge zone in the end.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from ufh_core.basis.areas import Area, common, polygons
from ufh_core.basis.pipe_axis import Point, rounded
from ufh_core.fields.grid import Bools, StudGrid
from ufh_core.fields.headings import back
from ufh_core.fields.joint import Corner
from ufh_core.fields.lattice import AxisCosts, Lattice
from ufh_core.fields.meander import Spread, flip, flow_first, seen_side, side_of
from ufh_core.fields.rate import Rating, distances
from ufh_core.fields.types import NO_AREA, FieldRequest
from ufh_core.fields.walk import EAST, SOUTH, WEST, Fill, Growth, grow

SLIT_M = 0.03
LEAST_M2 = 0.3
HALF = 0.6  # pitches from the pipe within which floor has the zone's pitch: half of it, and some
LOOSE, LATE = 40.0, 3.0  # cost of a zone without its pitch, and of one that the return comes to first


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """The studs of an edge zone by the side that their walls face, the longest first; `floor` are those to be warmed.

    `pitch` of the zone in studs.
    """

    sides: tuple[tuple[tuple[int, int], Bools], ...]
    floor: Bools
    pitch: float

    def for_axis(self, axis: int) -> Bools:
        """The studs where lines of constant x (0) or y (1) are wanted closer."""
        masks = [mask for side, mask in self.sides if side[axis]]
        return np.logical_or.reduce(masks) if masks else np.zeros_like(self.floor)


def edges_of(request: FieldRequest, grid: StudGrid, floor: Bools) -> Edges | None:
    """The edge zone of a request on its grid; None without one."""
    if request.edge_floor.is_empty:
        return None
    x, y = (np.arange(n) + o for n, o in zip(grid.node.shape, grid.origin, strict=True))
    at = np.meshgrid(x * grid.stud_m, y * grid.stud_m, indexing="ij")
    zone = shapely.contains_xy(request.edge_floor, *at)
    strips: dict[tuple[int, int], list[shapely.Geometry]] = {}
    for wall in request.cold_walls:
        strip = wall.buffer(request.edge_depth_m, cap_style="flat", single_sided=True)
        strips.setdefault(side_of(wall), []).append(strip)
    masks = [(side, zone & shapely.contains_xy(shapely.union_all(own), *at)) for side, own in strips.items()]
    ordered = sorted(masks, key=lambda m: (-int(m[1].sum()), m[0]))
    return Edges(sides=tuple(ordered), floor=zone & floor, pitch=request.edge_pitch_m / grid.stud_m)


def edge_fills(
    edges: Edges | None, view: Lattice, grid: StudGrid, heading: tuple[int, int], mirrored: bool
) -> tuple[Fill, ...]:
    """How a loop may grow that goes to and fro in the edge zone first; none without a zone."""
    if edges is None:
        return ()
    middles = (np.array(n[:-1]) + np.array(n[1:]) for n in (view.us, view.vs))
    u, v = (m / 2 for m in np.meshgrid(*middles, indexing="ij"))
    x, y = back(u, v, heading, mirrored)
    i, j = (np.rint(a - o).astype(int) for a, o in zip((x, y), grid.origin, strict=True))
    seen = []
    for side, mask in edges.sides:
        direction = seen_side(side, heading)
        seen.append((flip(direction) if mirrored else direction, mask[i, j]))
    return (Fill(grow=partial(grow_edges, sides=seen)),)


def grow_edges(growth: Growth, planted: list[int], sides: Sequence[tuple[int, Bools]]) -> None:
    """Go along the walls to the first strip, lay fingers along the walls in all strips, then fill as counterflow.

    `sides` are directions of walls with the faces in their strips.
    """
    spread = Spread(growth, planted)
    strips = [(side, np.pad(faces, ((1, 2), (1, 1))).astype(np.uint8).tobytes()) for side, faces in sides]
    first, strip = strips[0]
    spread.walk(planted[0], False, partial(_at_wall, growth, first, spread.steps[first], strip))
    for across in (False, True):
        for side, strip in strips:
            _fingers(spread, side, strip, across)
    grow(growth, list(planted))
    for heading in (WEST, EAST):
        grow(growth, spread.taken[::-1], heading)


def _at_wall(growth: Growth, side: int, step: int, strip: bytes, face: int) -> bool:
    """Whether a walk has come through a strip to its wall; beside its own wall, whether it has left the strip."""
    if side == SOUTH:
        return not strip[face]
    return bool(strip[face]) and not growth.open[face + step]


def _fingers(spread: Spread, side: int, strip: bytes, across: bool) -> None:
    """Fingers in a strip along its wall from faces in it, nearest to the wall first; with steps `across` if asked."""
    ways = ((side + 1) % 4, (side + 3) % 4)
    waiting: list[tuple[int, int]] = []
    known = 0
    while True:
        for face in spread.taken[known:]:
            if strip[face]:
                heapq.heappush(waiting, (-spread.along(face, side), face))
        known = len(spread.taken)
        if not waiting:
            return
        face = heapq.heappop(waiting)[1]
        for way in (*ways, side, (side + 2) % 4) if across else ways:
            ahead: int | None = face
            while ahead is not None and strip[ahead + spread.steps[way]]:
                ahead = spread.step(ahead, way)


def with_edges(costs: AxisCosts, node: Bools, zone: Bools, pitch: float) -> AxisCosts:
    """The costs of an axis with the zone's pitch [studs] as the wish for gaps where both lines lie in the zone."""
    step = costs.step.copy()
    for g, gap in enumerate(costs.gaps.allowed):
        if gap < node.shape[0]:
            both = (node[:-gap] & node[gap:] & zone[:-gap] & zone[gap:]).sum(axis=1)
            step[g, : len(both)] += both * ((gap / pitch - 1) ** 2 - (gap / costs.gaps.pitch - 1) ** 2)
    return replace(costs, step=step)


def rated_with_edges(
    rating: Rating, corners: tuple[Corner, ...], heading: tuple[int, int], edges: Edges | None, grid: StudGrid
) -> Rating:
    """The rating with what the edge zone lacks: floor near enough to the pipe for its pitch, and the flow first."""
    if edges is None or not edges.floor.any():
        return rating
    places = np.rint(np.array(corners)).astype(np.int32) - np.array(grid.origin, np.int32)
    run, _, loose, _ = distances(places, edges.floor, math.floor((HALF * edges.pitch + 1e-6) ** 2))
    inside = run[edges.floor & (run >= 0)]
    late = float(inside.mean()) / max(1, int(run.max())) if inside.size else 0.5
    late = late if flow_first(corners, heading) else 1 - late
    return replace(rating, edge=LOOSE * loose / int(np.count_nonzero(edges.floor)) + LATE * late)


def edge_floor(corners: tuple[Point, ...], request: FieldRequest, heated: Polygon) -> Area:
    """The part of the heated floor that has the edge zone's pitch: single runs farther apart do not make a zone."""
    if request.edge_floor.is_empty:
        return NO_AREA
    reach = HALF * request.edge_pitch_m
    zone = common(request.edge_floor, heated)
    near = common(zone, rounded(list(corners), request.least_radius_m).line().buffer(reach))
    wide = near.buffer(-reach - SLIT_M, join_style="mitre").buffer(reach + 3 * SLIT_M, join_style="mitre")
    tight = common(wide.buffer(-2 * SLIT_M, join_style="mitre"), zone).simplify(SLIT_M / 3)
    kept = [p for p in polygons(common(tight, zone)) if p.area >= LEAST_M2]
    return kept[0] if len(kept) == 1 else MultiPolygon(kept) if kept else NO_AREA
