"""A second opinion on one field: from its corners and its territory alone, with shapely and samples.

Shares no code with the filling: bends are drawn here, distances measured between points every 20 mm.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Polygon

STEP = 0.02
CLEARANCE_SLACK = 0.005
AT_JOINT = 0.6
"""Run from the ends of the pipe within which the pair opens out [m]."""


def faults(request: Any, result: Any) -> list[str]:
    """All that is wrong with a field, one line each."""
    line = drawn(result.corners, request.least_radius_m)
    if line is None:
        return ["a leg too short for its bends"]
    checks = (_shape, _place, _separation, _joint, _grid, _heated)
    return [words for check in checks for words in check(request, result, line)]


def drawn(corners: Any, radius: float) -> LineString | None:
    """The axis with true arcs of `radius` at every corner; None where they do not fit."""
    legs = [math.dist(p, q) for p, q in pairwise(corners)]
    turns = [_turn(*corners[k - 1 : k + 2]) for k in range(1, len(corners) - 1)]
    tangent = [0.0, *(radius * math.tan(t / 2) for t in turns), 0.0]
    if any(leg < a + b - 1e-6 for leg, (a, b) in zip(legs, pairwise(tangent), strict=True)):
        return None
    points = [np.array(corners[0])]
    for k in range(1, len(corners) - 1):
        p, c, q = map(np.array, corners[k - 1 : k + 2])
        u, v = (p - c) / np.linalg.norm(p - c), (q - c) / np.linalg.norm(q - c)
        centre = c + (u + v) / np.linalg.norm(u + v) * radius / math.cos(turns[k - 1] / 2)
        start, end = c + u * tangent[k], c + v * tangent[k]
        first = math.atan2(*(start - centre)[::-1])
        sweep = (math.atan2(*(end - centre)[::-1]) - first + math.pi) % (2 * math.pi) - math.pi
        angles = np.linspace(first, first + sweep, 31)
        points += list(centre + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    places = np.round([*points, np.array(corners[-1])], 7)
    moves = np.abs(np.diff(places, axis=0)).max(axis=1) > 2e-7  # where bend follows bend, both have the point
    return LineString(places[np.concatenate([[True], moves])])


def _turn(p: Any, c: Any, q: Any) -> float:
    first, second = math.atan2(c[1] - p[1], c[0] - p[0]), math.atan2(q[1] - c[1], q[0] - c[0])
    return abs((second - first + math.pi) % (2 * math.pi) - math.pi)


def _shape(request: Any, result: Any, line: LineString) -> list[str]:
    return [] if line.is_simple else ["meets itself"]


def _place(request: Any, result: Any, line: LineString) -> list[str]:
    near = LineString([result.corners[0], result.corners[-1]]).buffer(AT_JOINT + _run_in(result))
    stray = line.difference(request.axis_area.buffer(CLEARANCE_SLACK))
    joint = stray.intersection(near).difference(request.lane_area.buffer(CLEARANCE_SLACK))
    length = stray.difference(near).length + joint.length
    return [f"{1000 * length:.1f} mm outside"] if length > 1e-6 else []


def _run_in(result: Any) -> float:
    return min(math.dist(*result.corners[:2]), math.dist(*result.corners[-2:]))


def _separation(request: Any, result: Any, line: LineString) -> list[str]:
    run = np.arange(0, line.length, STEP)
    xy = shapely.get_coordinates(shapely.line_interpolate_point(line, run))
    near = cKDTree(xy).query_pairs(request.pitch_m, output_type="ndarray")
    near = near[np.abs(run[near[:, 0]] - run[near[:, 1]]) > max(3 * request.pitch_m, 0.6)]
    away = np.hypot(*(xy[near[:, 0]] - xy[near[:, 1]]).T)
    ends = _run_in(result) + AT_JOINT
    field = (run > ends) & (run < line.length - ends)
    inside = field[near[:, 0]] & field[near[:, 1]]
    found = []
    if away[inside].min(initial=1) < request.separation_share * request.pitch_m - 2e-3:
        found.append(f"runs {1000 * away[inside].min():.0f} mm apart")
    if away[~inside].min(initial=1) < request.tail_spacing_m - 1e-3:
        found.append(f"tails {1000 * away[~inside].min():.0f} mm apart")
    return found


def _joint(request: Any, result: Any, line: LineString) -> list[str]:
    approach = request.approaches[result.approach]
    ahead = np.array(approach.heading, float)
    middle = (np.array(result.corners[0]) + np.array(result.corners[-1])) / 2
    found = [] if np.allclose(middle, approach.at, atol=1e-6) else ["does not begin at the pair"]
    if abs(math.dist(result.corners[0], result.corners[-1]) - request.tail_spacing_m) > 1e-6:
        found.append("pipes of the pair are not spaced as asked")
    for first, second in (result.corners[:2], result.corners[:-3:-1]):
        way = np.array(second) - np.array(first)
        if not np.allclose(way / np.linalg.norm(way), ahead):
            found.append("does not go on straight ahead")
    return found


def _grid(request: Any, result: Any, line: LineString) -> list[str]:
    """Runs along the axes or at 45 degrees, corners on studs: in the frame that the field says it lies in."""
    if not request.on_studs:
        return []
    c, s = math.cos(result.turned_rad), math.sin(result.turned_rad)
    corners = np.array(result.corners) @ np.array([[c, -s], [s, c]])
    bend = 1 if result.turned_rad else 0  # the pair arrives on the frame's own studs
    corners = corners[bend : len(corners) - bend]
    studs = corners[1:-1] / request.stud_pitch_m
    legs = np.abs(np.diff(corners, axis=0))
    off = (legs.min(axis=1) > 1e-6) & (np.abs(legs[:, 0] - legs[:, 1]) > 1e-6)
    return ["off the studs"] * bool(np.abs(studs - np.rint(studs)).max() > 1e-6 or off.any())


def _heated(request: Any, result: Any, line: LineString) -> list[str]:
    found = []
    heated: Polygon = result.heated
    if heated.geom_type != "Polygon" or not heated.is_valid:
        found.append("heated floor is no polygon")
    if heated.difference(request.floor.buffer(1e-6)).area > 1e-6:
        found.append("heats beyond the floor")
    share = covered(heated, line, request.pitch_m)
    return found + ([f"only {share:.3f} of the heated floor is near a pipe"] if share < 0.97 else [])


def covered(area: Polygon, line: LineString, pitch_m: float) -> float:
    """Share of the samples 0.1 m and more inside an area that lie within 0.75 pitch of the pipe."""
    return float((_distances(area, line) <= 0.75 * pitch_m + 1e-6).mean())


def greatest_distance(request: Any, result: Any) -> float:
    """Greatest distance of the samples 0.1 m and more inside the whole floor to the pipe [m]."""
    line = drawn(result.corners, request.least_radius_m)
    assert line is not None, "a leg too short for its bends"
    return float(_distances(request.floor, line).max())


def _distances(area: Polygon, line: LineString) -> np.ndarray[Any, np.dtype[np.float64]]:
    inner = area.buffer(-0.1)
    inner = area if inner.is_empty else inner
    x0, y0, x1, y1 = inner.bounds
    x, y = np.meshgrid(np.arange(x0, x1, 0.03), np.arange(y0, y1, 0.03))
    inside = shapely.contains_xy(inner, x, y)
    return np.asarray(shapely.distance(shapely.points(x[inside], y[inside]), line))
