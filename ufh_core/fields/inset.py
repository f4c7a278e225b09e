"""Rings parallel to the walls of an area, with room for a pipe's bends at every corner."""

from __future__ import annotations

import math

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from ufh_core.basis.pipe_axis import Point

MITRE = 10.0
SMALL = 1e-6
LEAST_EDGE_M = 1e-3


def inset(area: Polygon, by: float, pitch: float, radius: float) -> Polygon | None:
    """The largest part of the area set in, without edges too short to bend a pipe round their ends."""
    parts = [p for p in shapely.get_parts(area.buffer(-by, join_style="mitre", mitre_limit=MITRE)) if p.area > 0]
    if not parts:
        return None
    largest = orient(max(parts, key=lambda p: float(p.area)))
    points = _sturdy(list(largest.exterior.coords)[:-1], pitch / 2 + radius)
    return orient(Polygon(points)) if len(points) > 2 and Polygon(points).is_valid else None


def _sturdy(points: list[Point], reach: float) -> list[Point]:
    """A ring whose every edge has room for bends at its ends; shorter ones give way to their neighbours."""
    while len(points) > 3:
        count = len(points)
        turns = [abs(turn(points[k - 1], points[k], points[(k + 1) % count])) for k in range(count)]
        wanted = [
            max(LEAST_EDGE_M, reach * (math.tan(turns[k] / 2) + math.tan(turns[(k + 1) % count] / 2)))
            for k in range(count)
        ]
        lack = [wanted[k] - math.dist(points[k], points[(k + 1) % count]) for k in range(count)]
        worst = max(range(count), key=lambda k: lack[k])
        if lack[worst] <= 0:
            return points
        points = _without_edge(points, worst)
    return points


def _without_edge(points: list[Point], k: int) -> list[Point]:
    """The ring with edge k replaced by the point where its neighbours meet, or by its middle."""
    count = len(points)
    a, b, c, d = (points[(k + m) % count] for m in (-1, 0, 1, 2))
    met = _meeting(a, b, d, c)
    middle = ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
    if met is None or math.dist(met, middle) > 2 * math.dist(b, c):
        met = middle
    return [met if m == k else p for m, p in enumerate(points) if m != (k + 1) % count]


def _meeting(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Where the lines ab and cd meet; None if they are parallel."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = ux * vy - uy * vx
    if abs(cross) < SMALL:
        return None
    t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross
    return a[0] + t * ux, a[1] + t * uy


def turn(before: Point, corner: Point, after: Point) -> float:
    """Change of direction at a corner, positive anticlockwise [rad]."""
    ux, uy, vx, vy = corner[0] - before[0], corner[1] - before[1], after[0] - corner[0], after[1] - corner[1]
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
