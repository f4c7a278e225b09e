"""Other trades' models are brought into the architect's plan frame: units, place, map; by hand-calculated places."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from building_sketch import Sketch, two_rooms

from ufh_core.basis.errors import ModelReadError
from ufh_core.building.coordination_inputs import Surroundings, read_surroundings
from ufh_core.building.other_models import trade_of
from ufh_core.building.read import read_building
from ufh_core.coordination.check import coordination_findings
from ufh_core.coordination.types import HeatingParts
from ufh_core.settings.types import Settings


def on_map(sketch: Sketch, east: float, north: float, height: float, turn: float, name: str = "EPSG:25832") -> None:
    """Georeference a model; lengths in metres on the map, given in the model's own unit."""
    f = sketch.file
    system = f.create_entity("IfcProjectedCRS", Name=name)
    f.create_entity(
        "IfcMapConversion",
        SourceCRS=sketch.context,
        TargetCRS=system,
        Eastings=east / sketch.scale,
        Northings=north / sketch.scale,
        OrthogonalHeight=height / sketch.scale,
        XAxisAbscissa=math.cos(turn),
        XAxisOrdinate=math.sin(turn),
    )


def surroundings(folder: Path, architect: Sketch, *others: Sketch) -> Surroundings:
    path = architect.save(folder, "architect.ifc")
    building = read_building(path, Settings())
    return read_surroundings(path, building, [o.save(folder, f"other{k}.ifc") for k, o in enumerate(others)])


def codes(folder: Path, around: Surroundings) -> list[str]:
    building = read_building(folder / "architect.ifc", Settings())
    return [f.code for f in coordination_findings(building, HeatingParts(), around, Settings())]


def duct_in(sketch: Sketch, x: float, y: float) -> Sketch:
    storey = sketch.storey()
    sketch.box("IfcDuctSegment", x, y, x + 0.4, y + 0.2, 0.5, 1.0, storey, name="duct")
    return sketch


@pytest.mark.parametrize("unit", ["m", "mm", "ft"])
def test_same_origin_in_any_unit(tmp_path: Path, unit: str) -> None:
    around = surroundings(tmp_path, two_rooms()[0], duct_in(Sketch(unit=unit), 1.0, 2.0))
    body = around.others[0].bodies[0]
    assert body.trade == "duct" and body.model == "other0.ifc"
    assert body.vertices.min(axis=0) == pytest.approx([1.0, 2.0, 0.5], abs=1e-6)
    assert body.vertices.max(axis=0) == pytest.approx([1.4, 2.2, 1.5], abs=1e-6)
    assert codes(tmp_path, around) == []


def test_models_on_the_same_map_meet_there(tmp_path: Path) -> None:
    """The architect's origin is at (1000, 2000, 50) turned by 30°; the other's at (1010, 2000, 47), not turned.

    A duct at (1, 2) of the house then lies at map (1000 + cos 30° - 2 sin 30°, 2000 + sin 30° + 2 cos 30°).
    """
    architect = two_rooms(unit="mm")[0]
    on_map(architect, 1000.0, 2000.0, 50.0, math.radians(30))
    corner = np.array([1000 + math.cos(math.pi / 6) - 2 * 0.5, 2000 + 0.5 + 2 * math.cos(math.pi / 6)])
    other = Sketch(unit="ft")
    on_map(other, 1010.0, 2000.0, 47.0, 0.0)
    at = corner - (1010.0, 2000.0)
    duct_in(other, float(at[0]), float(at[1]))
    around = surroundings(tmp_path, architect, other)
    vertices = around.others[0].bodies[0].vertices
    nearest = vertices[np.argmin(np.hypot(*(vertices[:, :2] - (1.0, 2.0)).T))]
    assert nearest[:2] == pytest.approx([1.0, 2.0], abs=1e-6)
    assert vertices[:, 2].min() == pytest.approx(0.5 - 3.0, abs=1e-6)
    assert codes(tmp_path, around) == []


def test_maps_that_differ_are_told_and_own_origins_used(tmp_path: Path) -> None:
    architect = two_rooms()[0]
    on_map(architect, 1000.0, 2000.0, 0.0, 0.0)
    other = duct_in(Sketch(), 1.0, 2.0)
    on_map(other, 0.0, 0.0, 0.0, 0.0, "EPSG:2056")
    plain = duct_in(Sketch(), 1.0, 2.0)
    around = surroundings(tmp_path, architect, other, plain)
    assert [o.bodies[0].vertices[:, 0].min() for o in around.others] == pytest.approx([1.0, 1.0])
    assert codes(tmp_path, around) == ["coordination.other-map-system", "coordination.one-georeferenced"]


def test_a_model_that_lies_elsewhere_is_told(tmp_path: Path) -> None:
    around = surroundings(tmp_path, two_rooms()[0], duct_in(Sketch(place=(500.0, 0.0, 0.0)), 1.0, 2.0), Sketch())
    assert codes(tmp_path, around) == ["coordination.model-elsewhere", "coordination.nothing-to-check"]


def test_the_architects_own_elements_and_reservations_are_left_out(tmp_path: Path) -> None:
    sketch, parts = two_rooms()
    copy, _ = two_rooms()
    copy.file = sketch.file.from_string(sketch.file.to_string())
    storey = copy.file.by_type("IfcBuildingStorey")[0]
    copy.context = copy.file.by_type("IfcGeometricRepresentationContext")[0]
    copy.building = copy.file.by_type("IfcBuilding")[0]
    copy.box("IfcBuildingElementProxy", 1, 1, 1.2, 1.2, 0, 0.1, storey, name="hole", PredefinedType="PROVISIONFORVOID")
    copy.box("IfcBuildingElementProxy", 2, 1, 2.2, 1.2, 0, 0.1, storey, name="hole", ObjectType="ProvisionForVoid")
    copy.box("IfcPipeSegment", 1, 1, 1.2, 1.2, 0, 0.1, storey, name="pipe")
    around = surroundings(tmp_path, sketch, copy)
    assert [b.name for b in around.others[0].bodies] == ["pipe"]
    assert parts["slab"].GlobalId not in {b.ifc_guid for b in around.others[0].bodies}


def test_services_of_the_architect_are_read_and_fixtures_are_not(tmp_path: Path) -> None:
    sketch, parts = two_rooms()
    sketch.box("IfcPipeSegment", 1, 1, 1.2, 1.2, 0, 2.0, parts["storey"], name="stack")
    sketch.box("IfcSanitaryTerminal", 2, 1, 2.4, 1.6, 0, 0.4, parts["storey"], name="pan")
    around = surroundings(tmp_path, sketch)
    assert [(b.name, b.trade, b.model) for b in around.services] == [("stack", "pipe", "")]


def test_a_heating_model_is_refused(tmp_path: Path) -> None:
    other = duct_in(Sketch(), 1.0, 2.0)
    other.properties(other.project, "UFH_Provenance", SoftwareVersion="0")
    with pytest.raises(ModelReadError, match="--design"):
        surroundings(tmp_path, two_rooms()[0], other)


@pytest.mark.parametrize(
    ("given", "trade"),
    [
        (("IfcPipeSegment",), "pipe"),
        (("IfcWasteTerminal", "FLOORTRAP"), "drain"),
        (("IfcFlowSegment", "", "IfcDuctSegmentType"), "duct"),
        (("IfcCableCarrierSegment",), "cable"),
        (("IfcReinforcingBar",), "structure"),
        (("IfcUnitaryEquipment",), "other"),
    ],
)
def test_trades_by_class(given: tuple[str, ...], trade: str) -> None:
    assert trade_of(*given) == trade
