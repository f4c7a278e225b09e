"""Each planted conflict is found with its code and its element; its twin, as near as can be, raises nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import ifcopenshell
import ifcopenshell.geom
import pytest
import shapely
from planted_cases import CASES, Case
from planted_house import House, Models, around, build_house

from ufh_core.basis.findings import Finding
from ufh_core.building.read import read_building
from ufh_core.clash_check import checked_heating, clashes_of


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> House:
    return build_house(tmp_path_factory.mktemp("planted"))


def found_in(models: Models) -> list[Finding]:
    """What the check says of the models as they are written, notes aside."""
    paths, house = models.written(), models.house
    moved = "architect" in models.touched
    building = read_building(paths["architect"], house.settings) if moved else house.building
    others: Sequence[Path] = [paths["other"]] if "other" in paths else []
    found = checked_heating(building, paths["architect"], paths["heating"], house.settings, others).findings
    return [f for f in found if f.severity != "note"]


def test_the_house_itself_raises_nothing(house: House) -> None:
    assert found_in(Models.of(house)) == []
    assert [f for f in clashes_of(house.design, house.folder / "architect.ifc") if f.severity != "note"] == []


def test_there_are_enough_cases() -> None:
    assert len(CASES) >= 40
    assert all(case.plant is not case.twin for case in CASES.values())


def test_heating_of_another_house_is_not_passed_over(house: House) -> None:
    """Storeys that the architect's model does not have, somewhere else: every pipe and cabinet is named."""
    models = Models.of(house)
    for storey in models.heating.storeys.values():
        storey.GlobalId = models.heating.make("IfcWall").GlobalId
    for element in (*models.heating.file.by_type("IfcPipeSegment"), models.manifold()):
        models.heating.shift(element, x=100.0)
    found = {f.code: f for f in found_in(models)}
    pipes = {p.GlobalId for p in models.heating.file.by_type("IfcPipeSegment")}
    assert pipes <= set(found["coordination.pipe-off-storey"].ifc_guids)
    assert models.cabinet().GlobalId in found["coordination.cabinet-off-storey"].ifc_guids


def test_crossed_outlines_of_a_model_do_not_stop_the_check(house: House) -> None:
    bow = shapely.Polygon([(6.0, 1.0), (6.5, 1.5), (6.5, 1.0), (6.0, 1.5)])
    storey, *rest = house.building.storeys
    wall = replace(storey.walls[0], outline=bow, ifc_guid="crossed")
    building = replace(house.building, storeys=(replace(storey, walls=(*storey.walls, wall)), *rest))
    paths = Models.of(house).written()
    found = checked_heating(building, paths["architect"], paths["heating"], house.settings).findings
    assert any("crossed" in f.ifc_guids for f in found)


def test_notes_where_the_model_is_silent(house: House) -> None:
    """A recess in a wall that may bear, a door that may open against the cabinet: notes, no warnings."""
    models = Models.of(house)
    recess, unknown = CASES["cabinet in a bearing wall"], CASES["door swings against the cabinet"]
    unknown.plant(models).OperationType = None
    models.heating.shift(models.manifold(), y=-0.05)
    paths = models.written()
    building = read_building(paths["architect"], house.settings)
    found = checked_heating(building, paths["architect"], paths["heating"], house.settings).findings
    assert {f.code for f in found if f.severity == "note"} >= {
        "coordination.recess-maybe-bearing",
        "coordination.cabinet-maybe-in-door-swing",
        "coordination.drilling",
    }
    assert [f.code for f in found if f.severity != "note"] == []
    assert recess.code not in {f.code for f in found}


def test_pairs_are_those_of_the_librarys_search_tree(house: House) -> None:
    """Bodies on, above, below and between pipes: those that meet one are those that `geom.tree` says meet one."""
    models = Models.of(house)
    heights = (-0.12, -0.075, -0.03, 0.1)
    for k in range(40):
        at = (4.7 + 0.08 * k, 0.7 + 0.065 * k)
        models.other.solid("IfcDuctSegment", around(at, 0.02), heights[k % 4] + 0.0007 * k, 0.05 + 0.001 * k)
    paths = models.written()
    found = checked_heating(
        house.building, paths["architect"], paths["heating"], house.settings, [paths["other"]]
    ).findings
    told = {f.ifc_guids[0] for f in found if f.code == "coordination.pipe-on-duct"}
    tree, sets = ifcopenshell.geom.tree(backend="opencascade.trianglebvh"), []
    for path, kind in ((paths["heating"], "IfcPipeSegment"), (paths["other"], "IfcDuctSegment")):
        model = ifcopenshell.open(str(path))
        sets.append(model.by_type(kind))
        iterator = ifcopenshell.geom.iterator(ifcopenshell.geom.settings(), model, 2, include=sets[-1])
        assert iterator.initialize()
        while True:
            tree.add_element(iterator.get())
            if not iterator.next():
                break
    pairs = tree.clash_collision_many(*sets, allow_touching=False)
    met = {e.get_argument(0) for pair in pairs for e in (pair.a, pair.b)} & {e.GlobalId for e in sets[1]}
    assert told == met and 5 < len(met) < 35


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
