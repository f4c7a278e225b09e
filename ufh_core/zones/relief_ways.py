"""Ways through walls past a place where tails do not fit: one for each pair of pipes, apart from each other.

They join the floors before and behind the place, where the wall surely does not bear if there is such
a wall, is thin, and near. Between two holes and from corners stays wall: our own distances.
"""

from __future__ import annotations

from collections.abc import Mapping

import shapely

from ufh_core.basis.areas import Area
from ufh_core.settings.types import Settings
from ufh_core.zones.drilled_walls import DrilledWalls, SleeveWay, unknown
from ufh_core.zones.level_plan import CORNER_EXTRA, JAMB_CLEARANCE, Level, drilled_walls, room_of
from ufh_core.zones.sleeve_ways import ALIKE_M, Crossing, crossings

ONE_LINE_M = 0.04  # free play of a pair's middle in its way: holds one line of the lattice on which tails run
APART_M = 0.25  # of wall between two pairs
NEAR_M = 1.0  # ways within this of each other are equally near


def ways_past(
    level: Level,
    before: Mapping[str, Area],
    behind: Mapping[str, Area],
    at: tuple[float, float],
    count: int,
    reason: str,
    settings: Settings,
) -> tuple[tuple[SleeveWay, ...], str]:
    """Up to `count` ways between the floors before and behind a place `at` [m], each for one pair of tails.

    Floors are by room; `reason` says why the ways are wanted. Where there is none, the words tell which wall
    must not be drilled, "" if there is no wall between.
    """
    walls, spot = drilled_walls(level, settings), shapely.Point(at)
    places = [
        c
        for one in sorted(before.items())
        for other in sorted(behind.items())
        for c in _crossings(one, other, walls, settings)
    ]
    places.sort(key=lambda c: _worth(c, spot))
    taken = [w.outline for w in level.sleeve_ways]
    chosen: list[SleeveWay] = []
    for place in places:
        if walls.refusal(place.walls) or len(chosen) == count:
            continue
        if all(place.outline.distance(other) > APART_M for other in taken):
            chosen.append(place.way(reason))
            taken.append(place.outline)
    refused = next((why for c in places if (why := walls.refusal(c.walls))), "")
    return tuple(chosen), "" if chosen else refused


def _crossings(
    one: tuple[str, Area], other: tuple[str, Area], walls: DrilledWalls, settings: Settings
) -> list[Crossing]:
    """Places for ways just wide enough for one pair, on the lines of the tails' lattice."""
    spacing, clearance = settings.layout.tail_spacing_m, settings.layout.wall_clearance_m
    width = spacing + 2 * JAMB_CLEARANCE + ONE_LINE_M
    beside = max(0.0, clearance + CORNER_EXTRA + ONE_LINE_M / 4 - JAMB_CLEARANCE - ONE_LINE_M / 2)
    rooms = (room_of(one[0]), one[1]), (room_of(other[0]), other[1])
    return list(crossings(*rooms, walls, width, beside, 2 * spacing, phase_m=spacing / 2))


def _worth(crossing: Crossing, spot: shapely.Point) -> tuple[bool, int, int, float, tuple[float, ...]]:
    """The lower the better."""
    away = crossing.outline.distance(spot)
    thick = round(crossing.thickness_m / ALIKE_M)
    return unknown(crossing.walls), thick, round(away / NEAR_M), away, crossing.outline.bounds
