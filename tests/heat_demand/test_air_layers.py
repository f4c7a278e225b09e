"""Layers of air in constructions: by thickness, by the way of the heat, and where outdoor air blows through."""

from __future__ import annotations

import pytest

from ufh_core.building.constructions import is_air
from ufh_core.building.types import Construction, MaterialLayer
from ufh_core.heat_demand.u_values import R_SE, R_SI_DOWN, R_SI_LEVEL, R_SI_UP, air_r, layers_r, u_value

WALL, ROOF, FLOOR = R_SI_LEVEL + R_SE, R_SI_UP + R_SE, R_SI_DOWN + R_SE
BRICK = MaterialLayer(name="brick", thickness_m=0.10, conductivity=0.8)
WOOL = MaterialLayer(name="wool", thickness_m=0.12, conductivity=0.04)
BLOCK = MaterialLayer(name="block", thickness_m=0.15, conductivity=0.5)


def air(thickness_m: float, ventilated: bool = False) -> MaterialLayer:
    return MaterialLayer(name="air", thickness_m=thickness_m, air=True, ventilated=ventilated)


@pytest.mark.parametrize(
    ("thickness_m", "up", "level", "down"),
    [
        (0.005, 0.11, 0.11, 0.11),
        (0.010, 0.15, 0.15, 0.15),
        (0.015, 0.16, 0.17, 0.17),
        (0.025, 0.16, 0.18, 0.19),
        (0.050, 0.16, 0.18, 0.21),
        (0.100, 0.16, 0.18, 0.22),
        (0.300, 0.16, 0.18, 0.23),
        (0.500, 0.16, 0.18, 0.23),
    ],
)
def test_still_air_as_published(thickness_m: float, up: float, level: float, down: float) -> None:
    """EN ISO 6946, table 8 (unventilated air layers, surfaces of high emissivity), from memory."""
    for films, published in ((ROOF, up), (WALL, level), (FLOOR, down)):
        assert air_r(thickness_m, films) == pytest.approx(published)
    assert air_r(thickness_m, 2 * R_SI_LEVEL) == pytest.approx(level)


def test_a_cavity_wall_by_hand() -> None:
    """Brick 0.10/0.8 + still air 50 mm 0.18 + wool 0.12/0.04 + block 0.15/0.5 = 3.605; with films U = 0.265."""
    wall = Construction(layers=(BRICK, air(0.05), WOOL, BLOCK))
    assert layers_r(wall) == pytest.approx(0.125 + 0.18 + 3.0 + 0.3)
    found = u_value(wall, WALL, 9.9)
    assert (found.value, found.basis) == (pytest.approx(1 / 3.775), "layers")


@pytest.mark.parametrize("turned", [False, True])
def test_behind_a_ventilated_cavity_only_the_better_side_counts(turned: bool) -> None:
    """EN ISO 6946, 6.9.4, from memory: layers beyond well ventilated air are left out, R_se becomes 0.13."""
    layers = (BRICK, air(0.04, ventilated=True), WOOL, BLOCK)
    wall = Construction(layers=layers[::-1] if turned else layers)
    assert layers_r(wall) == pytest.approx(3.0 + 0.3 + 0.13 - 0.04)
    assert u_value(wall, WALL, 9.9).value == pytest.approx(1 / (3.3 + 0.13 + 0.13))


def test_a_layer_that_is_not_known_still_ends_it() -> None:
    unknown = MaterialLayer(name="board", thickness_m=0.02)
    assert layers_r(Construction(layers=(BRICK, air(0.05), unknown))) is None
    assert layers_r(Construction(layers=(air(0.04, ventilated=True),))) is None
    assert layers_r(Construction(layers=(unknown, air(0.04, ventilated=True), WOOL))) == pytest.approx(3.0 + 0.09)


@pytest.mark.parametrize(
    ("name", "air_it_is"),
    [("Luftschicht, 4 cm", True), ("Air Space", True), ("Spouw", True), ("Aerated block", False), ("", False),
     ("Air barrier foil", False), ("Fresh air duct", False), ("Hair felt", False)],
)  # fmt: skip
def test_air_is_known_by_its_name(name: str, air_it_is: bool) -> None:
    assert is_air(name) is air_it_is
