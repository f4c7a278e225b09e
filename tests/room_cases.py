"""Random rooms of every kind that a house has: outline, what stands in it, one door, a pitch.

A room is drawn from one seed text, so that a single one can be drawn again. Sizes are log-uniform from
1 m² up, as far as one pipe of 100 m reaches at the pitch.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.affinity import rotate, scale, translate
from shapely.geometry import Point, Polygon, box
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

from ufh_core.circuits.field_types import Approach, FieldRequest

Vector = tuple[float, float]
WALL, CLEARANCE, STUD, TAILS, RADIUS = 0.12, 0.05, 0.05, 0.05, 0.075
PITCHES = (0.10, 0.15, 0.20, 0.25, 0.30)
SMALLEST, LARGEST, PIPE_M = 1.0, 60.0, 86.0
LIMB = 0.7
"""Plain rooms have no arm narrower than this [m]."""
PLAIN = ("rectangle", "L", "T", "U")
FREE_SHARE = 0.25
"""Rooms without a stud grid, as soon as a request can say so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """A door: the middle of its opening on the wall face, the unit vector into the room, clear width [m]."""

    at: Vector
    inward: Vector
    width_m: float

    def ground(self, before: float, after: float, inset: float = 0.0) -> Polygon:
        """The strip of the door from `before` m outside the wall face to `after` m inside."""
        (x, y), (u, v), half = self.at, self.inward, self.width_m / 2 - inset
        corners = [(-half, -before), (half, -before), (half, after), (-half, after)]
        return Polygon([(x + v * a + u * b, y - u * a + v * b) for a, b in corners])


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomCase:
    """One room to lay: `outline` of its walls, `keep_outs` on its floor, in metres."""

    name: str
    kind: str
    outline: Polygon
    keep_outs: tuple[Polygon, ...]
    door: Door
    pitch_m: float
    on_studs: bool = True

    @property
    def floor(self) -> Polygon:
        """The outline less what stands on it."""
        return self.outline.difference(unary_union(self.keep_outs)) if self.keep_outs else self.outline


def can_be_free() -> bool:
    """Whether a request can ask for a field without studs."""
    return "on_studs" in FieldRequest.__dataclass_fields__


def request(case: RoomCase) -> FieldRequest:
    """What is asked of the layout for a room."""
    floor, door = case.floor, case.door
    axis = floor.buffer(-CLEARANCE, join_style="mitre")
    inside = unary_union([floor, door.ground(WALL, 1e-3)])
    more = {} if case.on_studs or not can_be_free() else {"on_studs": False}
    return FieldRequest(
        floor=floor,
        axis_area=axis,
        lane_area=door.ground(WALL, 0.5, CLEARANCE).intersection(inside).union(axis),
        approaches=tuple(_approaches(door)),
        pitch_m=case.pitch_m,
        stud_pitch_m=STUD,
        least_radius_m=RADIUS,
        tail_spacing_m=TAILS,
        **more,
    )


def _approaches(door: Door) -> list[Approach]:
    """Up to five ways through a door along the frame's axes, the pair on studs, the middle one first."""
    (ux, uy), (x, y) = door.inward, door.at
    along_x = abs(ux) >= abs(uy)
    heading = (int(math.copysign(1, ux)), 0) if along_x else (0, int(math.copysign(1, uy)))
    middle = (x - ux * WALL / 2, y - uy * WALL / 2)
    across, slope = (middle[1], -uy / ux) if along_x else (middle[0], -ux / uy)
    nearest = round((across - TAILS / 2) / STUD) * STUD + TAILS / 2
    room = (door.width_m / 2 - CLEARANCE - TAILS / 2 - 0.02) * max(abs(ux), abs(uy))
    found = []
    for step in (0, 1, -1, 2, -2, 3, -3):
        off = nearest + step * STUD - across
        if abs(off) <= room:  # the line across the middle of the wall
            at = (middle[0] + slope * off, across + off) if along_x else (across + off, middle[1] + slope * off)
            found.append(Approach(at=at, heading=heading))
    return found[:5]


# --- drawing lots -------------------------------------------------------------------------------------


