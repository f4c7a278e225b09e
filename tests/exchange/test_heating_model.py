"""heating.ifc of the made-up house: frame, contents, measures, and how it is written."""

from __future__ import annotations

import errno
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import made_up_house as house
import made_up_pair as pair
import numpy as np
import pytest
import shapely
from ifcopenshell.util import element as ifc_element
from ifcopenshell.util import placement as ifc_placement
from ifcopenshell.util import pset as ifc_pset
from ifcopenshell.util import unit as ifc_unit

from ufh_core.basis import whole_file
from ufh_core.basis.errors import OutputError
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.exchange.pipe_run import circuit_run
from ufh_core.exchange.zones import wall_crossings

OVERLAY_M = 1e-4


class Written:
    """A made-up pair, written and opened again."""

    def __init__(self, place: house.Place, folder: Path) -> None:
        self.place, self.folder = place, folder
        self.architect, self.design = pair.make_pair(place, folder)
        self.path = folder / "heating.ifc"
        write_heating_model(self.design, self.architect, self.path)
        self.model: Any = ifcopenshell.open(str(self.path))
        self.scale = ifc_unit.calculate_unit_scale(self.model)

    def world(self, element: Any) -> np.ndarray:
        """World matrix in metres."""
        matrix = ifc_placement.get_local_placement(element.ObjectPlacement)
        matrix[:3, 3] *= self.scale
        return matrix

    def directrix(self, pipe: Any) -> list[np.ndarray]:
        """Pieces of a pipe's directrix in the world [m]."""
        disk = next(r.Items[0] for r in pipe.Representation.Representations if r.RepresentationIdentifier == "Body")
        points = np.array(disk.Directrix.Points.CoordList) * self.scale
        matrix = self.world(pipe)
        points = points @ matrix[:3, :3].T + matrix[:3, 3]
        return [points[np.array(s[0]) - 1] for s in disk.Directrix.Segments]


@pytest.fixture(scope="module", params=house.PLACES, ids=str)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Written:
    return Written(house.PLACES[request.param], tmp_path_factory.mktemp("pair"))


def piece_length(piece: np.ndarray) -> float:
    """Length of a straight or of an arc through three points, by angles at its centre."""
    if len(piece) == 2:
        return float(np.linalg.norm(piece[1] - piece[0]))
    a, b, c = piece
    u, v = b - a, c - a
    w = np.cross(u, v)
    centre = a + (u @ u * np.cross(v, w) + v @ v * np.cross(w, u)) / (2 * w @ w)
    radius = np.linalg.norm(a - centre)
    half = [math.asin(min(1.0, np.linalg.norm(q - p) / 2 / radius)) for p, q in ((a, b), (b, c))]
    return float(2 * radius * sum(half))


# --- frame --------------------------------------------------------------------------------------


def test_the_pipe_lies_where_the_design_puts_it(written: Written) -> None:
    frame = written.design.building.frame
    for circuit in written.design.storeys[0].circuits:
        pipe = next(p for p in written.model.by_type("IfcPipeSegment") if p.Tag == circuit.laid.number)
        run = circuit_run(written.design, written.design.storeys[0], circuit)
        expected = [frame.to_world(np.array(p, dtype=float)) for p in run.pieces]
        found = written.directrix(pipe)
        assert len(found) == len(expected)
        assert max(np.abs(f - e).max() for f, e in zip(found, expected, strict=True)) < OVERLAY_M


def test_pipe_level_and_bar_heights(written: Written) -> None:
    floor, manifold = written.place.storey_z, written.design.settings.manifold
    for pipe in written.model.by_type("IfcPipeSegment"):
        pieces = written.directrix(pipe)
        assert pieces[0][0][2] == pytest.approx(floor + manifold.flow_bar_height_m, abs=1e-6)
        assert pieces[-1][-1][2] == pytest.approx(floor + manifold.return_bar_height_m, abs=1e-6)
        level = {round(float(p[2]), 6) for piece in pieces[2:-2] for p in piece}
        assert level == {round(floor - pair.THICKNESS + 0.001 + 0.0438 + 0.0002 + 0.011 + 0.008, 6)}


def test_rooms_keep_their_place(written: Written) -> None:
    source = ifcopenshell.open(str(written.architect))
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)

    def bounds(model: Any, guid: str) -> np.ndarray:
        shape = ifcopenshell.geom.create_shape(settings, model.by_guid(guid))
        points = np.array(shape.geometry.verts).reshape(-1, 3)
        return np.concatenate([points.min(axis=0), points.max(axis=0)])

    rooms = written.model.by_type("IfcSpace")
    assert {r.Name for r in rooms} == {"A", "B"}
    for room in rooms:
        assert np.abs(bounds(written.model, room.GlobalId) - bounds(source, room.GlobalId)).max() < OVERLAY_M


