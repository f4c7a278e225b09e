"""Random dwellings of 4 to 20 rooms: a hall, and either side of it halved again and again.

Some rooms are entered through another one, corners of the house are cut off or notched, kitchens and
bathrooms have what stands in them, and rooms of different use have different pitches.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace

import plan_sketch as sketch
import room_cases
import room_shapes
import shapely
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box

from ufh_core.building.types import Obstacle, Passage, Room, RoomKind, Storey

WALL = sketch.INNER_WALL
FEWEST, MOST = 4, 20
NARROWEST = 1.35
PITCHES = {RoomKind.BATH: (0.10, 0.15), RoomKind.WC: (0.10, 0.15, 0.20), RoomKind.LIVING: (0.15, 0.20, 0.25)}
OTHER_PITCHES = (0.15, 0.20, 0.25, 0.30)
HALL_KINDS, HALL_M2 = ("rectangle", "L", "T", "U", "steps", "column", "angled", "bay", "round"), 95.0
Block = tuple[float, float, float, float]


def random_plan(seed: str) -> tuple[Storey, dict[str, float]]:
    """A storey and the pitch [m] of each of its rooms."""
    draw = random.Random(seed)
    while True:
        rooms = _rooms(draw)
        if not FEWEST <= len(rooms) <= MOST:
            continue
        doors = _doors(draw, rooms)
        if doors is None:
            continue
        rooms = _with_corners_off(draw, rooms, doors)
        things = [thing for room in rooms for thing in _things(draw, room, doors)]
        made = sketch.storey(rooms, doors, obstacles=things)
        return made, {r.ifc_guid: draw.choice(PITCHES.get(r.kind, OTHER_PITCHES)) for r in rooms}


def random_hall(seed: str) -> tuple[Storey, dict[str, float]]:
    """A room too large for one pipe, with a lobby before its door, and the room's pitch [m]."""
    draw = random.Random(seed)
    while True:
        kind, pitch = draw.choice(HALL_KINDS), draw.choice(OTHER_PITCHES)
        area = math.exp(draw.uniform(math.log(1.1 * room_cases.PIPE_M * pitch), math.log(HALL_M2)))
        outline, things = room_shapes.KINDS[kind][1](draw, area)
        outline, things = room_cases.tidy(outline), [room_cases.tidy(t) for t in things]
        floor = outline.difference(shapely.union_all(things)) if things else outline
        door = room_cases.door_in(draw, outline, floor, kind)
        if door is None or min(abs(v) for v in door.inward) > 1e-6 or floor.geom_type != "Polygon":
            continue
        lobby = replace(door, width_m=2.8).ground(WALL + 1.6, -WALL)
        if not outline.is_valid or lobby.distance(outline) < WALL - 1e-3:
            continue
        rooms = [sketch.room("R0", lobby, RoomKind.HALL), sketch.room("R1", outline, RoomKind.LIVING)]
        way = sketch.THROUGH_X if abs(door.inward[0]) > 0.5 else sketch.THROUGH_Y
        doors = [sketch.door(door.ground(WALL, 0.0), way, "R0", "R1")]
        stands = [replace(sketch.unit_in(t), ifc_guid=f"R1-{k}") for k, t in enumerate(things)]
        return sketch.storey(rooms, doors, obstacles=stands), {"R1": pitch}


