"""Dividing a floor among circuits: a tree of straight cuts across the axes (a guillotine partition).

A floor that needs k circuits is cut in two, either across x or across y, and so on until k parts have
the areas asked for. Every axis is tried at every cut, and for few parts every way to share them out;
the tree with the most compact parts, near to where the tails come from, is kept. Pieces that a cut
leaves on the wrong side go to their neighbour, which makes cuts with a corner. Cuts lie so on the
stud grid that the fields on both sides have their first lines on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, polygons

LEAST_PART_M2 = 0.4
BISECTIONS = 12
FEW = 4  # up to so many parts every way to share them out is tried
FAR = 0.3  # what a part pays for its distance from the tails, in widths of its own
MISMATCH = 6.0  # what a part pays for a share of area that it should not have
NARROW, NARROW_M = 3.0, 0.6  # what a part pays for the share of it that is narrower than twice this
CUT_EDGE_M = 0.3  # a cut stays this far from the edge of what it cuts
SLIVER_M = 0.3  # a strip narrower than this holds no pair of runs
LEAST_SLIVER_M2 = 0.05
ALONG = 0.3  # of its outline a strip lies along the part that it goes to: more than at an end
SIDES = 1e-6
LEAST_COST = math.pi / 4  # of a part: no shape is more compact than a circle


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A straight cut where coordinate `axis` (0: x, 1: y) is `at` [m], and what lies on each side: cut on, or whole."""

    axis: int
    at: float
    low: Cut | None
    high: Cut | None


Division: TypeAlias = tuple[Cut | None, ...]
"""How a floor is cut up: one tree an island of floor, as `islands` lists them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Where cuts may lie: at `first` [m] plus whole steps, in both axes."""

    first_m: float
    step_m: float

    def nearest(self, at: float) -> float:
        """The nearest place."""
        return round(self.first_m + round((at - self.first_m) / self.step_m) * self.step_m, 6)


def ruler_for(pitch_m: float, stud_m: float) -> Ruler:
    """Cuts half a pitch from lines of the stud grid on both sides."""
    return Ruler(first_m=(pitch_m / 2) % stud_m, step_m=stud_m)


def islands(floor: Area) -> list[Polygon]:
    """Pieces of floor large enough for a circuit, largest first."""
    return [p for p in polygons(floor) if p.area >= LEAST_PART_M2]


def numbers_of(floor: Area, count: int) -> list[int]:
    """Circuits of each island where the floor shall have `count`."""
    pieces = islands(floor)
    total = sum(p.area for p in pieces)
    numbers = [max(1, round(count * p.area / total)) for p in pieces]
    return [max(1, count - sum(numbers[1:])), *numbers[1:]] if pieces else []


def divided(
    floor: Area,
    count: int,
    ruler: Ruler,
    entries: Sequence[tuple[float, float]] = (),
) -> Division:
    """The best division of a floor into `count` parts of equal areas, reached from `entries` [m] if these are known."""
    trees = []
    for piece, number in zip(islands(floor), numbers_of(floor, count), strict=True):
        wish = _Wish(ruler=ruler, entries=tuple(Point(e) for e in entries), part_m2=piece.area / number)
        trees.append(_best(piece, number, wish)[1])
    return tuple(trees)


def parts_of(floor: Area, division: Division) -> list[Polygon]:
    """The parts of a floor, in the order of the division's leaves; empty where a cut misses its floor."""
    return [p for piece, tree in zip(islands(floor), division, strict=True) for p in _cut_up(piece, tree)]


def leaves(tree: Cut | None) -> int:
    """Number of parts that a tree makes."""
    return 1 if tree is None else leaves(tree.low) + leaves(tree.high)


