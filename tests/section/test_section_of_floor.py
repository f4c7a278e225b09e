"""The section of a floor as the project designs it."""

import pytest
from shapely.geometry import box

from ufh_core.building.types import Room, RoomKind
from ufh_core.floor import design_build_up
from ufh_core.floor.types import BuildUp
from ufh_core.section import section_of, steady
from ufh_core.settings import Settings

SETTINGS = Settings()


def a_floor(below: str = "ground", finish_r: float = 0.10) -> BuildUp:
    room = Room(
        ifc_guid="r",
        name="r",
        long_name="",
        kind=RoomKind.LIVING,
        outline=box(0, 0, 5, 4),
        floor_m=0.0,
        height_m=2.5,
        slab_top_m=None,
    )
    return design_build_up(room, below, SETTINGS, finish_r)


@pytest.mark.parametrize("below", ["ground", "heated", "outside"])
def test_layers_and_pipe_are_those_of_the_floor(below: str) -> None:
    """35 mm of insulation on ground, panel 11 mm, screed 61 mm with the pipe on the panel, finish 15 mm."""
    build_up = a_floor(below)
    section = section_of(build_up, SETTINGS, 0.20)
    insulation = next(layer.thickness_m for layer in build_up.layers if layer.role == "insulation")
    assert [layer.thickness_m for layer in section.layers] == pytest.approx([insulation, 0.011, 0.061, 0.015])
    assert [layer.conductivity for layer in section.layers] == pytest.approx([0.035, 0.035, 1.2, 0.15])
    capacities = [layer.heat_capacity_volumetric for layer in section.layers]
    assert capacities == pytest.approx([25 * 1450, 25 * 1450, 2000 * 1000, 1.5e6])
    assert section.pipe.centre_m == pytest.approx(insulation + 0.011 + 0.008)
    assert (section.pipe.outside_m, section.pipe.wall_m, section.pipe.conductivity) == (0.016, 0.002, 0.35)
    assert section.pitch_m == 0.20
    assert section.below_r == pytest.approx(0.17)
    assert section.finish_r == 0.0


def test_finish_without_resistance_is_no_layer() -> None:
    section = section_of(a_floor(finish_r=0.0), SETTINGS, 0.15)
    assert len(section.layers) == 3
    assert section.room_film_r == pytest.approx(1 / 10.8)


def test_options_reach_the_section() -> None:
    section = section_of(a_floor(), SETTINGS, 0.15, film=800.0, finish_heat_capacity=0.8e6)
    assert section.pipe.film == 800.0
    assert section.layers[-1].heat_capacity_volumetric == 0.8e6


def test_designed_floor_gives_about_what_the_standard_says() -> None:
    """EN 1264-2 for this floor: K_H 3.368 W/(m² K); a pipe on its panel gives up to 6 % less."""
    found = steady(section_of(a_floor(), SETTINGS, 0.15), water_c=21.0)
    assert 3.368 * 0.94 < found.characteristic < 3.368 * 1.01
