"""A pair of tails beside its middle line, and the whole pipe of tails and loop."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from ufh_core.basis.pipe_axis import Point
from ufh_core.circuits.joining import approaches, side_line, strips, whole_pipe
from ufh_core.lanes.types import Lane

WAY = [(0.0, 0.0), (0.0, 1.0), (2.0, 1.0), (2.0, 3.0)]


def test_beside_a_way_to_the_right_and_to_the_left() -> None:
    assert side_line(WAY, 0.1) == [(0.1, 0.0), (0.1, 0.9), (2.1, 0.9), (2.1, 3.0)]
    assert side_line(WAY, -0.1) == [(-0.1, 0.0), (-0.1, 1.1), (1.9, 1.1), (1.9, 3.0)]


def test_a_point_in_line_stays_in_line() -> None:
    assert side_line([(0, 0), (1, 0), (3, 0)], 0.025) == [(0, -0.025), (1, -0.025), (3, -0.025)]


LEGS = st.lists(st.integers(2, 12), min_size=1, max_size=8)
TURNS = st.lists(st.sampled_from([-1, 1]), min_size=8, max_size=8)


def way_of(legs: list[int], turns: list[int], unit: float = 0.1) -> list[Point]:
    way, direction = [(0.0, 0.0)], (0, 1)
    for leg, turn in zip(legs, turns, strict=False):
        x, y = way[-1]
        way.append((round(x + direction[0] * unit * leg, 6), round(y + direction[1] * unit * leg, 6)))
        direction = (turn * direction[1], -turn * direction[0])
    return way


def keeps_apart(way: list[Point]) -> bool:
    """Whether legs that do not follow one another are two nodes or more apart, as different lane nodes are."""
    legs = [LineString(pair) for pair in pairwise(way)]
    return all(a.distance(b) > 0.19 for k, a in enumerate(legs) for b in legs[k + 2 :])


@given(LEGS, TURNS)
def test_the_two_pipes_of_a_pair_never_meet_and_keep_their_spacing(legs: list[int], turns: list[int]) -> None:
    way = way_of(legs, turns)
    out, back = LineString(side_line(way, 0.025)), LineString(side_line(way, -0.025))
    if keeps_apart(way):
        assert out.distance(back) == pytest.approx(0.05, abs=1e-9)
        assert out.is_simple and back.is_simple
    lengths = out.length + back.length
    assert lengths == pytest.approx(2 * LineString(way).length), "what one pipe gains in a bend the other loses"


def loop_at(end: Point, size: float = 1.0) -> list[Point]:
    """A loop from the right pipe of a pair that arrives upwards, round and back to its left pipe."""
    x, y = end
    right, left = (x + 0.025, y), (x - 0.025, y)
    far = y + size
    outer = [(x + 0.025, y + 0.1), (x + size, y + 0.1), (x + size, far), (x - size, far), (x - size, y + 0.1)]
    return [right, *outer, (x - 0.025, y + 0.1), left]


@pytest.mark.parametrize("turned_round", [False, True])
def test_the_whole_pipe_runs_from_the_right_port_round_the_loop_to_the_left_one(turned_round: bool) -> None:
    loop = loop_at(WAY[-1])
    pipe = whole_pipe(WAY, 0.05, loop[::-1] if turned_round else loop)
    assert pipe[0] == (0.025, 0.0) and pipe[-1] == (-0.025, 0.0)
    assert LineString(pipe).is_simple
    assert LineString(pipe).length == pytest.approx(2 * LineString(WAY).length + LineString(loop).length)
    assert pipe.count(loop[0]) == pipe.count(loop[-1]) == 1


@given(LEGS, TURNS)
def test_the_whole_pipe_is_one_simple_line_of_right_angles(legs: list[int], turns: list[int]) -> None:
    way = way_of(legs, turns)
    if not keeps_apart(way):
        return
    end, heading = way[-1], (way[-1][0] - way[-2][0], way[-1][1] - way[-2][1])
    turn = complex(*heading) / abs(complex(*heading)) / 1j
    loop = []
    for x, y in loop_at((0.0, 0.0), 0.15):
        z = complex(x, y) * turn
        loop.append((round(end[0] + z.real, 6), round(end[1] + z.imag, 6)))
    pipe = whole_pipe(way, 0.05, loop)
    clear = LineString(loop).distance(LineString([*way[:-2], way[-2]])) > 0.1 if len(way) > 2 else True
    if clear:
        assert LineString(pipe).is_simple
    for (ax, ay), (bx, by) in pairwise(pipe):
        assert min(abs(ax - bx), abs(ay - by)) < 1e-9
        assert math.dist((ax, ay), (bx, by)) > 1e-6


def test_a_field_may_take_over_at_the_end_of_a_lane_or_farther_back_within_its_floor() -> None:
    lane = Lane(territory=0, manifold=0, port=0, corners=tuple(WAY))
    floor = box(1.5, 0.5, 4, 4)
    found = approaches(lane, floor, 0.1)
    assert found[0][0].at == (2.0, 3.0) and found[0][1] == tuple(WAY)
    assert len(found) > 2
    for approach, kept in found:
        assert floor.contains(LineString([approach.at, approach.at]).centroid)
        assert kept[-1] == approach.at
        a, b = kept[-2], kept[-1]
        length = math.dist(a, b)
        assert approach.heading == (round((b[0] - a[0]) / length), round((b[1] - a[1]) / length))
        assert LineString(WAY).buffer(1e-9).covers(LineString(kept))
    assert {a.heading for a, _ in found} == {(0, 1), (1, 0)}
    lengths = [LineString(kept).length for _, kept in found]
    assert lengths == sorted(lengths, reverse=True)


def test_a_lane_that_ends_outside_its_floor_is_taken_at_its_end() -> None:
    lane = Lane(territory=0, manifold=0, port=0, corners=tuple(WAY))
    ((approach, kept),) = approaches(lane, box(5, 5, 6, 6), 0.1)
    assert approach.at == (2.0, 3.0) and kept == tuple(WAY)


def test_strips_are_the_floor_beside_lanes() -> None:
    assert strips([[(0, 0), (0, 2)]], 0.1).area == pytest.approx(0.2 * 2.2)
    assert strips([], 0.1).is_empty
    two = strips([[(0, 0), (0, 2)], [(-1, 1), (1, 1)]], 0.1)
    assert two.area == pytest.approx(2 * 0.2 * 2.2 - 0.2 * 0.2)
