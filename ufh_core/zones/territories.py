"""Territories: the floor of a room, or of a part of it, that one circuit heats.

A room that needs k circuits is halved again and again across its longer side, so that the parts
have equal areas and sensible shapes. Fields of two territories that meet without a wall keep half
a pitch from the line between them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from ufh_core.building.types import Area
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level, areas_only, axis_area, polygons

LEAST_PART_M2 = 0.4
BISECTIONS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Territory:
    """The floor of one circuit: `floor` to heat, `axis` where its field's pipe may run (no lanes yet)."""

    room: str
    part: int
    pitch_m: float
    floor: Polygon
    axis: Area


def territories(
    level: Level,
    counts: Mapping[str, int],
    pitches: Mapping[str, float],
    settings: Settings,
    shares: Mapping[str, Sequence[float]] | None = None,
) -> tuple[Territory, ...]:
    """The territories of all heated rooms: `counts` circuits in each, at `pitches` [m].

    `shares` gives the parts of a room areas in proportion, in the order of `Territory.part`; without
    it they are equal.
    """
    wanted = shares or {}
    pieces = {
        guid: _parts(level.floors[guid], counts[guid], wanted.get(guid))
        for guid in level.floors
        if guid in level.heated
    }
    everywhere = axis_area(level, settings)
    others = {guid: area for guid, area in level.floors.items() if guid not in pieces}
    found = []
    for guid, parts in pieces.items():
        for k, part in enumerate(parts):
            foreign = [p for g, ps in pieces.items() for j, p in enumerate(ps) if (g, j) != (guid, k)]
            axis = _axis_of(part, [*foreign, *others.values()], everywhere, pitches[guid])
            found.append(Territory(room=guid, part=k, pitch_m=pitches[guid], floor=part, axis=axis))
    return tuple(found)


def _axis_of(part: Polygon, foreign: Sequence[Area], everywhere: Area, pitch: float) -> Area:
    near = [f for f in foreign if f.distance(part) < pitch]
    own = shapely.intersection(everywhere, part.buffer(1e-4, join_style="mitre"))
    if near:
        own = shapely.difference(own, unary_union([f.buffer(pitch / 2, join_style="mitre") for f in near]))
    return areas_only(own)


def _parts(floor: Area, count: int, shares: Sequence[float] | None) -> list[Polygon]:
    """Floor in `count` parts; islands of floor are parts of their own."""
    islands = [p for p in polygons(floor) if p.area >= LEAST_PART_M2]
    if not islands:
        return []
    total = sum(p.area for p in islands)
    numbers = [max(1, round(count * p.area / total)) for p in islands]
    numbers[0] = max(1, count - sum(numbers[1:]))
    if shares is None or len(shares) != sum(numbers):
        shares = [1.0] * sum(numbers)
    found, first = [], 0
    for island, number in zip(islands, numbers, strict=True):
        found += _divided(island, shares[first : first + number])
        first += number
    return found


def _divided(floor: Polygon, shares: Sequence[float]) -> list[Polygon]:
    if len(shares) <= 1:
        return [floor]
    first = len(shares) // 2
    below = sum(shares[:first]) / sum(shares)
    best: tuple[float, Polygon, Polygon] | None = None
    left, low, right, high = floor.bounds
    for axis in (0, 1) if right - left >= high - low else (1, 0):
        one, other = _cut(floor, axis, below)
        lost = floor.area - one.area - other.area
        if best is None or lost < best[0] - 0.02 * floor.area:
            best = (lost, one, other)
        if lost < 0.02 * floor.area:
            break
    if best is None:
        return [floor]
    return [*_divided(best[1], shares[:first]), *_divided(best[2], shares[first:])]


def _cut(floor: Polygon, axis: int, share: float) -> tuple[Polygon, Polygon]:
    """The largest polygons below and above a line across `axis` that leaves `share` of the area below."""
    low, high = floor.bounds[axis], floor.bounds[axis + 2]
    at = (low + high) / 2
    for _ in range(BISECTIONS):
        if math.isclose(low, high, abs_tol=1e-3):
            break
        at = (low + high) / 2
        if _side(floor, axis, at, below=True).area < share * floor.area:
            low = at
        else:
            high = at
    one, other = (_side(floor, axis, at, below=b) for b in (True, False))
    return (polygons(one) or [Polygon()])[0], (polygons(other) or [Polygon()])[0]


def _side(floor: Polygon, axis: int, at: float, *, below: bool) -> Area:
    x0, y0, x1, y1 = floor.bounds
    if axis == 0:
        half = box(x0 - 1, y0 - 1, at, y1 + 1) if below else box(at, y0 - 1, x1 + 1, y1 + 1)
    else:
        half = box(x0 - 1, y0 - 1, x1 + 1, at) if below else box(x0 - 1, at, x1 + 1, y1 + 1)
    return areas_only(shapely.intersection(floor, half))
