"""Shapes of random rooms, kind by kind: an outline of a wished area and what stands in it."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from itertools import pairwise

import shapely
from shapely.affinity import rotate, scale, translate
from shapely.geometry import Point, Polygon, box
from shapely.geometry.polygon import orient

Vector = tuple[float, float]
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