def _rooms(draw: random.Random) -> list[Room]:
    """The hall and the rooms on both sides, at one end too where the hall is not as long as the house."""
    area, ratio = math.exp(draw.uniform(math.log(38), math.log(230))), draw.uniform(1.0, 1.9)
    length, depth = math.sqrt(area * ratio), math.sqrt(area / ratio)
    x0, y0, width = draw.uniform(0, 0.1), draw.uniform(0, 0.1), draw.uniform(1.2, 2.2)
    low = y0 + draw.uniform(0.3, 0.7) * (depth - width)
    end = x0 + length
    share = draw.choice([1.0, draw.uniform(0.5, 0.8)])
    blocks: list[Block] = [(x0, low, x0 + share * length, low + width)]
    if share < 1:
        blocks += _halved(draw, (x0 + share * length + WALL, low, end, low + width), draw.uniform(6, 24))
    wish = draw.uniform(7, 22)
    blocks += _halved(draw, (x0, low + width + WALL, end, y0 + depth), wish)
    blocks += _halved(draw, (x0, y0, end, low - WALL), wish)
    blocks = [tuple(round(v, 3) for v in b) for b in blocks]  # type: ignore[misc]
    if any(min(b[2] - b[0], b[3] - b[1]) < 1.1 for b in blocks):
        return []
    kinds = [RoomKind.HALL, *(_kind(draw, (b[2] - b[0]) * (b[3] - b[1])) for b in blocks[1:])]
    if draw.random() < 0.3:  # the house stands the other way
        blocks = [(b[1], b[0], b[3], b[2]) for b in blocks]
    return [sketch.room(f"R{k}", box(*b), kind) for k, (b, kind) in enumerate(zip(blocks, kinds, strict=True))]


def _halved(draw: random.Random, block: Block, wish_m2: float) -> list[Block]:
    """A block split across its longer side until its parts are about as large as wished."""
    x0, y0, x1, y1 = block
    w, h = x1 - x0, y1 - y0
    if w * h < wish_m2 * draw.uniform(0.7, 1.9) or max(w, h) < 2 * NARROWEST + WALL:
        return [block]
    share = draw.uniform(0.3, 0.7)
    if w >= h * draw.uniform(0.7, 1.1):
        cut = min(max(x0 + share * w, x0 + NARROWEST), x1 - NARROWEST - WALL)
        parts: list[Block] = [(x0, y0, cut, y1), (cut + WALL, y0, x1, y1)]
    else:
        cut = min(max(y0 + share * h, y0 + NARROWEST), y1 - NARROWEST - WALL)
        parts = [(x0, y0, x1, cut), (x0, cut + WALL, x1, y1)]
    return [b for part in parts for b in _halved(draw, part, wish_m2)]


def _kind(draw: random.Random, area: float) -> RoomKind:
    if area < 3:
        return draw.choice([RoomKind.WC, RoomKind.STORE])
    if area < 8:
        return draw.choice([RoomKind.BATH, RoomKind.BATH, RoomKind.UTILITY, RoomKind.OFFICE])
    return draw.choice([RoomKind.BEDROOM, RoomKind.BEDROOM, RoomKind.KITCHEN, RoomKind.LIVING, RoomKind.OFFICE])


def _doors(draw: random.Random, rooms: list[Room]) -> list[Passage] | None:
    """A door from each room to the hall, or to a room that has a way to it; now and then one more."""
    doors, joined, waiting = [], [rooms[0]], list(rooms[1:])
    while waiting:
        found = next(((r, n) for n in joined for r in waiting if _between(r, n)), None)
        if found is None:
            return None
        room, next_to = found
        doors.append(_door(draw, room, next_to))
        waiting.remove(room)
        joined.append(room)
    for room in rooms[1:]:
        known = {g for d in doors if room.ifc_guid in d.rooms for g in d.rooms}
        near = [r for r in rooms[1:] if r.ifc_guid not in known and _between(room, r)]
        if near and draw.random() < 0.1:
            extra = _door(draw, room, draw.choice(near))
            if all(extra.outline.distance(d.outline) > 0.2 for d in doors):
                doors.append(extra)
    return doors


def _between(one: Room, other: Room) -> tuple[str, float, float, float] | None:
    """(axis along the wall, wall's near face, first and last place along it) where a door fits between two rooms."""
    a, b = one.outline.bounds, other.outline.bounds
    for across in (0, 1):
        along = 1 - across
        low, high = max(a[along], b[along]), min(a[along + 2], b[along + 2])
        if high - low < 1.15:
            continue
        for first, second in ((a, b), (b, a)):
            if abs(second[across] - first[across + 2] - WALL) < 5e-3:
                return "yx"[across], first[across + 2], low, high
    return None


