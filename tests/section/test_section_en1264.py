"""Heat conduction against EN 1264-2: the standard describes a pipe amid screed, well insulated below.

Source: the bands of a finite-element study of both, computed outside the project. A slip of either side (a sign
in an exponent, a factor left out) moves the flux by 10 % and leaves the first band.
"""

import pytest
from section_cases import a_section

from ufh_core.floor.types import FloorSection
from ufh_core.section import section_of_floor_section, steady
from ufh_core.thermal_output import characteristic

FINISHES = (0.0, 0.05, 0.10, 0.15)


def standard(pitch: float, finish_r: float, r_below: float = 1.42, **changes: float) -> FloorSection:
    base = {"cover_m": 0.045, "screed_conductivity": 1.2, "pipe_diameter_m": 0.016, "pipe_wall_m": 0.002}
    values = {**base, "pipe_conductivity": 0.35, **changes}
    return FloorSection(pitch_m=pitch, finish_r=finish_r, r_below=r_below, **values)


def deviation(pitch: float, finish_r: float, gap: float, insulation_r: float = 1.25) -> float:
    section = a_section(pitch, finish_r, gap=gap, insulation_r=insulation_r)
    return steady(section, water_c=21.0).characteristic / characteristic(standard(pitch, finish_r)) - 1


@pytest.mark.parametrize("finish_r", FINISHES)
@pytest.mark.parametrize("pitch", [0.10, 0.15, 0.20, 0.30])
@pytest.mark.parametrize("insulation_r", [1.25, 2.0])
def test_raised_pipe_is_within_five_percent(pitch: float, finish_r: float, insulation_r: float) -> None:
    assert -0.05 < deviation(pitch, finish_r, 0.010, insulation_r) < 0.05


@pytest.mark.parametrize("finish_r", FINISHES)
@pytest.mark.parametrize("pitch", [0.10, 0.15, 0.20, 0.25, 0.30])
def test_pipe_on_the_insulation_gives_less(pitch: float, finish_r: float) -> None:
    low, high = (-0.06, 0.03) if finish_r >= 0.05 else (-0.12, 0.0)
    if pitch > 0.20:
        low, high = -0.14, 0.0
    assert low < deviation(pitch, finish_r, 0.0005) < high


@pytest.mark.parametrize(
    ("gap", "insulation_r", "finish_r", "published"),
    [
        (0.0005, 0.75, 0.0, (-7.6, -9.3, -11.4, -13.5)),
        (0.0005, 0.75, 0.10, (-1.3, -2.6, -4.6, -8.5)),
        (0.0005, 2.0, 0.05, (-2.1, -2.4, -3.5, -5.3)),
        (0.010, 1.25, 0.0, (-4.3, -3.7, -4.0, -3.8)),
        (0.010, 1.25, 0.15, (2.4, 3.1, 2.9, 1.3)),
        (0.010, 2.0, 0.10, (1.8, 3.1, 3.3, 2.8)),
    ],
)
def test_deviations_of_finite_elements(
    gap: float, insulation_r: float, finish_r: float, published: tuple[float, ...]
) -> None:
    """The same study, value by value: 0.2 percent points."""
    for pitch, percent in zip((0.10, 0.15, 0.20, 0.30), published, strict=True):
        assert 100 * deviation(pitch, finish_r, gap, insulation_r) == pytest.approx(percent, abs=0.2)


@pytest.mark.parametrize(
    ("ours", "theirs", "published"),
    [
        ({"outside": 0.014}, {"pipe_diameter_m": 0.014}, (-8.1, -1.2, -9.9, -2.4, -14.0, -7.7)),
        ({"outside": 0.020}, {"pipe_diameter_m": 0.020}, (-5.6, 0.2, -6.1, 0.3, -8.1, -3.0)),
        ({"cover": 0.030}, {"cover_m": 0.030}, (-8.0, -1.3, -9.8, -2.2, -14.3, -7.8)),
        ({"cover": 0.065}, {"cover_m": 0.065}, (-4.4, 1.1, -5.4, 0.3, -8.8, -4.0)),
        ({"screed": 1.0}, {"screed_conductivity": 1.0}, (-7.8, -1.5, -10.1, -3.2, -15.3, -10.0)),
        ({"screed": 1.4}, {"screed_conductivity": 1.4}, (-5.9, 0.5, -6.4, 0.6, -8.1, -1.9)),
        ({"screed": 2.0}, {"screed_conductivity": 2.0}, (-4.0, 2.2, -2.7, 4.0, 0.0, 6.3)),
        ({"pipe": 0.22}, {"pipe_conductivity": 0.22}, (-6.9, -0.9, -8.1, -1.7, -11.2, -6.1)),
    ],
)
def test_other_floors_of_finite_elements(
    ours: dict[str, float], theirs: dict[str, float], published: tuple[float, ...]
) -> None:
    """The same study with pipe, cover and screed varied: 0.2 percent points."""
    cases = [(0.10, 0.0), (0.10, 0.10), (0.15, 0.0), (0.15, 0.10), (0.30, 0.0), (0.30, 0.10)]
    for (pitch, finish_r), percent in zip(cases, published, strict=True):
        found = steady(a_section(pitch, finish_r, **ours), water_c=21.0).characteristic
        assert 100 * (found / characteristic(standard(pitch, finish_r, **theirs)) - 1) == pytest.approx(
            percent, abs=0.2
        )


def test_section_of_the_standards_own_figures() -> None:
    """Insulation and finish without bodies; the pipe on the panel unless a gap is given."""
    changes = {"cover_m": 0.05, "pipe_diameter_m": 0.018, "pipe_conductivity": 0.4, "screed_conductivity": 1.4}
    floor = standard(0.20, 0.07, 1.10, **changes)
    section = section_of_floor_section(floor, gap_m=0.003, film=900.0, screed_heat_capacity=1.9e6)
    assert section.pitch_m == 0.20
    assert section.height_m == pytest.approx(0.003 + 0.018 + 0.05)
    assert section.pipe.centre_m == pytest.approx(0.003 + 0.009)
    assert (section.pipe.outside_m, section.pipe.wall_m, section.pipe.conductivity) == (0.018, 0.002, 0.4)
    assert (section.below_r, section.finish_r, section.pipe.film) == (1.10, 0.07, 900.0)
    assert (section.layers[0].conductivity, section.layers[0].heat_capacity_volumetric) == (1.4, 1.9e6)
    assert section_of_floor_section(floor).pipe.centre_m == pytest.approx(0.009)
