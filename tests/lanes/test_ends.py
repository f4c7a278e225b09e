"""Ends of lanes that follow the cuts of their room."""

from __future__ import annotations

import pytest
from shapely.geometry import LineString, Point, Polygon, box

from ufh_core.lanes.ends import LANE_END_M, ended_in
from ufh_core.lanes.types import Lane
from ufh_core.zones.territories import Territory

APART_M = 0.1


def part(floor: Polygon) -> Territory:
    return Territory(room="R", part=0, pitch_m=0.2, floor=floor, axis=floor)


def lane(*corners: tuple[float, float]) -> Lane:
    return Lane(territory=0, manifold=0, port=0, corners=corners)


ROOM = box(-1, 0, 4, 9)
UPWARDS = lane((0.0, 0.5), (1.0, 0.5), (1.0, 2.0))


@pytest.mark.parametrize(
    ("floor", "end"),
    [
        (box(0.5, 1.8, 3, 4), (1.0, 2.0)),  # it ends far enough inside
        (box(0.5, 1.95, 3, 4), (1.0, 2.05)),  # a little on
        (box(0.5, 3.0, 3, 4), (1.0, 3.1)),  # far on
        (box(0.5, 0.3, 3, 1.4), (1.0, 1.3)),  # cut back
    ],
)
def test_a_lane_ends_inside_its_part(floor: Polygon, end: tuple[float, float]) -> None:
    (made,) = ended_in([UPWARDS], [part(floor)], ROOM, [], APART_M) or [UPWARDS]
    assert made.corners[-1] == pytest.approx(end)
    assert floor.exterior.distance(Point(made.corners[-1])) >= LANE_END_M - 1e-9
    assert LineString(made.corners).distance(Point(UPWARDS.corners[1])) < 1e-9


@pytest.mark.parametrize("floor", [box(2, 0, 3, 4), box(0.5, 5.2, 3, 8)], ids=["aside", "too far"])
def test_a_part_that_does_not_lie_ahead_has_no_end(floor: Polygon) -> None:
    assert ended_in([UPWARDS], [part(floor)], ROOM, [], APART_M) is None


def test_what_is_carried_on_keeps_its_distance_from_other_lanes() -> None:
    floor = part(box(0.5, 3.0, 3, 4))
    beside = [(1.1, 0.0), (1.1, 5.0)]
    near, across = [(1.05, 2.5), (3.0, 2.5)], [(0.0, 2.5), (3.0, 2.5)]
    assert ended_in([UPWARDS], [floor], ROOM, [beside], APART_M) is not None
    assert ended_in([UPWARDS], [floor], ROOM, [near], APART_M) is None
    assert ended_in([UPWARDS], [floor], ROOM, [across], APART_M) is None
    own = [UPWARDS, lane((0.0, 2.5), (1.05, 2.5))]
    assert ended_in(own, [floor, part(box(0.2, 2.2, 1.5, 2.9))], ROOM, [], APART_M) is None


def test_lanes_that_stay_as_they_are_are_not_measured() -> None:
    beside = [(1.02, 0.0), (1.02, 5.0)]
    assert ended_in([UPWARDS], [part(box(0.5, 1.5, 3, 4))], ROOM, [beside], APART_M) == (UPWARDS,)


def test_what_is_carried_on_stays_in_the_room() -> None:
    beyond = part(box(0.5, 3.0, 3, 4))
    notched = ROOM.difference(box(0.5, 2.2, 9, 2.8))  # a wall stands between, from the side
    assert ended_in([UPWARDS], [beyond], ROOM, [], APART_M) is not None
    assert ended_in([UPWARDS], [beyond], notched, [], APART_M) is None
