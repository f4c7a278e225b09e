"""Bulbs: turn-rounds between two runs that lie nearer together than a turn is wide.

A little before the turn one of the two runs, or both, swing out, so that the turn has its width and all
other runs keep the pitch. The swing is two bends of equal angle; the turn ends where it did. On studs one
run swings out by whole studs, at 45 degrees. Steps to the side that are too short for two bends of 90 degrees
are laid at 45 degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.pair import pair_legs
from ufh_core.fields.types import FieldRequest

SHARES, ON_STUDS = (0.5, 1.0, 0.0), (1.0, 0.0)  # of the swing that the first of the two runs takes
STEEPEST = math.radians(45)
SLANT = math.radians(1)  # how far the two runs may be off parallel
MOST_ASLANT = math.radians(60)  # how far the leg between them may be off square
HAIR = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class BulbRules:
    """Least radius and distance of runs, area, and the pitch of the studs that hold the pipe (0: none), in one unit."""

    radius: float
    apart: float
    area: Area
    stud: float = 0.0


def bulb_rules(request: FieldRequest, *, in_studs: bool = False) -> BulbRules:
    """The rules for bulbs in metres, or in studs."""
    unit = request.stud_pitch_m if in_studs else 1.0
    area = shapely.transform(request.axis_area, lambda xy: xy / unit).buffer(HAIR, join_style="mitre")
    shapely.prepare(area)
    stud = request.stud_pitch_m / unit if request.on_studs else 0.0
    return BulbRules(radius=request.least_radius_m / unit, apart=request.separation_m / unit, area=area, stud=stud)


def with_bulbs(corners: Sequence[Point], rules: BulbRules) -> tuple[Point, ...]:
    """The loop with a bulb at every narrow turn-round that has room for one, and narrow steps laid aslant.

    Those without room stay as they are.
    """
    points, pair = list(corners), pair_legs(corners)
    k = pair + 1
    while k < len(points) - pair - 2:
        laid = bulb_at(points, k, rules) or _step_at(points, k, rules)
        if laid:
            points[k : k + 2] = laid
            pair = pair_legs(points)
        k += max(1, len(laid) - 1)
    return tuple(points)


def _step_at(points: Sequence[Point], k: int, rules: BulbRules) -> list[Point]:
    """The ends of the diagonal that replaces a narrow step; empty if it is none, or has no room."""
    before, start, end, after = points[k - 1 : k + 3]
    step, (u, v, w) = math.dist(start, end), (_way(before, start), _way(start, end), _way(end, after))
    if step >= 2 * rules.radius - HAIR or _along(u, w) < math.cos(SLANT) or abs(_along(u, v)) > math.sin(SLANT):
        return []
    bend = rules.radius * math.tan(STEEPEST / 2)
    spare = math.dist(before, start) - bend - _bend(points, k - 1, rules.radius)
    left = math.dist(end, after) - bend - _bend(points, k + 2, rules.radius)
    half = step / 2 if not rules.stud else round(step / rules.stud) // 2 * rules.stud
    for back in (half, step - half, step, 0.0):
        if back <= spare + HAIR and step - back <= left + HAIR and math.sqrt(2) * step >= 2 * bend:
            diagonal = [_at(start, u, -back), _at(end, w, step - back)]
            if _is_free(points, k, diagonal, rules):
                return diagonal
    return []


def _bend(points: Sequence[Point], k: int, radius: float) -> float:
    """How much of its legs the bend at a corner takes; nothing at the ends of the loop."""
    if not 0 < k < len(points) - 1:
        return 0.0
    u, v = _way(points[k - 1], points[k]), _way(points[k], points[k + 1])
    return radius * math.tan(math.acos(max(-1.0, min(1.0, _along(u, v)))) / 2)


def _is_free(points: Sequence[Point], k: int, laid: Sequence[Point], rules: BulbRules) -> bool:
    """Whether what is laid instead of points k and k + 1 keeps inside, and apart from all but its own legs."""
    way = LineString(laid)
    if not shapely.covers(rules.area, way):
        return False
    ends, places = np.array(points), np.array(laid)
    beside = (np.minimum(ends[:-1], ends[1:]) <= places.max(axis=0) + rules.apart).all(axis=1)
    beside &= (np.maximum(ends[:-1], ends[1:]) >= places.min(axis=0) - rules.apart).all(axis=1)
    beside[k - 1 : k + 2] = False
    others = shapely.linestrings(np.stack([ends[:-1][beside], ends[1:][beside]], axis=1))
    return not shapely.dwithin(others, way, rules.apart - 10 * HAIR).any()


def bulb_at(points: Sequence[Point], k: int, rules: BulbRules) -> list[Point]:
    """What replaces the two corners of the turn-round from point k; empty if it is none, or has no room."""
    before, after, turn = points[k - 1], points[k + 2], 2 * rules.radius
    cap = _square_cap(*points[k - 1 : k + 3])
    if cap is None or math.dist(*cap) >= turn - HAIR:
        return []
    lack = _whole(max(turn - math.dist(*cap), _least_swing(rules)), rules.stud)
    for share in ON_STUDS if rules.stud else SHARES:
        first = _swing(before, *cap, share * lack, rules)
        last = _swing(after, *cap[::-1], (1 - share) * lack, rules)
        if not first or not last:
            continue
        if _is_free(points, k, [*first, *last[::-1]], rules):
            return [*first, *last[::-1]]
    return []


def _square_cap(before: Point, start: Point, end: Point, after: Point) -> tuple[Point, Point] | None:
    """The ends of two parallel runs that a turn joins, the longer one cut back; None where it is no turn-round."""
    u, v, w = (_way(*leg) for leg in ((before, start), (start, end), (end, after)))
    if _along(u, w) > -math.cos(SLANT) or abs(_along(u, v)) > math.sin(MOST_ASLANT):
        return None
    ahead = math.dist(start, end) * _along(u, v)
    return (start, _at(end, u, -ahead)) if ahead > 0 else (_at(start, u, ahead), end)


def _swing(before: Point, corner: Point, other: Point, by: float, rules: BulbRules) -> list[Point]:
    """The way of one run from where it swings out, away from the other, to its corner; empty where it is too short."""
    if by < HAIR:
        return [corner]
    angle = STEEPEST if rules.stud else min(STEEPEST, 0.99 * math.acos(1 - by / (2 * rules.radius)))
    bend = rules.radius * math.tan(angle / 2)
    u, v = _way(before, corner), _way(other, corner)
    back = _whole(bend + rules.radius, rules.stud)
    far = back + by / math.tan(angle)
    if math.dist(before, corner) < far + bend + rules.radius:
        return []
    leave, arrive = _at(corner, u, -far), _at(_at(corner, u, -back), v, by)
    return [leave, arrive, _at(corner, v, by)]


def _least_swing(rules: BulbRules) -> float:
    """The least that a run on studs can swing out: two bends of 45 degrees, one after the other."""
    return 2 * rules.radius * math.tan(STEEPEST / 2) * math.sin(STEEPEST) if rules.stud else 0.0


def _whole(length: float, stud: float) -> float:
    """A length, a hair longer, or up to whole studs."""
    return math.ceil((length - HAIR) / stud) * stud if stud else length + HAIR


def _way(start: Point, end: Point) -> Point:
    """Unit vector."""
    length = max(math.dist(start, end), HAIR)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def _along(u: Point, v: Point) -> float:
    return u[0] * v[0] + u[1] * v[1]


def _at(start: Point, way: Point, far: float) -> Point:
    return start[0] + far * way[0], start[1] + far * way[1]
