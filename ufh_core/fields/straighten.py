"""Runs along oblique and curved walls laid straight, for systems that hold a pipe anywhere (staples, rails, mesh).

A loop from a lattice follows such a wall in steps. Each stretch of steps (turns left and right in
turn) is led along a guide instead: the outline of the area, set in by a whole number of pitches, so
that neighbours stay parallel at the pitch. All stretches are tried at once, since one may need its
neighbours to give way; where runs come too near, the stretch with most conflicts is left as it was,
until none is left. Further passes try those again a little nearer to or farther from the wall.
Cost: passes × stretches × legs.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry import Point as Place
from shapely.ops import substring

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.check import STEP_SHARE, fault
from ufh_core.fields.cost import field_cost, rating
from ufh_core.fields.heated import heated_floor
from ufh_core.fields.pair import pair_legs
from ufh_core.fields.types import FieldRequest, FieldResult

SHIFTS = (0.0, 0.0, 1 / 6, -1 / 6)  # pitches, a pass each
ASTRAY = 1.1  # pitches that a stretch may move
SMOOTH = 0.1  # pitches that bends in a guide are straightened by
GAIN = math.radians(20)  # turning that a stretch must save
LEAST_OFF_M = 0.1  # how far a wall strays from the axes before it counts as oblique
LEAST_LEG_M = 1e-3
ROUND = 1e-9
SMALL = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Corners `first` to `last` of a loop replaced by `path`."""

    first: int
    last: int
    path: tuple[Point, ...]
    saved: float


def with_straight_runs(result: FieldResult, request: FieldRequest) -> FieldResult:
    """The field with its runs along the walls, where that is legal and better."""
    if not oblique(request.axis_area, result.turned_rad):
        return result
    corners = straightened(result.corners, request)
    if corners == result.corners or fault(corners, request):
        return result
    rated = rating(corners, request)
    heated, coverage = heated_floor(corners, request)
    straight = replace(
        result,
        corners=corners,
        heated=heated,
        coverage=coverage,
        unevenness=rated.unevenness,
        bends=rated.bends,
    )
    return straight if rated.kind_cost < field_cost(result, request) else result


def oblique(area: Area, frame: float) -> bool:
    """Whether some wall is not along the axes of a frame [rad]."""
    for ring in shapely.get_parts(shapely.boundary(area)):
        ways = np.diff(shapely.get_coordinates(ring.simplify(5e-3)), axis=0)
        off = np.arctan2(ways[:, 1], ways[:, 0]) - frame
        if (np.hypot(*ways.T) * np.abs(np.sin(2 * off)) > LEAST_OFF_M).any():
            return True
    return False


def straightened(corners: tuple[Point, ...], request: FieldRequest) -> tuple[Point, ...]:
    """The loop with as many stretches along the walls' own directions as the rules allow; its ends stay."""
    area = request.axis_area.buffer(SMALL, join_style="mitre")
    shapely.prepare(area)
    points = list(corners)
    for shift in SHIFTS:
        guides = _Guides(request, shift)
        points = _without_conflicts(points, _stretches(points, guides, request), area, request)
    return tuple(points)


class _Guides:
    """Rings parallel to the walls, by distance from the edge of the area [m]."""

    def __init__(self, request: FieldRequest, shift: float) -> None:
        self.area = request.axis_area
        self.edge = request.axis_area.boundary
        self.pitch = request.pitch_m
        clearance = request.floor.boundary.distance(request.axis_area)
        self.first = max(0.0, request.pitch_m / 2 - clearance) + shift * request.pitch_m
        self._rings: dict[int, list[LineString]] = {}

    def near(self, line: LineString) -> list[LineString]:
        """The rings at the whole number of pitches that fits a line best."""
        away = shapely.distance(shapely.points(shapely.get_coordinates(line.segmentize(self.pitch / 2))), self.edge)
        number = max(0, round((float(away.mean()) - self.first) / self.pitch))
        if number not in self._rings:
            inner = self.area.buffer(-max(0.0, self.first + number * self.pitch), join_style="mitre")
            rings = shapely.get_parts(inner.boundary)
            self._rings[number] = [r.simplify(SMOOTH * self.pitch) for r in rings if r.length > 0]
        return self._rings[number]


