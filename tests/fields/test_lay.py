"""Fields in rooms made by hand: legal by a second opinion, warm nearly everywhere, laid as a fitter would."""

from __future__ import annotations

import math
from dataclasses import replace

import field_checks
import field_rooms
import pytest
from shapely.geometry import LineString, MultiPolygon, Polygon, box
from shapely.ops import unary_union

from ufh_core.basis.pipe_axis import rounded
from ufh_core.fields.chamfer import chamfered
from ufh_core.fields.check import fault
from ufh_core.fields.joint import Rules, legs_fit
from ufh_core.fields.lay import lay_field
from ufh_core.fields.rate import BIAS, Rating, Wish
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult

SOUTH, NORTH, WEST, EAST = (0, 1), (0, -1), (1, 0), (-1, 0)  # the wall of the door, heading into the room
L_ROOM = unary_union([box(0, 0, 6.1, 2.5), box(0, 0, 2.9, 5.2)])
T_ROOM = unary_union([box(0, 0, 6, 2.1), box(2, 0, 4.1, 4.7)])
U_ROOM = unary_union([box(0, 0, 5.5, 1.8), box(0, 0, 1.9, 4.3), box(3.4, 0, 5.5, 4.3)])
BAY = Polygon([(0, 0), (4.5, 0), (4.5, 3.5), (3.7, 3.5), (2.9, 4.3), (1.7, 4.3), (0.9, 3.5), (0, 3.5)])
RECTANGLES = {
    "wc": (box(0, 0, 0.9, 1.2), (0.45, 0), SOUTH),
    "bath": (box(0, 0, 2.2, 2.7), (0, 0.5), WEST),
    "bedroom, door near the corner": (box(0.01, 0.02, 3.04, 4.03), (0.51, 0.02), SOUTH),
    "living room": (box(0.013, 0.021, 4.03, 5.01), (2.0, 0.021), SOUTH),
    "corridor": (box(0, 0, 10, 1.2), (4, 1.2), NORTH),
    "corridor, door at its end": (box(0, 0, 8, 1.1), (8, 0.55), EAST),
}
OTHERS = {
    "L": (L_ROOM, (4.5, 0), SOUTH),
    "L, other door": (L_ROOM, (0, 4.0), WEST),
    "T": (T_ROOM, (6, 1.0), EAST),
    "U": (U_ROOM, (0.8, 4.3), NORTH),
    "column": (box(0, 0, 5, 4) - box(2.3, 1.6, 2.7, 2.0), (1, 4), NORTH),
    "island": (box(0, 0, 5.2, 4.6) - box(1.5, 1.5, 3.5, 2.5), (5.2, 3.8), EAST),
    "bay": (BAY, (1, 0), SOUTH),
    "oblique": (Polygon([(0, 0), (4.5, 0), (4.0, 3.9), (0.0, 3.1)]), (1, 0), SOUTH),
}


def laid(asked: FieldRequest) -> FieldResult:
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []
    return result


@pytest.mark.parametrize("pitch", field_rooms.PITCHES)
@pytest.mark.parametrize("room", RECTANGLES)
def test_a_rectangle_is_warm_all_over(room: str, pitch: float) -> None:
    asked = field_rooms.request(*RECTANGLES[room], pitch)
    result = laid(asked)
    assert result.heated.area >= 0.9 * asked.floor.area
    assert result.coverage >= 0.97


@pytest.mark.parametrize("pitch", field_rooms.PITCHES)
@pytest.mark.parametrize("room", OTHERS)
def test_an_awkward_room_is_warm_all_over(room: str, pitch: float) -> None:
    asked = field_rooms.request(*OTHERS[room], pitch)
    result = laid(asked)
    assert result.heated.area >= 0.95 * asked.floor.area
    assert result.coverage >= 0.97


def test_a_living_room_is_a_spiral_with_flow_and_return_side_by_side() -> None:
    """Regression: few bends and even water; a meander's unevenness is 0.25 and more."""
    asked = field_rooms.request(*RECTANGLES["living room"], 0.2)
    result = laid(asked)
    assert result.bends / LineString(result.corners).length < 0.6
    assert result.unevenness < 0.1


def test_pipe_is_as_long_as_the_pitch_says() -> None:
    asked = field_rooms.request(*RECTANGLES["living room"], 0.2)
    result = laid(asked)
    assert LineString(result.corners).length * 0.2 / result.heated.area == pytest.approx(1, abs=0.06)


