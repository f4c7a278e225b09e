"""Each planted conflict is found with its code and its element; its twin, as near as can be, raises nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from planted_cases import CASES, Case
from planted_house import House, Models, build_house

from ufh_core.basis.findings import Finding
from ufh_core.building.read import read_building
from ufh_core.clash_check import clashes_of, heating_clashes


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> House:
    return build_house(tmp_path_factory.mktemp("planted"))


def found_in(models: Models) -> list[Finding]:
    """What the check says of the models as they are written, notes aside."""
    paths, house = models.written(), models.house
    moved = "architect" in models.touched
    building = read_building(paths["architect"], house.settings) if moved else house.building
    others: Sequence[Path] = [paths["other"]] if "other" in paths else []
    found = heating_clashes(building, paths["architect"], paths["heating"], house.settings, others)
    return [f for f in found if f.severity != "note"]


def test_the_house_itself_raises_nothing(house: House) -> None:
    assert found_in(Models.of(house)) == []
    assert [f for f in clashes_of(house.design, house.folder / "architect.ifc") if f.severity != "note"] == []


def test_there_are_enough_cases() -> None:
    assert len(CASES) >= 40
    assert all(case.plant is not case.twin for case in CASES.values())


@pytest.mark.parametrize("name", CASES)
def test_conflict_is_found(house: House, name: str) -> None:
    case: Case = CASES[name]
    models = Models.of(house)
    element = case.plant(models).GlobalId
    found = found_in(models)
    right = [f for f in found if f.code == f"coordination.{case.code}" and element in f.ifc_guids]
    assert right, [(f.code, f.message) for f in found]
    assert {f.code for f in found} - {f"coordination.{case.code}"} <= set(case.besides)


@pytest.mark.parametrize("name", CASES)
def test_twin_raises_nothing(house: House, name: str) -> None:
    models = Models.of(house)
    CASES[name].twin(models)
    assert [(f.code, f.message) for f in found_in(models)] == []
