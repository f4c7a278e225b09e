"""Gaps between wall pieces: doorways and windows that a structural model leaves open down to the floor.

How: a short edge of the joined walls with a convex corner at either end is the end of a wall. From each end the
walls are looked for straight ahead; two ends that face each other may be a window apart, an end and the side of
another wall a door apart. Cost: one look-up in a tree per wall end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

THICKNESS_M = (0.05, 0.65)
END_TO_END_M = 3.0  # widest window or doorway between two ends
END_TO_SIDE_M = 1.2  # widest doorway between an end and a wall across
_JOINED_M = 0.02
_FACING = -0.97  # cosine between directions of ends that face each other

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bridge:
    """A gap made solid: its outline and its halves on either side of the walls' middle."""

    outline: Polygon
    halves: tuple[Polygon, Polygon]


@dataclass(frozen=True, slots=True)
class _End:
    """The end of a wall from `a` to `b`, looking along the unit vector `ahead`."""

    a: Vector
    b: Vector
    ahead: Vector

    @property
    def middle(self) -> Vector:
        """Middle of the end."""
        return (self.a + self.b) / 2


def find_bridges(solid: BaseGeometry) -> tuple[Bridge, ...]:
    """Find the gaps in joined walls (a polygon or several) [m]."""
    joined = solid.buffer(_JOINED_M, join_style="mitre").buffer(-_JOINED_M, join_style="mitre").simplify(0.005)
    parts = [p for p in getattr(joined, "geoms", [joined]) if isinstance(p, Polygon)]
    rings = [np.array(ring.coords) for p in parts for ring in (_turned(p.exterior, True), *_holes(p))]
    ends = [end for ring in rings for end in _ends(ring)]
    tree = STRtree(parts)
    found = [_bridge(end, ends, parts, tree) for end in ends]
    return tuple(bridge for bridge in found if bridge is not None)


def _holes(part: Polygon) -> list[LineString]:
    """The inner rings, turned so that the solid lies on their left."""
    return [_turned(ring, False) for ring in part.interiors]


def _turned(ring: LineString, anticlockwise: bool) -> LineString:
    """A ring in the sense asked for."""
    return ring if ring.is_ccw == anticlockwise else ring.reverse()


def _ends(ring: Vector) -> list[_End]:
    """The wall ends on a ring that has the solid on its left."""
    points = ring[:-1]
    along = np.roll(points, -1, axis=0) - points
    lengths = np.hypot(along[:, 0], along[:, 1])
    following = np.roll(along, -1, axis=0)
    turns = along[:, 0] * following[:, 1] - along[:, 1] * following[:, 0]
    turns = turns / np.maximum(lengths * np.roll(lengths, -1), 1e-12)  # sine at the edge's end
    ends = []
    for k in np.flatnonzero((lengths >= THICKNESS_M[0]) & (lengths <= THICKNESS_M[1])):
        if turns[k] > 0.7 and turns[k - 1] > 0.7:
            ahead = np.array([along[k, 1], -along[k, 0]]) / lengths[k]
            ends.append(_End(points[k], points[(k + 1) % len(points)], ahead))
    return ends


def _bridge(end: _End, ends: list[_End], parts: list[Polygon], tree: STRtree) -> Bridge | None:
    """The bridge from an end to what stands ahead of it, if it is near enough."""
    start = end.a + (end.b - end.a) * 0.1, end.b + (end.a - end.b) * 0.1
    step, far = end.ahead * 0.005, end.ahead * END_TO_END_M
    view = Polygon([start[0] + step, start[1] + step, start[1] + far, start[0] + far])
    seen = [view.intersection(parts[k]) for k in tree.query(view, predicate="intersects")]
    edge = LineString([end.a, end.b])
    distance = min((edge.distance(part) for part in seen if not part.is_empty), default=math.inf)
    if distance > END_TO_END_M or distance < _JOINED_M:
        return None
    if distance > END_TO_SIDE_M and not _faces_end(end, distance, ends):
        return None
    return _made(end, distance)


def _faces_end(end: _End, distance: float, ends: list[_End]) -> bool:
    """Whether another end looks back from there."""
    there = end.middle + end.ahead * distance
    reach = 0.1 + math.dist(end.a, end.b) / 2
    return any(
        float(other.ahead @ end.ahead) < _FACING
        and math.dist(other.middle, there) < reach
        and abs(float((other.middle - there) @ end.ahead)) < 0.1
        for other in ends
    )


def _made(end: _End, distance: float) -> Bridge:
    """The bridge as wide as its end."""
    reach = end.ahead * distance
    back, mid = end.ahead * -0.005, end.middle
    outline = Polygon([end.a + back, end.b + back, end.b + reach, end.a + reach])
    halves = (
        Polygon([end.a, mid, mid + reach, end.a + reach]),
        Polygon([mid, end.b, end.b + reach, mid + reach]),
    )
    return Bridge(outline, halves)
