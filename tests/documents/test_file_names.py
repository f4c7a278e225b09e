"""File names of plans: safe, telling, each once."""

from __future__ import annotations

import dataclasses

import pytest

from tests.documents import made_up_design as made_up
from ufh_core.building.types import Storey
from ufh_core.design_result import StoreyDesign
from ufh_core.documents.plan_svg import plan_file_names, safe_stem


def _names(*names: str) -> list[str]:
    storeys = tuple(
        Storey(ifc_guid=f"s{k}", name=n, elevation_m=3.0 * k, placement=made_up.IDENTITY) for k, n in enumerate(names)
    )
    results = tuple(StoreyDesign(storey=s.ifc_guid, rooms=(), manifolds=(), circuits=()) for s in storeys)
    design = dataclasses.replace(made_up.design(), building=made_up.building(storeys=storeys), storeys=results)
    return [plan_file_names(design)[s.ifc_guid] for s in storeys]


def test_names_are_kept_in_any_script():
    assert _names("Erdgeschoß", "Первый этаж", "1階") == [
        "plan-Erdgeschoß.svg",
        "plan-Первый-этаж.svg",
        "plan-1階.svg",
    ]


def test_same_names_get_numbers_whatever_their_case():
    assert _names("Level 1", "level 1", "Level/1", "Level 1-2") == [
        "plan-Level-1.svg",
        "plan-level-1-2.svg",
        "plan-Level-1-3.svg",
        "plan-Level-1-2-2.svg",
    ]


@pytest.mark.parametrize("name", ["../../etc", "a\\b", '<>:"|?*', "", ".", "x" * 500, "я" * 500, "con\x00trol\n"])
def test_no_name_leaves_the_folder_or_breaks_a_file_system(name):
    stem = safe_stem(name)
    assert stem and not set(stem) & set('/\\<>:"|?*\n\x00') and not stem.startswith(".")
    assert len(f"plan-{stem}-99.svg".encode()) < 255
