"""A lane and a field joined to one pipe: offset corners of the pair, then the loop, then back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.types import Approach
from ufh_core.lanes.types import Lane

STRIP_EDGE_M = 0.045  # a lane's strip reaches this far beyond its pipes


def side_line(corners: Sequence[Point], offset: float) -> list[Point]:
    """The rectilinear line beside `corners`, `offset` [m] to the right of the way (negative: left)."""
    headings = [_heading(a, b) for a, b in pairwise(corners)]
    shifts = [(h[1] * offset, -h[0] * offset) for h in headings]
    line = [_moved(corners[0], shifts[0])]
    for k in range(1, len(corners) - 1):
        before, after = shifts[k - 1], shifts[k]
        both = before if headings[k - 1] == headings[k] else (before[0] + after[0], before[1] + after[1])
        line.append(_moved(corners[k], both))
    return [*line, _moved(corners[-1], shifts[-1])]


def whole_pipe(lane: Sequence[Point], spacing: float, loop: Sequence[Point]) -> list[Point]:
    """Corners from the flow port (right of the way out) through the loop to the return port."""
    out, back = side_line(lane, spacing / 2), side_line(lane, -spacing / 2)
    turned = list(loop) if math.dist(loop[0], out[-1]) < math.dist(loop[-1], out[-1]) else list(loop)[::-1]
    return [*out[:-1], *turned, *back[:-1][::-1]]


def approaches(lane: Lane, floor: Polygon, step: float) -> list[tuple[Approach, tuple[Point, ...]]]:
    """Where the field may take over from the lane, with the part of the lane that is kept.

    The end of the lane first, then places back along it as long as they lie in the territory.
    """
    found: list[tuple[Approach, tuple[Point, ...]]] = []
    corners = list(lane.corners)
    for k in range(len(corners) - 1, 0, -1):
        a, b = corners[k - 1], corners[k]
        heading = _heading(a, b)
        length = math.dist(a, b)
        back = 0.0
        while back < length - step:
            at = (round(b[0] - heading[0] * back, 6), round(b[1] - heading[1] * back, 6))
            if not floor.contains(shapely.Point(at)):
                return found or [_whole(corners)]
            found.append((Approach(at=at, heading=heading), (*corners[:k], at)))
            back += max(step, length / 3)
        if len(found) >= 6:
            break
    return found or [_whole(corners)]


def at_threshold(lane: Lane, floor: Polygon, step: float) -> list[tuple[Approach, tuple[Point, ...]]]:
    """The place where the lane comes onto the floor, with the part that is kept; none within `step` of a bend [m]."""
    corners = list(lane.corners)
    for k in range(len(corners) - 1, 0, -1):
        a, b = corners[k - 1], corners[k]
        met = shapely.intersection(LineString([a, b]), floor.exterior)
        if met.is_empty:
            continue
        way = max(math.dist(a, p) for p in shapely.get_coordinates(met).tolist())
        heading = _heading(a, b)
        at = (round(a[0] + heading[0] * way, 6), round(a[1] + heading[1] * way, 6))
        fits = way >= step and floor.distance(shapely.Point(_on(at, heading, step))) == 0
        return [(Approach(at=at, heading=heading), (*corners[:k], at))] if fits else []
    return []


def _on(point: Point, heading: tuple[int, int], way: float) -> Point:
    return point[0] + heading[0] * way, point[1] + heading[1] * way


def _whole(corners: list[Point]) -> tuple[Approach, tuple[Point, ...]]:
    return Approach(at=corners[-1], heading=_heading(corners[-2], corners[-1])), tuple(corners)


def strips(lanes: Sequence[Sequence[Point]], half_width: float) -> Area:
    """The floor within `half_width` [m] of the middle lines of lanes."""
    lines = [LineString(lane) for lane in lanes]
    return areas_only(unary_union(shapely.buffer(lines, half_width, cap_style="square", join_style="mitre")))


def lanes_near(lanes: Sequence[Sequence[Point]], shape: shapely.Geometry, reach: float) -> list[Sequence[Point]]:
    """The lanes of which some part comes within `reach` [m] of a shape, in their order."""
    flat = np.array([p for lane in lanes for p in lane]).reshape(-1, 2)
    lines = shapely.linestrings(flat, indices=np.repeat(np.arange(len(lanes)), [len(lane) for lane in lanes]))
    shapely.prepare(shape)
    return [lane for lane, near in zip(lanes, shapely.dwithin(shape, lines, reach), strict=True) if near]


def _heading(a: Point, b: Point) -> tuple[int, int]:
    dx, dy = b[0] - a[0], b[1] - a[1]
    return (0, 1 if dy > 0 else -1) if abs(dy) > abs(dx) else (1 if dx > 0 else -1, 0)


def _moved(point: Point, by: tuple[float, float]) -> Point:
    return (round(point[0] + by[0], 6), round(point[1] + by[1], 6))
