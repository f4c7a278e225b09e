"""The lattice of the tails: its nodes, its steps, its locks in passages."""

from __future__ import annotations

import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import Point, box

from ufh_core.lanes.grid import DIRECTIONS, HORIZONTAL, VERTICAL, LaneGrid, make_grid

DOOR = box(1.2, 2.0, 2.0, 2.2)
AREA = box(0.1, 0.1, 3.9, 2.0).union(DOOR).union(box(0.1, 2.2, 3.9, 4.0))


def grid_with(direction: tuple[float, float], spacing: float = 0.05) -> LaneGrid:
    passage = sketch.door(DOOR, direction, "A", "B")
    return make_grid(AREA, [(passage, DOOR)], spacing, 0.075)


@pytest.mark.parametrize("spacing", [0.05, 0.1])
def test_two_pairs_on_neighbouring_nodes_are_as_far_apart_as_the_pipes_of_one(spacing: float) -> None:
    grid = grid_with((0.0, 1.0), spacing)
    assert grid.step == pytest.approx(2 * spacing)
    pipes = np.sort(np.concatenate([grid.points()[:, 1] - spacing / 2, grid.points()[:, 1] + spacing / 2]))
    gaps = np.unique(np.diff(pipes).round(9))
    assert set(gaps) <= {0.0, round(spacing, 9)}
    assert np.allclose(pipes / spacing, np.round(pipes / spacing)), "all pipes on multiples of the spacing"


@pytest.mark.parametrize("radius", [0.075, 0.1, 0.2])
@pytest.mark.parametrize("spacing", [0.05, 0.1])
def test_two_turns_a_leg_apart_leave_the_inner_pipe_its_radius(spacing: float, radius: float) -> None:
    grid = make_grid(AREA, [], spacing, radius)
    assert grid.leg * grid.step - spacing >= 2 * radius - 1e-9, "inner pipe of a U: two radii between its turns"
    assert (grid.leg - 1) * grid.step - spacing < 2 * radius


def test_free_nodes_are_those_inside_the_area() -> None:
    grid = grid_with((0.0, 1.0))
    inside = {(round(x, 6), round(y, 6)) for (x, y), free in zip(grid.points(), grid.free, strict=True) if free}
    assert inside
    assert all(AREA.contains(Point(p)) for p in inside)
    assert len(inside) == pytest.approx(AREA.area / grid.step**2, rel=0.1)


def test_nodes_steps_and_points_agree() -> None:
    grid = grid_with((0.0, 1.0))
    node = grid.node(5, 7)
    x, y = grid.point(node)
    assert tuple(grid.points()[node]) == pytest.approx((x, y))
    for direction, (dx, dy) in enumerate(DIRECTIONS):
        there = grid.point(node + grid.step_of(direction))
        assert there == pytest.approx((x + dx * grid.step, y + dy * grid.step))


@pytest.mark.parametrize(
    ("direction", "lock"),
    [((0, 1), VERTICAL), ((0, -1), VERTICAL), ((1, 0), HORIZONTAL), ((0.1, 0.99), VERTICAL), ((0.7, 0.7), 0)],
)
def test_in_a_passage_one_walks_along_its_direction_only(direction: tuple[float, float], lock: int) -> None:
    grid = grid_with(direction)
    here = grid.inside(DOOR)
    assert here.sum() == 16
    assert set(grid.lock[here]) == {lock}
    assert not grid.lock[~here].any()


def test_a_lock_forbids_the_other_way() -> None:
    grid = grid_with((0.0, 1.0))
    here = grid.inside(DOOR)
    for direction, (_, dy) in enumerate(DIRECTIONS):
        assert grid.allows(direction)[here].all() == bool(dy)
        assert (grid.allows(direction) == grid.free)[~here].all()


def test_the_rim_is_closed_so_that_no_step_leaves_the_lattice() -> None:
    grid = make_grid(box(-10, -10, 10, 10), [], 0.05, 0.075)
    free = grid.free.reshape(grid.columns, grid.rows)
    assert not free[:2].any() and not free[-2:].any() and not free[:, :2].any() and not free[:, -2:].any()
