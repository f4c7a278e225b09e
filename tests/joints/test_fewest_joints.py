"""At most one joint more than the fewest that an exhaustive search on squares finds, for small rooms.

The search knows nothing of the code under test: a room is a set of squares, a joint any straight along their edges
from border to border.
"""

import random
from functools import cache

import pytest
import shapely
from shapely.geometry import box

from ufh_core.joints.storey import divided
from ufh_core.joints.types import FieldRules

SIDE = 1.0  # of a square [m]
RULES = FieldRules(area_m2=12.0, side_m=5.0, ratio=2.0, ratio_free_side_m=2.0)
Squares = frozenset[tuple[int, int]]
STEPS = ((1, 0), (-1, 0), (0, 1), (0, -1))


def keeps(room: Squares) -> bool:
    """Whether squares are a rectangle that keeps the rules."""
    wide, high = (max(s[k] for s in room) - min(s[k] for s in room) + 1 for k in (0, 1))
    long, short = max(wide, high) * SIDE, min(wide, high) * SIDE
    slender = long > RULES.ratio * short and long > RULES.ratio_free_side_m
    return len(room) == wide * high and len(room) * SIDE**2 <= RULES.area_m2 and long <= RULES.side_m and not slender


def joined_parts(room: Squares, walls: frozenset[frozenset[tuple[int, int]]]) -> list[Squares]:
    """Squares that can be reached from each other without crossing one of `walls` between two squares."""
    left, parts = set(room), []
    while left:
        part, todo = set(), [left.pop()]
        while todo:
            x, y = todo.pop()
            part.add((x, y))
            near = [(x + dx, y + dy) for dx, dy in STEPS if frozenset({(x, y), (x + dx, y + dy)}) not in walls]
            todo += [square for square in near if square in left]
            left -= set(near)
        parts.append(frozenset(part))
    return parts


def straights(room: Squares) -> list[frozenset[frozenset[tuple[int, int]]]]:
    """All joints from border to border, each as the pairs of squares that it parts."""
    found = []
    for axis in (0, 1):
        ahead = (1, 0) if axis == 0 else (0, 1)
        pairs = sorted((s[axis], s[1 - axis], s) for s in room if (s[0] + ahead[0], s[1] + ahead[1]) in room)
        run: list[frozenset[tuple[int, int]]] = []
        last = None
        for place, along, (x, y) in pairs:
            if last is not None and last != (place, along - 1):
                found.append(frozenset(run))
                run = []
            run.append(frozenset({(x, y), (x + ahead[0], y + ahead[1])}))
            last = (place, along)
        found += [frozenset(run)] if run else []
    return found


@cache
def can_do(room: Squares, joints: int) -> bool:
    """Whether a room can be divided with so many joints."""
    if keeps(room):
        return True
    if joints == 0:
        return False
    for cut in straights(room):
        parts = joined_parts(room, cut)
        if len(parts) == 2 and any(can_do(parts[0], k) and can_do(parts[1], joints - 1 - k) for k in range(joints)):
            return True
    return False


def small_room(draw: random.Random) -> Squares:
    """A few rectangles of squares that hang together."""
    squares: set[tuple[int, int]] = set()
    for _ in range(draw.randint(1, 3)):
        x, y = draw.choice(sorted(squares)) if squares else (0, 0)
        w, h = draw.randint(2, 5), draw.randint(2, 4)
        squares |= {(x + i, y + j) for i in range(w) for j in range(h)}
    return frozenset(squares)


@pytest.mark.parametrize("seed", range(4))
def test_at_most_one_joint_above_the_fewest(seed: int) -> None:
    draw = random.Random(100 + seed)
    for _ in range(25):
        room = small_room(draw)
        outline = shapely.union_all([box(x, y, x + 1, y + 1) for x, y in room])
        if outline.interiors:
            continue
        fields, cuts = divided(outline, RULES, 0.5)
        assert all(fine for _, fine in fields), outline.wkt
        assert len(cuts) < 2 or not can_do(room, len(cuts) - 2), outline.wkt


def test_the_search_finds_known_numbers() -> None:
    rectangle = frozenset((x, y) for x in range(6) for y in range(4))
    assert not can_do(rectangle, 0) and can_do(rectangle, 1)
    angle = frozenset((x, y) for x in range(4) for y in range(4) if x < 2 or y < 2)
    assert not can_do(angle, 0) and can_do(angle, 1)
    cross = frozenset((x, y) for x in range(6) for y in range(6) if 2 <= x < 4 or 2 <= y < 4)
    assert not can_do(cross, 2) and can_do(cross, 4)
