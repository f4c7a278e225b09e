"""Files of every schema, unit and place come back as they were written, and a moved manifold to the millimetre."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import edits
import numpy as np
import pytest

sys.path.append(str(Path(__file__).resolve().parents[1] / "exchange"))

import made_up_house as house
import made_up_pair as pair

from ufh_core.design_result import Design
from ufh_core.exchange.coordinated_model import write_coordinated_model
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.edited_heating import read_edited
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.exchange.pipe_curves import curve_pieces
from ufh_core.returned import Returned, State, read_back
from ufh_core.revision import read_earlier_design

WAY = (0.75, -0.2)


@pytest.fixture(scope="module", params=house.PLACES, ids=str)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Any]:
    folder = tmp_path_factory.mktemp(request.param)
    architect, made = pair.make_pair(house.PLACES[request.param], folder)
    design = _with_middle_of_cabinet(made)
    write_heating_model(design, architect, folder / "heating.ifc")
    write_coordinated_model(design, architect, folder / "coordinated.ifc")
    write_json(design, folder / "design.json")
    return folder, design.building


def _with_middle_of_cabinet(design: Design) -> Design:
    """The made-up manifold with its place in the middle of its cabinet's back, as every designed one has it."""
    (storey,) = design.storeys
    (one,) = storey.manifolds
    low, _, high, back = one.manifold.cabinet.bounds
    placed = replace(one.manifold, position=((low + high) / 2, back), width_m=high - low)
    return replace(design, storeys=(replace(storey, manifolds=(replace(one, manifold=placed),)),))


def back(written: tuple[Path, Any], file: Path) -> Returned:
    folder, building = written
    return read_back(building, read_earlier_design(folder, building), read_edited(file, building))


@pytest.mark.parametrize("name", ["heating.ifc", "coordinated.ifc"])
def test_what_nobody_edited_is_as_it_was(written: tuple[Path, Any], name: str) -> None:
    found = back(written, written[0] / name)
    assert found.findings == () and [c.state for c in found.circuits] == [State.AS_IT_WAS] * 2


@pytest.mark.parametrize("name", ["heating.ifc", "coordinated.ifc"])
def test_a_manifold_is_found_where_it_was_moved_to(written: tuple[Path, Any], name: str) -> None:
    folder, building = written
    file = edits.edited(folder / name, folder / f"moved-{name}", edits.moved("IfcElementAssembly", "M1", WAY))
    found = back(written, file)
    (moved,) = found.moved
    was = next(iter(found.earlier.circuits)).manifold
    before = np.array(building.storeys[0].placement) @ np.array([*was.position, 0.0, 1.0])
    after = building.frame.to_world(np.array([moved.position]))[0]
    assert after - before[:2] == pytest.approx(WAY, abs=1e-3)


def test_lines_and_circles_that_are_cut_by_parameters_are_read() -> None:
    """A line from 1 to 3 of its unit, and a quarter circle the other way round, in degrees."""
    import ifcopenshell

    file: Any = ifcopenshell.file(schema="IFC4")
    degree = file.create_entity(
        "IfcConversionBasedUnit",
        file.create_entity("IfcDimensionalExponents", 0, 0, 0, 0, 0, 0, 0),
        "PLANEANGLEUNIT",
        "DEGREE",
        file.create_entity(
            "IfcMeasureWithUnit",
            file.create_entity("IfcPlaneAngleMeasure", np.pi / 180),
            file.create_entity("IfcSIUnit", UnitType="PLANEANGLEUNIT", Name="RADIAN"),
        ),
    )
    units = file.create_entity("IfcUnitAssignment", [degree])
    file.create_entity("IfcProject", GlobalId="0" * 22, UnitsInContext=units)

    def point(*at: float) -> Any:
        return file.create_entity("IfcCartesianPoint", at)

    def cut(basis: Any, first: float, last: float, sense: bool) -> Any:
        ends = [[file.create_entity("IfcParameterValue", v)] for v in (first, last)]
        return file.create_entity("IfcTrimmedCurve", basis, *ends, sense, "PARAMETER")

    along = file.create_entity("IfcVector", file.create_entity("IfcDirection", (1.0, 0.0, 0.0)), 2.0)
    line = cut(file.create_entity("IfcLine", point(0.0, 1.0, 5.0), along), 0.5, 1.5, True)
    frame = file.create_entity("IfcAxis2Placement3D", point(3.0, 0.0, 5.0))
    arc = cut(file.create_entity("IfcCircle", frame, 1.0), 90.0, 0.0, False)
    parts = [file.create_entity("IfcCompositeCurveSegment", "CONTINUOUS", True, c) for c in (line, arc)]
    (straight, bend) = curve_pieces(file.create_entity("IfcCompositeCurve", parts, False))
    assert straight == pytest.approx(np.array([(1, 1, 5), (3, 1, 5)]))
    half = np.sqrt(0.5)
    assert np.array(bend) == pytest.approx(np.array([(3, 1, 5), (3 + half, half, 5), (4, 0, 5)]))
    turned = file.create_entity("IfcCompositeCurveSegment", "CONTINUOUS", False, arc)
    (back_,) = curve_pieces(file.create_entity("IfcCompositeCurve", [turned], False))
    assert np.array(back_) == pytest.approx(np.array(bend)[::-1])
