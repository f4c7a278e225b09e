"""Rings parallel to the walls, joined into one counterflow loop, for systems that hold a pipe anywhere.

A spine is drawn through rings set in from the walls by one and a half pitch and two more a ring, each
joined to the next at a corner, as a fitter lays a spiral; the pipe is the outline of a ribbon one
pitch wide round that spine, so flow and return lie side by side (boundary walk round a spine;
Gabriely and Rimon 2001, Zhao et al. 2016). The loop is cut open where the pair of tails meets it.
A pitch a little off the one asked for lets the innermost ring close without a cold middle.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry import Point as Place
from shapely.geometry.polygon import orient

from ufh_core.basis.areas import common
from ufh_core.basis.pipe_axis import Point, sampled
from ufh_core.fields.bulbs import bulb_rules, with_bulbs
from ufh_core.fields.check import fault
from ufh_core.fields.choice import candidates
from ufh_core.fields.cost import rating
from ufh_core.fields.heated import heated_floor
from ufh_core.fields.inset import MITRE, SMALL, inset, turn
from ufh_core.fields.rate import Rating
from ufh_core.fields.steps import step_inwards, towards
from ufh_core.fields.straighten import legs_fit
from ufh_core.fields.types import Approach, FieldRequest, FieldResult

STRETCHED = tuple(k / 100 for k in range(-12, 13, 2))  # shares by which the pitch may differ
TIGHT_STRETCHED, TIGHT_EDGES = (0.0, 0.02, 0.04, 0.06, 0.08, 0.1, 0.12), (0.0, 0.05)  # all tried at tight pitches
EDGES = (-0.15, -0.1, -0.05, 0.0, 0.05, 0.1, 0.15)  # pitches by which the first run may lie off half a pitch
CLOSES = (0.05, 0.15, 0.9, 1.05, 1.2)  # half widths of an innermost ring that leaves no cold middle [pitches]
ENDINGS, TRIED, CHECKED = 3, 16, 24  # ends in the middle; loops of which one must be legal; loops checked
CHORD_M = 0.01  # curved walls are followed in chords as true as this
FAR_M = 50.0
TRUE_M = 2e-5  # corners are found to a micrometre


def lay_rings(request: FieldRequest) -> FieldResult | None:
    """The best legal loop of rings; None if there is none, or the floor has islands."""
    for number, approach in enumerate(request.approaches):
        made = ring_loops(request, approach)
        first = list(itertools.islice(made, TRIED))
        if all(fault(corners, request) for corners in dict.fromkeys(first)):
            continue
        loops = dict.fromkeys([*first, *made])
        rated = sorted(((rating(loop, request), loop) for loop in loops), key=lambda r: (r[0].cost, r[1]))
        for rate, corners in rated[:CHECKED]:
            if not fault(corners, request):
                return _result(corners, number, rate, len(rated), request)
    return None


def _result(corners: tuple[Point, ...], approach: int, rate: Rating, drawn: int, request: FieldRequest) -> FieldResult:
    heated, coverage = heated_floor(corners, request)
    return FieldResult(
        corners=corners,
        approach=approach,
        heated=heated,
        coverage=coverage,
        unevenness=rate.unevenness,
        bends=rate.bends,
        drawn=drawn,
        candidates=candidates([(rate.cost, rate)], {}, 0),
    )


def ring_loops(request: FieldRequest, approach: Approach) -> Iterator[tuple[Point, ...]]:
    """Loops from either hand, over a few pitches and ends in the middle; legs fit, the other rules are not checked."""
    area = max(shapely.get_parts(request.axis_area), key=lambda p: float(p.area))
    if area.interiors:
        return
    outline = orient(Polygon(area.exterior).simplify(CHORD_M))
    bulbs = bulb_rules(request)
    for (pitch, edge), hand in itertools.product(_spacings(outline, request), (1, -1)):
        for narrow in _loops(outline, approach, pitch, edge, hand, request):
            loop = with_bulbs(narrow, bulbs)
            if legs_fit(loop, request.least_radius_m):
                yield loop


def _spacings(area: Polygon, request: FieldRequest) -> list[tuple[float, float]]:
    """(pitch, first run from the edge of the area) [m]: for every way to close the middle, those that differ least.

    All where turns are bulbs, since the bulb at the end decides how the middle closes.
    """
    clearance = request.floor.boundary.distance(area)
    if 2 * request.least_radius_m > request.pitch_m:
        pitches = [max((1 + share) * request.pitch_m, _least_pitch(request) + TRUE_M) for share in TIGHT_STRETCHED]
        edges = itertools.product(dict.fromkeys(pitches), TIGHT_EDGES)
        return list(dict.fromkeys((pitch, max(0.0, pitch * (0.5 + shift) - clearance)) for pitch, shift in edges))
    deep = float(shapely.maximum_inscribed_circle(area).length)
    best: dict[float, tuple[float, float, float]] = {}
    for share, shift in itertools.product(STRETCHED, EDGES):
        pitch = (1 + share) * request.pitch_m
        edge = max(0.0, pitch * (0.5 + shift) - clearance)
        left = (deep - edge) / pitch - 0.5
        for half in CLOSES if left > 0 else ():
            off = abs((left - half + 1) % 2 - 1)
            rated = (off + abs(share) + abs(shift) / 4, pitch, edge)
            best[half] = min(best.get(half, rated), rated)
    return list(dict.fromkeys((pitch, edge) for _, pitch, edge in sorted(best.values())))


def _least_pitch(request: FieldRequest) -> float:
    """The least pitch [m] at which a turn has its width, or room for a bulb between two more runs."""
    turn = 2 * request.least_radius_m
    return min(turn, (turn + 2 * request.separation_m) / 3)


def _spare(pitch: float, request: FieldRequest) -> float:
    """How far the second ring keeps from the first, beyond the pitch, since that one begins with a bulb to one side."""
    return max(0.0, request.separation_m + 2 * request.least_radius_m - 2 * pitch)


def _loops(
    area: Polygon, approach: Approach, pitch: float, edge: float, hand: int, request: FieldRequest
) -> Iterator[tuple[Point, ...]]:
    """Loops for one hand: 1 has the spiral turn left, -1 right."""
    outer = inset(area, edge, pitch, request.least_radius_m)
    if outer is None:
        return
    if hand < 0:  # seen in a mirror, so that one way of winding is enough
        outer, area = _mirrored(outer), _mirrored(area)
        approach = Approach(at=(-approach.at[0], approach.at[1]), heading=(-approach.heading[0], approach.heading[1]))
    for spine in _spines(area, outer, approach, pitch, edge, request):
        loop = _cut_open(_ribbon(spine, outer, pitch), approach, request) if len(spine) > 1 else ()
        if loop:
            yield tuple((hand * x, y) for x, y in loop)


def _mirrored(area: Polygon) -> Polygon:
    return orient(shapely.transform(area, lambda xy: xy * (-1.0, 1.0)))


def _spines(
    area: Polygon, outer: Polygon, approach: Approach, pitch: float, edge: float, request: FieldRequest
) -> list[list[Point]]:
    """Spirals through all rings, from the corner before the place where the pair meets the first run."""
    rings: list[list[Point]] = []
    away = edge + pitch / 2
    while ring := inset(area, away, pitch, request.least_radius_m):
        away += 2 * pitch + (0.0 if rings else _spare(pitch, request))
        rings.append(list(ring.exterior.coords)[:-1])
    start = _met_edge(outer, approach)
    if not rings or start is None:
        return []
    first = _from_corner(rings[0], start)
    ways = [_wound(first, rings[1:], pitch, aslant) for aslant in (False, True)]
    return [ending for way in ways for ending in _endings(*way, pitch)]


def _wound(
    ring: list[Point], inner: Sequence[Sequence[Point]], pitch: float, aslant: bool
) -> tuple[list[Point], list[Point]]:
    """The spine from the first ring to the corner where the last one begins, and that ring."""
    spine = [ring[0]]
    for following in inner:
        joint = step_inwards(ring, following, pitch, aslant)
        if joint is None:
            break
        spine += [*_along(ring, joint[0])[1:], joint[0]]
        ring = joint[1]
        spine.append(ring[0])
    return spine, ring


def _met_edge(outer: Polygon, approach: Approach) -> tuple[Point, Point] | None:
    """The edge of the first run that the pair meets."""
    ahead = tuple(a + FAR_M * h for a, h in zip(approach.at, approach.heading, strict=True))
    ray = LineString([approach.at, ahead])
    edges = [e for e in itertools.pairwise(outer.exterior.coords) if LineString(e).intersects(ray)]
    return min(edges, key=lambda e: LineString(e).intersection(ray).distance(Place(approach.at)), default=None)


def _from_corner(ring: Sequence[Point], edge: tuple[Point, Point]) -> list[Point]:
    """The ring begun at the corner before its edge that runs along `edge`, or at the one before that bends inwards."""
    ux, uy = edge[1][0] - edge[0][0], edge[1][1] - edge[0][1]

    def astray(k: int) -> float:
        a, b = ring[k], ring[(k + 1) % len(ring)]
        vx, vy = b[0] - a[0], b[1] - a[1]
        slant = abs(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))
        return 10 * slant + float(LineString([a, b]).distance(LineString(edge)))

    first = min(range(len(ring)), key=astray)
    while turn(ring[first - 1], ring[first], ring[(first + 1) % len(ring)]) < math.radians(20):
        first = (first - 1) % len(ring)
    return [*ring[first:], *ring[:first]]


def _along(ring: Sequence[Point], end: Point) -> list[Point]:
    """The corners of a ring from its first one up to a place on it."""
    line = LineString([*ring, ring[0]])
    way = line.project(Place(end))
    run = itertools.accumulate((math.dist(p, q) for p, q in itertools.pairwise(ring)), initial=0.0)
    return [p for p, r in zip(ring, run, strict=True) if r < way - SMALL]


def _endings(spine: list[Point], ring: Sequence[Point], pitch: float) -> list[list[Point]]:
    """The spine led on round its last ring, until it would come too near to itself or to one of the last corners."""
    end = _end(spine, ring, pitch)
    corners = [*spine[:-1], *_along(ring, end)]
    ends = [[*corners, end], [*corners, towards(end, corners[-1], pitch / 2)]]
    for cut in range(1, min(ENDINGS, len(corners) - len(spine) + 1)):
        ends.append([*corners[:-cut], towards(corners[-cut], corners[-cut - 1], -pitch / 2)])
    return ends


def _end(spine: list[Point], ring: Sequence[Point], pitch: float) -> Point:
    """How far a last ring can be followed; in a narrow one only out, not back."""
    if float(shapely.maximum_inscribed_circle(Polygon(ring)).length) < 0.75 * pitch:
        return max(ring, key=lambda p: math.dist(p, ring[0]))
    step = pitch / 10
    way, places = sampled(np.array([*ring, ring[0]]), step)
    near = np.zeros(len(way), bool)  # places where a spine led on so far would come too near to itself
    if len(spine) > 1:
        away = shapely.distance(LineString(spine), shapely.points(places))
        near = (away < 1.5 * pitch) & (way > 2 * pitch + step)
    pairs = cKDTree(places).query_pairs(1.5 * pitch, output_type="ndarray")
    pairs = pairs[np.abs(pairs[:, 1] - pairs[:, 0]) > 30]
    near[pairs.max(axis=1)] = True
    last = int(np.argmax(near)) - 1 if near.any() else len(way) - 1
    x, y = places[max(1, last)]
    return float(x), float(y)


def _ribbon(spine: Sequence[Point], outer: Polygon, pitch: float) -> Polygon | None:
    """The ribbon one pitch wide round a spine, led on into the corner where it begins."""
    (ax, ay), (bx, by) = spine[:2]
    length = math.dist(spine[0], spine[1])
    back = (ax - 3 * pitch * (bx - ax) / length, ay - 3 * pitch * (by - ay) / length)
    style = {"cap_style": "flat", "join_style": "mitre", "mitre_limit": MITRE}
    corner = common(LineString([back, spine[0]]).buffer(pitch / 2, **style), outer)
    near = [p for p in shapely.get_parts(corner) if p.distance(Place(spine[0])) < SMALL]
    whole = shapely.union_all([LineString(spine).buffer(pitch / 2, **style), *near], grid_size=1e-6)
    if isinstance(whole, MultiPolygon) or not isinstance(whole, Polygon) or whole.interiors:
        return None
    return orient(whole.simplify(5e-4))


def _cut_open(ribbon: Polygon | None, approach: Approach, request: FieldRequest) -> tuple[Point, ...]:
    """The outline of the ribbon, cut where the pair meets it: from one pipe round to the other."""
    if ribbon is None:
        return ()
    line = ribbon.exterior
    (x, y), (u, v), half = approach.at, approach.heading, request.tail_spacing_m / 2
    ends = []
    for side in (1, -1):  # right and left pipe
        start = (x + side * half * v, y - side * half * u)
        ray = LineString([start, (start[0] + FAR_M * u, start[1] + FAR_M * v)])
        met = [p for p in shapely.get_parts(ray.intersection(line)) if isinstance(p, Place)]
        nearest = min(met, key=lambda p: p.distance(Place(start)), default=None)
        if nearest is None:
            return ()
        ends.append((start, (nearest.x, nearest.y), line.project(nearest)))
    (right, right_meets, a), (left, left_meets, b) = ends
    whole = line.length
    ahead = (b - a) % whole  # anticlockwise, from the right pipe past the left one
    if ahead < whole / 2:  # the pair comes from inside the ribbon's turn
        return ()
    passed = sorted(((line.project(Place(c)) - a) % whole, c) for c in line.coords[:-1])
    corners = [c for r, c in passed if SMALL < r < ahead - SMALL]
    return (right, right_meets, *corners, left_meets, left)
