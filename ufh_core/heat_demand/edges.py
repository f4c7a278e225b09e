"""What lies behind the edges of rooms: walls, openings, other rooms.

Each straight edge of a room's outline is cut where anything in front of it begins or ends, and
one ray goes outward from the middle of each piece, so lengths are exact for straight walls. A ray
passes through walls and columns that follow each other closely and ends in a room or in the open.
Cost: one tree query for each edge and one for all rays together.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.polygon import orient

from ufh_core.building.types import Building, Column, Opening, Room, RoomKind, Wall

REACH_M = 1.8  # thickest wall with a gap on each side
FIRST_GAP_M = 0.5  # rooms are often drawn this far from the wall's face
NEXT_GAP_M = 0.15  # a cavity between two leaves
OPEN_GAP_M = 0.6  # rooms nearer than this with no wall between lie open to each other
_LEAST_PIECE_M = 0.005
_LEAST_HEIGHT_M = 0.3  # what overlaps the room's height by less is not beside it

Thing = Room | Wall | Column | Opening


@dataclass(frozen=True, slots=True)
class EdgePiece:
    """A piece of a room's edge [m] with what a ray outward meets, nearest first.

    `line` goes from end to end with the room on its left. `rooms` may hold the room itself: then the piece
    looks at its own room again. `exit_point` is where the ray leaves the last wall; `buried` says that it
    never does, as where a wall stands end-on behind the piece.
    """

    length_m: float
    line: tuple[tuple[float, float], tuple[float, float]]
    solids: tuple[Wall | Column, ...]
    openings: tuple[Opening, ...]
    rooms: tuple[Room, ...]
    exit_point: tuple[float, float]
    buried: bool = False


@dataclass(frozen=True, slots=True)
class _Ray:
    """The ray of one piece: origin, outward unit vector, length of the piece, and the room."""

    room: Room
    origin: NDArray[np.float64]
    outward: NDArray[np.float64]
    length_m: float


@dataclass(frozen=True, slots=True)
class _Hit:
    """A stretch [m] along a ray that lies in a thing."""

    thing: Thing
    begin: float
    end: float


def edge_pieces(building: Building, rooms: Sequence[Room]) -> dict[str, list[EdgePiece]]:
    """Cut the edges of `rooms` into pieces, by room GlobalId."""
    things = _things(building)
    pieces: dict[str, list[EdgePiece]] = {room.ifc_guid: [] for room in rooms}
    if not things:
        return pieces
    shapes = np.array([thing.outline for thing in things], dtype=object)
    tree = shapely.STRtree(shapes)
    rays = [ray for room in rooms for ray in _rays(room, shapes, tree)]
    for ray, hits in zip(rays, _hits(rays, things, shapes, tree), strict=True):
        pieces[ray.room.ifc_guid].append(_piece(ray, hits))
    return pieces


def height_of(room: Room) -> float:
    """Clear height [m]; 2.5 where the model's figure is not that of a room (under 1.8 or over 8)."""
    return room.height_m if 1.8 <= room.height_m <= 8.0 else 2.5


def _things(building: Building) -> list[Thing]:
    """Everything that can lie beside a room, once each."""
    found: dict[str, Thing] = {}
    for storey in building.storeys:
        rooms = (room for room in storey.rooms if room.kind is not RoomKind.AREA_SCHEME)
        beside: tuple[Thing, ...] = (*rooms, *storey.walls, *storey.columns, *storey.openings)
        found = {**{thing.ifc_guid: thing for thing in beside}, **found}
    return [thing for thing in found.values() if not thing.outline.is_empty]


def _rays(room: Room, shapes: NDArray[np.object_], tree: shapely.STRtree) -> Iterator[_Ray]:
    """One ray outward for each piece of each edge."""
    for polygon in shapely.get_parts(room.outline):
        ring_polygon: Polygon = orient(polygon)  # outward is to the right of every ring
        for ring in (ring_polygon.exterior, *ring_polygon.interiors):
            corners = np.asarray(ring.coords)[:, :2]
            for start, end in pairwise(corners):
                yield from _edge_rays(room, start, end, shapes, tree)


def _edge_rays(
    room: Room, start: NDArray[np.float64], end: NDArray[np.float64], shapes: NDArray[np.object_], tree: shapely.STRtree
) -> Iterator[_Ray]:
    length = math.dist(start, end)
    if length < _LEAST_PIECE_M:
        return
    along = (end - start) / length
    outward = np.array([along[1], -along[0]])
    cuts = _cuts(start, along, outward, length, shapes, tree)
    for begin, finish in pairwise(cuts):
        middle = start + along * (begin + finish) / 2
        yield _Ray(room, middle + 0.002 * outward, outward, float(finish - begin))