def _stretches(points: list[Point], guides: _Guides, request: FieldRequest) -> list[Stretch]:
    """Stretches of steps with the best path for each, none overlapping another."""
    found: list[Stretch] = []
    for first, last in _alternating(points, pair_legs(points) + 1):
        options = [
            s
            for i, j in itertools.product((first - 1, first, first + 1), (last + 1, last, last - 1))
            if (s := _along_guide(points, i, j, guides, request)) is not None
        ]
        if options:
            found.append(max(options, key=lambda s: s.saved))
    kept: list[Stretch] = []
    for stretch in sorted(found, key=lambda s: -s.saved):
        if all(stretch.last + 1 < k.first or k.last + 1 < stretch.first for k in kept):
            kept.append(stretch)
    return kept


def _alternating(points: Sequence[Point], least: int) -> Iterator[tuple[int, int]]:
    """Longest rows of corners that turn left and right in turn, the pair's own left out."""
    turns = [0.0, *(_turn(*points[k - 1 : k + 2]) for k in range(1, len(points) - 1)), 0.0]
    first = least
    for k in range(least + 1, len(points) - least + 1):
        if k < len(points) - least and turns[k] * turns[k - 1] < 0:
            continue
        if k - first >= 2:
            yield first, k - 1
        first = k


def _turn(before: Point, corner: Point, after: Point) -> float:
    """Change of direction at a corner, positive anticlockwise [rad]."""
    u = (corner[0] - before[0], corner[1] - before[1])
    v = (after[0] - corner[0], after[1] - corner[1])
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])


def _along_guide(points: list[Point], i: int, j: int, guides: _Guides, request: FieldRequest) -> Stretch | None:
    """Corners i to j led along a guide from the leg before to the leg after; None if that fails."""
    least = pair_legs(points) + 1
    if j <= i or i < least or j > len(points) - 1 - least:
        return None
    old = LineString(points[i : j + 1])
    reach = 1.5 * request.pitch_m
    for ring in guides.near(old):
        start = _crossing(ring, points[i - 1], points[i], reach)
        end = _crossing(ring, points[j + 1], points[j], reach)
        if start is None or end is None:
            continue
        for way in _ways(ring, start, end):
            path = tuple(way.simplify(SMOOTH * request.pitch_m).coords)
            if LineString(path).hausdorff_distance(old) > ASTRAY * request.pitch_m:
                continue
            before, after = points[max(0, i - 2) : i], points[j + 1 : j + 3]
            saved = _turning(points[max(0, i - 2) : j + 3]) - _turning([*before, *path, *after])
            if saved > GAIN and legs_fit([*before, *path, *after], request.least_radius_m):
                return Stretch(first=i, last=j, path=path, saved=saved)
    return None


def _crossing(ring: LineString, before: Point, corner: Point, reach: float) -> Point | None:
    """Where the leg to a corner, drawn out by `reach`, meets a ring nearest to the corner."""
    length = math.dist(before, corner)
    u = ((corner[0] - before[0]) / length, (corner[1] - before[1]) / length)
    leg = LineString([before, (corner[0] + reach * u[0], corner[1] + reach * u[1])])
    met = [p for p in shapely.get_parts(leg.intersection(ring)) if isinstance(p, Place)]
    nearest = min(met, key=lambda p: p.distance(Place(corner)), default=None)
    return None if nearest is None else (nearest.x, nearest.y)


def _ways(ring: LineString, start: Point, end: Point) -> list[LineString]:
    """Both ways round a ring from start to end, exact at the ends."""
    a, b = (ring.project(Place(p)) for p in (start, end))
    if abs(a - b) < SMALL:
        return []
    whole = ring.length
    inner = substring(ring, a, b)
    rest = (
        [*substring(ring, a, whole).coords, *substring(ring, 0, b).coords]
        if a > b
        else [*substring(ring, b, whole).coords, *substring(ring, 0, a).coords][::-1]
    )
    return [LineString([start, *way[1:-1], end]) for way in (list(inner.coords), rest)]