def test_every_layer_is_as_thick_as_told_and_under_the_floor(written: Written) -> None:
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    checked = 0
    for covering in written.model.by_type("IfcCovering"):
        shape = ifcopenshell.geom.create_shape(settings, covering)
        z = np.array(shape.geometry.verts).reshape(-1, 3)[:, 2]
        thickness = ifc_element.get_pset(covering, "UFH_BuildUp", "Thickness") * written.scale
        assert z.max() - z.min() == pytest.approx(thickness, abs=1e-6)
        assert z.max() <= written.place.storey_z + 1e-6
        checked += 1
    assert checked == 2 * (len(pair.LAYERS) + 1)


def test_units_are_declared_and_lengths_are_the_architects(written: Written) -> None:
    assert written.scale == pytest.approx(written.place.unit_m)
    kinds = [u.UnitType for u in written.model.by_type("IfcProject")[0].UnitsInContext.Units]
    assert len(kinds) == len(set(kinds))
    wanted = {"POWERUNIT", "PRESSUREUNIT", "MASSFLOWRATEUNIT", "THERMODYNAMICTEMPERATUREUNIT", "AREAUNIT"}
    assert wanted <= set(kinds)


def test_areas_are_in_the_declared_unit(written: Written) -> None:
    scale = ifc_unit.calculate_unit_scale(written.model, "AREAUNIT")
    for circuit in written.model.by_type("IfcDistributionCircuit"):
        assert ifc_element.get_pset(circuit, "UFH_Circuit", "HeatedArea") * scale == pytest.approx(12.0)


# --- contents -----------------------------------------------------------------------------------


def test_pipe_length_is_told_as_drawn(written: Written) -> None:
    for circuit in written.model.by_type("IfcDistributionCircuit"):
        pipe = next(e for r in circuit.IsGroupedBy for e in r.RelatedObjects if e.is_a("IfcPipeSegment"))
        drawn = sum(piece_length(p) for p in written.directrix(pipe))
        told = ifc_element.get_pset(circuit, "UFH_Circuit", "PipeLength") * written.scale
        measured = ifc_element.get_pset(pipe, "Qto_PipeSegmentBaseQuantities", "Length") * written.scale
        assert told == pytest.approx(drawn, abs=1e-4)
        assert measured == pytest.approx(drawn, abs=1e-4)


def test_every_standard_set_and_property_is_in_the_schemas_template(written: Written) -> None:
    templates = ifc_pset.get_template(written.model.schema)
    seen = 0
    for definition in [*written.model.by_type("IfcPropertySet"), *written.model.by_type("IfcElementQuantity")]:
        if definition.Name.startswith("UFH_"):
            continue
        assert re.match(r"(Pset|Qto)_", definition.Name)
        template = templates.get_by_name(definition.Name)
        assert template is not None, definition.Name
        names = {p.Name: p.PrimaryMeasureType for p in template.HasPropertyTemplates}
        for value in getattr(definition, "HasProperties", None) or definition.Quantities:
            assert value.Name in names
            nominal = getattr(value, "NominalValue", None) or getattr(value, "SetPointValue", None)
            assert nominal is None or nominal.is_a() == names[value.Name]
            seen += 1
    assert seen > 40


def test_quantities_and_standard_values_are_all_there(written: Written) -> None:
    """An unknown name would be left out by the writer, so that what is expected is counted here."""
    pipe = written.model.by_type("IfcPipeSegment")[0]
    sets = ifc_element.get_psets(pipe)
    expected = {"Length", "GrossCrossSectionArea", "NetCrossSectionArea", "OuterSurfaceArea"}
    assert expected <= set(sets["Qto_PipeSegmentBaseQuantities"])
    assert {"NominalDiameter", "InnerDiameter", "OuterDiameter"} <= set(sets["Pset_PipeSegmentTypeCommon"])
    assert "InteriorRoughnessCoefficient" in sets["Pset_PipeSegmentOccurrence"]
    covering = ifc_element.get_psets(written.model.by_type("IfcCovering")[0])
    assert {"Width", "GrossArea", "NetArea"} <= set(covering["Qto_CoveringBaseQuantities"])
    room = ifc_element.get_psets(written.model.by_type("IfcSpace")[0])
    load = {"IFC4": ("Pset_SpaceThermalDesign", "TotalHeatLoss"), "IFC4X3": ("Pset_ThermalLoad", "TotalHeatingLoad")}
    name, value = load[written.model.schema]
    assert room[name][value] == 640.0
    pump = ifc_element.get_psets(written.model.by_type("IfcPump")[0])
    assert {"FlowRateRange", "FlowResistanceRange"} <= set(pump["Pset_PumpTypeCommon"])