def random_room(seed: str) -> RoomCase:
    """The room of a seed text."""
    draw = random.Random(seed)
    kinds, weights = zip(*((kind, weight) for kind, (weight, _) in KINDS.items()), strict=True)
    while True:
        (kind,) = draw.choices(kinds, weights)
        area = math.exp(draw.uniform(math.log(SMALLEST), math.log(LARGEST)))
        pitches = [p for p in PITCHES if area <= PIPE_M * p]
        if not pitches:  # more than one pipe can fill: such rooms stand in the dwellings
            continue
        pitch, on_studs = draw.choice(pitches), draw.random() >= FREE_SHARE
        outline, keep_outs = KINDS[kind][1](draw, area)
        outline = _tidy(translate(outline, draw.uniform(0, STUD), draw.uniform(0, STUD)))
        case = _case(draw, seed, kind, outline, [_tidy(k) for k in keep_outs], pitch, on_studs)
        if case is not None:
            return case


def _tidy(area: Polygon) -> Polygon:
    """Corners on tenths of a millimetre, as a model would have them."""
    return Polygon(np.round(area.exterior.coords, 4))


def _case(
    draw: random.Random, seed: str, kind: str, outline: Polygon, keep_outs: list[Polygon], pitch: float, on_studs: bool
) -> RoomCase | None:
    """The room with a door; None where it is too narrow to be one or no door fits."""
    floor = outline.difference(unary_union(keep_outs)) if keep_outs else outline
    limb = LIMB if kind in PLAIN else 0.4
    opened = outline.buffer(-limb / 2, join_style="mitre").buffer(limb / 2, join_style="mitre")
    if (kind in ("column", "island", "units") and not keep_outs) or outline.area > 1.02 * PIPE_M * pitch:
        return None
    if (
        floor.geom_type != "Polygon"
        or not (floor.is_valid and outline.is_valid)
        or floor.area < 0.8 * SMALLEST
        or opened.area < 0.97 * outline.area
    ):
        return None
    if floor.buffer(-0.2).geom_type != "Polygon":
        return None
    door = _door(draw, outline, floor, kind)
    if door is None:
        return None
    return RoomCase(
        name=seed,
        kind=kind,
        outline=outline,
        keep_outs=tuple(keep_outs),
        door=door,
        pitch_m=pitch,
        on_studs=on_studs or not can_be_free(),
    )


def _door(draw: random.Random, outline: Polygon, floor: Polygon, kind: str) -> Door | None:
    """A door at a random place of a random wall, often in its corner, with free floor in front."""
    outline = orient(outline)
    walls = [(np.array(a), np.array(b)) for a, b in pairwise(outline.exterior.coords)]
    if kind not in ("turned", "round") and draw.random() < 0.85:
        walls = [(a, b) for a, b in walls if min(abs(b - a)) < 1e-6] or walls
    for _ in range(12):
        a, b = draw.choice(walls)
        length, width = float(np.linalg.norm(b - a)), draw.uniform(0.7, 1.0)
        if length < width + 0.02:
            continue
        least, most = width / 2 + 0.01, length - width / 2 - 0.01
        along = draw.choice([least, most, draw.uniform(least, most), draw.uniform(least, most)])
        way = (b - a) / length
        middle = a + along * way
        inward = (-float(way[1]), float(way[0]))
        door = Door(at=(round(float(middle[0]), 4), round(float(middle[1]), 4)), inward=inward, width_m=round(width, 3))
        if floor.buffer(1e-3).contains(door.ground(0, min(0.55, 0.9 * width))):
            return door
    return None


# --- the kinds ----------------------------------------------------------------------------------------

Made = tuple[Polygon, list[Polygon]]


def _sides(draw: random.Random) -> Vector:
    """Sides of a box of one square metre."""
    ratio = math.exp(draw.uniform(-0.7, 0.7))
    return math.sqrt(ratio), math.sqrt(1 / ratio)


def _to(outline: Polygon, area: float) -> Polygon:
    """The outline at another size."""
    size = math.sqrt(area / outline.area)
    return scale(outline, size, size, origin=(0, 0))


def _any_way(draw: random.Random, outline: Polygon) -> Polygon:
    """The outline turned by quarters or mirrored."""
    turned = rotate(outline, 90 * draw.randrange(4), origin=(0, 0))
    return scale(turned, draw.choice([1, -1]), 1, origin=(0, 0))


def rectangle(draw: random.Random, area: float) -> Made:
    """A plain room."""
    return _to(box(0, 0, *_sides(draw)), area), []


