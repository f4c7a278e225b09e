"""EN ISO 10211, annex A: cases 1 and 2 for two-dimensional calculation, through the network of the section solver.

Source: the exact series of case 1 (the standard's printed table, from memory, agrees with it to 0.05 K); case 2
by a public validation note that prints the standard's values. The geometry of case 2 is from memory and was
confirmed by that agreement. What the standard asks: 0.1 K and 0.1 W/m.
"""

import math
from itertools import pairwise

import numpy as np
import pytest

from ufh_core.section.grid import graded_lines
from ufh_core.section.network import HeatNetwork, Side, assemble, heat_from, plain_elements, solve

CASE_1 = [  # °C, rows from the warm side, columns from the cold side to the symmetry line
    (9.66, 13.38, 14.73, 15.09),
    (5.25, 8.64, 10.32, 10.81),
    (3.19, 5.61, 7.01, 7.47),
    (2.01, 3.64, 4.66, 5.00),
    (1.26, 2.31, 2.99, 3.22),
    (0.74, 1.36, 1.77, 1.91),
    (0.34, 0.63, 0.82, 0.89),
]


def at(network: HeatNetwork, temperatures: np.ndarray, x: float, y: float) -> float:
    """Temperature of the node at a place, which must be one."""
    column, row = np.argmin(np.abs(network.x - x)), np.argmin(np.abs(network.y - y))
    assert abs(network.x[column] - x) + abs(network.y[row] - y) < 1e-9
    return temperatures[row * network.x.size + column]


def case_1(cells: int) -> tuple[HeatNetwork, np.ndarray]:
    """Half a square column, 4 wide and 8 high: 20 °C on top, 0 °C on the left and below, symmetric on the right."""
    x, y = np.linspace(0, 4, 4 * cells + 1), np.linspace(0, 8, 8 * cells + 1)
    shape = (y.size - 1, x.size - 1)
    sides = [
        Side(where="top", port="warm", resistance=0.0),
        Side(where="left", port="cold", resistance=0.0),
        Side(where="bottom", port="cold", resistance=0.0),
    ]
    network = assemble(plain_elements(x, y, np.ones(shape), np.ones(shape)), sides, ("warm", "cold"))
    return network, solve(network, {"warm": 20.0, "cold": 0.0})


def series(x: float, y: float) -> float:
    """Exact: a square with one side at 20 °C. Source: Carslaw & Jaeger, Conduction of heat in solids, 5.2."""
    odd = range(1, 80, 2)
    terms = (math.sin(n * math.pi * x / 8) * math.sinh(n * math.pi * y / 8) / math.sinh(n * math.pi) / n for n in odd)
    return 80 / math.pi * sum(terms)


def test_case_1_published() -> None:
    network, temperatures = case_1(8)
    for row, values in enumerate(CASE_1):
        for column, published in enumerate(values):
            found = at(network, temperatures, column + 1.0, 7.0 - row)
            assert found == pytest.approx(published, abs=0.03)
            assert found == pytest.approx(series(column + 1.0, 7.0 - row), abs=0.03)


def test_case_1_converges_with_the_square_of_the_cells() -> None:
    """Source: the exact series; the error at a point falls to a quarter when the cells are halved."""
    errors = [at(*case_1(cells), 2.0, 5.0) - series(2.0, 5.0) for cells in (2, 4, 8)]
    for coarse, fine in pairwise(errors):
        assert 1.9 < math.log2(coarse / fine) < 2.1


CASE_2_HEIGHT = 0.0475


def case_2() -> tuple[HeatNetwork, np.ndarray]:
    """A panel 0.5 m wide: 6 mm of a dense sheet, wood, insulation, a sheet of aluminium folded round it."""
    h = CASE_2_HEIGHT
    x = graded_lines([0.0, 0.0015, 0.015, 0.5], (0.0, 0.015), 0.0004, 0.2)
    y = graded_lines([0.0, 0.0015, h - 0.0125, h - 0.011, h - 0.006, h], (0.0, h), 0.0005, 0.2)
    middle_x, middle_y = np.meshgrid((x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2)
    left = middle_x < 0.015
    wood, fold = left & (middle_y > h - 0.011), left & (middle_y > h - 0.0125)
    aluminium = (middle_y < 0.0015) | (middle_x < 0.0015) | fold
    layers = [middle_y > h - 0.006, wood, aluminium]
    conductivity = np.select(layers, [1.15, 0.12, 230.0], 0.029)
    sides = [
        Side(where="top", port="cold", resistance=0.06),
        Side(where="bottom", port="warm", resistance=0.11),
    ]
    network = assemble(plain_elements(x, y, conductivity, np.ones_like(conductivity)), sides, ("cold", "warm"))
    return network, solve(network, {"cold": 0.0, "warm": 20.0})


@pytest.mark.parametrize(
    ("point", "x", "depth", "published"),
    [
        ("A", 0.0, 0.0, 7.1),
        ("B", 0.5, 0.0, 0.8),
        ("C", 0.0, 0.006, 7.9),
        ("D", 0.015, 0.006, 6.3),
        ("E", 0.5, 0.006, 0.8),
        ("F", 0.0, 0.011, 16.4),
        ("G", 0.015, 0.011, 16.3),
        ("H", 0.0, CASE_2_HEIGHT, 16.8),
        ("I", 0.5, CASE_2_HEIGHT, 18.3),
    ],
)
def test_case_2_temperatures_published(point: str, x: float, depth: float, published: float) -> None:
    network, temperatures = case_2()
    assert at(network, temperatures, x, CASE_2_HEIGHT - depth) == pytest.approx(published, abs=0.1), point


def test_case_2_heat_published() -> None:
    network, temperatures = case_2()
    assert heat_from(network, temperatures, "warm") == pytest.approx(9.5, abs=0.1)
    assert heat_from(network, temperatures, "cold") == pytest.approx(-9.5, abs=0.1)
