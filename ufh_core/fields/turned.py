"""Fields in rooms that stand at an angle to the level's frame: laid in the room's own frame.

Panels are laid along a room's walls, so the request is turned until its walls lie along the axes,
filled there, and the loop turned back. The pair of tails arrives along an axis of the level: it
bends once, by the angle between the frames, onto two lines of the room's own grid. Each pipe's bend
is where its old line meets its new one, so the two stay their spacing apart (a mitre).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import Any

import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon

from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.check import fault
from ufh_core.fields.edges import edge_floor
from ufh_core.fields.heated import heated_floor
from ufh_core.fields.overlay import robust
from ufh_core.fields.types import Approach, FieldFailure, FieldRequest, FieldResult, Spare

Search = Callable[[FieldRequest], FieldResult | FieldFailure]
AXES = ((1, 0), (0, 1), (-1, 0), (0, -1))
LEAST_TURN = math.radians(2)  # a room nearer to the frame than this is laid along it
SAME_WAY = math.radians(1)
SHARE = 0.2  # of the walls' length, from which a direction is tried
RIVAL = 0.55  # of the frame's own share, likewise
ALONE = 0.12  # share of the walls along the frame below which that frame is not tried
FARTHEST_M = 1.2  # on from where the pair arrives to its bend
LINES_TRIED, LAID_THOROUGHLY = 3, 2
SLACK_M = 1e-3


def frames(floor: Polygon) -> tuple[float, ...]:
    """Angles of the frames in which a field may lie best [rad from the level's frame, -45° to 45°].

    From the directions of the walls modulo 90 degrees, weighted by length.
    """
    shares = wall_directions(floor)
    own = sum(share for angle, share in shares if abs(angle) < LEAST_TURN)
    turned = [(angle, share) for angle, share in shares if abs(angle) >= LEAST_TURN]
    if not turned or turned[0][1] < max(SHARE, RIVAL * own):
        return (0.0,)
    return (turned[0][0],) if own < ALONE else (0.0, turned[0][0])


def wall_directions(floor: Polygon) -> list[tuple[float, float]]:
    """(angle modulo 90 degrees [rad], share of the outline's length), longest first, angles to 0.01 degrees."""
    edges: list[tuple[float, float]] = []
    for ring in (floor.exterior, *floor.interiors):
        for (ax, ay), (bx, by) in pairwise(ring.simplify(5e-3).coords):
            edges.append((math.hypot(bx - ax, by - ay), math.atan2(by - ay, bx - ax)))
    groups: list[list[float]] = []
    for length, way in sorted(edges, reverse=True):
        group = next((g for g in groups if abs(_quarter(way - g[0])) < SAME_WAY), None)
        if group is None:
            groups.append([way, length])
        else:
            group[1] += length
    whole = sum(length for length, _ in edges)
    found = [(math.radians(round(math.degrees(_quarter(way)), 2)), length / whole) for way, length in groups]
    return sorted(found, key=lambda f: (-f[1], f[0]))


def _quarter(angle: float) -> float:
    """An angle modulo 90 degrees, above -45 and up to 45 degrees [rad]."""
    return math.pi / 4 - (math.pi / 4 - angle + 1e-6) % (math.pi / 2) + 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """Where a pair bends: its middle's point and both headings in the level's frame [m], and the turn [rad]."""

    approach: int
    at: Point
    before: Point
    after: Point
    turn: float


def lay_turned(request: FieldRequest, angle: float, search: Search) -> FieldResult | FieldFailure:
    """The field in a frame at `angle` [rad] to the level's, or why there is none.

    Lines to bend onto are tried in turn until a loop that needs no better search is found, or some are.
    """
    laid: list[FieldResult] = []
    failure = FieldFailure(reason=Message("the pair of tails does not come onto the room's own stud grid"))
    for bend in _bends(request, angle):
        made = search(_turned_request(request, angle, bend))
        if isinstance(made, FieldFailure):
            failure = FieldFailure(reason=made.reason, best=_spun(made.best, angle))
            continue
        corners = _with_bend(_spun(made.corners, angle), request, bend)
        reason = fault(corners, request)
        if reason:
            failure = FieldFailure(reason=reason, best=corners)
            continue
        others = _others(made, request, bend, angle)
        laid.append(replace(_as_laid(made, corners, request, bend.approach, angle), others=others))
        if not made.poor or len(laid) == (LAID_THOROUGHLY if request.thorough else 1):
            break
    return max(laid, key=lambda r: r.heated.area) if laid else failure


def _others(made: FieldResult, request: FieldRequest, bend: Bend, angle: float) -> tuple[Spare[FieldResult], ...]:
    """The loops of other lengths, in the level's frame."""

    def spun(other: FieldResult) -> FieldResult | None:
        corners = _with_bend(_spun(other.corners, angle), request, bend)
        return None if fault(corners, request) else _as_laid(other, corners, request, bend.approach, angle)

    return tuple(other.then(spun) for other in made.others)


def _bends(request: FieldRequest, angle: float) -> Iterator[Bend]:
    """Places to bend, a few an approach, the nearest and smallest turn first."""
    area = robust(shapely.union, request.lane_area, request.axis_area).buffer(1e-5, join_style="mitre")
    shapely.prepare(area)
    for number, approach in enumerate(request.approaches):
        before = (float(approach.heading[0]), float(approach.heading[1]))
        ways = [(math.cos(angle) * x - math.sin(angle) * y, math.sin(angle) * x + math.cos(angle) * y) for x, y in AXES]
        turned = sorted((abs(turn := _turn(before, way)), turn, way) for way in ways)
        for most, turn, after in turned[: 2 if turned[0][0] > math.radians(35) else 1]:
            for t in _ways_on(request, approach, after, turn)[:LINES_TRIED]:
                at = (approach.at[0] + t * before[0], approach.at[1] + t * before[1])
                bend = Bend(approach=number, at=at, before=before, after=after, turn=turn)
                if most > 0 and _runs_inside(request, bend, approach.at, area):
                    yield bend


def _turn(u: Point, v: Point) -> float:
    """Angle from heading u to heading v, positive anticlockwise [rad]."""
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])