def corridor(draw: random.Random, area: float) -> Made:
    """A long narrow room."""
    ratio = draw.uniform(3.5, 9)
    width = min(max(0.9, math.sqrt(area / ratio)), 2.0)
    return _any_way(draw, box(0, 0, width, min(max(area / width, 2.5 * width), 16.0))), []


def l_room(draw: random.Random, area: float) -> Made:
    """A rectangle without a corner."""
    w, h = _sides(draw)
    bite = box(w * draw.uniform(0.3, 0.7), h * draw.uniform(0.3, 0.7), w + 1, h + 1)
    return _to(_any_way(draw, box(0, 0, w, h) - bite), area), []


def t_room(draw: random.Random, area: float) -> Made:
    """A rectangle without two corners of one side."""
    w, h = _sides(draw)
    left, right, deep = draw.uniform(0.15, 0.4), draw.uniform(0.6, 0.85), h * draw.uniform(0.35, 0.65)
    room = box(0, 0, w, h) - box(-1, deep, w * left, h + 1) - box(w * right, deep, w + 1, h + 1)
    return _to(_any_way(draw, room), area), []


def u_room(draw: random.Random, area: float) -> Made:
    """A rectangle with a bite out of one side."""
    w, h = _sides(draw)
    left, right = draw.uniform(0.2, 0.4), draw.uniform(0.55, 0.8)
    room = box(0, 0, w, h) - box(w * left, h * draw.uniform(0.35, 0.7), w * right, h + 1)
    return _to(_any_way(draw, room), area), []


def steps(draw: random.Random, area: float) -> Made:
    """A rectangle with several bites out of its sides."""
    w, h = _sides(draw)
    room = box(0, 0, w, h)
    for _ in range(draw.choice([2, 3, 4])):
        bw, bh = w * draw.uniform(0.1, 0.5), h * draw.uniform(0.1, 0.5)
        x, y = draw.choice([0, w - bw, draw.uniform(0, w - bw)]), draw.choice([0, h - bh])
        room = _largest(room - box(x, y, x + bw, y + bh))
    return _to(_any_way(draw, room), area), []


def _largest(area: shapely.Geometry) -> Polygon:
    return max(shapely.get_parts(area), key=lambda p: p.area)


def angled(draw: random.Random, area: float) -> Made:
    """One to three oblique walls: corners cut off, a side that is not square, or no two walls parallel."""
    w, h = _sides(draw)
    if draw.random() < 0.35:
        jitter = [draw.uniform(0, 0.3) for _ in range(5)]
        room = Polygon([(0, 0), (w, 0), (w - w * jitter[0], h - h * jitter[1]), (w * jitter[2], h - h * jitter[3])])
        return _to(_any_way(draw, room), area), []
    room = box(0, 0, w, h)
    for sx, sy in draw.sample([(0, 0), (1, 0), (0, 1), (1, 1)], draw.choice([1, 1, 2, 3])):
        a, b = w * draw.uniform(0.15, 0.55), h * draw.uniform(0.15, 0.55)
        x, y, dx, dy = sx * w, sy * h, (1 - 2 * sx), (1 - 2 * sy)
        cut = Polygon([(x - dx, y - dy), (x + dx * a, y - dy * 1e-9), (x - dx * 1e-9, y + dy * b)])
        room = _largest(room - cut.union(Polygon([(x, y), (x + dx * a, y), (x, y + dy * b)])))
    return _to(room, area), []


def turned(draw: random.Random, area: float) -> Made:
    """A rectangle or an L that stands askew in the frame."""
    outline = (rectangle if draw.random() < 0.6 else l_room)(draw, area)[0]
    return rotate(outline, draw.uniform(4, 86), origin=(0, 0)), []


def bay(draw: random.Random, area: float) -> Made:
    """A rectangle with a bay of three walls."""
    w, h = _sides(draw)
    left, right, deep = w * draw.uniform(0.1, 0.35), w * draw.uniform(0.65, 0.9), h * draw.uniform(0.12, 0.35)
    slope = draw.uniform(0.1, 0.4) * (right - left)
    front = Polygon([(left, h - 0.01), (right, h - 0.01), (right - slope, h + deep), (left + slope, h + deep)])
    return _to(_any_way(draw, box(0, 0, w, h).union(front)), area), []