def test_connected_ports_coincide_and_pipe_ends_lie_on_their_ports(written: Written) -> None:
    joints = written.model.by_type("IfcRelConnectsPorts")
    assert len(joints) == 21
    for joint in joints:
        ends = [written.world(p)[:3, 3] for p in (joint.RelatingPort, joint.RelatedPort)]
        assert np.linalg.norm(ends[0] - ends[1]) < OVERLAY_M
        assert (joint.RelatingPort.FlowDirection, joint.RelatedPort.FlowDirection) == ("SOURCE", "SINK")
    for pipe in written.model.by_type("IfcPipeSegment"):
        pieces = written.directrix(pipe)
        ports = {p.FlowDirection: p for r in pipe.IsNestedBy for p in r.RelatedObjects}
        for way, end in (("SINK", pieces[0][0]), ("SOURCE", pieces[-1][-1])):
            assert np.linalg.norm(written.world(ports[way])[:3, 3] - end) < OVERLAY_M


def test_manifold_parts(written: Written) -> None:
    (assembly,) = written.model.by_type("IfcElementAssembly")
    assert (assembly.Name, assembly.ObjectType) == ("M1", "FLOOR HEATING MANIFOLD")
    parts = [e for r in assembly.IsDecomposedBy for e in r.RelatedObjects]
    kinds = sorted((p.is_a(), p.PredefinedType) for p in parts)
    count = kinds.count
    assert count(("IfcPipeFitting", "JUNCTION")) == 2
    assert count(("IfcValve", "REGULATING")) == 2
    assert count(("IfcValve", "ISOLATING")) == 2 + 2
    assert count(("IfcActuator", "ELECTRICACTUATOR")) == 2
    assert count(("IfcFlowInstrument", "THERMOMETER")) == 2
    assert count(("IfcValve", "AIRRELEASE")) == count(("IfcValve", "DRAWOFFCOCK")) == 2
    assert count(("IfcValve", "MIXING")) == count(("IfcPump", "CIRCULATOR")) == 1
    assert count(("IfcUnitaryControlElement", "THERMOSTAT")) == 1
    assert [p.ObjectType for p in parts if p.is_a("IfcBuildingElementProxy")] == ["MANIFOLD CABINET"]
    assert [r.RepresentationIdentifier for r in assembly.Representation.Representations] == ["Clearance"]
    assert not any(p.ContainedInStructure for p in parts)
    assert all(p.Representation for p in parts)


def test_circuits_hang_under_their_system_and_serve_their_rooms(written: Written) -> None:
    (system,) = written.model.by_type("IfcDistributionSystem", include_subtypes=False)
    circuits = written.model.by_type("IfcDistributionCircuit")
    assert [c.Name for c in circuits] == ["M1.01", "M1.02"]
    assert {c for r in system.IsDecomposedBy for c in r.RelatedObjects} == set(circuits)
    for circuit in circuits:
        kinds = sorted(e.is_a() for r in circuit.IsGroupedBy for e in r.RelatedObjects)
        assert kinds == ["IfcActuator", "IfcPipeSegment", "IfcValve", "IfcValve"]
        if written.model.schema == "IFC4":
            served = [s for r in circuit.ServicesBuildings for s in r.RelatedBuildings]
        else:
            served = [r.RelatingStructure for r in circuit.ReferencedInStructures]
            assert not written.model.by_type("IfcRelServicesBuildings")
        assert len(served) == 1 and served[0].is_a("IfcSpace")
    members = {e for r in system.IsGroupedBy for e in r.RelatedObjects}
    elements = set(written.model.by_type("IfcDistributionElement"))
    assert elements <= members


def test_zones_have_outline_body_and_room(written: Written) -> None:
    zones = written.model.by_type("IfcSpatialZone")
    assert len(zones) == 2
    for zone in zones:
        assert zone.PredefinedType == "THERMAL"
        assert {r.RepresentationIdentifier for r in zone.Representation.Representations} == {"FootPrint", "Body"}
        assert [e.is_a() for r in zone.ReferencesElements for e in r.RelatedElements] == ["IfcSpace"]


