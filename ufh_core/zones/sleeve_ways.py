"""Straight ways through walls, for rooms to which no door leads.

A small part of a level that no passage joins to the rest gets one way through its thinnest wall to a
neighbour, square to the wall; a part large enough for a manifold of its own is left alone. Each pipe
through such a way is sleeved and reported.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon, box

from ufh_core.building.types import Area, Opening, Passage, Wall

OWN_MANIFOLD_M2 = 40.0  # a part with more heated floor than this gets a manifold of its own
THICKEST_M = 0.60
STEP_M = 0.02
WAY_WIDTH_M = 0.50
OPENING_CLEAR_M = 0.10
WALLED = 0.85  # share of a way that lies in a wall
DIRECTIONS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """Rooms (guid, floor) between which pipes can run, and their heated floor [m²]."""

    rooms: tuple[tuple[str, Area], ...]
    heated_m2: float


def sleeve_ways(
    floors: dict[str, Area],
    heated: frozenset[str],
    areas: Sequence[Polygon],
    openings: Sequence[Opening],
    walls: Sequence[Wall],
) -> tuple[Passage, ...]:
    """Ways that join small parts of a level to their neighbours.

    `floors` are the rooms' floors by guid, `areas` the connected areas where tails can run, `openings` and
    `walls` those that stand on the level.
    """
    parts = [_part(area, floors, heated) for area in areas]
    parts = sorted((p for p in parts if p.heated_m2 > 0), key=lambda p: p.heated_m2)
    windows = shapely.union_all([o.outline.buffer(OPENING_CLEAR_M) for o in openings])
    solid = shapely.difference(shapely.union_all([w.outline for w in walls]), windows)
    ways: list[Passage] = []
    while len(parts) > 1 and parts[0].heated_m2 < OWN_MANIFOLD_M2:
        small, others = parts[0], parts[1:]
        found = [(w, p) for p in others for w in _ways(small, p, solid)]
        if not found:
            parts = others
            continue
        way, neighbour = min(found, key=lambda f: (_thickness(f[0]), f[0].rooms))
        ways.append(way)
        joined = _Part(rooms=(*small.rooms, *neighbour.rooms), heated_m2=small.heated_m2 + neighbour.heated_m2)
        parts = sorted([joined, *(p for p in others if p is not neighbour)], key=lambda p: p.heated_m2)
    return tuple(ways)


def _part(area: Polygon, floors: dict[str, Area], heated: frozenset[str]) -> _Part:
    rooms = tuple((guid, floor) for guid, floor in sorted(floors.items()) if floor.intersection(area).area > 0.05)
    return _Part(rooms=rooms, heated_m2=sum(floor.area for guid, floor in rooms if guid in heated))


def _thickness(way: Passage) -> float:
    x0, y0, x1, y1 = way.outline.bounds
    return float(x1 - x0 if way.direction[0] else y1 - y0)


def _ways(small: _Part, other: _Part, solid: shapely.Geometry) -> Iterator[Passage]:
    for guid, floor in small.rooms:
        for across, beyond in other.rooms:
            if floor.distance(beyond) > THICKEST_M:
                continue
            for direction in DIRECTIONS:
                outline = _crossing(floor, beyond, direction, solid)
                if outline is not None:
                    yield Passage(
                        ifc_guid="",
                        kind="sleeve",
                        outline=outline,
                        direction=(abs(direction[0]), abs(direction[1])),
                        width_m=WAY_WIDTH_M,
                        rooms=(guid, across),
                    )


def _crossing(floor: Area, beyond: Area, direction: tuple[float, float], solid: shapely.Geometry) -> Polygon | None:
    """The rectangle through the wall between two floors where it is thinnest, or None.

    There must be a wall to go through: a gap between two spaces that the model leaves open is no way.
    """
    for k in range(2, round(THICKEST_M / STEP_M) + 1):
        gap = k * STEP_M
        meeting = translate(floor, direction[0] * gap, direction[1] * gap).intersection(beyond)
        if meeting.is_empty:
            continue
        rectangle = _way_at(meeting, gap, direction)
        if rectangle is not None and rectangle.intersection(solid).area > WALLED * rectangle.area:
            return rectangle
    return None


def _way_at(meeting: shapely.Geometry, gap: float, direction: tuple[float, float]) -> Polygon | None:
    """The way that ends in the middle of the strip where the moved floor first meets the other one."""
    x0, y0, x1, y1 = meeting.bounds
    wide = (y1 - y0) if direction[0] else (x1 - x0)
    if wide < WAY_WIDTH_M + 2 * OPENING_CLEAR_M:
        return None
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    half = WAY_WIDTH_M / 2
    if direction[0]:
        face = x0 if direction[0] > 0 else x1
        ends = sorted((face, face - direction[0] * gap))
        return box(ends[0], middle[1] - half, ends[1], middle[1] + half)
    face = y0 if direction[1] > 0 else y1
    ends = sorted((face, face - direction[1] * gap))
    return box(middle[0] - half, ends[0], middle[0] + half, ends[1])
