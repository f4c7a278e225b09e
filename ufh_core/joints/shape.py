"""Measures of a pour field, and straight cuts through it, in a frame whose axes lie along most of its walls."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.polygon import orient

from ufh_core.basis.pipe_axis import Point

GRID_M = 1e-5  # all cuts lie on this grid [m]
SAME_M = 1e-4  # points nearer than this are one [m]
REENTRANT_RAD = math.radians(20)  # a corner of a field turns in by more than this; concave curves do not count
SHARP_RAD = math.radians(50)  # a corner of a floor that asks for a joint; slants of bays do not (own rule)
BEYOND_M = 4e-5  # cuts reach this far beyond the border, so that it is met for sure [m]


def main_direction(outline: Polygon) -> float:
    """Angle [rad], -45 to 45 degrees, of the direction along or across which most of the border runs."""
    ends = np.diff(np.asarray(outline.exterior.coords), axis=0)
    lengths, angles = np.hypot(*ends.T), np.arctan2(ends[:, 1], ends[:, 0])
    four = np.round(np.mod(np.degrees(angles) + 45.0, 90.0), 1) % 90.0
    kinds, member = np.unique(four, return_inverse=True)
    return math.radians(float(kinds[np.argmax(np.bincount(member, weights=lengths))]) - 45.0)


def sides(outline: Polygon) -> tuple[float, float]:
    """Length and width [m] of the rectangle along the axes round a field."""
    left, low, right, high = outline.bounds
    across, up = right - left, high - low
    return max(across, up), min(across, up)


def turning_in(outline: Polygon, by_rad: float = REENTRANT_RAD) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(corners (n, 2) [m], shorter of the two edges that meet there (n,) [m]) of all corners that turn in by more."""
    points, legs = [np.empty((0, 2))], [np.empty(0)]
    shape = orient(outline, -1.0)  # shell clockwise, holes anticlockwise: the floor is always on the right
    for ring in (shape.exterior, *shape.interiors):
        at = np.asarray(ring.coords)[:-1]
        before, after = at - np.roll(at, 1, axis=0), np.roll(at, -1, axis=0) - at
        cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        turn = np.arctan2(cross, np.sum(before * after, axis=1))
        inward = turn > by_rad
        points.append(at[inward])
        legs.append(np.minimum(np.hypot(*before.T), np.hypot(*after.T))[inward])
    return np.vstack(points), np.concatenate(legs)


def open_corners(outline: Polygon, corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Those of the region's `corners` (n, 2) that are re-entrant in this field of it (m, 2)."""
    if not len(corners):
        return corners
    here = turning_in(outline)[0]
    apart = np.hypot(*(corners[:, None, :] - here[None, :, :]).transpose(2, 0, 1))
    return np.asarray(corners[(apart < SAME_M).any(axis=1)])


def chord(outline: Polygon, at: Point, direction: Point) -> LineString | None:
    """The straight [m] through `at` along ±`direction` from border to border, None where it only touches the floor."""
    left, low, right, high = outline.bounds
    far = (right - left) + (high - low) + 1.0
    across = LineString(
        [
            (at[0] - far * direction[0], at[1] - far * direction[1]),
            (at[0] + far * direction[0], at[1] + far * direction[1]),
        ]
    )
    inside = shapely.difference(
        shapely.intersection(across, outline), LineString(outline.exterior.coords).buffer(2 * GRID_M)
    )
    edge, spot = outline.boundary.buffer(2 * GRID_M), shapely.Point(at)
    merged = shapely.line_merge(inside) if inside.geom_type == "MultiLineString" else inside
    near = [p for p in shapely.get_parts(merged) if p.length > 0.02 and p.distance(spot) < SAME_M]
    near = [p for p in near if not edge.covers(p)]
    if not near:
        return None
    ends = shapely.get_coordinates(near)
    along = (ends - at) @ np.asarray(direction)
    return LineString([ends[np.argmin(along)], ends[np.argmax(along)]])


def parted(outline: Polygon, cut: LineString) -> list[Polygon]:
    """The parts of a field on both sides of a straight through it; itself where that parts nothing."""
    (x0, y0), (x1, y1) = cut.coords[0], cut.coords[-1]
    length = cut.length
    ux, uy = (x1 - x0) / length * BEYOND_M, (y1 - y0) / length * BEYOND_M
    longer = LineString([(x0 - ux, y0 - uy), (x1 + ux, y1 + uy)])
    lines = shapely.union(outline.boundary, longer, grid_size=GRID_M)
    pieces = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(lines))))
    return [p for p in pieces if p.area > 1e-6 and outline.contains(p.representative_point())]
