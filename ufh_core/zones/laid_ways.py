"""Ways through walls that pipes take which lie already: straight stretches from one room's floor to another's.

A pair of pipes side by side shares a way. What may not be drilled for a new pipe may not be for these.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Point, Polygon, box

from ufh_core.basis.message import Message
from ufh_core.settings.types import Settings
from ufh_core.zones.drilled_walls import SleeveWay
from ufh_core.zones.level_plan import JAMB_CLEARANCE, Level, drilled_walls
from ufh_core.zones.relief_ways import ONE_LINE_M
from ufh_core.zones.sleeve_ways import THICKEST_M, THINNEST_M, Crossing

STAYS: str = Message("it stays as it lies")
STRAIGHT_M = 1e-3
AT_FLOOR_M = 0.01
Bounds = tuple[float, float, float, float]


def laid_ways(lines: Sequence[LineString], level: Level, settings: Settings) -> tuple[SleeveWay, ...]:
    """The ways through walls that some pipes ask for beyond those that a level has."""
    walls = drilled_walls(level, settings)
    found = []
    for along, bounds in _ways([stretch for line in lines for stretch in _stretches(line, level)], settings):
        outline = _widened(bounds, along)
        through, rooms = walls.through(outline), _rooms(bounds, along, level)
        if through and not walls.refusal(through) and len(rooms) == 2:
            place = Crossing(outline=outline, along=along, rooms=(rooms[0], rooms[1]), walls=through, across=0.0)
            found.append(place.way(STAYS))
    return tuple(found)


def _stretches(line: LineString, level: Level) -> Iterator[tuple[int, Bounds]]:
    """Straight stretches of a pipe off the floor, as long as a wall is thick: (axis, bounds)."""
    ways = shapely.union_all([p.outline for p in (*level.passages, *level.sleeve_ways)])
    inside = shapely.difference(shapely.difference(line, level.ground), ways)
    for part in shapely.get_parts(inside):
        x0, y0, x1, y1 = part.bounds
        if min(x1 - x0, y1 - y0) < STRAIGHT_M and THINNEST_M <= max(x1 - x0, y1 - y0) <= THICKEST_M:
            yield (0 if x1 - x0 > y1 - y0 else 1), (x0, y0, x1, y1)


def _ways(stretches: Sequence[tuple[int, Bounds]], settings: Settings) -> Iterator[tuple[int, Bounds]]:
    """Stretches put together where the two pipes of a pair lie side by side."""
    near = 1.5 * settings.layout.tail_spacing_m
    order = sorted(stretches, key=lambda s: (s[0], round(s[1][s[0]], 2), s[1][1 - s[0]]))
    paired: set[int] = set()
    for k, ((a, one), (b, other)) in enumerate(pairwise(order)):
        alike = a == b and abs(one[a] - other[a]) + abs(one[a + 2] - other[a + 2]) < 2 * AT_FLOOR_M
        if k not in paired and alike and other[1 - a] - one[3 - a] < near:
            paired |= {k, k + 1}
            yield a, (min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3]))
    yield from (stretch for k, stretch in enumerate(order) if k not in paired)


def _widened(bounds: Bounds, along: int) -> Polygon:
    edge = JAMB_CLEARANCE + ONE_LINE_M / 2
    x, y = (0.0, edge) if along == 0 else (edge, 0.0)
    return box(*(round(v, 6) for v in (bounds[0] - x, bounds[1] - y, bounds[2] + x, bounds[3] + y)))


def _rooms(bounds: Bounds, along: int, level: Level) -> list[str]:
    """The rooms at the two ends of a way, fewer where an end is at no floor."""
    across = (bounds[1 - along] + bounds[3 - along]) / 2
    ends = [(end, across) if along == 0 else (across, end) for end in (bounds[along], bounds[along + 2])]
    met = [[g for g, floor in sorted(level.floors.items()) if floor.distance(Point(end)) < AT_FLOOR_M] for end in ends]
    return [rooms[0] for rooms in met if rooms]
