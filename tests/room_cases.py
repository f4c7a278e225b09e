"""Random rooms of every kind that a house has: outline, what stands in it, one door, a pitch.

A room is drawn from one seed text, so that a single one can be drawn again. Sizes are log-uniform from
1 m² up, as far as one pipe of 100 m reaches at the pitch.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from room_shapes import KINDS
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

from ufh_core.fields.types import Approach, FieldRequest

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
        outline = tidy(translate(outline, draw.uniform(0, STUD), draw.uniform(0, STUD)))
        case = _case(draw, seed, kind, outline, [tidy(k) for k in keep_outs], pitch, on_studs)
        if case is not None:
            return case


def tidy(area: Polygon) -> Polygon:
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
    door = door_in(draw, outline, floor, kind)
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


def door_in(draw: random.Random, outline: Polygon, floor: Polygon, kind: str) -> Door | None:
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
