"""How thick a screed must be for its load, and what is said where it is not."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import plan_sketch
import pytest
from shapely.geometry import box

from ufh_core.basis.errors import NoSolution
from ufh_core.floor import design_build_up, floor_findings
from ufh_core.floor.strength import LOADS_KN_M2, STRENGTHS, least_cover
from ufh_core.settings.floor_types import SCREED_STRENGTHS, SCREEDS
from ufh_core.settings.types import Settings

FIRM = 0.003


@pytest.mark.parametrize(
    ("screed", "strength", "load", "mm"),
    [
        ("cement", "F4", 2.0, 45),
        ("cement", "F4", 3.0, 65),
        ("cement", "F5", 2.0, 40),
        ("cement", "F5", 5.0, 65),
        ("cement", "F7", 5.0, 65),
        ("calcium sulphate", "F7", 4.0, 55),
        ("flowing calcium sulphate", "F4", 2.0, 35),
        ("flowing calcium sulphate", "F5", 3.0, 45),
        ("flowing calcium sulphate", "F7", 2.5, 40),
        ("cement", "F4", 0.5, 45),
    ],
)
def test_published_thicknesses(screed: str, strength: str, load: float, mm: float) -> None:
    """Published: DIN 18560-2, tables 1 to 4, by a public transcription; loads between two go by the greater."""
    assert least_cover(screed, strength, load, FIRM) == pytest.approx(mm / 1000)


def test_soft_boards_ask_for_more_screed_or_none_will_do() -> None:
    """Published: the same tables' notes: 5 mm more from 5 mm on at 2 kN/m²; 5 and 3 mm at most under more load."""
    assert least_cover("cement", "F4", 2.0, 0.005) == pytest.approx(0.045)
    assert least_cover("cement", "F4", 2.0, 0.006) == pytest.approx(0.050)
    assert least_cover("cement", "F4", 3.0, 0.005) == pytest.approx(0.065)
    for load, deflection in ((2.0, 0.0101), (3.0, 0.0051), (4.0, 0.0031), (5.0, 0.0031)):
        with pytest.raises(NoSolution, match="too soft"):
            least_cover("cement", "F4", load, deflection)
    with pytest.raises(NoSolution, match=r"5\.1 kN/m² is more"):
        least_cover("cement", "F4", 5.1, FIRM)


def test_thickness_falls_with_strength_and_rises_with_load() -> None:
    for screed in SCREEDS:
        rows = [[least_cover(screed, s, load, FIRM) for load in LOADS_KN_M2] for s in STRENGTHS]
        assert all(row == sorted(row) for row in rows)
        assert all(column == sorted(column, reverse=True) for column in map(list, zip(*rows, strict=True)))
    assert STRENGTHS == SCREED_STRENGTHS


@pytest.mark.parametrize(
    ("changed", "flow_c", "code", "words"),
    [
        ({"screed_cover_m": 0.030}, 40.0, "floor.screed-thin", "30 mm over the pipe are less than the 45 mm"),
        ({"load_kn_m2": 3.0}, 40.0, "floor.screed-thin", "set floor.screed_cover_m = 0.065"),
        ({"load_kn_m2": 6.0}, 40.0, "floor.screed-load", "have the floor's engineer"),
        ({"insulation_deflection_m": 0.01, "load_kn_m2": 3.0}, 40.0, "floor.screed-load", "too soft"),
        ({}, 55.5, "floor.screed-hot", "water of 55.5 °C"),
        ({}, 55.0, "", ""),
        ({"screed": "flowing calcium sulphate", "screed_cover_m": 0.035}, 40.0, "", ""),
    ],
)
def test_a_screed_that_its_load_or_its_water_would_break_is_told(
    changed: dict[str, Any], flow_c: float, code: str, words: str
) -> None:
    settings = replace(Settings(), floor=replace(Settings().floor, **changed))
    room = plan_sketch.room("r", box(0, 0, 5, 4), slab_top_m=-0.3)
    build_up = design_build_up(room, "ground", settings, 0.1)
    found = floor_findings([build_up], plan_sketch.storey([room]), flow_c, settings)
    assert [f.code for f in found] == ([code] if code else [])
    assert all(words in f.message for f in found)