@pytest.mark.parametrize(("room", "at", "pitch"), [((5.22, 3.8), (0, 0.5), 0.3), ((2.268, 2.179), (1.58, 0), 0.3)])
def test_of_lines_that_fit_alike_those_of_the_right_length_are_taken(
    room: tuple[float, float], at: tuple[float, float], pitch: float
) -> None:
    """Regression: 9 % too much pipe where only floor, evenness and bends count."""
    asked = field_rooms.request(box(0, 0, *room), at, WEST if at[0] == 0 else SOUTH, pitch)
    pipe = rounded(list(laid(asked).corners), asked.least_radius_m).line().intersection(asked.floor)
    assert pipe.length == pytest.approx(asked.floor.area / pitch, rel=0.035)


def test_a_length_that_is_off_costs_less_beside_loops_of_another_kind() -> None:
    wish = Wish(length_m=100.0, radius_m=0.1)
    assert wish.off(100.0, 0) == pytest.approx(0.0)
    assert wish.off(99.0, 10) == pytest.approx(-0.01 - 10 * 0.1 * (2 - math.pi / 2) / 100)
    plain = Rating(missed=0.0, gap=0.7, unevenness=0.1, bends=4, length_m=20.0)
    free = replace(plain, off=BIAS)
    costs = [replace(plain, off=BIAS + off).cost - free.cost for off in (-0.11, -0.01, 0.01, 0.11)]
    assert costs == pytest.approx([3.2, 0.0, 0.0, 3.2])
    kinds = [replace(plain, off=off).kind_cost - plain.kind_cost for off in (-0.11, -0.01, 0.01, 0.11)]
    assert kinds == pytest.approx([2.0, 0.0, 0.0, 2.0])


def test_water_in_a_single_u_is_less_even_than_in_a_spiral() -> None:
    """0.29 is water that cools evenly from one side of a room to the other: worse than any loop."""
    small = laid(field_rooms.request(*RECTANGLES["wc"], 0.3)).unevenness
    spiral = laid(field_rooms.request(*RECTANGLES["living room"], 0.2)).unevenness
    assert 0 < spiral < small < 0.29


def test_the_first_pipe_goes_to_the_outer_walls_first() -> None:
    asked = field_rooms.request(*RECTANGLES["living room"], 0.2)
    corners = laid(asked).corners
    length = LineString(corners).length
    first, last = (LineString(c).length for c in (corners[:6], corners[-6:]))
    assert first > last > 0
    assert first < length / 2


def test_the_same_request_gives_the_same_loop() -> None:
    asked = field_rooms.request(*OTHERS["bay"], 0.15)
    assert lay_field(asked) == lay_field(asked)


def test_a_turned_room_is_laid_as_well() -> None:
    """All four walls for the door, so that no direction is forgotten."""
    doors = {SOUTH: (1.3, 0), NORTH: (1.3, 3.1), WEST: (0, 1.3), EAST: (2.7, 1.3)}
    bends = [laid(field_rooms.request(box(0, 0, 2.7, 3.1), at, heading, 0.2)).bends for heading, at in doors.items()]
    assert max(bends) - min(bends) <= 10


def test_tails_far_apart_are_joined_too() -> None:
    asked = field_rooms.request(*RECTANGLES["living room"], 0.2)
    spaced = replace(asked, tail_spacing_m=0.1, approaches=(replace(asked.approaches[0], at=(2.0, -0.06)),))
    laid(spaced)


def test_steps_along_an_oblique_wall_are_laid_diagonally() -> None:
    result = laid(field_rooms.request(*OTHERS["oblique"], 0.2))
    legs = zip(result.corners, result.corners[1:], strict=False)
    assert sum(abs(a[0] - b[0]) > 1e-6 and abs(a[1] - b[1]) > 1e-6 for a, b in legs) >= 10


def test_a_step_with_no_other_run_near_is_laid_diagonally_too() -> None:
    asked = field_rooms.request(box(-1, -1, 12, 7), (5, -1), SOUTH, 0.2)
    corners = ((0.0, 0.0), (0.0, 5.0), (5.0, 5.0), (5.0, 5.2), (10.0, 5.2), (10.0, 0.0), (11.0, 0.0))
    diagonal = ((4.9, 5.0), (5.1, 5.2))
    assert chamfered(corners, asked) == (*corners[:2], *map(pytest.approx, diagonal), *corners[4:])