def test_an_edge_zone_is_told_with_its_own_pitch(tmp_path: Path) -> None:
    place = next(iter(house.PLACES.values()))
    architect, design = pair.make_pair(place, tmp_path)
    storey = design.storeys[0]
    first = storey.circuits[0]
    (field,) = first.laid.fields
    west, _, east, north = field.outline.bounds
    strip = shapely.box(west, north - 1, east, north)
    parts = (
        replace(field, outline=field.outline.difference(strip)),
        replace(field, outline=field.outline.intersection(strip), edge=True, pitch_m=0.1),
    )
    circuits = (replace(first, laid=replace(first.laid, fields=parts)), *storey.circuits[1:])
    write_heating_model(
        replace(design, storeys=(replace(storey, circuits=circuits),)), architect, tmp_path / "heating.ifc"
    )
    model = ifcopenshell.open(str(tmp_path / "heating.ifc"))
    scale = ifc_unit.calculate_unit_scale(model)
    told = [ifc_element.get_pset(z, "UFH_HeatedField") for z in model.by_type("IfcSpatialZone")]
    pitches = sorted((row["EdgeZone"], round(row["Pitch"] * scale, 6)) for row in told)
    assert pitches == [(False, first.laid.pitch_m), (False, circuits[1].laid.pitch_m), (True, 0.1)]


def test_screed_is_written_as_its_schema_has_it(written: Written) -> None:
    screeds = [c for c in written.model.by_type("IfcCovering") if c.Name.startswith("Screed")]
    expected = ("USERDEFINED", "SCREED") if written.model.schema == "IFC4" else ("TOPPING", None)
    assert {(c.PredefinedType, c.ObjectType) for c in screeds} == {expected}
    panels = [c for c in written.model.by_type("IfcCovering") if c.ObjectType == "CASTELLATED PANEL"]
    assert {c.PredefinedType for c in panels} == {"INSULATION"}
    assert all(c.CoversSpaces and ifc_element.get_material(c) for c in [*screeds, *panels])


def test_ports_are_nested_and_the_results_stand_on_the_pipes(written: Written) -> None:
    for port in written.model.by_type("IfcDistributionPort"):
        assert port.Nests and not port.ContainedIn and (port.PredefinedType, port.SystemType) == ("PIPE", "HEATING")
    for pipe in written.model.by_type("IfcPipeSegment"):
        ports = {p.FlowDirection: p for r in pipe.IsNestedBy for p in r.RelatedObjects}
        state = {way: ifc_element.get_pset(p, "Pset_DistributionPortTypePipe") for way, p in ports.items()}
        warm, cool = (state[way]["Temperature"]["SetPointValue"].wrappedValue for way in ("SINK", "SOURCE"))
        assert (warm, cool) == (35.0, 29.0)
        pressures = [state[way]["Pressure"]["SetPointValue"].wrappedValue for way in ("SINK", "SOURCE")]
        assert pressures[0] - pressures[1] == pytest.approx(6300.0)


def test_header_names_application_and_keeps_the_author(written: Written) -> None:
    header = written.model.header
    assert header.file_name.originating_system == "Warmloom - Warmloom - 0.1.0"
    assert tuple(header.file_name.author) == ("A. Architect",)
    assert header.file_description.description[0].startswith("ViewDefinition [ReferenceView")


def test_provenance_and_room_results(written: Written) -> None:
    project = written.model.by_type("IfcProject")[0]
    assert ifc_element.get_pset(project, "UFH_Provenance", "ArchitectFileDigest") == "0" * 64
    for room in written.model.by_type("IfcSpace"):
        values = ifc_element.get_pset(room, "UFH_Room")
        assert (values["HeatDemand"], values["Shortfall"], values["HeatDemandBasis"]) == (640.0, 20.0, "calculated")


# --- stability and writing ----------------------------------------------------------------------


def test_a_second_run_writes_the_same_data(written: Written, tmp_path: Path) -> None:
    again = tmp_path / "again.ifc"
    write_heating_model(written.design, written.architect, again)
    data = [p.read_text().split("DATA;", 1)[1] for p in (written.path, again)]
    assert data[0] == data[1]
    ids = [e.GlobalId for e in written.model.by_type("IfcRoot")]
    assert len(ids) == len(set(ids)) > 100