def _turning(points: Sequence[Point]) -> float:
    """All turning of a polyline [rad]."""
    return sum(abs(_turn(*points[k - 1 : k + 2])) for k in range(1, len(points) - 1))


def legs_fit(points: Sequence[Point], radius: float) -> bool:
    """Whether every leg between two corners has room for both bends; legs at the ends are looked at with their own."""
    legs = [math.dist(p, q) for p, q in itertools.pairwise(points)]
    return all(
        leg > max(a + b, LEAST_LEG_M) - ROUND
        for leg, (a, b) in zip(legs, itertools.pairwise(_wanted(points, radius)), strict=True)
    )


def _wanted(points: Sequence[Point], radius: float) -> list[float]:
    """By corner, how much of its legs a bend of `radius` takes [m]."""
    return [0.0, *(radius * math.tan(abs(_turn(*points[k - 1 : k + 2])) / 2) for k in range(1, len(points) - 1)), 0.0]


def _without_conflicts(
    points: list[Point], stretches: list[Stretch], area: shapely.Geometry, request: FieldRequest
) -> list[Point]:
    """The loop with the stretches that keep inside and keep apart."""
    stretches = [s for s in stretches if area.covers(LineString([points[s.first - 1], *s.path, points[s.last + 1]]))]
    while stretches:
        trial, owner = _with_stretches(points, stretches)
        votes = _conflicts(trial, owner, request)
        if not votes:
            return trial
        worst = max(votes, key=lambda n: (votes[n], n))
        stretches = [s for n, s in enumerate(stretches) if n != worst]
    return points


def _with_stretches(points: list[Point], stretches: list[Stretch]) -> tuple[list[Point], list[int]]:
    """The loop with its stretches, and by leg the stretch that it belongs to (-1: none)."""
    trial: list[Point] = []
    owner: list[int] = []
    at = 0
    for n, stretch in sorted(enumerate(stretches), key=lambda e: e[1].first):
        trial += points[at : stretch.first]
        owner += [-1] * (stretch.first - at - 1) + [n]
        trial += stretch.path
        owner += [n] * len(stretch.path)
        at = stretch.last + 1
    return [*trial, *points[at:]], [*owner, *[-1] * (len(points) - at - 1)]


def _conflicts(points: list[Point], owner: list[int], request: FieldRequest) -> Counter[int]:
    """How often each stretch leaves too short a leg or comes too near to another run."""
    want = _wanted(points, request.least_radius_m)
    legs = [math.dist(p, q) for p, q in itertools.pairwise(points)]
    votes: Counter[int] = Counter()
    for k, leg in enumerate(legs):
        if leg < max(want[k] + want[k + 1], LEAST_LEG_M) - ROUND:
            votes.update({owner[m] for m in (k - 1, k, k + 1) if 0 <= m < len(owner)} - {-1})
    for a, b in _too_near(points, legs, want, request):
        votes.update({owner[a], owner[b]} - {-1})
    return votes


def _too_near(
    points: list[Point], legs: list[float], want: list[float], request: FieldRequest
) -> Iterator[tuple[int, int]]:
    """Pairs of legs whose straight parts come too near, but for those of one step and those at the joint."""
    xy, tangent = np.array(points), np.array(want)
    u = np.diff(xy, axis=0) / np.maximum(legs, SMALL)[:, None]
    runs = shapely.linestrings(np.stack([xy[:-1] + u * tangent[:-1, None], xy[1:] - u * tangent[1:, None]], axis=1))
    least = request.separation_m
    near = shapely.STRtree(runs).query(runs, predicate="dwithin", distance=least - 1e-4)
    along = np.concatenate([[0.0], np.cumsum(legs)])
    joint = pair_legs(points) + 2
    for a, b in near.T.tolist():
        between = along[b] + tangent[b] - along[a + 1] + tangent[a + 1]
        at_joint = a < joint and b >= len(legs) - joint
        if b > a + 1 and not at_joint and between > STEP_SHARE * least:
            yield a, b