def _door(draw: random.Random, one: Room, other: Room) -> Passage:
    axis, face, low, high = _between(one, other) or ("x", 0, 0, 0)
    wide = draw.uniform(0.75, 0.95)
    at = draw.choice([low + 0.1, high - 0.1 - wide, draw.uniform(low + 0.1, high - 0.1 - wide)])
    span = [round(v, 3) for v in (at, at + wide)]
    if axis == "x":
        outline, way = box(span[0], face, span[1], face + WALL), sketch.THROUGH_Y
    else:
        outline, way = box(face, span[0], face + WALL, span[1]), sketch.THROUGH_X
    return sketch.door(outline, way, other.ifc_guid, one.ifc_guid)


def _with_corners_off(draw: random.Random, rooms: list[Room], doors: list[Passage]) -> list[Room]:
    """Some corners of the house cut off obliquely, some notched."""
    x0, y0, x1, y1 = shapely.union_all([r.outline for r in rooms]).bounds
    found = list(rooms)
    for x, y, dx, dy in ((x0, y0, 1, 1), (x1, y0, -1, 1), (x0, y1, 1, -1), (x1, y1, -1, -1)):
        lot, a, b = draw.random(), draw.uniform(0.6, 1.8), draw.uniform(0.6, 1.8)
        if lot > 0.35:
            continue
        far = (x + dx * a, y + dy * b)
        cut = Polygon([(x, y), (far[0], y), (x, far[1])]) if lot < 0.2 else box(*_box(x, y, *far))
        for k, room in enumerate(found):
            left = room.outline.difference(cut.buffer(1e-4, join_style="mitre"))
            if left.area == room.outline.area:
                continue
            narrow = left.geom_type != "Polygon" or left.buffer(-0.6).is_empty or left.area < 0.6 * room.outline.area
            if room.kind is not RoomKind.HALL and not narrow and all(cut.distance(d.outline) > 0.5 for d in doors):
                found[k] = replace(room, outline=left)
    return found


def _box(x: float, y: float, u: float, v: float) -> Block:
    """Two corners as a box."""
    return min(x, u), min(y, v), max(x, u), max(y, v)


def _things(draw: random.Random, room: Room, doors: list[Passage]) -> list[Obstacle]:
    """What stands in a room: kitchen units and an island, a pan, a column."""
    if room.kind is RoomKind.KITCHEN:
        wishes = [(draw.uniform(1.6, 3.0), 0.6, True)] + [(1.6, 0.8, False)] * (room.outline.area > 15)
    elif room.kind in (RoomKind.WC, RoomKind.BATH):
        wishes = [(0.38, 0.55, True)]
    else:
        wishes = [(draw.uniform(0.25, 0.5), draw.uniform(0.25, 0.5), False)] * (draw.random() < 0.12)
    placed: list[Polygon] = []
    for wide, deep, at_wall in wishes:
        for _ in range(10):
            outline = _put(draw, room.outline, wide, deep, at_wall)
            near_door = any(outline.distance(d.outline) < 0.75 for d in doors)
            left = room.outline.difference(outline)
            open_floor = left.geom_type == "Polygon" and left.buffer(-0.25).geom_type == "Polygon"
            inside = outline.difference(room.outline.buffer(1e-3)).area < 1e-9
            if inside and not near_door and open_floor and all(outline.distance(p) > 0.6 for p in placed):
                placed.append(outline)
                break
    return [replace(sketch.unit_in(p), ifc_guid=f"{room.ifc_guid}-{k}") for k, p in enumerate(placed)]


def _put(draw: random.Random, outline: Polygon, wide: float, deep: float, at_wall: bool) -> Polygon:
    """A box of a size somewhere in a room, or with its back to one of the walls."""
    x0, y0, x1, y1 = outline.bounds
    thing = rotate(box(0, 0, wide, deep), 90 * draw.randrange(4), origin=(0, 0))
    thing = translate(thing, -thing.bounds[0], -thing.bounds[1])
    w, h = thing.bounds[2:]
    xs, ys = draw.uniform(x0, max(x0, x1 - w)), draw.uniform(y0, max(y0, y1 - h))
    if at_wall:
        xs, ys = draw.choice([(xs, y0), (xs, y1 - h), (x0, ys), (x1 - w, ys)])
    placed = translate(thing, xs, ys)
    free = at_wall or outline.buffer(-0.6).contains(placed)
    return placed if free else translate(placed, 1e3, 0)
