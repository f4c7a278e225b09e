"""Where a manifold can stand: on a straight free wall, with room in front, near what it serves.

Every place is judged by the lattice of the tails: the ports stand on consecutive nodes of the first
row off the wall. A place counts when the wall behind is unbroken (no door, window or opening), the
floor in front is free to the service depth, and is priced by the kind of room (common practice).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import compress, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from ufh_core.basis.areas import Area, polygons
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Room, RoomKind
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level

OPENING_NEAR = 0.35
OPENING_MARGIN = 0.08
NO_PLACE = frozenset({RoomKind.OUTSIDE, RoomKind.SHAFT, RoomKind.AREA_SCHEME, RoomKind.ROOF})
OTHER_ROOM_FACTOR = 1.5
AXIS_SLOPE = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class WallStretch:
    """A straight piece of a room's edge along a local axis, free of openings.

    `normal` points into the room; `at` is the coordinate of the wall face across it; `low`, `high`
    bound the stretch along it [m].
    """

    room: str
    normal: tuple[int, int]
    at: float
    low: float
    high: float
    factor: float

    @property
    def along(self) -> int:
        """Index of the coordinate that runs along the wall."""
        return 1 if self.normal[0] else 0

    def point(self, along: float, out: float) -> Point:
        """The plan point at a coordinate along the wall and a distance `out` from its face."""
        sign = self.normal[1 - self.along]
        across = self.at + sign * out
        return (along, across) if self.along == 0 else (across, along)


def wall_stretches(level: Level, settings: Settings) -> list[WallStretch]:
    """All stretches of wall in the rooms of a level that are free of openings."""
    found = []
    for room in level.rooms:
        if room.kind in NO_PLACE or room.external:
            continue
        factor = settings.manifold.room_factor.get(room.kind.value, OTHER_ROOM_FACTOR)
        for polygon in polygons(room.outline):
            for start, end in _edges(polygon):
                found += _free_stretches(room, level, start, end, factor)
    return found


def _edges(polygon: Polygon) -> Iterator[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Edges of the outer ring, anticlockwise, so that the room lies to the left."""
    ring = np.asarray(shapely.geometry.polygon.orient(polygon.simplify(0.01)).exterior.coords)
    yield from pairwise(ring)


def _free_stretches(
    room: Room, level: Level, start: NDArray[np.float64], end: NDArray[np.float64], factor: float
) -> list[WallStretch]:
    way = end - start
    length = float(np.hypot(*way))
    if length < 0.3 or min(abs(way)) > AXIS_SLOPE * max(abs(way)):
        return []
    along = 0 if abs(way[0]) > abs(way[1]) else 1
    sign = 1 if way[along] > 0 else -1
    normal = (0, sign) if along == 0 else (-sign, 0)
    at = float(start[1 - along] + end[1 - along]) / 2
    blocked = _blocked(level, LineString([start, end]), along)
    low, high = sorted((float(start[along]), float(end[along])))
    return [
        WallStretch(room=room.ifc_guid, normal=normal, at=at, low=a, high=b, factor=factor)
        for a, b in _gaps(low, high, blocked)
        if b - a > 0.3
    ]


def _blocked(level: Level, edge: LineString, along: int) -> list[tuple[float, float]]:
    shapes: list[Area] = [o.outline for o in level.storey.openings if o.top_m > level.floor_m + 0.1]
    shapes += [p.outline for p in (*level.passages, *level.sleeve_ways)]
    shapely.prepare(edge)
    near = compress(shapes, shapely.dwithin(edge, shapes, OPENING_NEAR))
    spans = [(s.bounds[along] - OPENING_MARGIN, s.bounds[along + 2] + OPENING_MARGIN) for s in near]
    floors = list(level.floors.values())
    for floor in compress(floors, shapely.dwithin(edge, floors, 0.02)):
        touch = floor.buffer(0.02).intersection(edge.offset_curve(-0.03))
        if touch.length > 0.05:
            spans.append((touch.bounds[along] - OPENING_MARGIN, touch.bounds[along + 2] + OPENING_MARGIN))
    return spans


def _gaps(low: float, high: float, blocked: list[tuple[float, float]]) -> list[tuple[float, float]]:
    free, at = [], low
    for a, b in sorted(blocked):
        if a > at:
            free.append((at, min(a, high)))
        at = max(at, b)
    if at < high:
        free.append((at, high))
    return [(a, b) for a, b in free if b > a]


def service_rows(level: Level, stretch: WallStretch, depth_m: float) -> list[tuple[float, float]]:
    """Spans along a stretch in front of which the floor is free to a depth [m], sampled every 50 mm."""
    floor = level.floors.get(stretch.room)
    if floor is None:
        return []
    along = np.arange(stretch.low + 0.025, stretch.high, 0.05)
    if not len(along):
        return []
    out = np.arange(0.05, depth_m + 1e-9, 0.05)
    shapely.prepare(floor)
    a, o = np.meshgrid(along, stretch.at + stretch.normal[1 - stretch.along] * out, indexing="ij")
    x, y = (a, o) if stretch.along == 0 else (o, a)
    fine = np.asarray(shapely.contains_xy(floor, x.ravel(), y.ravel())).reshape(a.shape).all(axis=1)
    spans, first = [], None
    for k, good in enumerate(np.append(fine, False)):
        if good and first is None:
            first = k
        if not good and first is not None:
            spans.append((float(along[first]) - 0.025, float(along[k - 1]) + 0.025))
            first = None
    return [(a, b) for a, b in spans if not math.isclose(a, b)]