def test_a_revision_keeps_the_ids_of_what_stays(written: Written, tmp_path: Path) -> None:
    (storey,) = written.design.storeys
    fewer = replace(storey, circuits=storey.circuits[:1])
    write_heating_model(replace(written.design, storeys=(fewer,)), written.architect, tmp_path / "fewer.ifc")
    fewer_model = ifcopenshell.open(str(tmp_path / "fewer.ifc"))

    def ids(model: Any) -> set[str]:
        return {e.GlobalId for e in model.by_type("IfcProduct")}

    assert ids(fewer_model) < ids(written.model)


def test_a_read_only_folder_is_one_line_and_leaves_nothing(
    written: Written, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(OutputError) as caught:
        write_heating_model(written.design, written.architect, tmp_path / "absent" / "heating.ifc")
    assert "\n" not in str(caught.value) and "heating.ifc" in str(caught.value)

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(whole_file.os, "replace", full)
    out = tmp_path / "heating.ifc"
    out.write_text("as it was")
    with pytest.raises(OutputError, match="No space left"):
        write_heating_model(written.design, written.architect, out)
    assert [p.name for p in tmp_path.iterdir()] == ["heating.ifc"] and out.read_text() == "as it was"


# --- sleeves ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", house.PLACES)
def test_a_room_without_a_door_gets_provisions_for_its_two_crossings(name: str, tmp_path: Path) -> None:
    written = Written(replace(house.PLACES[name], doors=("A",)), tmp_path)
    provisions = [p for p in written.model.by_type("IfcBuildingElementProxy") if p.PredefinedType == "PROVISIONFORVOID"]
    assert [p.Name for p in provisions] == ["Sleeve 1 of M1.02", "Sleeve 2 of M1.02"]
    standard = (
        "Pset_BuildingElementProxyProvisionForVoid" if written.model.schema == "IFC4" else "Pset_ProvisionForVoid"
    )
    wall = shapely.union_all([w.outline for w in written.design.building.storeys[0].walls])
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    for provision in provisions:
        assert ifc_element.get_pset(provision, standard, "Depth") * written.scale == pytest.approx(house.WALL)
        points = np.array(ifcopenshell.geom.create_shape(settings, provision).geometry.verts).reshape(-1, 3)
        middle = written.design.building.frame.to_local(points).mean(axis=0)
        assert wall.contains(shapely.Point(middle[:2]))
    circuits = {c.Name: c for c in written.model.by_type("IfcDistributionCircuit")}
    assert ifc_element.get_pset(circuits["M1.02"], "UFH_Circuit", "WallSleeves") == 2


def test_no_crossing_is_made_up_where_none_is_counted() -> None:
    design = pair.made_up_design(house.Place())
    storey, circuit = design.building.storeys[0], design.storeys[0].circuits[1].laid
    assert wall_crossings(storey, circuit, 0.0) == []
    assert wall_crossings(storey, replace(circuit, sleeves=2), 0.0) == []  # both tails go through the door


# --- rooms that the architect's file does not have ----------------------------------------------


def test_a_derived_room_and_storey_are_drawn_from_their_outline(tmp_path: Path) -> None:
    written = Written(house.PLACES["IFC2X3-feet"], tmp_path)
    (storey,) = written.design.building.storeys
    rooms = tuple(replace(r, ifc_guid=house.guid_of(f"derived {r.name}"), derived=True) for r in storey.rooms)
    fresh = replace(storey, ifc_guid=house.guid_of("derived storey"), name="Found", rooms=rooms)
    building = replace(written.design.building, storeys=(fresh,))
    results = tuple(replace(d, room=r.ifc_guid) for d, r in zip(written.design.storeys[0].rooms, rooms, strict=True))
    only_rooms = replace(written.design.storeys[0], storey=fresh.ifc_guid, rooms=results, circuits=(), manifolds=())
    design = replace(written.design, building=building, storeys=(only_rooms,))
    write_heating_model(design, written.architect, tmp_path / "derived.ifc")
    model = ifcopenshell.open(str(tmp_path / "derived.ifc"))
    assert [s.Name for s in model.by_type("IfcBuildingStorey")] == ["Found"]
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    for room in rooms[::2]:
        points = np.array(ifcopenshell.geom.create_shape(settings, model.by_guid(room.ifc_guid)).geometry.verts)
        points = building.frame.to_local(points.reshape(-1, 3))
        found = (*points[:, :2].min(axis=0), *points[:, :2].max(axis=0))
        assert found == pytest.approx(room.outline.bounds, abs=OVERLAY_M)
        assert points[:, 2].min() == pytest.approx(room.floor_m, abs=OVERLAY_M)