def recut(floor: Area, measured: Area, division: Division, areas: Sequence[float], ruler: Ruler) -> Division:
    """The same trees with cuts where `measured` (floor less what tails take) is shared out as `areas` ask."""
    first, trees = 0, []
    for piece, tree in zip(islands(floor), division, strict=True):
        number = leaves(tree)
        trees.append(_recut(piece, measured, tree, areas[first : first + number], ruler))
        first += number
    return tuple(trees)


def cuts_of(division: Division) -> list[float]:
    """Places of all cuts [m]."""
    return [at for tree in division for at in _places(tree)]


def with_cuts(division: Division, places: Sequence[float]) -> Division:
    """The division with its cuts at other places [m], listed as `cuts_of` does."""
    left = iter(places)
    return tuple(_placed(tree, left) for tree in division)


def _places(tree: Cut | None) -> list[float]:
    return [] if tree is None else [tree.at, *_places(tree.low), *_places(tree.high)]


def _placed(tree: Cut | None, places: Iterator[float]) -> Cut | None:
    if tree is None:
        return None
    at = next(places)
    low = _placed(tree.low, places)
    return Cut(axis=tree.axis, at=at, low=low, high=_placed(tree.high, places))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wish:
    """What the parts of one island shall be like."""

    ruler: Ruler
    entries: tuple[Point, ...]
    part_m2: float

    def cost(self, part: Polygon, limit: float) -> float:
        """1 for a square of the right area; more for long, jagged, narrow, far or wrong ones; inf from `limit` on."""
        compact = part.length**2 / (16 * part.area)
        wrong = MISMATCH * abs(part.area / self.part_m2 - 1)
        far = min((part.distance(e) for e in self.entries), default=0.0) / math.sqrt(part.area)
        if compact + wrong + FAR * far >= limit:
            return math.inf
        wide = part.buffer(-NARROW_M, join_style="mitre").buffer(NARROW_M, join_style="mitre")
        return float(compact + wrong + FAR * far + NARROW * (1 - min(wide.area / part.area, 1.0)))


