"""Rooms with a door, made into requests for a field: by hand and at random."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import pairwise

from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

from ufh_core.fields.types import Approach, FieldRequest

WALL, CLEARANCE, PITCHES = 0.12, 0.05, (0.15, 0.20, 0.25, 0.30)


def request(
    floor: Polygon, door: tuple[float, float], heading: tuple[int, int], pitch: float, width: float = 0.8
) -> FieldRequest:
    """A request for a room whose door's middle lies at `door` on the wall face, `heading` into the room."""
    axis = floor.buffer(-CLEARANCE, join_style="mitre")
    (hx, hy), (x, y) = heading, door
    half = width / 2 - CLEARANCE
    passage = [
        (x + hy * half * s + hx * way, y - hx * half * s + hy * way)
        for s, way in ((-1, -WALL), (1, -WALL), (1, 0.5), (-1, 0.5))
    ]
    threshold = Polygon([*passage[:2], (x + hy * half, y - hx * half), (x - hy * half, y + hx * half)])
    lane = Polygon(passage).intersection(unary_union([floor, threshold])).union(axis)
    across = y if hx else x
    nearest = round((across - 0.025) / 0.05) * 0.05 + 0.025
    ways = [nearest + 0.05 * s for s in (0, 1, -1, 2, -2, 3, -3)]
    ways = [w for w in ways if abs(w - across) <= half - 0.045]
    at = [(x - hx * WALL / 2, w) if hx else (w, y - hy * WALL / 2) for w in ways]
    return FieldRequest(
        floor=floor,
        axis_area=axis,
        lane_area=lane,
        approaches=tuple(Approach(at=a, heading=heading) for a in at[:5]),
        pitch_m=pitch,
    )


def turned_request(
    floor: Polygon, door: tuple[float, float], heading: tuple[int, int], pitch: float, degrees: float
) -> FieldRequest:
    """The same for a room turned about the origin; the pair still arrives along an axis, on the studs of the frame."""
    straight = request(floor, door, heading, pitch)
    floor, axis, lane = (
        rotate(area, degrees, origin=(0, 0)) for area in (floor, straight.axis_area, straight.lane_area)
    )
    middle = rotate(Point(door[0] - heading[0] * WALL / 2, door[1] - heading[1] * WALL / 2), degrees, origin=(0, 0))
    inwards = math.atan2(heading[1], heading[0]) + math.radians(degrees)
    quarter = round(inwards / (math.pi / 2)) % 4
    hx, hy = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
    across = middle.y if hx else middle.x
    nearest = round((across - 0.025) / 0.05) * 0.05 + 0.025
    ways = [round(nearest + 0.05 * s, 6) for s in (0, 1, -1, 2, -2, 3, -3)]
    at = [(middle.x, w) if hx else (w, middle.y) for w in ways]
    inside = [a for a in at if lane.covers(LineString([a, (a[0] + 0.3 * hx, a[1] + 0.3 * hy)]).buffer(0.03))]
    return replace(
        straight,
        floor=floor,
        axis_area=axis,
        lane_area=lane,
        approaches=tuple(Approach(at=a, heading=(hx, hy)) for a in inside[:5]),
    )


def random_request(seed: int, oblique: bool = False) -> FieldRequest:
    """A random rectilinear room of up to 24 m² with a random door, now and then a column, an oblique wall if asked."""
    return request(*_room_with_door(random.Random(seed), oblique))


def random_turned_request(seed: int, degrees: float, oblique: bool = False) -> FieldRequest:
    """The room of `random_request` turned against the frame."""
    return turned_request(*_room_with_door(random.Random(seed), oblique), degrees)


def _room_with_door(rng: random.Random, oblique: bool) -> tuple[Polygon, tuple[float, float], tuple[int, int], float]:
    """(room, door, heading, pitch)."""
    while True:
        room = _room(rng, oblique)
        walls = [e for e in pairwise(room.exterior.coords) if _square(*e) and math.dist(*e) >= 0.85]
        if not walls or room.area > 24:
            continue
        (ax, ay), (bx, by) = rng.choice(walls)
        length = math.dist((ax, ay), (bx, by))
        share = rng.choice([0.42 / length, 1 - 0.42 / length, rng.uniform(0.42 / length, 1 - 0.42 / length)])
        door = (ax + (bx - ax) * share, ay + (by - ay) * share)
        turn = 1 if room.exterior.is_ccw else -1
        heading = (round(-(by - ay) / length) * turn, round((bx - ax) / length) * turn)
        if room.contains(Point(door[0] + 0.3 * heading[0], door[1] + 0.3 * heading[1])):
            return room, door, heading, rng.choice(PITCHES)


def _square(p: tuple[float, float], q: tuple[float, float]) -> bool:
    return min(abs(p[0] - q[0]), abs(p[1] - q[1])) < 1e-6


def _room(rng: random.Random, oblique: bool) -> Polygon:
    w, h = rng.uniform(1.2, 5.5), rng.uniform(1.2, 5.0)
    room = box(0, 0, w, h)
    for _ in range(rng.choice([0, 1, 1, 2, 3])):
        bw, bh = rng.uniform(0.3, w * 0.6), rng.uniform(0.3, h * 0.6)
        x, y = rng.choice([0, w - bw, rng.uniform(0, w - bw)]), rng.choice([0, h - bh])
        room = _largest(room, room.difference(box(x, y, x + bw, y + bh)))
    if oblique:
        cut = [(w * rng.uniform(0.5, 0.8), h + 1), (w + 1, h + 1), (w + 1, h * rng.uniform(0.4, 0.8))]
        room = _largest(room, room.difference(Polygon(cut)))
    x, y, size = rng.uniform(1, 3), rng.uniform(1, 3), rng.uniform(0.2, 0.9)
    if rng.random() < 0.25 and room.buffer(-0.5).contains(box(x, y, x + size, y + size)):
        room = room.difference(box(x, y, x + size, y + size))
    return translate(room, rng.uniform(0, 0.05), rng.uniform(0, 0.05))


def _largest(before: Polygon, after: Polygon) -> Polygon:
    largest = max(getattr(after, "geoms", [after]), key=lambda p: p.area)
    return largest if largest.area > 1.4 else before
