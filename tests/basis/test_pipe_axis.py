"""The axis of a pipe: rounded corners, lengths, points on the arcs."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight, rounded

L = [(0.0, 0.0), (2.0, 0.0), (2.0, 1.0)]


def arcs(axis: PipeAxis) -> list[Arc]:
    return [p for p in axis.pieces if isinstance(p, Arc)]


def test_a_right_angle_has_the_length_of_its_legs_less_what_the_bend_saves() -> None:
    axis = rounded(L, 0.5)
    assert axis.length_m == pytest.approx(3.0 - 2 * 0.5 + math.pi / 2 * 0.5)
    (arc,) = arcs(axis)
    assert (arc.centre, arc.radius_m) == (pytest.approx((1.5, 0.5)), pytest.approx(0.5))
    assert arc.start == pytest.approx((1.5, 0.0)) and arc.end == pytest.approx((2.0, 0.5))
    assert arc.middle == pytest.approx((1.5 + math.sqrt(0.125), 0.5 - math.sqrt(0.125)))


@pytest.mark.parametrize(("corners", "sweep"), [(L, math.pi / 2), ([(x, -y) for x, y in L], -math.pi / 2)])
def test_a_bend_to_the_left_is_positive(corners: list[Point], sweep: float) -> None:
    assert arcs(rounded(corners, 0.3))[0].sweep == pytest.approx(sweep)


def test_a_bend_of_45_degrees() -> None:
    (arc,) = arcs(rounded([(0, 0), (1, 0), (2, 1)], 0.2))
    assert arc.radius_m == pytest.approx(0.2)
    assert arc.length_m == pytest.approx(0.2 * math.pi / 4)
    assert math.dist((1, 0), arc.start) == pytest.approx(0.2 * math.tan(math.pi / 8))


def test_short_legs_get_less_radius_a_whole_leg_at_the_ends_and_half_between() -> None:
    assert [a.radius_m for a in arcs(rounded([(0, 0), (0.3, 0), (0.3, 5)], 1.0))] == pytest.approx([0.3])
    u_turn = [(0, 0), (3, 0), (3, 0.4), (0, 0.4)]
    assert [a.radius_m for a in arcs(rounded(u_turn, 1.0))] == pytest.approx([0.2, 0.2])


def test_a_slight_bend_leaves_more_of_the_leg_to_a_sharp_one() -> None:
    """A leg of 0.11 m has room for 75 mm round a right angle and 31 mm round 45 degrees, not for halves of 75 mm."""
    corners = [(0, 0), (1, 0), (1, 0.11), (1.5, 0.61)]
    assert [a.radius_m for a in arcs(rounded(corners, 0.075))] == pytest.approx([0.075, 0.075])
    assert [a.radius_m for a in arcs(rounded(corners[::-1], 0.075))] == pytest.approx([0.075, 0.075])


def test_points_in_line_and_twice_the_same_point_make_no_bend() -> None:
    axis = rounded([(0, 0), (1, 0), (1, 0), (2, 0), (3, 0), (3, 2)], 0.25)
    assert [type(p) for p in axis.pieces] == [Straight, Arc, Straight]
    assert rounded([(0, 0), (1, 0)], 0.1).pieces == (Straight((0, 0), (1, 0)),)


STEPS = st.lists(st.integers(3, 30), min_size=2, max_size=12)
SIDES = st.lists(st.sampled_from([-1, 1]), min_size=12, max_size=12)


@given(STEPS, SIDES)
def test_any_way_with_long_enough_legs(lengths: list[int], sides: list[int]) -> None:
    """Pieces meet without kink, every radius is as asked, the points lie on the pipe."""
    corners, way = [(0.0, 0.0)], (1, 0)
    for length, side in zip(lengths, sides, strict=False):
        corners.append((corners[-1][0] + way[0] * 0.05 * length, corners[-1][1] + way[1] * 0.05 * length))
        way = (-side * way[1], side * way[0])
    axis = rounded(corners, 0.075)
    assert axis.start == corners[0] and axis.end == pytest.approx(corners[-1])
    for one, other in pairwise(axis.pieces):
        assert one.end == pytest.approx(other.start, abs=1e-9)
    bends = arcs(axis)
    assert len(bends) == len(lengths) - 1
    assert all(b.radius_m == pytest.approx(0.075) and abs(b.sweep) == pytest.approx(math.pi / 2) for b in bends)
    saved = len(bends) * (2 - math.pi / 2) * 0.075
    assert axis.length_m == pytest.approx(0.05 * sum(lengths) - saved)
    for bend in bends:
        for end in (bend.start, bend.end):
            spoke = (end[0] - bend.centre[0], end[1] - bend.centre[1])
            assert min(map(abs, spoke)) < 1e-9, "tangent to a leg along an axis, so its spoke lies along the other"
    on_pipe = axis.points()
    assert math.fsum(math.dist(a, b) for a, b in pairwise(on_pipe)) == pytest.approx(axis.length_m, rel=1e-3)


def test_points_of_an_arc_lie_on_it_and_are_as_dense_as_asked() -> None:
    axis = rounded(L, 0.5)
    (arc,) = arcs(axis)
    points = [p for p in axis.points(step_rad=math.radians(1)) if math.dist(p, arc.centre) < 0.5 + 1e-9]
    assert len(points) == 91
    assert all(math.dist(p, arc.centre) == pytest.approx(0.5) for p in points)
    assert axis.line().length < axis.length_m
