"""The axis of a pipe in plan: straights and arcs, tangent-continuous."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

Point = tuple[float, float]

CHORD_RAD = math.radians(6)  # longest chord of an arc where it is drawn as a polyline


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight from `start` to `end` [m]."""

    start: Point
    end: Point

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc from `start` through `middle` to `end` about `centre` [m]; `sweep` [rad], positive anticlockwise."""

    start: Point
    middle: Point
    end: Point
    centre: Point
    sweep: float

    @property
    def radius_m(self) -> float:
        """Radius [m]."""
        return math.dist(self.start, self.centre)

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return self.radius_m * abs(self.sweep)


@dataclass(frozen=True, slots=True)
class PipeAxis:
    """Pieces from the flow end to the return end, each starting where the last one ends."""

    pieces: tuple[Straight | Arc, ...]

    @property
    def length_m(self) -> float:
        """Plan length [m]."""
        return sum(piece.length_m for piece in self.pieces)

    @property
    def start(self) -> Point:
        """First point."""
        return self.pieces[0].start

    @property
    def end(self) -> Point:
        """Last point."""
        return self.pieces[-1].end

    def points(self, step_rad: float = CHORD_RAD) -> NDArray[np.float64]:
        """Points (n, 2) [m] along the axis: ends of straights, arcs every `step_rad` or finer."""
        return np.vstack([self.start, _further_points(self.pieces, step_rad)[0]])

    def line(self) -> shapely.LineString:
        """The axis as a line with its arcs in short chords."""
        return shapely.LineString(self.points())


def arc_through(start: Point, middle: Point, end: Point) -> Arc:
    """The arc through three points [m] that do not lie on a line."""
    (ax, ay), (bx, by), (cx, cy) = start, middle, end
    cross = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    squares = (bx - ax) ** 2 + (by - ay) ** 2, (cx - ax) ** 2 + (cy - ay) ** 2
    ux = ((cy - ay) * squares[0] - (by - ay) * squares[1]) / (2 * cross)
    uy = ((bx - ax) * squares[1] - (cx - ax) * squares[0]) / (2 * cross)
    centre = (ax + ux, ay + uy)
    first = math.atan2(ay - centre[1], ax - centre[0])
    last = math.atan2(cy - centre[1], cx - centre[0])
    sweep = (last - first) % (2 * math.pi) if cross > 0 else -((first - last) % (2 * math.pi))
    return Arc(start, middle, end, centre, sweep)


def lines_of(pieces: Sequence[Straight | Arc]) -> NDArray[np.object_]:
    """Each piece as a line of its own, arcs in chords of 6 degrees or less."""
    starts = np.array([piece.start for piece in pieces]).reshape(-1, 2)
    further, owner = _further_points(pieces, CHORD_RAD)
    owners = np.concatenate([np.arange(len(pieces)), owner])
    order = np.argsort(owners, kind="stable")
    return np.asarray(shapely.linestrings(np.vstack([starts, further])[order], indices=owners[order]))


def _further_points(pieces: Sequence[Straight | Arc], step_rad: float) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """(points (n, 2) [m] of pieces without the start of each, piece of each point): ends, and arcs in chords."""
    ends = np.array([piece.end for piece in pieces]).reshape(-1, 2)
    arcs = [(k, piece) for k, piece in enumerate(pieces) if isinstance(piece, Arc)]
    centres = np.zeros((len(pieces), 2))
    sweeps, radii, first = np.zeros(len(pieces)), np.zeros(len(pieces)), np.zeros(len(pieces))
    if arcs:
        at = [k for k, _ in arcs]
        centres[at] = [arc.centre for _, arc in arcs]
        sweeps[at] = [arc.sweep for _, arc in arcs]
        out = np.array([arc.start for _, arc in arcs]) - centres[at]
        radii[at], first[at] = np.hypot(*out.T), np.arctan2(out[:, 1], out[:, 0])
    counts = np.where(sweeps == 0, 1, np.maximum(2, np.ceil(np.abs(sweeps) / step_rad))).astype(np.int64)
    owner = np.repeat(np.arange(len(pieces)), counts)
    number = np.arange(1, len(owner) + 1) - np.repeat(np.cumsum(counts) - counts, counts)
    angle = first[owner] + sweeps[owner] * number / counts[owner]
    points = centres[owner] + radii[owner, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    points[np.cumsum(counts) - 1] = ends
    return points, owner


def between(corners: NDArray[np.float64], start_m: float, end_m: float) -> NDArray[np.float64]:
    """The part (n, 2) of the polyline through `corners` (m, 2) from a way to another along it [m].

    Empty where nothing lies between them.
    """
    ways = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    start_m, end_m = max(0.0, start_m), min(float(ways[-1]), end_m)
    if end_m <= start_m:
        return np.empty((0, 2))
    cut = [[np.interp(way, ways, corners[:, k]) for k in (0, 1)] for way in (start_m, end_m)]
    return np.vstack([cut[0], corners[(ways > start_m) & (ways < end_m)], cut[1]])


def sampled(corners: NDArray[np.float64], step_m: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(runs (n,) [m], points (n, 2) [m]) every `step_m` along the polyline through `corners` (m, 2), from its start.

    In one sweep, where a geometry library looks for each place anew.
    """
    ends = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    run = np.arange(0.0, ends[-1], step_m)
    return run, np.column_stack([np.interp(run, ends, corners[:, k]) for k in (0, 1)])


