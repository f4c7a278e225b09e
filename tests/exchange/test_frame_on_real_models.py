"""The frame written over architects' models: same ids and names, bodies in the same place."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import numpy as np
import pytest
from ifcopenshell.util import placement as ifc_placement
from ifcopenshell.util import unit as ifc_unit
from shapely.geometry import box

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, Room, RoomKind, Storey
from ufh_core.design_result import Design, RoomDesign, RoomStatus, StoreyDesign
from ufh_core.exchange.coordinated_model import write_coordinated_model
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.settings.types import Settings

MODELS = Path(os.environ.get("WARMLOOM_MODELS", Path(__file__).resolve().parents[3] / "shared" / "models"))
FILES = sorted(MODELS.glob("*.ifc")) if MODELS.is_dir() else []
pytestmark = pytest.mark.skipif(not FILES, reason="the architects' models are not here (WARMLOOM_MODELS)")

OVERLAY_M = 1e-4


def rooms_of(storey: Any, scale: float) -> tuple[Room, ...]:
    """All rooms of a storey, with a stand-in outline."""
    parts = [e for r in storey.IsDecomposedBy or () for e in r.RelatedObjects]
    return tuple(
        Room(
            ifc_guid=space.GlobalId,
            name=space.Name or "",
            long_name=space.LongName or "",
            kind=RoomKind.OTHER,
            outline=box(0, 0, 3, 4),
            floor_m=0.0,
            height_m=2.5,
        )
        for space in parts
        if space.is_a("IfcSpace")
    )


def design_over(source: Any) -> Design:
    """A design with no circuit, which nevertheless wants every room of the model."""
    scale = ifc_unit.calculate_unit_scale(source)
    storeys = []
    for entity in source.by_type("IfcBuildingStorey"):
        matrix = ifc_placement.get_local_placement(entity.ObjectPlacement)
        matrix[:3, 3] *= scale
        storeys.append(
            Storey(
                ifc_guid=entity.GlobalId,
                name=entity.Name or "",
                elevation_m=float(matrix[2, 3]),
                placement=tuple(map(tuple, matrix.tolist())),
                rooms=rooms_of(entity, scale),
            )
        )
    building = Building(
        project_name="",
        building_name="",
        schema=source.schema,
        length_unit_m=scale,
        frame=LocalFrame(rotation=0.4),
        north_rad=None,
        storeys=tuple(storeys),
    )
    wanted = [
        StoreyDesign(
            storey=s.ifc_guid,
            rooms=tuple(RoomDesign(room=r.ifc_guid, status=RoomStatus.FAILED, reason="not laid") for r in s.rooms),
            manifolds=(),
            circuits=(),
        )
        for s in storeys
    ]
    return Design(
        building=building,
        settings=Settings(),
        storeys=tuple(wanted),
        findings=(),
        take_off=(),
        software_version="0.1.0",
        settings_digest="",
    )


def corners(model: Any, element: Any) -> np.ndarray:
    """Bounds of a body in the world [m]."""
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    points = np.array(ifcopenshell.geom.create_shape(settings, element).geometry.verts).reshape(-1, 3)
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_rooms_and_storeys_overlay_the_architects_model(path: Path, tmp_path: Path) -> None:
    source = ifcopenshell.open(str(path))
    design = design_over(source)
    write_heating_model(design, path, tmp_path / "heating.ifc")
    made = ifcopenshell.open(str(tmp_path / "heating.ifc"))
    scale = ifc_unit.calculate_unit_scale(source)
    assert ifc_unit.calculate_unit_scale(made) == pytest.approx(scale, rel=1e-12)
    assert made.schema_identifier == ("IFC4X3_ADD2" if source.schema == "IFC4X3" else "IFC4")
    for kind in ("IfcProject", "IfcBuilding", "IfcBuildingStorey"):
        assert {(e.GlobalId, e.Name) for e in made.by_type(kind)} <= {
            (e.GlobalId, e.Name) for e in source.by_type(kind)
        }
    for storey in made.by_type("IfcBuildingStorey"):
        theirs = ifc_placement.get_local_placement(source.by_guid(storey.GlobalId).ObjectPlacement)
        ours = ifc_placement.get_local_placement(storey.ObjectPlacement)
        assert np.abs(ours - theirs).max() * scale < OVERLAY_M
    rooms = [r for s in design.building.storeys for r in s.rooms]
    assert {s.GlobalId for s in made.by_type("IfcSpace")} == {r.ifc_guid for r in rooms}
    for room in rooms:
        theirs, ours = source.by_guid(room.ifc_guid), made.by_guid(room.ifc_guid)
        assert (ours.Name, ours.LongName) == (theirs.Name, theirs.LongName)
        assert np.abs(corners(made, ours) - corners(source, theirs)).max() < OVERLAY_M


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_georeference_and_true_north_are_kept(path: Path, tmp_path: Path) -> None:
    source = ifcopenshell.open(str(path))
    write_heating_model(design_over(source), path, tmp_path / "heating.ifc")
    made = ifcopenshell.open(str(tmp_path / "heating.ifc"))

    def norths(model: Any) -> set[tuple[float, ...]]:
        contexts = model.by_type("IfcGeometricRepresentationContext", include_subtypes=False)
        return {tuple(c.TrueNorth.DirectionRatios[:2]) for c in contexts if c.TrueNorth}

    assert norths(made) == norths(source)
    if source.schema == "IFC2X3":
        assert not made.by_type("IfcCoordinateOperation")
        return
    ours, theirs = (
        [
            c.get_info(include_identifier=False, recursive=True, ignore=("SourceCRS",))
            for c in m.by_type("IfcMapConversion")
        ]
        for m in (made, source)
    )
    strip = lambda infos: [{k: v for k, v in i.items() if not isinstance(v, (dict, tuple))} for i in infos]  # noqa: E731
    assert strip(ours) == strip(theirs)
    assert [c.TargetCRS.Name for c in made.by_type("IfcMapConversion")] == [
        c.TargetCRS.Name for c in source.by_type("IfcMapConversion")
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_coordinated_model_only_adds_and_repeats_itself(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    source = ifcopenshell.open(str(path))
    design = design_over(source)
    one, two = tmp_path / "one.ifc", tmp_path / "two.ifc"
    write_coordinated_model(design, path, one)
    write_coordinated_model(design, one, two)
    assert one.read_bytes() == two.read_bytes()
    made = ifcopenshell.open(str(one))
    after = {e.id(): str(e) for e in made}
    assert made.schema_identifier == source.schema_identifier
    assert [e.id() for e in source if after.get(e.id()) != str(e)] == []
    assert len(after) > len(list(source))
