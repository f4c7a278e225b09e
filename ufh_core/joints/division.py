"""As few straight joints as make every field of a screed keep its rules.

Algorithm: iterative deepening. A field that breaks a rule is cut in two by one straight from border to border, and
both parts are divided with what is left of the number of joints allowed. A bound from area, sides and re-entrant
corners (one cut ends at two of them at most) prunes. Cuts are tried where an installer would: corner to corner, from
a corner along its walls, along columns, then even parts; those last that leave a sliver. A rectangle that needs
several joints gets an even grid of them where that takes no more, with lines moved onto columns where the rules leave
room. Beyond a number of cuts tried, the best cut of each field is taken without looking further, which ends too:
every cut at a corner takes one away, and parts without corners get smaller.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from ufh_core.joints.even_grid import even_grid
from ufh_core.joints.shape import chord, open_corners, parted, sides
from ufh_core.joints.types import FieldRules, JointReason

MOST_CUTS_TRIED = 250
MOST_EVEN_PARTS = 4
SLACK = 1e-6
LEAST_STRIP_M = 0.5  # no field narrower than this is cut off where no corner asks for it [m]
SLIVER_M2 = 0.5  # smaller fields are cut off only where nothing else will do [m²]
LEAST_SIDE_TO_CUT_M = 0.3  # what is smaller is never cut
SMALL_M2, SMALL_COST_M = 4.0, 1.5  # a field so small is hardly worth a circuit: a joint may be longer to leave none
SNAP_M = 0.6  # lines of a grid move this far to lie on columns [m]
_LONGEST_SLANT_M = 3.0

Cut = tuple[LineString, JointReason]
CutParts = tuple[Cut, tuple[Polygon, ...]]


@dataclass(slots=True)
class Region:
    """One screed to divide: rules, deep re-entrant corners (n, 2) [m], columns' middles (m, 2) [m]."""

    rules: FieldRules
    corners: NDArray[np.float64]
    columns: NDArray[np.float64]
    tried: int = 0
    seen: dict[bytes, list[CutParts]] = field(default_factory=dict)


def keeps(outline: Polygon, region: Region) -> bool:
    """Whether a field keeps all rules."""
    return least_cuts(outline, region) == 0


def least_cuts(outline: Polygon, region: Region) -> int:
    """A lower bound of the joints that a field needs; 0 exactly where it keeps the rules."""
    rules, (length, width) = region.rules, sides(outline)
    by_area = math.ceil(float(outline.area) / rules.area_m2 - SLACK) - 1
    by_side = math.ceil(length / rules.side_m - SLACK) * math.ceil(width / rules.side_m - SLACK) - 1
    if outline.area < 0.98 * length * width:
        by_side = math.ceil(length / rules.side_m - SLACK) - 1
    slender = length > rules.ratio * width + SLACK and length > rules.ratio_free_side_m + SLACK
    corners = math.ceil(len(open_corners(outline, region.corners)) / 2)
    return max(int(by_area), by_side, int(slender), corners, 0)


def divide(outline: Polygon, region: Region) -> list[Cut]:
    """The joints that divide a field; none where it keeps the rules."""
    for count in range(least_cuts(outline, region), MOST_CUTS_TRIED):
        found = _within(outline, region, count)
        if found is not None:
            return found
        if region.tried > MOST_CUTS_TRIED:
            break
    return _one_by_one(outline, region)


def _within(outline: Polygon, region: Region, count: int) -> list[Cut] | None:
    """At most `count` joints, None where none such are found."""
    least = least_cuts(outline, region)
    if least == 0:
        return []
    if least > count:
        return None
    if count > 1:
        even = grid_cuts(outline, region, count)
        if even is not None:
            return even
    for cut, parts in _cuts(outline, region):
        region.tried += 1
        if region.tried > MOST_CUTS_TRIED:
            return None
        below = _both_within(parts, region, count - 1)
        if below is not None:
            return [cut, *below]
    return None


def grid_cuts(outline: Polygon, region: Region, count: int) -> list[Cut] | None:
    """At most `count` joints as an even grid; None where the field is no rectangle or more are needed."""
    if len(open_corners(outline, region.corners)):
        return None
    lines = even_grid(outline, region.rules, count)
    if lines is None:
        return None
    moved = _moved(lines, outline, region)
    return moved if moved is not None else _lines_cut(lines, outline)


