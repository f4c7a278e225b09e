"""The step from one ring to the next one inside it, so that rings become a spiral."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Place
from shapely.ops import substring

from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.inset import SMALL, turn

FAR_M = 50.0
APART = 1.75  # pitches between parts of a spine
LONG_GAP = 5  # pitches of a ring that a step round a corner may leave out
BLUNT = math.radians(60)  # greatest turn of a step aslant

Step = tuple[Point, list[Point]]
"""Where the way leaves a ring, and the next ring from the corner that it meets there."""


def step_inwards(ring: Sequence[Point], inner: Sequence[Point], pitch: float, aslant: bool) -> Step | None:
    """The way from a ring, just before its start, to the next: round a corner, or aslant where corners are blunt."""
    line = LineString([*ring, ring[0]])
    corner = _round_corner(line, inner, pitch)
    if corner is not None and (not aslant or line.length - line.project(Place(corner[0])) <= LONG_GAP * pitch):
        return corner
    return _aslant(line, inner, pitch) or corner


def _round_corner(line: LineString, inner: Sequence[Point], pitch: float) -> Step | None:
    """The step along an edge of the next ring drawn out backwards, with the least of the ring left out."""
    first = LineString(line.coords[:2])
    best: tuple[float, Point, int] | None = None
    for k, corner in enumerate(inner):
        back = towards(corner, inner[(k + 1) % len(inner)], -FAR_M)
        met = [p for p in shapely.get_parts(LineString([corner, back]).intersection(line)) if isinstance(p, Place)]
        leave = min(met, key=lambda p: p.distance(Place(corner)), default=None)
        if leave is None or first.distance(LineString([leave.coords[0], corner])) < APART * pitch:
            continue
        left = line.length - line.project(leave)
        if best is None or left < best[0]:
            best = (left, (leave.x, leave.y), k)
    return None if best is None else (best[1], [*inner[best[2] :], *inner[: best[2]]])


def _aslant(line: LineString, inner: Sequence[Point], pitch: float) -> Step | None:
    """The step straight to a corner of the next ring, as late as keeps clear of the start, with the least turning."""
    start = substring(line, 0.0, LONG_GAP * pitch)
    core = Polygon(inner).buffer(-1e-4)
    gap = APART * pitch
    while gap < line.length / 2:
        leave, before = (line.interpolate(line.length - gap - m) for m in (0.0, 1e-3))
        found = []
        for k, corner in enumerate(inner):
            way = LineString([leave.coords[0], corner])
            turns = (
                turn(before.coords[0], leave.coords[0], corner),
                turn(leave.coords[0], corner, inner[k - len(inner) + 1]),
            )
            if (
                max(turns) < BLUNT
                and min(turns) > -SMALL
                and way.distance(start) >= APART * pitch
                and not way.crosses(core)
            ):
                found.append((sum(turns), k))
        if found:
            k = min(found)[1]
            return (leave.x, leave.y), [*inner[k:], *inner[:k]]
        gap += pitch / 4
    return None


def towards(start: Point, goal: Point, way: float) -> Point:
    """The point `way` from start towards goal [m]."""
    share = way / max(math.dist(start, goal), SMALL)
    return start[0] + share * (goal[0] - start[0]), start[1] + share * (goal[1] - start[1])
