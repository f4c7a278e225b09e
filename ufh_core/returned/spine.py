"""A pipe's way by its corners alone, so that a hand can move them, and back to straights and bends.

Every bend stands for one corner, where the straights beside it would meet, or for several, no sharper than 100 degrees
each, where it turns further. Corners that were not moved get their own radius again, all others the least one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight, rounded

SHARPEST_RAD = math.radians(100)
SAME_M = 0.001
SLACK_M = 1e-6

Corner = tuple[Point, float]
"""A corner of the way and the radius of its bend [m], 0 at the two ends."""


def corners_of(axis: PipeAxis) -> list[Corner]:
    """The ends of a way and its corners in between, in order."""
    bends = [corner for piece in axis.pieces if isinstance(piece, Arc) for corner in _tangents(piece)]
    return [(axis.start, 0.0), *bends, (axis.end, 0.0)]


def _tangents(arc: Arc) -> list[Corner]:
    """Where the tangents of an arc's equal parts meet."""
    parts = max(1, math.ceil(abs(arc.sweep) / SHARPEST_RAD))
    step, radius = arc.sweep / parts, arc.radius_m
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    reach = radius / math.cos(step / 2)
    angles = (first + step * (k + 0.5) for k in range(parts))
    return [((arc.centre[0] + reach * math.cos(a), arc.centre[1] + reach * math.sin(a)), radius) for a in angles]


def pieces_along(points: Sequence[Point], known: Sequence[Corner], least_m: float) -> tuple[Straight | Arc, ...]:
    """The way through corners, each rounded as far as the legs allow, but not below the least radius.

    `known` are corners with a radius of their own. A corner that takes no bend stays sharp: whoever judges the way
    says so.
    """
    points = _apart([_at_known(p, known) for p in points])
    turns = [0.0, *(_turn(*points[k - 1 : k + 2]) for k in range(1, len(points) - 1)), 0.0]
    wanted = [max(least_m, _radius(p, known)) for p in points]
    half = [math.tan(t / 2) if t < math.pi - 1e-3 else math.inf for t in turns]
    radii = _fitting(points, half, wanted, least_m)
    pieces: list[Straight | Arc] = []
    here = points[0]
    for k in range(1, len(points) - 1):
        if turns[k] < 1e-6:
            continue
        bend = _bend(points[k - 1 : k + 2], radii[k], half[k]) if radii[k] > 0 else None
        until = bend.start if bend is not None else points[k]
        if math.dist(here, until) > 2 * SLACK_M:
            pieces.append(Straight(here, until))
        if bend is not None:
            pieces.append(bend)
        here = bend.end if bend is not None else until
    if math.dist(here, points[-1]) > 1e-9:
        pieces.append(Straight(here, points[-1]))
    return tuple(pieces)


def _apart(points: Sequence[Point]) -> list[Point]:
    """Points without those that lie on the one before."""
    found = [points[0]]
    for point in points[1:]:
        if math.dist(point, found[-1]) > SAME_M / 10:
            found.append(point)
    return found


def _at_known(point: Point, known: Sequence[Corner]) -> Point:
    """The known corner that a point is, but for the single precision of whoever drew it; else the point."""
    return next((there for there, _ in known if math.dist(point, there) < SAME_M), point)


def _radius(point: Point, known: Sequence[Corner]) -> float:
    return max((radius for there, radius in known if math.dist(point, there) < SAME_M), default=0.0)


def _fitting(points: Sequence[Point], half: Sequence[float], wanted: Sequence[float], least_m: float) -> list[float]:
    """The radius of each corner that fits its legs: as wanted, else the least, else 0. Leg by leg, in order."""
    radii = list(wanted)
    for k in range(len(points) - 1):
        leg = math.dist(points[k], points[k + 1]) + SLACK_M
        ends = (k, k + 1)
        if sum(_taken(half[e], radii[e]) for e in ends) <= leg:
            continue
        for e in ends:
            radii[e] = min(radii[e], least_m)
        if sum(_taken(half[e], radii[e]) for e in ends) > leg:
            for e in ends:
                radii[e] = 0.0
    return radii


def _taken(half: float, radius: float) -> float:
    return half * radius if radius > 0 and half > 0 else 0.0


def _bend(corner: Sequence[Point], radius: float, half: float) -> Arc:
    """The bend at the middle one of three points, whose legs are long enough for it."""
    reach = radius * half + 1.0  # legs of any length give the same bend
    before, at, after = corner
    ends = [_towards(at, other, reach) for other in (before, after)]
    return next(p for p in rounded([ends[0], at, ends[1]], radius).pieces if isinstance(p, Arc))


def _towards(start: Point, goal: Point, way: float) -> Point:
    length = math.dist(start, goal)
    return start[0] + way * (goal[0] - start[0]) / length, start[1] + way * (goal[1] - start[1]) / length


def _turn(before: Point, corner: Point, after: Point) -> float:
    """Change of direction at a corner [rad], 0 to pi."""
    u = (corner[0] - before[0], corner[1] - before[1])
    v = (after[0] - corner[0], after[1] - corner[1])
    return abs(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]))