def _room_to_bend(request: FieldRequest, turn: float) -> float:
    """Way that the outer pipe of a pair needs on either side of the bend of its middle [m]."""
    return (request.least_radius_m + request.tail_spacing_m / 2) * math.tan(abs(turn) / 2) + SLACK_M


def _ways_on(request: FieldRequest, approach: Approach, after: Point, turn: float) -> list[float]:
    """Ways from `approach` at which the pair's middle meets lines of the turned grid that it may run on along [m]."""
    stud, least = request.stud_pitch_m, _room_to_bend(request, turn)
    right = (after[1], -after[0])
    offset = approach.at[0] * right[0] + approach.at[1] * right[1] - request.tail_spacing_m / 2
    rate = math.sin(turn)  # a left turn has the pair drift to the right of its new heading
    ends = sorted((offset + rate * least, offset + rate * FARTHEST_M))
    lines = range(math.ceil(ends[0] / stud - 1e-6), math.floor(ends[1] / stud + 1e-6) + 1)
    return sorted((line * stud - offset) / rate for line in lines)


def _runs_inside(request: FieldRequest, bend: Bend, start: Point, area: shapely.Geometry) -> bool:
    """Whether both pipes stay inside from the approach to a little after the bend."""
    on = _room_to_bend(request, bend.turn) + request.least_radius_m
    end = (bend.at[0] + on * bend.after[0], bend.at[1] + on * bend.after[1])
    middle = LineString([start, bend.at, end])
    half = request.tail_spacing_m / 2
    return all(shapely.covers(area, middle.offset_curve(side, join_style="mitre")) for side in (half, -half))


def _turned_request(request: FieldRequest, angle: float, bend: Bend) -> FieldRequest:
    """The request as seen in the room's frame, with the pair arriving after its bend.

    What the pair runs through before the bend is no floor for the field's own pipes.
    """
    on = _room_to_bend(request, bend.turn)
    at = (bend.at[0] + on * bend.after[0], bend.at[1] + on * bend.after[1])
    heading = _spun((bend.after,), -angle)[0]
    half = request.tail_spacing_m / 2 + request.separation_share * request.pitch_m
    own = LineString([request.approaches[bend.approach].at, bend.at]).buffer(half, cap_style="flat")
    approach = Approach(at=_spun((at,), -angle)[0], heading=(round(heading[0]), round(heading[1])))
    free = replace(request, axis_area=_areas(request.axis_area.difference(own)), approaches=(approach,))
    changes = {f.name: _seen(getattr(free, f.name), -angle) for f in fields(free) if f.name != "approaches"}
    return replace(free, **changes)


def _areas(geometry: shapely.Geometry) -> Any:
    """The polygons of a geometry as one."""
    return shapely.union_all([p for p in shapely.get_parts(geometry) if isinstance(p, Polygon)])


def _seen(value: Any, angle: float) -> Any:
    """A value turned about the origin if it is a shape or a row of shapes."""
    if isinstance(value, shapely.Geometry):
        return affinity.rotate(value, angle, origin=(0, 0), use_radians=True)
    if isinstance(value, tuple) and value and all(isinstance(v, shapely.Geometry) for v in value):
        return tuple(_seen(v, angle) for v in value)
    return value


def _spun(points: tuple[Point, ...], angle: float) -> tuple[Point, ...]:
    """Points turned about the origin by `angle` [rad]."""
    c, s = math.cos(angle), math.sin(angle)
    return tuple((c * x - s * y, s * x + c * y) for x, y in points)


def _with_bend(loop: tuple[Point, ...], request: FieldRequest, bend: Bend) -> tuple[Point, ...]:
    """The loop with both pipes led back over the bend to the approach."""
    start = request.approaches[bend.approach].at
    middle = (loop[0][0] + loop[-1][0]) / 2, (loop[0][1] + loop[-1][1]) / 2
    right = (bend.after[1], -bend.after[0])
    side = math.copysign(1.0, (loop[0][0] - middle[0]) * right[0] + (loop[0][1] - middle[1]) * right[1])
    half = side * request.tail_spacing_m / 2
    ends = [_bent(start, bend, h) for h in (half, -half)]
    return (*ends[0], *loop[1:-1], *ends[1][::-1])


def _bent(start: Point, bend: Bend, offset: float) -> tuple[Point, Point]:
    """Beginning and bend of the pipe `offset` to the right of the pair's middle."""
    x, y = start[0] + offset * bend.before[1], start[1] - offset * bend.before[0]
    way = math.dist(start, bend.at) + offset * math.tan(bend.turn / 2)  # a left turn: the right pipe is the outer one
    return (x, y), (x + way * bend.before[0], y + way * bend.before[1])


def _as_laid(
    made: FieldResult, corners: tuple[Point, ...], request: FieldRequest, approach: int, angle: float
) -> FieldResult:
    """The result in the level's frame."""
    heated, coverage = heated_floor(corners, request)
    return replace(
        made,
        corners=corners,
        approach=approach,
        heated=heated,
        coverage=coverage,
        edge_floor=edge_floor(corners, request, heated),
        turned_rad=angle,
    )
