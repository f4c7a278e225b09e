"""Steps of a loop laid at 45 degrees where that keeps every rule.

Along oblique walls a loop on a lattice runs in steps: a short leg between two opposite turns. A
fitter lays such a step diagonally over the studs: half the turning, and nearer to the wall. Each
step is tried on its own against the area and against all other runs; two passes, because a step
may become possible when its neighbour is laid diagonally. Cost: linear in steps, by a tree of runs.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.types import FieldRequest

LONGEST_STEP = 1.5  # pitches
PASSES = 2
SMALL = 1e-6


def chamfered(corners: tuple[Point, ...], request: FieldRequest) -> tuple[Point, ...]:
    """The loop with as many steps as possible at 45 degrees; the legs at both ends stay as they are."""
    area = request.axis_area.buffer(SMALL, join_style="mitre")
    shapely.prepare(area)
    points = list(corners)
    for _ in range(PASSES):
        before = len(points), points[:]
        runs = shapely.STRtree(shapely.linestrings(list(itertools.pairwise(points))))
        for k in range(2, len(points) - 4):
            _lay_diagonally(points, k, runs, area, request)
        if (len(points), points) == before:
            break
    return tuple(points)


def right_angles(corners: tuple[Point, ...]) -> int:
    """All turning of a loop in right angles, rounded.

    >>> right_angles(((0, 0), (1, 0), (2, 1), (3, 1)))
    1
    """
    points = list(corners)
    return round(sum(_turn(points, m) for m in range(1, len(points) - 1)) / (math.pi / 2))


def _lay_diagonally(
    points: list[Point], k: int, runs: shapely.STRtree, area: shapely.Geometry, request: FieldRequest
) -> None:
    """Turn the step from point k to k + 1 where it is one and keeps the rules."""
    before, start, end, after = points[k - 1 : k + 3]
    step = math.dist(start, end)
    if step > LONGEST_STEP * request.pitch_m + SMALL or not _is_step(before, start, end, after):
        return
    stud = request.stud_pitch_m
    half = round(step / stud) // 2 * stud
    for back in dict.fromkeys((half, step - half, step, 0.0)):
        moved = _towards(start, before, back), _towards(end, after, step - back)
        trial = [*points[:k], *moved, *points[k + 2 :]]
        if _legs_fit(trial, k, request.least_radius_m) and _keeps_apart(trial, k, points, runs, area, request):
            points[k], points[k + 1] = moved
            return


def _is_step(before: Point, start: Point, end: Point, after: Point) -> bool:
    """Whether a leg lies square between two others of the same direction."""
    u, v, w = (_direction(p, q) for p, q in ((before, start), (start, end), (end, after)))
    return abs(u[0] * v[0] + u[1] * v[1]) < SMALL and u[0] * w[0] + u[1] * w[1] > 1 - SMALL


def _direction(p: Point, q: Point) -> Point:
    """Unit vector from p to q."""
    length = max(math.dist(p, q), SMALL)
    return (q[0] - p[0]) / length, (q[1] - p[1]) / length


def _towards(start: Point, goal: Point, way: float) -> Point:
    """The point `way` from `start` towards `goal`."""
    u = _direction(start, goal)
    return start[0] + way * u[0], start[1] + way * u[1]


def _legs_fit(points: list[Point], k: int, radius: float) -> bool:
    """Whether the legs round the diagonal k, k + 1 leave room for the bends at their ends."""
    for n in (k - 1, k, k + 1):
        need = sum(radius * math.tan(_turn(points, m) / 2) for m in (n, n + 1))
        if math.dist(points[n], points[n + 1]) < need - SMALL:
            return False
    return True


def _turn(points: list[Point], m: int) -> float:
    """Change of direction at point m [rad]."""
    u, v = _direction(points[m - 1], points[m]), _direction(points[m], points[m + 1])
    return math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1])))


def _keeps_apart(
    trial: list[Point],
    k: int,
    points: list[Point],
    runs: shapely.STRtree,
    area: shapely.Geometry,
    request: FieldRequest,
) -> bool:
    """Whether the diagonal lies inside and keeps its distance from the runs as they are now."""
    diagonal = LineString(trial[k : k + 2])
    if not shapely.covers(area, diagonal):
        return False
    least = request.separation_m
    reach = least + LONGEST_STEP * request.pitch_m  # the tree holds the runs as they were
    near = runs.query(diagonal, predicate="dwithin", distance=reach).tolist()
    others = [points[n : n + 2] for n in near if not k - 3 < n < k + 3]
    now = shapely.linestrings(np.array(others).reshape(-1, 2, 2))
    return bool((shapely.distance(now, diagonal) >= least - SMALL).all())