def _best(floor: Polygon, count: int, wish: _Wish, limit: float = math.inf) -> tuple[float, Cut | None]:
    """The cheapest tree for a floor: all axes, and all shares of the parts where they are few.

    Branch and bound: trees that cannot cost less than `limit` are left out.
    """
    if count <= 1 or floor.is_empty:
        return (wish.cost(floor, limit) if floor.area > 0 else math.inf), None
    best: tuple[float, Cut | None] = (math.inf, None)
    firsts = range(1, count) if count <= FEW else sorted({count // 2, count - count // 2})
    for axis in (0, 1):
        for first in firsts:
            bound = min(limit, best[0] - SIDES)
            if count * LEAST_COST >= bound:
                return best
            at = _place(floor, floor, axis, first / count, wish.ruler)
            one, other = _split(floor, axis, at)
            if one.is_empty or other.is_empty:
                continue
            a, low = _best(one, first, wish, bound - (count - first) * LEAST_COST)
            b, high = _best(other, count - first, wish, bound - a) if a < bound else (math.inf, None)
            if a + b < bound:
                best = (a + b, Cut(axis=axis, at=at, low=low, high=high))
    return best


def _recut(piece: Polygon, measured: Area, tree: Cut | None, areas: Sequence[float], ruler: Ruler) -> Cut | None:
    if tree is None or piece.is_empty:
        return tree
    first = leaves(tree.low)
    own = shapely.intersection(measured, piece)
    at = _place(piece, own, tree.axis, sum(areas[:first]) / sum(areas), ruler)
    one, other = _split(piece, tree.axis, at)
    low = _recut(one, own, tree.low, areas[:first], ruler)
    return Cut(axis=tree.axis, at=at, low=low, high=_recut(other, own, tree.high, areas[first:], ruler))


def _cut_up(piece: Polygon, tree: Cut | None) -> list[Polygon]:
    if tree is None:
        return [piece]
    one, other = _split(piece, tree.axis, tree.at)
    return [*_cut_up(one, tree.low), *_cut_up(other, tree.high)]


def _place(piece: Polygon, measured: Area, axis: int, share: float, ruler: Ruler) -> float:
    """Where a cut leaves `share` of the measured area below it."""
    low, high = piece.bounds[axis], piece.bounds[axis + 2]
    edge = min(CUT_EDGE_M, (high - low) / 4)
    low, high = low + edge, high - edge
    sides = _sides(measured, axis)
    wanted = share * measured.area
    for _ in range(BISECTIONS):
        at = (low + high) / 2
        low, high = (at, high) if _area_below(sides, at) < wanted else (low, at)
    return ruler.nearest((low + high) / 2)


def _sides(area: Area, axis: int) -> list[tuple[float, float, float]]:
    """The sides of an area, floor on their left: coordinates along the axis, and how far they go across it [m]."""
    found = []
    for ring in shapely.get_rings(shapely.get_parts(shapely.normalize(area))):
        places = shapely.get_coordinates(ring)
        along, across = places[:, axis], places[:, 1 - axis]
        found += list(zip(along[:-1].tolist(), along[1:].tolist(), np.diff(across).tolist(), strict=True))
    return found


def _area_below(sides: list[tuple[float, float, float]], at: float) -> float:
    """The area on the low side of a cut [m²], by Green's theorem: along the edge, min(x, at) across it."""
    total = 0.0
    for a, b, across in sides:
        if a <= at and b <= at:
            total += across * (a + b) / 2
        elif a >= at and b >= at:
            total += across * at
        else:
            low = min(a, b)
            total += across * (at - (at - low) ** 2 / abs(b - a) / 2)
    return abs(total)


def _split(piece: Polygon, axis: int, at: float) -> tuple[Polygon, Polygon]:
    """What lies below and above a cut; whatever hangs on the wrong side goes to its neighbour."""
    low, high = (polygons(areas_only(_side(piece, axis, at, below=b))) for b in (True, False))
    if not low or not high:
        return Polygon(), Polygon()
    one, other = _with(low[0], high[1:]), _with(high[0], low[1:])
    one, other = _less_slivers(one, other)
    return _less_slivers(other, one)[::-1]


def _less_slivers(part: Polygon, other: Polygon) -> tuple[Polygon, Polygon]:
    """Two parts; strips of the first too narrow for a pair of runs go to the other where they lie along it."""
    half = SLIVER_M / 2
    wide = part.buffer(-half, join_style="mitre").buffer(half + SIDES, join_style="mitre")
    strips = [p for p in polygons(shapely.difference(part, wide)) if p.area >= LEAST_SLIVER_M2]
    given = [p for p in strips if p.buffer(SIDES).intersection(other.boundary).length >= ALONG * p.length]
    if not given:
        return part, other
    kept = polygons(areas_only(shapely.difference(part, unary_union(given).buffer(SIDES, join_style="mitre"))))
    return (kept[0], _with(other, given)) if kept else (part, other)


def _with(main: Polygon, pieces: Sequence[Polygon]) -> Polygon:
    """A part with the pieces that it touches along an edge."""
    near = [p for p in pieces if p.buffer(SIDES).intersection(main).area > SIDES * 0.05]
    if not near:
        return main
    joined = polygons(areas_only(unary_union([main, *near]).buffer(SIDES, join_style="mitre")))
    return joined[0].buffer(-SIDES, join_style="mitre") if joined else main


def _side(area: Area, axis: int, at: float, *, below: bool) -> Area:
    if area.is_empty:
        return Polygon()
    bounds = np.array(area.bounds) + np.array([-1.0, -1.0, 1.0, 1.0])
    bounds[axis + 2 if below else axis] = at
    x0, y0, x1, y1 = bounds
    if x1 <= x0 or y1 <= y0:
        return Polygon()
    half: Area = areas_only(shapely.intersection(area, shapely.box(x0, y0, x1, y1)))
    return half
