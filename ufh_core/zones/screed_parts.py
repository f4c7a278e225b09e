"""The floors of a level parted at the movement joints of the screed, so that every circuit ends at them.

Each side of a joint is an island of floor with circuits of its own; tails cross joints as they cross any floor.

Source: EN 1264-4, from memory: only connecting pipes cross movement joints.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon

from ufh_core.basis.areas import areas_only, polygons
from ufh_core.zones.divisions import islands
from ufh_core.zones.level_plan import PART, Level

SLIT_M = 0.002  # closed again where tails lead: gaps between rooms up to 30 mm are
ASIDE_PART = f"{PART}aside-"
BEYOND_M = 0.005  # joints end at walls by the model's millimetres


def with_joints(level: Level, joints: Mapping[str, Iterable[LineString]]) -> Level:
    """A level whose floors are parted by `joints` [m], listed by the GlobalId of the room that they lie in."""
    floors, lines = dict(level.floors), []
    for guid, parting in joints.items():
        if guid in floors:
            here = [_longer(line) for line in parting]
            slits = shapely.union_all([line.buffer(SLIT_M / 2, cap_style="flat") for line in here])
            floors[guid] = areas_only(shapely.difference(floors[guid], slits))
            lines += here
    return replace(level, floors=floors, joints=MultiLineString(lines)) if lines else level


def _longer(line: LineString) -> LineString:
    """A straight a little longer at both ends."""
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    x, y = (bx - ax) / line.length * BEYOND_M, (by - ay) / line.length * BEYOND_M
    return LineString([(ax - x, ay - y), (bx + x, by + y)])


def small_parts(level: Level, guid: str, least_m2: float) -> list[Polygon]:
    """Parts of a room under `least_m2` [m²] beside a joint, but the largest of the room."""
    return [
        part
        for part in islands(level.floors[guid])[1:]
        if part.area < least_m2 and part.distance(level.joints) <= SLIT_M
    ]


def with_parts_aside(level: Level, parts: Sequence[tuple[str, Polygon]]) -> Level:
    """A level with parts of rooms as floors for themselves that nobody heats."""
    floors = dict(level.floors)
    for k, (guid, part) in enumerate(parts):
        rest = [p for p in polygons(floors[guid]) if not p.equals(part)]
        floors[guid] = rest[0] if len(rest) == 1 else MultiPolygon(rest)
        floors[f"{guid}{ASIDE_PART}{k}"] = part
    return replace(level, floors=floors)
