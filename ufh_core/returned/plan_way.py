"""The plan axis of a pipe that was drawn in space: risers fall away, sharp corners get their bend."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight, arc_through, rounded
from ufh_core.exchange.pipe_run import Piece, Point3

SAME_M = 1e-4  # a piece shorter than this in plan is a riser
FLAT_M = 1e-4  # an arc that leaves its chord by less in plan is straight, as the bend at a riser's foot
LEVEL_M = 0.005  # a pipe may lie higher or lower by this along its way
RISER_M = 0.3  # of the way from each end in which a pipe may rise
SHARP_RAD = math.radians(2)
BACK_DEG = 170
SLACK_M = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWay:
    """A pipe in plan: `axis`, the height at which it lies [m], how many corners were rounded.

    `fault` says what is wrong with the curve, "" for nothing, and `fault_at` where [m].
    """

    axis: PipeAxis
    level_m: float
    rounded: int = 0
    fault: str = ""
    fault_at: Point | None = None


Fault = tuple[str, Point] | None


def plan_way(pieces: Sequence[Piece], bend_radius_m: float) -> PlanWay | None:
    """The way of a pipe given by straights and arcs in space [m]; None where nothing of it lies in plan."""
    flat = [p for piece in pieces if (p := _in_plan(piece)) is not None]
    if not flat:
        return None
    level = _level(pieces)
    joined, corners, sharp = _with_bends(_joined(flat), bend_radius_m)
    words, at = _gap(pieces) or sharp or _off_level(pieces, level) or ("", None)
    return PlanWay(axis=PipeAxis(tuple(joined)), level_m=level, rounded=corners, fault=words, fault_at=at)


def _in_plan(piece: Piece) -> Straight | Arc | None:
    """A piece as it lies in plan; None for one that stands upright."""
    points = [(p[0], p[1]) for p in piece]
    start, end = points[0], points[-1]
    if len(points) == 3 and _off_chord(points) > FLAT_M:
        return arc_through(*points)
    return Straight(start, end) if math.dist(start, end) > SAME_M else None


def _off_chord(points: Sequence[Point]) -> float:
    """How far the middle point of three lies off the line through the others [m]."""
    (ax, ay), (mx, my), (bx, by) = points
    chord = math.dist(points[0], points[2])
    if chord < SAME_M:
        return math.dist(points[0], points[1])
    return abs((bx - ax) * (my - ay) - (by - ay) * (mx - ax)) / chord


def _joined(pieces: Sequence[Straight | Arc]) -> list[Straight | Arc]:
    """Straights in one line put together."""
    found: list[Straight | Arc] = []
    for piece in pieces:
        last = found[-1] if found else None
        if isinstance(piece, Straight) and isinstance(last, Straight) and _in_line(last, piece):
            found[-1] = Straight(last.start, piece.end)
        else:
            found.append(piece)
    return found


def _in_line(first: Straight, second: Straight) -> bool:
    off = _off_chord([first.start, second.start, second.end])
    forward = sum(
        (b - a) * (d - c) for a, b, c, d in zip(first.start, first.end, second.start, second.end, strict=True)
    )
    return off < FLAT_M and forward > 0


# --- corners ------------------------------------------------------------------------------------


def _with_bends(pieces: Sequence[Straight | Arc], radius: float) -> tuple[list[Straight | Arc], int, Fault]:
    """(pieces with a bend at each sharp corner of two straights, how many, the first corner that takes none)."""
    found: list[Straight | Arc] = list(pieces[:1])
    count, fault = 0, None
    for piece in pieces[1:]:
        last, turn = found[-1], abs(_turn(found[-1], piece))
        if turn < SHARP_RAD:
            found.append(piece)
        elif isinstance(last, Straight) and isinstance(piece, Straight) and (bend := _bend(last, piece, radius)):
            found[-1:] = bend
            count += 1
        else:
            found.append(piece)
            fault = fault or (_corner(turn), piece.start)
    return found, count, fault


def _corner(turn: float) -> str:
    """Words for a corner that stays sharp; `turn` [rad]."""
    degrees = math.degrees(turn)
    return "it turns back on itself" if degrees > BACK_DEG else f"a sharp corner of {degrees:.0f}° takes no bend"


def _bend(first: Straight, second: Straight, radius: float) -> list[Straight | Arc]:
    """Two straights with a bend of a radius between them; nothing where it does not fit."""
    pieces = list(rounded([first.start, first.end, second.end], radius).pieces)
    arcs = [p for p in pieces if isinstance(p, Arc)]
    return pieces if arcs and min(a.radius_m for a in arcs) > radius - SLACK_M else []


def _turn(first: Straight | Arc, second: Straight | Arc) -> float:
    """Change of direction from the end of one piece to the start of the next [rad]."""
    change = _heading(second, at_start=True) - _heading(first, at_start=False)
    return (change + math.pi) % math.tau - math.pi


def _heading(piece: Straight | Arc, *, at_start: bool) -> float:
    """Direction of a piece at one of its ends [rad]."""
    if isinstance(piece, Straight):
        return math.atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0])
    x, y = piece.start if at_start else piece.end
    return math.atan2(y - piece.centre[1], x - piece.centre[0]) + math.copysign(math.pi / 2, piece.sweep)


# --- space --------------------------------------------------------------------------------------


def _level(pieces: Sequence[Piece]) -> float:
    """The height at which most of a pipe lies [m]."""
    heights = [(p[0][2], math.dist(p[0][:2], p[-1][:2])) for p in pieces if abs(p[0][2] - p[-1][2]) < LEVEL_M]
    ranked: dict[float, float] = {}
    for height, length in heights:
        ranked[round(height, 3)] = ranked.get(round(height, 3), 0.0) + length
    return max(ranked, key=lambda z: ranked[z], default=pieces[0][0][2])


def _off_level(pieces: Sequence[Piece], level: float) -> Fault:
    """Where a pipe leaves its height in the floor away from its ends."""
    length = sum(math.dist(p[0][:2], p[-1][:2]) for p in pieces)
    for along, point in _stations(pieces):
        if RISER_M < along < length - RISER_M and abs(point[2] - level) > LEVEL_M:
            return f"it lies {1000 * abs(point[2] - level):.0f} mm off its height in the floor", point[:2]
    return None


def _stations(pieces: Sequence[Piece]) -> Iterator[tuple[float, Point3]]:
    """(way along the chords in plan [m], point) of all given points."""
    along = 0.0
    for piece in pieces:
        for point in piece:
            yield along + math.dist(piece[0][:2], point[:2]), point
        along += math.dist(piece[0][:2], piece[-1][:2])


def _gap(pieces: Sequence[Piece]) -> Fault:
    for k in range(1, len(pieces)):
        if math.dist(pieces[k - 1][-1], pieces[k][0]) > SAME_M:
            return "its curve has a gap", pieces[k][0][:2]
    return None


def greatest_offset_m(axis: PipeAxis, other: PipeAxis) -> float:
    """How far two ways lie apart at most [m]."""
    lines: list[LineString] = [axis.line(), other.line()]
    return float(max(lines[0].hausdorff_distance(lines[1]), *np.hypot(*np.subtract(_ends(axis), _ends(other)).T)))


def _ends(axis: PipeAxis) -> list[Point]:
    return [axis.start, axis.end]


def reversed_axis(axis: PipeAxis) -> PipeAxis:
    """The same way, from its other end."""
    turned = [
        Arc(p.end, p.middle, p.start, p.centre, -p.sweep) if isinstance(p, Arc) else Straight(p.end, p.start)
        for p in reversed(axis.pieces)
    ]
    return PipeAxis(tuple(turned))
