"""Plans made up in a few lines: rooms, doors, storeys, levels, and whole random dwellings.

Walls are the gaps between rooms, as a real model leaves them; coordinates are off the stud grid.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
from shapely.geometry import Polygon, box

from ufh_core.building.types import Obstacle, Opening, Passage, Room, RoomKind, Storey
from ufh_core.lanes.grid import LaneGrid
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level, levels_of

UNIT = tuple(tuple(float(i == j) for j in range(4)) for i in range(4))
THROUGH_X, THROUGH_Y = (1.0, 0.0), (0.0, 1.0)
INNER_WALL = 0.12


def room(guid: str, outline: Polygon, kind: RoomKind = RoomKind.BEDROOM, floor_m: float = 0.0, **more: object) -> Room:
    values = {"name": guid, "long_name": "", "height_m": 2.5} | more
    return Room(ifc_guid=guid, kind=kind, outline=outline, floor_m=floor_m, **values)


def door(outline: Polygon, direction: tuple[float, float], *rooms: str, kind: str = "door") -> Passage:
    left, low, right, high = outline.bounds
    width = right - left if direction[1] else high - low
    guid = "-".join((kind, *rooms))
    return Passage(ifc_guid=guid, kind=kind, outline=outline, direction=direction, width_m=width, rooms=rooms)


def window(outline: Polygon) -> Opening:
    return Opening(ifc_guid="w", name="", kind="window", outline=outline, bottom_m=0.9, top_m=2.1, width_m=1.0)


def unit_in(outline: Polygon, *, movable: bool = False, kind: str = "furniture", **more: float) -> Obstacle:
    values = {"bottom_m": 0.0, "top_m": 0.9} | more
    return Obstacle(ifc_guid="u", name="", kind=kind, outline=outline, movable=movable, **values)


def storey(
    rooms: Sequence[Room],
    passages: Sequence[Passage] = (),
    openings: Sequence[Opening] = (),
    obstacles: Sequence[Obstacle] = (),
) -> Storey:
    return Storey(
        ifc_guid="S",
        name="Ground",
        elevation_m=0.0,
        placement=UNIT,
        rooms=tuple(rooms),
        passages=tuple(passages),
        openings=tuple(openings),
        obstacles=tuple(obstacles),
    )


def level(of: Storey, settings: Settings | None = None) -> Level:
    """The one level of a storey, with all of its rooms heated."""
    (only,) = levels_of(of, frozenset(r.ifc_guid for r in of.rooms), settings or Settings())
    return only


def one_room(outline: Polygon, kind: RoomKind = RoomKind.LIVING, **more: Sequence[object]) -> Level:
    return level(storey([room("A", outline, kind)], **more))


def open_grid(columns: int, rows: int, blocked: Sequence[tuple[int, int]] = (), leg: int = 2) -> LaneGrid:
    """A lattice with a closed rim two nodes wide."""
    free = np.zeros((columns, rows), dtype=bool)
    free[2:-2, 2:-2] = True
    for i, j in blocked:
        free[i, j] = False
    return LaneGrid(
        x0=0.025,
        y0=0.025,
        step=0.1,
        spacing=0.05,
        columns=columns,
        rows=rows,
        leg=leg,
        free=free.ravel(),
        lock=np.zeros(columns * rows, dtype=np.int8),
    )


def random_dwelling(seed: int) -> Storey:
    """A hall with rooms on both sides, split by random widths, a door each at a random place.

    Often one room is an L, and the largest has a fixed unit standing free in it.
    """
    draw = random.Random(seed)
    x0, y0 = round(draw.uniform(0, 0.1), 3), round(draw.uniform(0, 0.1), 3)
    length, width = draw.uniform(6.5, 13), draw.uniform(1.3, 2.3)
    rooms = [room("hall", _box(x0, y0, x0 + length, y0 + width), RoomKind.HALL)]
    passages = []
    for side in (1, -1):
        near = y0 + width + INNER_WALL if side > 0 else y0 - INNER_WALL
        far = near + side * draw.uniform(2.8, 5.2)
        wall = sorted((near, near - side * INNER_WALL))
        for left, right in _widths(draw, x0, x0 + length):
            guid = f"{'N' if side > 0 else 'S'}{len(rooms)}"
            rooms.append(room(guid, _box(left, near, right, far), draw.choice(_KINDS)))
            clear = draw.uniform(0.8, 1.0)
            at = draw.uniform(left + 0.1, right - 0.1 - clear)
            passages.append(door(_box(at, wall[0], at + clear, wall[1]), THROUGH_Y, "hall", guid))
    if draw.random() < 0.5:
        k = draw.randrange(1, len(rooms))
        rooms[k] = room(rooms[k].ifc_guid, _bitten(draw, rooms[k].outline, y0), rooms[k].kind)
    largest = max(rooms[1:], key=lambda r: r.outline.area)
    obstacles = [unit_in(_island(draw, largest.outline))] if draw.random() < 0.4 else []
    return storey(rooms, passages, obstacles=obstacles)


_KINDS = (RoomKind.BEDROOM, RoomKind.LIVING, RoomKind.KITCHEN, RoomKind.BATH, RoomKind.OFFICE)


def _box(left: float, one: float, right: float, other: float) -> Polygon:
    return box(round(left, 3), round(min(one, other), 3), round(right, 3), round(max(one, other), 3))


def _widths(draw: random.Random, left: float, end: float) -> list[tuple[float, float]]:
    spans = []
    while end - left > 5.6:
        right = left + draw.uniform(2.0, min(5.5, end - left - 2.2))
        spans.append((left, right))
        left = right + INNER_WALL
    return [*spans, (left, end)]


def _bitten(draw: random.Random, outline: Polygon, hall_y: float) -> Polygon:
    """The room without a corner at its outer wall."""
    left, low, right, high = outline.bounds
    wide, deep = draw.uniform(0.3, 0.5) * (right - left), draw.uniform(0.3, 0.5) * (high - low)
    a, b = (left - 1, left + wide) if draw.random() < 0.5 else (right - wide, right + 1)
    bite = box(a, high - deep, b, high + 1) if low > hall_y else box(a, low - 1, b, low + deep)
    return outline.difference(bite)


def _island(draw: random.Random, outline: Polygon) -> Polygon:
    centre = outline.representative_point()
    half_x, half_y = draw.uniform(0.3, 0.7), draw.uniform(0.25, 0.4)
    island = box(centre.x - half_x, centre.y - half_y, centre.x + half_x, centre.y + half_y)
    return island.intersection(outline.buffer(-0.6)).envelope


def corridor(rooms: int = 6) -> Level:
    """A long hall with rooms of 3 m by 4 m on both sides."""
    length = 3.12 * rooms - 0.12
    found = [room("hall", box(0.02, 4.15, length, 6.05), RoomKind.HALL)]
    doors = []
    for k in range(rooms):
        left = 0.02 + 3.12 * k
        for guid, low, high, wall in ((f"S{k}", 0.03, 4.03, 4.03), (f"N{k}", 6.17, 10.17, 6.05)):
            found.append(room(guid, box(left, low, left + 2.98, high), RoomKind.OFFICE))
            doors.append(door(box(left + 0.5, wall, left + 1.4, wall + 0.12), THROUGH_Y, "hall", guid))
    return level(storey(found, doors))