def _cuts(
    start: NDArray[np.float64],
    along: NDArray[np.float64],
    outward: NDArray[np.float64],
    length: float,
    shapes: NDArray[np.object_],
    tree: shapely.STRtree,
) -> NDArray[np.float64]:
    """Where along an edge something in front of it begins or ends, with both ends [m]."""
    end, far = start + along * length, outward * REACH_M
    near = tree.query(Polygon([start, end, end + far, start + far]), predicate="intersects")
    offsets = shapely.get_coordinates(shapes[near]) - start
    at, depth = offsets @ along, offsets @ outward
    inside = at[(depth > -0.01) & (depth < REACH_M) & (at > 0) & (at < length)]
    cuts = [0.0]
    for cut in np.sort(inside):
        if cut - cuts[-1] > _LEAST_PIECE_M and length - cut > _LEAST_PIECE_M:
            cuts.append(float(cut))
    return np.array([*cuts, length])


def _hits(
    rays: list[_Ray], things: list[Thing], shapes: NDArray[np.object_], tree: shapely.STRtree
) -> list[list[_Hit]]:
    """The stretches of each ray within each thing beside its room, in order along the ray."""
    lines = np.array([LineString([r.origin, r.origin + REACH_M * r.outward]) for r in rays], dtype=object)
    found: list[list[_Hit]] = [[] for _ in rays]
    if not rays:
        return found
    which_ray, which_thing = tree.query(lines, predicate="intersects")
    parts, source = shapely.get_parts(shapely.intersection(lines[which_ray], shapes[which_thing]), return_index=True)
    points, owner = shapely.get_coordinates(parts, return_index=True)
    stretches: dict[int, list[float]] = defaultdict(list)
    for point, part in zip(points, owner, strict=True):
        ray = rays[which_ray[source[part]]]
        stretches[int(part)].append(float((point - ray.origin) @ ray.outward))
    for part, distances in stretches.items():
        k, thing = int(which_ray[source[part]]), things[which_thing[source[part]]]
        if _beside(rays[k].room, thing):
            found[k].append(_Hit(thing, min(distances), max(distances)))
    return [sorted(hits, key=lambda hit: (hit.begin, hit.end, hit.thing.ifc_guid)) for hits in found]


def _beside(room: Room, thing: Thing) -> bool:
    """Whether a thing overlaps a room's height."""
    bottom, top = extent(thing)
    overlap = min(top, room.floor_m + height_of(room)) - max(bottom, room.floor_m)
    return overlap > (0.05 if isinstance(thing, Opening) else _LEAST_HEIGHT_M)


def extent(thing: Thing) -> tuple[float, float]:
    """Bottom and top [m] of a thing."""
    if isinstance(thing, Room):
        return thing.floor_m, thing.floor_m + height_of(thing)
    return thing.bottom_m, thing.top_m


def _piece(ray: _Ray, hits: list[_Hit]) -> EdgePiece:
    """Follow a ray through the walls that stand close together, to the rooms behind them."""
    rooms = [hit for hit in hits if isinstance(hit.thing, Room) and not _is_start(hit, ray)]
    first_room = rooms[0].begin if rooms else math.inf
    solids: list[Wall | Column] = []
    position, gap = 0.0, FIRST_GAP_M
    for hit in hits:
        if not isinstance(hit.thing, Wall | Column) or hit.begin > first_room - 0.01 or hit.end <= position:
            continue
        if hit.begin > position + gap:
            break
        position, gap = hit.end, NEXT_GAP_M
        solids.append(hit.thing)
    limit = position + (FIRST_GAP_M if solids else OPEN_GAP_M)
    exit_point = ray.origin + (position + 0.05) * ray.outward
    openings = tuple(h.thing for h in hits if isinstance(h.thing, Opening) and h.begin <= position + 0.1)
    return EdgePiece(
        length_m=ray.length_m,
        line=_line(ray),
        solids=tuple(solids),
        openings=openings,
        rooms=tuple(hit.thing for hit in rooms if hit.begin <= limit and isinstance(hit.thing, Room)),
        exit_point=(float(exit_point[0]), float(exit_point[1])),
        buried=position > REACH_M - 0.05,
    )


def _line(ray: _Ray) -> tuple[tuple[float, float], tuple[float, float]]:
    """The piece of a ray, from end to end."""
    half = np.array([-ray.outward[1], ray.outward[0]]) * ray.length_m / 2
    (ax, ay), (bx, by) = ray.origin - half, ray.origin + half
    return (float(ax), float(ay)), (float(bx), float(by))


def _is_start(hit: _Hit, ray: _Ray) -> bool:
    """Whether a hit is only the ray's own room at its very beginning."""
    return hit.thing.ifc_guid == ray.room.ifc_guid and hit.end < 0.01
