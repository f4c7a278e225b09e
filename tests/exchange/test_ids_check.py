"""The bundled IDS files on samples and on a written heating model; broken models prove that each check bites."""

import subprocess
import sys
from pathlib import Path

import ifcopenshell
import pytest
from ifctester import ids

from ufh_core.exchange.ids_check import Which, ids_gaps, ids_lines, specification_path

ROOT = Path(__file__).resolve().parents[2]
BUNGALOW = ROOT / "sample_models" / "bungalow.ifc"


@pytest.fixture(scope="module")
def heating(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ids")
    writer = Path(__file__).with_name("write_made_up_pair.py")
    subprocess.run([sys.executable, str(writer), "IFC4-mm", str(folder)], check=True)
    return folder / "heating.ifc"


@pytest.mark.parametrize("which", ["architect", "heating"])
def test_the_files_hold_to_the_schema_of_the_standard(which: Which) -> None:
    """Published: the XML schema of IDS 1.0, which ifctester brings along."""
    assert ids.open(str(specification_path(which)), validate=True).specifications


def test_a_sample_lacks_only_u_values() -> None:
    assert {gap.remedy for gap in ids_gaps(ifcopenshell.open(BUNGALOW), "architect")} == {
        "Give the U-value in W/(m2 K)."
    }


@pytest.mark.parametrize(
    ("kind", "attribute", "words"),
    [
        ("IfcSpace", "Representation", "with its body"),
        ("IfcSpace", "LongName", "what the room is for"),
        ("IfcDoor", "OverallWidth", "clear width"),
        ("IfcSlab", "Representation", "the slab with its body"),
    ],
)
def test_what_an_architect_left_out_is_named_with_its_remedy(kind: str, attribute: str, words: str) -> None:
    model = ifcopenshell.open(BUNGALOW)
    element = model.by_type(kind)[0]
    setattr(element, attribute, None)
    assert any(words in line and element.GlobalId in line for line in ids_lines(model, "architect"))


def test_a_door_beside_its_opening_is_named() -> None:
    model = ifcopenshell.open(BUNGALOW)
    relation = model.by_type("IfcDoor")[0].FillsVoids[0]
    door = relation.RelatedBuildingElement.GlobalId
    model.remove(relation)
    assert any("opening" in line and door in line for line in ids_lines(model, "architect"))


def test_a_model_without_rooms_is_told_so() -> None:
    lines = ids_lines(ifcopenshell.file(schema="IFC4"), "architect")
    assert [line.split(":")[0] for line in lines] == ["Storeys", "Rooms"]


def test_a_written_heating_model_holds_all_that_is_owed(heating: Path) -> None:
    assert ids_gaps(ifcopenshell.open(heating), "heating") == ()


@pytest.mark.parametrize("lost", ["PipeLength", "Pitch", "HeatOutput", "MassFlow", "PressureDrop", "FlowTemperature"])
def test_a_circuit_that_lost_a_value_is_named(heating: Path, lost: str) -> None:
    model = ifcopenshell.open(heating)
    for value in [p for p in model.by_type("IfcPropertySingleValue") if p.Name == lost]:
        value.Name = "Other"
    assert any(line.startswith(f"Circuits: Write {lost} of") for line in ids_lines(model, "heating"))


def test_ports_without_direction_and_circuits_without_system_are_named(heating: Path) -> None:
    model = ifcopenshell.open(heating)
    model.by_type("IfcDistributionPort")[0].FlowDirection = None
    for relation in model.by_type("IfcRelAggregates"):
        if relation.RelatingObject.is_a("IfcDistributionSystem"):
            model.remove(relation)
    assert {gap.specification for gap in ids_gaps(model, "heating")} == {"Ports", "Circuits"}


def test_a_schema_that_cannot_be_checked_is_no_pass() -> None:
    (line,) = ids_lines(ifcopenshell.file(schema="IFC2X3"), "heating")
    assert "none of it can be checked on IFC2X3" in line