def _moved(lines: tuple[list[float], list[float]], outline: Polygon, region: Region) -> list[Cut] | None:
    """The grid with its lines on columns nearby; None where a rule would be broken."""
    wanted = [_columns_between(region, axis, outline) for axis in (0, 1)]
    near = [[_nearest(value, wanted[axis]) for value in lines[axis]] for axis in (0, 1)]
    cuts = _lines_cut((near[0], near[1]), outline)
    parts = [outline]
    for line, _ in cuts:
        parts = [piece for part in parts for piece in (parted(part, line) if part.covers(line) else [part])]
    return cuts if all(keeps(part, region) for part in parts) else None


def _nearest(value: float, wanted: Sequence[float]) -> float:
    """The nearest of the places wanted [m], the value itself where none is near."""
    best = min(wanted, key=lambda place: abs(place - value), default=value)
    return best if abs(best - value) <= SNAP_M else value


def _lines_cut(lines: tuple[list[float], list[float]], outline: Polygon) -> list[Cut]:
    """Upright lines through all of a rectangle, level ones from each of these to the next."""
    left, low, right, high = outline.bounds
    stops = [left, *lines[0], right]
    upright = [LineString([(x, low), (x, high)]) for x in lines[0]]
    level = [LineString([(a, y), (b, y)]) for y in lines[1] for a, b in pairwise(stops)]
    return [(line, JointReason.SIZE) for line in (*upright, *level)]


def _both_within(parts: Sequence[Polygon], region: Region, count: int) -> list[Cut] | None:
    """At most `count` joints in all parts together."""
    needs = [least_cuts(part, region) for part in parts]
    found: list[Cut] = []
    for k, part in enumerate(parts):
        own = _within(part, region, count - len(found) - sum(needs[k + 1 :]))
        if own is None:
            return None
        found += own
    return found


def _one_by_one(outline: Polygon, region: Region) -> list[Cut]:
    """The cut of each field that leaves least to do, taken for good."""
    if keeps(outline, region):
        return []
    even = grid_cuts(outline, region, MOST_CUTS_TRIED)
    if even is not None:
        return even
    best: tuple[int, int, Cut, tuple[Polygon, ...]] | None = None
    for k, (cut, parts) in enumerate(_cuts(outline, region)):
        left = sum(least_cuts(part, region) + 1 for part in parts)
        if best is None or (left, k) < best[:2]:
            best = (left, k, cut, parts)
    if best is None:
        return []
    return [best[2], *(cut for part in best[3] for cut in _one_by_one(part, region))]


def _cuts(outline: Polygon, region: Region) -> list[CutParts]:
    """Cuts of a field, those first that an installer would take first; remembered."""
    key = outline.wkb
    if key not in region.seen:
        corners = open_corners(outline, region.corners)
        found = _at_corners(outline, corners) if len(corners) else _across(outline, region)
        region.seen[key] = _ranked(found, outline)
    return region.seen[key]


def _ranked(cuts: Sequence[tuple[int, Cut]], outline: Polygon) -> list[CutParts]:
    """By rank, then by length, by distance from the field's middle; each line once.

    Cuts that leave a sliver come last, those that part nothing are left out.
    """
    left, low, right, high = outline.bounds
    centre = shapely.Point((left + right) / 2, (low + high) / 2)
    scored: dict[bytes, tuple[tuple[float, ...], CutParts]] = {}
    for rank, cut in cuts:
        parts = tuple(parted(outline, cut[0]))
        key = shapely.set_precision(shapely.normalize(cut[0]), 1e-3).wkb
        if len(parts) < 2 or (key in scored and scored[key][0][1] <= rank):
            continue
        least = min(part.area for part in parts)
        sliver = least < SLIVER_M2 or min(sides(part)[1] for part in parts) < LEAST_STRIP_M
        middle = float(cut[0].interpolate(0.5, normalized=True).distance(centre))
        length = cut[0].length + (SMALL_COST_M if least < SMALL_M2 else 0.0)
        score = (sliver, rank, round(length, 3), round(middle, 3))
        scored[key] = ((*score, *cut[0].coords[0]), (cut, parts))
    return [made for _, made in sorted(scored.values(), key=lambda s: s[0])]


