"""Each hard rule bites on a pipe drawn by hand, and a good pipe passes."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, Point, box

from ufh_core.basis.pipe_axis import PipeAxis, Straight, rounded
from ufh_core.circuits.rules import PORT_STRETCH_M, faults_of, free_area, pair_faults
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.types import LayoutSettings, Settings

PLAIN = Settings()
ROOM = sketch.one_room(box(0, 0, 4, 3))
GOOD = [(2.0, 0.1), (2.0, 0.5), (3.5, 0.5), (3.5, 2.5), (0.5, 2.5), (0.5, 0.5), (1.5, 0.5), (1.5, 0.1)]


def faults(corners: list[tuple[float, float]], radius: float = 0.075, level: sketch.Level = ROOM) -> list[str]:
    return faults_of(rounded(corners, radius), level, PLAIN)


def test_a_good_pipe_keeps_all_rules() -> None:
    assert faults(GOOD) == []


def shifted(dx: float = 0.0, dy: float = 0.0, at: tuple[int, ...] = tuple(range(8))) -> list[tuple[float, float]]:
    return [(x + dx, y + dy) if k in at else (x, y) for k, (x, y) in enumerate(GOOD)]


@pytest.mark.parametrize(
    ("corners", "radius", "words"),
    [
        ([*GOOD[:4], (1.0, 2.5), (1.0, 0.3), (3.0, 0.3), (3.0, 1.5)], 0.075, "meets itself"),
        (GOOD, 0.07, "a bend of 70 mm radius, at least 75 mm"),
        ([*GOOD[:3], (3.5, 1.5), (3.4, 1.5), (3.4, 2.5), *GOOD[4:]], 0.075, "a bend of 50 mm"),
        (shifted(dx=0.46, at=(2, 3)), 0.075, "too near to a wall"),
        (shifted(dy=0.46, at=(3, 4)), 0.075, "too near to a wall"),
        (shifted(dx=0.6, at=(2, 3)), 0.075, "too near to a wall"),
    ],
)
def test_each_rule_bites_alone(corners: list[tuple[float, float]], radius: float, words: str) -> None:
    (only,) = faults(corners, radius)
    assert words in only


def test_just_at_the_clearance_is_let_through() -> None:
    assert faults(shifted(dx=0.45, at=(2, 3))) == []


def test_units_and_columns_count_as_walls() -> None:
    level = sketch.one_room(box(0, 0, 4, 3), obstacles=[sketch.unit_in(box(3.53, 1, 3.9, 2))])
    (only,) = faults(GOOD, level=level)
    assert "too near" in only
    aside = sketch.one_room(box(0, 0, 4, 3), obstacles=[sketch.unit_in(box(3.56, 1, 3.9, 2))])
    assert faults(GOOD, level=aside) == []


def test_greater_clearance_and_radius_by_the_settings() -> None:
    wide = Settings(layout=LayoutSettings(wall_clearance_m=0.25))
    assert faults_of(rounded(shifted(dx=0.3, at=(2, 3)), 0.075), ROOM, wide)
    assert not faults_of(rounded(shifted(dx=0.2, at=(2, 3)), 0.075), ROOM, wide)
    stiff = Settings(pipe=PipeSettings(least_bend_radius_m=0.1))
    assert "100 mm" in faults_of(rounded(GOOD, 0.075), ROOM, stiff)[0]
    assert faults_of(rounded(GOOD, 0.1), ROOM, stiff) == []


def test_at_the_manifold_the_pipe_may_be_near_the_wall_and_only_there() -> None:
    assert faults([(2.0, 0.0), *GOOD[1:-1], (1.5, 0.0)]) == []
    along = [(0.6, 0.02), (2.6, 0.02), (2.6, 1.5), *GOOD[3:5], (0.5, 0.7), (1.5, 0.7), (1.5, 0.3)]
    (only,) = faults([*along[:3], (3.5, 1.5), *along[3:]])
    assert "too near" in only


def passage_level(width: float = 0.9) -> sketch.Level:
    rooms = [sketch.room("A", box(0, 0, 4, 3)), sketch.room("B", box(4.12, 0, 8, 3))]
    way = sketch.door(box(4, 1, 4.12, 1 + width), sketch.THROUGH_X, "A", "B")
    return sketch.level(sketch.storey(rooms, [way]))


def through(y: float) -> list[tuple[float, float]]:
    return [(0.5, y), (7.0, y), (7.0, 2.8), (4.5, 2.8)]


@pytest.mark.parametrize(("y", "fine"), [(1.45, True), (1.03, True), (1.87, True), (1.005, False), (0.7, False)])
def test_through_a_door_only_and_clear_of_its_jambs(y: float, fine: bool) -> None:
    found = faults(through(y), level=passage_level())
    assert (found == []) == fine
    assert fine or "too near" in found[0]


def test_a_pipe_that_ends_outside_is_seen() -> None:
    assert "too near" in faults([(3.0, 1.5), (9.5, 1.5), (9.5, 2.5)], level=passage_level())[0]


def test_the_free_area_is_floor_with_the_clearance_and_the_door() -> None:
    area = free_area(passage_level(), PLAIN)
    assert area.contains(Point(4.06, 1.5)) and not area.contains(Point(4.06, 0.9))
    assert area.contains(Point(0.05, 2)) and not area.contains(Point(0.04, 2))


def pair(second: list[tuple[float, float]]) -> dict[str, str]:
    first = [(0.5, 0.0), (0.5, 2.0), (3.0, 2.0), (3.0, 0.0)]
    return pair_faults({"M1.01": rounded(first, 0.075), "M1.02": rounded(second, 0.075)}, PLAIN)


@pytest.mark.parametrize(
    ("second", "fine"),
    [
        ([(0.55, 0.0), (0.55, 1.9), (2.9, 1.9), (2.9, 0.0)], True),
        ([(0.55, 0.0), (0.55, 1.97), (2.9, 1.97), (2.9, 0.0)], False),
        ([(0.55, 0.0), (0.55, 1.0), (0.52, 1.0), (0.52, 1.5)], False),
        ([(0.7, 0.0), (0.7, 2.5), (2.0, 2.5), (2.0, 3.0)], False),
        ([(1.5, 1.0), (1.5, 1.98)], False),
        ([(1.5, 1.0), (1.5, 1.9)], True),
    ],
    ids=["beside", "too near", "too near at the side", "across", "an end against the other's middle", "short of it"],
)
def test_two_circuits_keep_apart(second: list[tuple[float, float]], fine: bool) -> None:
    found = pair(second)
    assert (found == {}) == fine
    if not fine:
        assert list(found) == ["M1.02"] and " mm" in found["M1.02"]


def test_at_the_bars_two_pipes_may_be_near() -> None:
    ends = [Straight((0.5, 0.0), (0.5, 1.0)), Straight((0.51, 0.0), (0.51, -1.0))]
    axes = {f"M1.0{k}": PipeAxis((piece,)) for k, piece in enumerate(ends)}
    assert pair_faults(axes, PLAIN) == {}
    longer = replace(ends[1], end=(0.51, PORT_STRETCH_M + 0.1))
    assert pair_faults({"a": PipeAxis((ends[0],)), "b": PipeAxis((longer,))}, PLAIN)


def test_no_circuit_and_a_single_one_have_nothing_to_be_near_to() -> None:
    assert pair_faults({}, PLAIN) == {}
    assert pair_faults({"M1.01": rounded(GOOD, 0.075)}, PLAIN) == {}


def test_far_more_than_two_circuits() -> None:
    axes = {f"{k}": PipeAxis((Straight((0.0, 0.05 * k), (3.0, 0.05 * k)),)) for k in range(20)}
    assert pair_faults(axes, PLAIN) == {}
    axes["20"] = PipeAxis((Straight((1.5, -1.0), (1.5, 0.47)),))
    assert set(pair_faults(axes, PLAIN)) == {"20"}
    assert LineString([(1.5, -1.0), (1.5, 0.47)]).length > 2 * PORT_STRETCH_M


@pytest.mark.parametrize(("offset", "fits"), [(0.0575, True), (0.05, False)])
def test_round_a_walls_corner_the_distance_to_the_corner_counts(offset: float, fits: bool) -> None:
    """A bend of 75 mm cuts 31 mm towards the corner that it goes round: offset · √2 − 31 mm is left."""
    bent = sketch.one_room(box(0, 0, 4, 3).difference(box(2, 1.5, 5, 4)))
    x, y = 2 - offset, 1.5 - offset
    corners = [(0.5, 0.1), (0.5, 0.6), (3.5, 0.6), (3.5, y), (x, y), (x, 2.6), (0.3, 2.6), (0.3, 0.1)]
    assert (faults(corners, level=bent) == []) is fits
