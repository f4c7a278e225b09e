"""The pipe in space: risers, bends at their feet, lengths."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Straight, rounded
from ufh_core.exchange.pipe_run import Levels, Piece, pipe_run

LEVELS = Levels(pipe_m=2.9, flow_m=3.6, return_m=3.4)
R = 0.075


def axis() -> PipeAxis:
    return rounded([(0, 0), (0, 3), (2, 3), (2, 0)], 0.1)


def directions(piece: Piece) -> tuple[np.ndarray, np.ndarray]:
    """Unit tangents at the start and the end of a piece."""
    points = np.array(piece)
    if len(piece) == 2:
        way = (points[1] - points[0]) / np.linalg.norm(points[1] - points[0])
        return way, way
    a, b, c = points
    normal = np.cross(b - a, c - b)
    chord_ab, chord_bc = b - a, c - b
    centre = circumcentre(a, b, c)
    first, last = np.cross(normal, a - centre), np.cross(normal, c - centre)
    assert first @ chord_ab > 0 and last @ chord_bc > 0
    return first / np.linalg.norm(first), last / np.linalg.norm(last)


def circumcentre(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> np.ndarray:
    u, v = b - a, c - a
    w = np.cross(u, v)
    return a + (np.dot(u, u) * np.cross(v, w) + np.dot(v, v) * np.cross(w, u)) / (2 * np.dot(w, w))


def test_ends_stand_at_the_ports_and_pieces_join() -> None:
    run = pipe_run(axis(), LEVELS, R, 0.016)
    assert run.start == (0, 0, 3.6)
    assert run.end == pytest.approx((2, 0, 3.4))
    for one, other in zip(run.pieces, run.pieces[1:], strict=False):
        assert one[-1] == pytest.approx(other[0], abs=1e-12)


def test_tangents_are_continuous_where_the_bends_fit() -> None:
    run = pipe_run(axis(), LEVELS, R, 0.016)
    for one, other in zip(run.pieces, run.pieces[1:], strict=False):
        assert directions(one)[1] @ directions(other)[0] == pytest.approx(1.0, abs=1e-6)


def test_length_is_plan_and_rises_less_what_the_two_bends_cut() -> None:
    run = pipe_run(axis(), LEVELS, R, 0.016)
    expected = axis().length_m + 0.7 + 0.5 - 2 * (2 - math.pi / 2) * R
    assert run.length_m == pytest.approx(expected, abs=1e-9)


def test_between_the_risers_the_pipe_lies_level() -> None:
    run = pipe_run(axis(), LEVELS, R, 0.016)
    level = [p for piece in run.pieces[2:-2] for p in piece]
    assert {z for *_, z in level} == {2.9}


def test_a_short_first_straight_gets_a_smaller_bend_and_a_very_short_one_a_corner() -> None:
    for straight, arcs in ((0.05, 2), (0.01, 1)):
        turn = Arc(
            (0, straight), (0.2 * (1 - math.sqrt(0.5)), straight + 0.2 * math.sqrt(0.5)), (0.2, straight + 0.2),
            (0.2, straight), -math.pi / 2,
        )  # fmt: skip
        plan = PipeAxis((Straight((0, 0), (0, straight)), turn, Straight((0.2, straight + 0.2), (3, straight + 0.2))))
        run = pipe_run(plan, LEVELS, R, 0.016)
        upright = [p for p in run.pieces if len(p) == 3 and p[0][2] != p[2][2]]
        assert len(upright) == arcs
        assert run.start == (0, 0, 3.6) and run.end[2] == 3.4


def test_an_axis_that_begins_with_an_arc_is_kept_whole() -> None:
    turn = Arc((0, 0), (0.2 * (1 - math.sqrt(0.5)), 0.2 * math.sqrt(0.5)), (0.2, 0.2), (0.2, 0), -math.pi / 2)
    plan = PipeAxis((turn, Straight((0.2, 0.2), (3, 0.2))))
    run = pipe_run(plan, LEVELS, R, 0.016)
    assert run.pieces[0] == ((0, 0, 3.6), (0, 0, 2.9))
    assert run.length_m == pytest.approx(plan.length_m + 1.2 - (2 - math.pi / 2) * R, abs=1e-9)


def test_one_straight_serves_both_risers() -> None:
    run = pipe_run(PipeAxis((Straight((0, 0), (1, 0)),)), LEVELS, R, 0.016)
    assert run.length_m == pytest.approx(1 + 1.2 - 2 * (2 - math.pi / 2) * R)
    short = pipe_run(PipeAxis((Straight((0, 0), (0.1, 0)),)), LEVELS, R, 0.016)
    assert short.start[:2] == (0, 0) and short.end[:2] == (0.1, 0)
    for one, other in zip(short.pieces, short.pieces[1:], strict=False):
        assert one[-1] == pytest.approx(other[0], abs=1e-12)