def round_wall(draw: random.Random, area: float) -> Made:
    """A round room, a round end or a round corner, in chords."""
    w, h = _sides(draw)
    chords = draw.choice([6, 8, 12])
    kind = draw.choice(["room", "end", "corner"])
    if kind == "room":
        outline = scale(Point(0, 0).buffer(1, quad_segs=draw.choice([2, 3, 4])), 1, draw.uniform(0.8, 1.0))
    elif kind == "end":
        end = scale(Point(0, 0).buffer(w / 2, quad_segs=chords), 1, draw.uniform(0.4, 1.0), origin=(0, 0))
        outline = box(0, 0, w, h).union(translate(end, w / 2, h).intersection(box(0, h - 0.01, w, h + w)))
    else:
        r = min(w, h) * draw.uniform(0.4, 0.9)
        corner = box(w - r, h - r, w, h) - Point(w - r, h - r).buffer(r, quad_segs=chords)
        outline = _largest(box(0, 0, w, h) - corner)
    return _to(_any_way(draw, _largest(outline.buffer(0))), area), []


def column(draw: random.Random, area: float) -> Made:
    """A rectangle or an L with one or two columns."""
    outline = (rectangle if draw.random() < 0.7 else l_room)(draw, max(area, 5))[0]
    return outline, _standing(draw, outline, lambda: _column(draw), draw.choice([1, 1, 2]))


def _column(draw: random.Random) -> Polygon:
    size = draw.uniform(0.2, 0.5)
    if draw.random() < 0.4:
        return Point(0, 0).buffer(size / 2, quad_segs=4)
    return rotate(box(-size / 2, -size / 2, size / 2, size / 2), draw.choice([0, 0, 0, draw.uniform(0, 90)]))


def island(draw: random.Random, area: float) -> Made:
    """A room with a block standing free in it, sometimes askew."""
    outline = (rectangle if draw.random() < 0.8 else l_room)(draw, max(area, 9))[0]
    half_x, half_y = draw.uniform(0.5, 1.1), draw.uniform(0.3, 0.5)
    block = rotate(box(-half_x, -half_y, half_x, half_y), draw.choice([0, 90, 0, 90, draw.uniform(0, 90)]))
    return outline, _standing(draw, outline, lambda: block, 1)


def _standing(draw: random.Random, outline: Polygon, thing: Callable[[], Polygon], count: int) -> list[Polygon]:
    """So many things at random places, half a metre and more from the walls and each other."""
    x0, y0, x1, y1 = outline.bounds
    found: list[Polygon] = []
    for _ in range(30):
        put = translate(thing(), draw.uniform(x0, x1), draw.uniform(y0, y1))
        clear = outline.buffer(-0.5).contains(put) and all(put.distance(f) > 0.6 for f in found)
        found += [put] if clear else []
        if len(found) == count:
            break
    return found


def units(draw: random.Random, area: float) -> Made:
    """A room with fixed units at its walls: a pan, a shaft, a chimney, a kitchen."""
    outline = (rectangle if draw.random() < 0.75 else l_room)(draw, area)[0]
    corners = list(pairwise(orient(outline).exterior.coords))
    sizes = [(0.38, 0.55), (0.3, 0.6), (0.45, 0.4)] + ([(1.8, 0.6), (2.6, 0.6)] if area > 7 else [])
    found: list[Polygon] = []
    for _ in range(draw.choice([1, 1, 2, 3])):
        (wide, deep), (a, b) = draw.choice(sizes), draw.choice(corners)
        length = math.dist(a, b)
        if length < wide + 0.1 or wide * deep > 0.3 * area:
            continue
        u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        along = draw.choice([0, length - wide, draw.uniform(0, length - wide)])
        place = [(along, 0), (along + wide, 0), (along + wide, deep), (along, deep)]
        found.append(Polygon([(a[0] + u[0] * s - u[1] * t, a[1] + u[1] * s + u[0] * t) for s, t in place]))
    return outline, found


KINDS: dict[str, tuple[float, Callable[[random.Random, float], Made]]] = {
    "rectangle": (16, rectangle),
    "L": (10, l_room),
    "T": (7, t_room),
    "U": (7, u_room),
    "corridor": (6, corridor),
    "steps": (8, steps),
    "units": (11, units),
    "column": (8, column),
    "island": (5, island),
    "angled": (9, angled),
    "turned": (5, turned),
    "bay": (4, bay),
    "round": (4, round_wall),
}
"""Weight and maker of every kind."""
