"""Random rooms: every field keeps the rules, by measures of this file's own. Rules: EN 1264-4, from memory."""

import math
import random
from itertools import pairwise

import pytest
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from ufh_core.joints.storey import divided
from ufh_core.joints.types import FieldRules, JointReason

CEMENT = FieldRules(area_m2=40.0, side_m=8.0, ratio=2.0, ratio_free_side_m=3.0)
LEG = 0.5


def random_room(draw: random.Random) -> Polygon:
    """A rectangle with corners and pieces of its walls taken off, whole decimetres, some with columns, some turned."""
    w, h = draw.randint(12, 160) / 10, draw.randint(9, 110) / 10
    room: Polygon = box(0, 0, w, h)
    for _ in range(draw.choice((0, 0, 1, 1, 2, 3))):
        a, b = round(draw.uniform(0.2, 0.6) * w, 1), round(draw.uniform(0.2, 0.6) * h, 1)
        x, y = draw.choice((0.0, w - a, round(draw.uniform(0, w - a), 1))), draw.choice((0.0, h - b))
        rest = shapely.difference(room, box(x, y, x + a, y + b), grid_size=1e-3)
        room = max(shapely.get_parts(rest), key=lambda p: float(p.area)) if rest.area > 2 else room
    if draw.random() < 0.2:
        x, y = draw.uniform(0.2, 0.8) * w, draw.uniform(0.2, 0.8) * h
        column = box(x - 0.2, y - 0.2, x + 0.2, y + 0.2)
        room = room.difference(column) if room.buffer(-0.3).covers(column) else room
    return affinity.rotate(room, draw.choice((0.0, 0.0, 17.0, 45.0, -63.0)), origin=(0, 0))


def deep_corners(room: Polygon) -> list[Point]:
    """Corners that stand into the room and have walls of LEG or more on both sides; columns left aside."""
    ring = list(shapely.set_precision(room, 1e-4).simplify(1e-4).exterior.coords)[:-1]
    found = []
    for k, at in enumerate(ring):
        legs = math.dist(ring[k - 1], at), math.dist(at, ring[(k + 1) % len(ring)])
        if stands_in(Polygon(room.exterior), Point(at)) and min(legs) > LEG + 1e-3:
            found.append(Point(at))
    return found


def stands_in(field: Polygon, corner: Point) -> bool:
    """Whether more than half of a small disc about a corner is floor of the field."""
    disc = corner.buffer(0.02)
    return bool(disc.intersection(field).area > 0.56 * disc.area)


def sides(field: Polygon) -> tuple[float, float]:
    """Width and length of the smallest rectangle round a field that lies along one of its own edges.

    The smallest of all may lie askew to every wall, and be narrower and longer than anybody would measure.
    """
    found = []
    for (x0, y0), (x1, y1) in pairwise(field.exterior.coords):
        turned = affinity.rotate(field, -math.atan2(y1 - y0, x1 - x0), origin=(0, 0), use_radians=True)
        left, low, right, high = turned.bounds
        found.append(sorted((right - left, high - low)))
    width, length = min(found, key=lambda both: both[0] * both[1])
    return width, length


def faults(room: Polygon, fields: list[Polygon], rules: FieldRules) -> list[str]:
    """Broken rules of a division, and floor that is missing or twice there."""
    found = []
    whole = Polygon(room.exterior)
    if abs(sum(f.area for f in fields) - whole.area) > 1e-2 or shapely.union_all(fields).area < whole.area - 1e-2:
        found.append("fields are not the floor")
    corners = deep_corners(room)
    for field in fields:
        width, length = sides(field)
        if field.area > rules.area_m2 + 1e-2:
            found.append(f"{field.area:.2f} m²")
        if length > rules.side_m + 1e-2:
            found.append(f"{length:.2f} m long")
        if length > rules.ratio * width + 1e-2 and length > rules.ratio_free_side_m + 1e-2:
            found.append(f"{length:.2f} x {width:.2f} m")
        found += [f"corner at {c.wkt}" for c in corners if field.distance(c) < 1e-3 and stands_in(field, c)]
    return found


@pytest.mark.parametrize("seed", range(10))
def test_every_field_of_random_rooms_keeps_the_rules(seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(100):
        room = random_room(draw)
        fields, cuts = divided(room, CEMENT, LEG)
        assert faults(room, [f for f, _ in fields], CEMENT) == [], room.wkt
        assert all(fine for _, fine in fields), room.wkt
        assert len(fields) - 1 == len(cuts), room.wkt


def test_the_checker_bites() -> None:
    room = Polygon([(0, 0), (9, 0), (9, 3), (4, 3), (4, 5), (0, 5)])
    told = " ".join(faults(room, [room], CEMENT))
    assert "9.00 m long" in told and "corner at POINT (4 3)" in told and "m²" not in told
    assert faults(room, [box(0, 0, 4, 5)], CEMENT)[0] == "fields are not the floor"
    assert "41.00 m²" in " ".join(faults(box(0, 0, 8.2, 5), [box(0, 0, 8.2, 5)], CEMENT))
    askew = Polygon([(0, 0), (0, 0.6), (2.2, 0.6), (2.2, 0.7), (3, 0.7), (3, 0.4), (1.9, 0.4), (1.9, 0)])
    assert sides(askew) == pytest.approx((0.7, 3.0))
    assert "5.00 x 1.20 m" in " ".join(faults(box(0, 0, 5, 1.2), [box(0, 0, 5, 1.2)], CEMENT))


def test_a_joint_starts_at_the_corner_of_an_angled_room() -> None:
    fields, cuts = divided(Polygon([(0, 0), (6, 0), (6, 3), (3, 3), (3, 6), (0, 6)]), CEMENT, LEG)
    assert len(fields) == 2 and cuts[0][1] is JointReason.CORNER
    assert cuts[0][0].distance(Point(3, 3)) < 1e-3 and cuts[0][0].length == pytest.approx(3.0, abs=1e-3)


def test_a_small_pier_and_a_shallow_step_need_no_joint() -> None:
    room = box(0, 0, 6, 5).difference(box(2, 0, 2.4, 0.4)).difference(box(4, 4.8, 6, 5))
    assert divided(room, CEMENT, LEG)[1] == []
    assert len(divided(room, CEMENT, 0.15)[1]) == 3, "two corners of the pier, one of the step"


def test_a_joint_is_drawn_along_columns() -> None:
    room = box(0, 0, 12, 6).difference(box(6.2, 2.8, 6.6, 3.2))
    (cut,) = divided(room, CEMENT, LEG)[1]
    assert cut[1] is JointReason.COLUMN and cut[0].bounds[0] == pytest.approx(6.4)


@pytest.mark.parametrize(
    ("w", "h", "joints"), [(8, 5, 0), (8.1, 5, 1), (6, 2.9, 1), (11, 8, 3), (24, 5, 2), (16, 8, 3)]
)
def test_rectangles_get_the_joints_that_the_rules_ask_for(w: float, h: float, joints: int) -> None:
    """By hand: 8 x 5 m is just right; 11 x 8 m would be three strips of 3.7 x 8 m, too slender, so four fields."""
    assert len(divided(box(0, 0, w, h), CEMENT, LEG)[1]) == joints