def _at_corners(outline: Polygon, corners: NDArray[np.float64]) -> list[tuple[int, Cut]]:
    """From each re-entrant corner to another, along the axes, and on along its own walls."""
    found: list[tuple[int, Cut]] = []
    for k, corner in enumerate(corners):
        at = (float(corner[0]), float(corner[1]))
        for other in corners[k + 1 :]:
            found += [(0, (line, JointReason.CORNER)) for line in _slanted(outline, at, other)]
        for direction in [(1.0, 0.0), (0.0, 1.0), *_walls_at(outline, corner)]:
            line = chord(outline, at, direction)
            if line is not None:
                ends = np.asarray(line.coords)
                both = sum(bool((np.hypot(*(corners - end).T) < 1e-3).any()) for end in ends)
                found.append((0 if both > 1 else 1, (line, JointReason.CORNER)))
    return found


def _slanted(outline: Polygon, one: tuple[float, float], other: NDArray[np.float64]) -> list[LineString]:
    """The straight between two corners where it lies on the floor and is short."""
    line = LineString([one, (float(other[0]), float(other[1]))])
    middle = line.interpolate(0.5, normalized=True)
    fits = 0.05 < line.length <= _LONGEST_SLANT_M and outline.boundary.distance(middle) > 0.01
    return [line] if fits and outline.buffer(1e-6).covers(line) else []


def _walls_at(outline: Polygon, corner: NDArray[np.float64]) -> list[tuple[float, float]]:
    """Directions of the oblique edges that meet at a corner."""
    found = []
    for ring in (outline.exterior, *outline.interiors):
        at = np.asarray(ring.coords)
        for start, end in pairwise(at):
            if min(np.hypot(*(start - corner)), np.hypot(*(end - corner))) < 1e-4:
                ux, uy = (end - start) / max(float(np.hypot(*(end - start))), 1e-12)
                found += [(float(ux), float(uy))] if min(abs(ux), abs(uy)) > 1e-3 else []
    return found


def _across(outline: Polygon, region: Region) -> list[tuple[int, Cut]]:
    """Across a field without corners: along columns, in even parts."""
    found: list[tuple[int, Cut]] = []
    left, low, right, high = outline.bounds
    for axis, (start, end) in enumerate(((left, right), (low, high))):
        if end - start < LEAST_SIDE_TO_CUT_M:
            continue
        places = [(2, v) for v in _columns_between(region, axis, outline)]
        places += [(3, start + (end - start) * k / n) for n in _parts(end - start, region) for k in range(1, n)]
        least = min(LEAST_STRIP_M, (end - start) / 2 - SLACK)
        for rank, value in places:
            if start + least <= value <= end - least:
                found += _straight(outline, axis, value, rank)
    return found


def _parts(length: float, region: Region) -> list[int]:
    """Numbers of even parts to try along a side [m]."""
    side = region.rules.side_m
    needed = math.ceil(length / side - SLACK) if math.isfinite(side) else 1
    return sorted({*range(2, MOST_EVEN_PARTS + 1), max(2, needed)})


def _columns_between(region: Region, axis: int, outline: Polygon) -> list[float]:
    inside = [c for c in region.columns if outline.covers(shapely.Point(c))]
    return sorted({round(float(c[axis]), 4) for c in inside})


def _straight(outline: Polygon, axis: int, value: float, rank: int) -> list[tuple[int, Cut]]:
    """Straights [m] at an abscissa (axis 0) or ordinate (axis 1), one for each stretch on the floor."""
    left, low, right, high = outline.bounds
    ends = [(value, low - 1), (value, high + 1)] if axis == 0 else [(left - 1, value), (right + 1, value)]
    reason = JointReason.COLUMN if rank == 2 else JointReason.SIZE
    parts = shapely.get_parts(shapely.intersection(LineString(ends), outline))
    return [(rank, (part, reason)) for part in parts if part.length > 0.02]