def rounded(corners: list[Point], radius_m: float) -> PipeAxis:
    """The open polyline `corners` with every corner rounded to `radius_m`, or less where legs are short.

    A corner between legs a and b gets the greatest radius up to `radius_m` whose tangent lengths
    fit: where two corners want more than the leg between them, half of it each. Callers check the
    least radius.
    """
    pieces: list[Straight | Arc] = []
    points = _without_idle_points(corners)
    wanted = [0.0, *(radius_m * math.tan(_turn(*points[k - 1 : k + 2]) / 2) for k in range(1, len(points) - 1)), 0.0]
    reach = [_shares(math.dist(*points[k : k + 2]), *wanted[k : k + 2]) for k in range(len(points) - 1)]
    here = points[0]
    for k in range(1, len(points) - 1):
        before, corner, after = points[k - 1], points[k], points[k + 1]
        arc = _fillet(before, corner, after, radius_m, min(reach[k - 1][1], reach[k][0]))
        if math.dist(here, arc.start) > 1e-9:
            pieces.append(Straight(here, arc.start))
        pieces.append(arc)
        here = arc.end
    if math.dist(here, points[-1]) > 1e-9:
        pieces.append(Straight(here, points[-1]))
    return PipeAxis(tuple(pieces))


def _shares(leg: float, first: float, second: float) -> tuple[float, float]:
    """How much of a leg the bends at its two ends get that want so much of it [m]."""
    if first + second <= leg:
        return leg - second, leg - first
    return (leg / 2, leg / 2) if min(first, second) > 0 else (leg, leg)


def _turn(before: Point, corner: Point, after: Point) -> float:
    """Change of direction at a corner [rad]."""
    u = (corner[0] - before[0], corner[1] - before[1])
    v = (after[0] - corner[0], after[1] - corner[1])
    return abs(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]))


def _without_idle_points(corners: list[Point]) -> list[Point]:
    """Corners without repeated points and points in line."""
    points = [corners[0]]
    for k in range(1, len(corners)):
        if math.dist(points[-1], corners[k]) > 1e-9:
            points.append(corners[k])
    kept = [points[0]]
    for k in range(1, len(points) - 1):
        a, b, c = kept[-1], points[k], points[k + 1]
        cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        if abs(cross) > 1e-9 * math.dist(a, b) * math.dist(b, c):
            kept.append(b)
    kept.append(points[-1])
    return kept


def _fillet(before: Point, corner: Point, after: Point, radius: float, reach: float) -> Arc:
    """The arc of at most `radius` tangent to both legs, within `reach` of the corner."""
    u, v = _unit(corner, before), _unit(corner, after)
    between = math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1])))
    tangent = min(reach, radius / math.tan(between / 2))
    radius = tangent * math.tan(between / 2)
    inwards = _unit((0.0, 0.0), (u[0] + v[0], u[1] + v[1]))
    centre = _along(corner, inwards, math.hypot(tangent, radius))
    turn = math.pi - between
    sweep = turn if u[0] * v[1] - u[1] * v[0] < 0 else -turn
    middle = _along(centre, inwards, -radius)
    return Arc(_along(corner, u, tangent), middle, _along(corner, v, tangent), centre, sweep)


def _unit(start: Point, goal: Point) -> Point:
    """The direction from one point to another."""
    length = math.dist(start, goal)
    return (goal[0] - start[0]) / length, (goal[1] - start[1]) / length


def _along(start: Point, direction: Point, way: float) -> Point:
    """The point so far along a direction [m]."""
    return start[0] + way * direction[0], start[1] + way * direction[1]
