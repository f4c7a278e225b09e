"""A written heating model converted by tools that nobody here wrote, and read back: other units, a later schema."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.shape
import ifcopenshell.util.unit
import numpy as np
import pytest
from test_heating_file import write_pair

ifcpatch = pytest.importorskip("ifcpatch")
LENGTH_M = 1e-4


@pytest.fixture(scope="module")
def heating(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_pair("IFC4-mm", tmp_path_factory.mktemp("pair")) / "heating.ifc"


def converted(path: Path, recipe: str, *arguments: str) -> Any:
    logging.getLogger("IFCPatch").setLevel(logging.ERROR)
    asked = {"input": str(path), "file": ifcopenshell.open(str(path)), "recipe": recipe, "arguments": list(arguments)}
    return ifcopenshell.file.from_string(ifcpatch.execute(asked).to_string())


def lengths(model: Any) -> dict[str, float]:
    """What each pipe says of its length [m], by GlobalId."""
    to_metres = ifcopenshell.util.unit.calculate_unit_scale(model)
    return {
        pipe.GlobalId: quantity.LengthValue * to_metres
        for pipe in model.by_type("IfcPipeSegment")
        for relation in pipe.IsDefinedBy
        for quantity in getattr(relation.RelatingPropertyDefinition, "Quantities", ())
        if quantity.is_a("IfcQuantityLength")
    }


def bodies(model: Any) -> dict[str, Any]:
    """The box round the body of each pipe [m], by GlobalId."""
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    found = {}
    for pipe in model.by_type("IfcPipeSegment"):
        corners = ifcopenshell.util.shape.get_vertices(ifcopenshell.geom.create_shape(settings, pipe).geometry)
        found[pipe.GlobalId] = np.array([corners.min(axis=0), corners.max(axis=0)])
    return found


def joints(model: Any) -> set[tuple[str, str]]:
    return {(j.RelatingPort.GlobalId, j.RelatedPort.GlobalId) for j in model.by_type("IfcRelConnectsPorts")}


@pytest.mark.parametrize(
    ("recipe", "arguments"),
    [("ConvertLengthUnit", ("FOOT",)), ("ConvertLengthUnit", ("METER",)), ("Migrate", ("IFC4X3",))],
)
def test_lengths_places_and_connections_survive(heating: Path, recipe: str, arguments: tuple[str, ...]) -> None:
    before, after = ifcopenshell.open(str(heating)), converted(heating, recipe, *arguments)
    assert after.schema == ("IFC4X3" if recipe == "Migrate" else before.schema)
    assert recipe == "Migrate" or scale(after) != scale(before)
    assert joints(after) == joints(before) != set()
    told, kept = lengths(before), lengths(after)
    assert told.keys() == kept.keys() == bodies(before).keys() and len(told) > 1
    assert max(abs(told[guid] - kept[guid]) for guid in told) < LENGTH_M
    there = bodies(after)
    assert max(np.abs(box - there[guid]).max() for guid, box in bodies(before).items()) < LENGTH_M


def scale(model: Any) -> float:
    return float(ifcopenshell.util.unit.calculate_unit_scale(model))


def test_a_length_without_its_unit_is_found(heating: Path) -> None:
    """The comparison bites: a number that is left as it was is another length in feet."""
    before, after = ifcopenshell.open(str(heating)), converted(heating, "ConvertLengthUnit", "FOOT")
    guid = next(iter(lengths(before)))
    for relation in after.by_guid(guid).IsDefinedBy:
        for quantity in getattr(relation.RelatingPropertyDefinition, "Quantities", ()):
            if quantity.is_a("IfcQuantityLength"):
                quantity.LengthValue = lengths(before)[guid] / scale(before)
    assert abs(lengths(after)[guid] - lengths(before)[guid]) > 1
