"""Faces of a lattice: only where all that they span is inside, however thin what is not."""

from __future__ import annotations

from dataclasses import replace

import field_rooms
import numpy as np
import pytest
from shapely.geometry import box

from ufh_core.fields.grid import Bools, stud_grid
from ufh_core.fields.lattice import MORE, AxisCosts, axis_costs, fit_lines, gaps_for, lattice, parity_wishes

SOUTH = (0, 1)
LINES = (4, 8, 12, 16)  # studs of 50 mm, from the south-west corner


def faces(*gone: tuple[float, float, float, float]) -> Bools:
    """Faces, shape (3, 3), of a floor of 1 m by 1 m from whose axis area some boxes are taken."""
    request = field_rooms.request(box(0, 0, 1, 1), (0.5, 0), SOUTH, 0.2)
    area = box(0.0, 0.0, 1.0, 1.0)
    for hole in gone:
        area = area.difference(box(*hole))
    grid = stud_grid(replace(request, axis_area=area))
    at = tuple(line - grid.origin[0] for line in LINES), tuple(line - grid.origin[1] for line in LINES)
    return lattice(grid, *at).face


def test_on_a_clear_floor_all_faces_are_there() -> None:
    assert faces().all()


@pytest.mark.parametrize(
    ("hole", "lost"),
    [
        ((0.31, 0.39, 0.34, 0.41), [(0, 0), (0, 1)]),  # beside a stud on a line along x, between it and the next
        ((0.39, 0.31, 0.41, 0.34), [(0, 0), (1, 0)]),  # the same on a line along y
        ((0.49, 0.49, 0.51, 0.51), [(1, 1)]),  # on a stud in the middle of a face
    ],
)
def test_a_face_that_spans_what_is_not_inside_is_not_there(
    hole: tuple[float, float, float, float], lost: list[tuple[int, int]]
) -> None:
    found = faces(hole)
    assert [tuple(k) for k in np.argwhere(~found).tolist()] == lost


def bare_hall() -> tuple[AxisCosts, list[tuple[tuple[int, int], ...]]]:
    """Costs of lines across a hall of 4 x 3 m at 200 mm, and the parities that may be asked for."""
    asked = field_rooms.request(box(0.013, 0.021, 4.03, 3.03), (2.0, 0.021), SOUTH, 0.2)
    grid = stud_grid(asked)
    gaps = gaps_for(0.2, 0.05, 0.075, asked.separation_m)
    return axis_costs(grid.node, grid.ends_x, gaps, 0.05), parity_wishes(grid.ends_x)


def test_the_cost_of_lines_is_what_the_fit_found() -> None:
    costs, wishes = bare_hall()
    for wish in wishes:
        found = fit_lines(costs, wish)
        assert found is not None
        assert costs.of(found.at) == pytest.approx(found.cost)


@pytest.mark.parametrize("parity", [0, 1])
def test_lines_that_are_worth_more_are_more(parity: int) -> None:
    costs, wishes = bare_hall()
    wish = next(w for w in wishes if w[-1][1] == parity)
    numbers = [len(found.at) for more in (-0.3, MORE, 0.4) if (found := fit_lines(costs.at_worth(more), wish))]
    assert len(numbers) == 3 and numbers == sorted(numbers) and numbers[0] < numbers[2]
    assert fit_lines(costs.at_worth(MORE), wish) == fit_lines(costs, wish)
