"""The section against finite elements that fit the round pipe, solved here by scikit-fem: flux 0.3 % (found: 0.1 %)."""

import numpy as np
import pytest
from section_cases import FiniteElements, a_section

from ufh_core.section import steady

pytest.importorskip("skfem")


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"pitch": 0.30, "finish_r": 0.10},
        {"pitch": 0.20, "finish_r": 0.05, "gap": 0.010},
        {"pitch": 0.10, "outside": 0.020, "screed": 2.0},
        {"pitch": 0.25, "pipe": 0.22, "cover": 0.065, "insulation_r": 0.75},
        {"finish_r": 0.15, "solid_finish": False},
        {"gap": 0.010, "outside": 0.015, "wall": 0.001, "pipe": 390.0},
        {"gap": 0.005, "outside": 0.017, "wall": 0.0035, "pipe": 1.2},
    ],
)
def test_section_of_finite_elements(changes: dict[str, float]) -> None:
    section = a_section(**changes)
    exact, found = FiniteElements(section), steady(section, water_c=21.0)
    assert found.heat_flux == pytest.approx(exact.up, rel=0.001)
    assert found.downward_flux == pytest.approx(exact.down, rel=0.001)
    assert exact.warmest - 0.001 < found.screed_peak_c - 20.0 < exact.warmest + 0.008  # the safe side
    surface = np.interp(found.surface_x_m, exact.x, exact.surface)
    assert np.abs(found.surface_c - 20.0 - surface).max() < 0.0015


def test_heat_that_flows_round_within_the_wall_hardly_matters() -> None:
    """The solver's wall conducts only straight through: on insulation, at any grid, within 0.1 % of a solid one."""
    for finish_r in (0.0, 0.1):
        section = a_section(0.15, finish_r)
        assert steady(section, water_c=21.0, cells=24).heat_flux == pytest.approx(
            FiniteElements(section, 20).up, rel=0.001
        )
