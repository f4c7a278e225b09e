"""Straight ways through walls, square to them, for pipes in sleeves: where they can be, and for rooms without a door.

A small part of a level that no passage joins to the rest gets one way through its thinnest wall to a
neighbour; a part large enough for a manifold of its own is left alone. Where every such wall bears or
resists fire, by the model's word, none is drilled and that is told. Each pipe through such a way is
sleeved and reported.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from ufh_core.basis.areas import Area
from ufh_core.basis.message import Message
from ufh_core.building.types import Wall
from ufh_core.zones.drilled_walls import DrilledWalls, SleeveWay, unknown

OWN_MANIFOLD_M2 = 40.0  # a part with more heated floor than this gets a manifold of its own
THINNEST_M, THICKEST_M = 0.03, 0.60
WAY_WIDTH_M = 0.50
BESIDE_M = 0.10  # free floor beside a way on both sides of its wall
AHEAD_M = 0.25  # and in front of it, where pipes cannot turn yet
ALIKE_M = 0.02  # walls of thicknesses within this are equally good
SLACK_M2 = 1e-3
NO_DOOR: str = Message("no door leads to its room")


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A place for a way `outline` through `walls`, from floor to floor of the two `rooms`; `across` its middle."""

    outline: Polygon
    along: int  # 0 or 1: the axis on which one goes through
    rooms: tuple[str, str]
    walls: tuple[Wall, ...]
    across: float

    @property
    def thickness_m(self) -> float:
        """Length of the way."""
        bounds = self.outline.bounds
        return float(bounds[self.along + 2] - bounds[self.along])

    def way(self, reason: str) -> SleeveWay:
        """The way itself."""
        bounds = self.outline.bounds
        return SleeveWay(
            ifc_guid="",
            kind="sleeve",
            outline=self.outline,
            direction=(1.0, 0.0) if self.along == 0 else (0.0, 1.0),
            width_m=float(bounds[3 - self.along] - bounds[1 - self.along]),
            rooms=self.rooms,
            walls=self.walls,
            reason=reason,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SparedWall:
    """A wall that is not drilled although no door leads to `rooms`, and why."""

    rooms: tuple[str, ...]
    ifc_guid: str
    why: str


def crossings(
    one: tuple[str, Area],
    other: tuple[str, Area],
    walls: DrilledWalls,
    width_m: float,
    beside_m: float,
    step_m: float,
    phase_m: float = 0.0,
) -> Iterator[Crossing]:
    """Places for ways `width_m` wide between two floors, their middles on multiples of `step_m`, and `phase_m` more.

    The floor is free on both sides of the wall, `beside_m` wider than the way each side.
    """
    if one[1].distance(other[1]) > THICKEST_M:
        return
    for along in (0, 1):
        for across, low, high in _gaps(one[1], other[1], along, step_m, phase_m):
            outline = _strip(along, low, high, across, width_m / 2)
            fronts = [_strip(along, a, b, across, width_m / 2 + beside_m) for a, b in _fronts(low, high)]
            if min(_inside(fronts, one[1], other[1]), _inside(fronts[::-1], one[1], other[1])) > SLACK_M2:
                continue
            if through := walls.through(outline):
                yield Crossing(outline=outline, along=along, rooms=(one[0], other[0]), walls=through, across=across)


def _fronts(low: float, high: float) -> tuple[tuple[float, float], tuple[float, float]]:
    return (low - AHEAD_M, low), (high, high + AHEAD_M)


def _inside(fronts: Sequence[Polygon], one: Area, other: Area) -> float:
    """How much of the floor in front of a way is missing [m²], its ends taken as those in the two rooms."""
    return max(float(front.difference(floor).area) for front, floor in zip(fronts, (one, other), strict=True))


def _gaps(one: Area, other: Area, along: int, step_m: float, phase_m: float) -> Iterator[tuple[float, float, float]]:
    """Lines on which a wall parts two floors: (place across, from, to) [m]."""
    bounds = [np.asarray(floor.bounds).reshape(2, 2) for floor in (one, other)]
    low = max(b[0, 1 - along] for b in bounds)
    high = min(b[1, 1 - along] for b in bounds)
    first, last = math.ceil((low - phase_m) / step_m), math.floor((high - phase_m) / step_m)
    places = np.round(np.arange(first, last + 1) * step_m + phase_m, 6)
    if not len(places):
        return
    ends = min(b[0, along] for b in bounds), max(b[1, along] for b in bounds)
    points = np.empty((len(places), 2, 2))
    points[:, :, along], points[:, :, 1 - along] = ends, places[:, None]
    lines = shapely.linestrings(points)
    on_one, on_other = (shapely.intersection(lines, floor) for floor in (one, other))
    for place, first, second in zip(places.tolist(), on_one, on_other, strict=True):
        yield from ((place, a, b) for a, b in _between(_spans(first, along), _spans(second, along)))


def _spans(cut: shapely.Geometry, along: int) -> list[tuple[float, float]]:
    parts = [p.bounds for p in shapely.get_parts(cut) if not p.is_empty]
    return [(b[along], b[along + 2]) for b in parts]


def _between(first: list[tuple[float, float]], second: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Gaps as wide as a wall from the end of a span of one floor to the start of one of the other."""
    for a0, a1 in first:
        for b0, b1 in second:
            low, high = (a1, b0) if a1 <= b0 else (b1, a0)
            if THINNEST_M <= high - low <= THICKEST_M:
                yield low, high


def _strip(along: int, low: float, high: float, across: float, half: float) -> Polygon:
    one, other = round(across - half, 6), round(across + half, 6)
    return box(low, one, high, other) if along == 0 else box(one, low, other, high)


# --- rooms without a door -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """Rooms (guid, floor) between which pipes can run, and their heated floor [m²]."""

    rooms: tuple[tuple[str, Area], ...]
    heated_m2: float

    def with_rooms_of(self, other: _Part) -> _Part:
        return _Part(rooms=(*self.rooms, *other.rooms), heated_m2=self.heated_m2 + other.heated_m2)


def sleeve_ways(
    floors: Mapping[str, Area],
    heated: frozenset[str],
    areas: Sequence[Polygon],
    walls: DrilledWalls,
    spacing_m: float,
) -> tuple[tuple[SleeveWay, ...], tuple[SparedWall, ...]]:
    """Ways that join small parts of a level to their neighbours, and walls for which there is none.

    `floors` are the rooms' floors by guid, `areas` the connected areas where tails `spacing_m` apart can run.
    """
    parts = _by_size([part for area in areas if (part := _part(area, floors, heated)).heated_m2 > 0])
    ways: list[SleeveWay] = []
    spared: list[SparedWall] = []
    while len(parts) > 1 and parts[0].heated_m2 < OWN_MANIFOLD_M2:
        small, others = parts[0], parts[1:]
        found = [(c, p) for p in others for c in _crossings(small, p, walls, spacing_m)]
        open_ = [(c, p) for c, p in found if not walls.refusal(c.walls)]
        if not open_:
            spared += _spared(small, [c for c, _ in found], heated, walls)
            parts = others
            continue
        best, neighbour = min(open_, key=lambda f: (_worth(f[0]), _off_middle(f[0], [c for c, _ in open_])))
        ways.append(best.way(NO_DOOR))
        parts = _by_size([small.with_rooms_of(neighbour), *(p for p in others if p is not neighbour)])
    return tuple(ways), tuple(spared)


def _by_size(parts: Sequence[_Part]) -> list[_Part]:
    return sorted(parts, key=lambda p: p.heated_m2)


def _part(area: Polygon, floors: Mapping[str, Area], heated: frozenset[str]) -> _Part:
    rooms = tuple((guid, floor) for guid, floor in sorted(floors.items()) if floor.intersection(area).area > 0.05)
    return _Part(rooms=rooms, heated_m2=sum(floor.area for guid, floor in rooms if guid in heated))


def _crossings(small: _Part, other: _Part, walls: DrilledWalls, spacing_m: float) -> Iterator[Crossing]:
    for one in small.rooms:
        for beyond in other.rooms:
            yield from crossings(one, beyond, walls, WAY_WIDTH_M, BESIDE_M, 2 * spacing_m)


def _worth(crossing: Crossing) -> tuple[bool, int, tuple[str, str]]:
    """The lower the better: walls that surely do not bear, then thin ones."""
    return unknown(crossing.walls), round(crossing.thickness_m / ALIKE_M), crossing.rooms


def _off_middle(crossing: Crossing, others: Sequence[Crossing]) -> float:
    """How far a crossing is from the middle of the places between its two rooms."""
    alike = [c.across for c in others if c.rooms == crossing.rooms and c.along == crossing.along]
    return abs(crossing.across - (min(alike) + max(alike)) / 2)


def _spared(
    part: _Part, found: Sequence[Crossing], heated: frozenset[str], walls: DrilledWalls
) -> Iterator[SparedWall]:
    if found:
        best = min(found, key=lambda c: (_worth(c)[1:], c.across))
        rooms = tuple(guid for guid, _ in part.rooms if guid in heated)
        wall = next(w for w in best.walls if walls.refusal([w]))
        yield SparedWall(rooms=rooms, ifc_guid=wall.ifc_guid, why=walls.refusal([wall]))