def test_a_quick_request_says_where_a_thorough_one_is_worth_it() -> None:
    """Regression: behind a narrow place only the thorough search finds the way."""
    asked = field_rooms.random_request(340)
    quick, thorough = laid(replace(asked, thorough=False)), laid(asked)
    assert quick.poor
    assert quick.heated.area < 0.7 * asked.floor.area
    assert thorough.heated.area > 0.95 * asked.floor.area
    assert not laid(field_rooms.request(*RECTANGLES["living room"], 0.2)).poor


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"axis_area": MultiPolygon()}, "no floor is left"),
        ({"axis_area": box(0.4, 0.1, 0.5, 0.9)}, "no loop fits"),
        ({"tail_spacing_m": 0.06}, "stud grid"),
        ({"pitch_m": 0.10, "least_radius_m": 0.08}, "a turn 160 mm wide does not fit a pitch of 100 mm"),
    ],
)
def test_what_cannot_be_laid_is_refused_with_a_reason(change: dict[str, object], reason: str) -> None:
    asked = replace(field_rooms.request(*RECTANGLES["wc"], 0.2), **change)
    failure = lay_field(asked)
    assert isinstance(failure, FieldFailure)
    assert reason in failure.reason


def test_a_room_behind_a_gap_without_room_for_a_pair_is_left_cold() -> None:
    floor = unary_union([box(0, 0, 3, 3), box(3, 1.4, 3.3, 1.55), box(3.3, 0, 5, 3)])
    result = laid(field_rooms.request(floor, (1, 0), SOUTH, 0.2))
    assert result.heated.area == pytest.approx(9, abs=0.3)
    assert not result.heated.intersects(box(3.6, 0, 5, 3))


# The second opinion and the last check are worth nothing if they cannot say no.


def nearer(corners: list[tuple[float, float]], k: int, way: float) -> list[tuple[float, float]]:
    """The corners with one run moved to half its pitch from another one; empty if it has none that near."""
    (ax, ay), (bx, by) = corners[k : k + 2]
    dx, dy = (way, 0.0) if ax == bx else (0.0, way)
    run = (ax + dx, ay + dy), (bx + dx, by + dy)
    away = min(LineString(run).distance(LineString(part)) for part in (corners[: k - 1], corners[k + 3 :]))
    return [*corners[:k], *run, *corners[k + 2 :]] if 0.08 < away < 0.12 else []


def moved(corners: list[tuple[float, float]], kind: str) -> list[tuple[float, float]]:
    if kind == "outside":
        return [(x - 0.4, y) for x, y in corners]
    if kind == "crossing":
        return [*corners[:8], *corners[8:20][::-1], *corners[20:]]
    if kind == "near":
        return next(n for k in range(8, len(corners) - 8) for way in (0.1, -0.1) if (n := nearer(corners, k, way)))
    (ax, ay), (bx, by) = corners[10:12]
    middle = ((ax + bx) / 2, (ay + by) / 2)
    dx, dy = (0.05, 0.0) if ax == bx else (0.0, 0.05)
    return [*corners[:11], middle, (middle[0] + dx, middle[1] + dy), (bx + dx, by + dy), *corners[12:]]


@pytest.mark.parametrize(
    ("kind", "opinion", "last_check"),
    [
        ("outside", "outside", "leave the area"),
        ("crossing", "meets itself", "meets itself"),
        ("near", "runs", "apart"),
        ("short leg", "too short", "a bend of"),
    ],
)
def test_both_checks_see_a_broken_field(kind: str, opinion: str, last_check: str) -> None:
    asked = field_rooms.request(*RECTANGLES["living room"], 0.2)
    result = laid(asked)
    assert not fault(result.corners, asked)
    bad = tuple(moved(list(result.corners), kind))
    assert opinion in " ".join(field_checks.faults(asked, replace(result, corners=bad)))
    assert last_check in fault(bad, asked)


def test_a_loop_with_a_leg_too_short_for_two_bends_is_not_opened() -> None:
    rules = Rules(leg=3, end_leg=1.5, apart=3)
    u_turn = ((0, 0), (0, 9), (3, 9), (3, 0))
    assert legs_fit(u_turn, rules)
    assert not legs_fit(((0, 0), (0, 9), (2, 9), (2, 0)), rules)
    assert not legs_fit(((0, 8), (0, 9), (3, 9), (3, 0)), rules)


def test_the_second_opinion_sees_cold_floor_called_heated() -> None:
    asked = field_rooms.request(*RECTANGLES["living room"], 0.2)
    small = laid(field_rooms.request(box(0.013, 0.021, 4.03, 3.0), (2.0, 0.021), SOUTH, 0.2))
    assert any("near a pipe" in words for words in field_checks.faults(asked, replace(small, heated=asked.floor)))
