"""Storeys, what stands on them, U-values, and what keeps pipes out."""

import math

import numpy as np
import pytest
import shapely
from building_sketch import Sketch, two_rooms

from ufh_core.building.constructions import CONDUCTIVITY_RANGE
from ufh_core.building.furnishing_bodies import facets
from ufh_core.building.furniture_words import is_hearth_name, says_movable
from ufh_core.building.obstacles import plain_outline, stair_outline
from ufh_core.building.properties import fire_rating
from ufh_core.building.read import read_building
from ufh_core.settings.types import Settings

SQUARE = [(0, 0), (4, 0), (4, 4), (0, 4)]


def read(sketch, folder):
    return read_building(sketch.save(folder), Settings())


def codes(building):
    return {f.code for f in building.findings}


# storeys ------------------------------------------------------------------------------------------


def test_storey_height_comes_from_its_placement(tmp_path):
    s = Sketch()
    s.space(SQUARE, s.storey(3.0, "Upper", elevation=0.0), z=3.0)
    (storey,) = read(s, tmp_path).storeys
    assert storey.elevation_m == pytest.approx(3.0)
    assert storey.placement[2][3] == pytest.approx(3.0)


def test_a_space_aggregated_elsewhere_goes_to_the_nearest_storey(tmp_path):
    s = Sketch()
    low, high = s.storey(0.0, "Low"), s.storey(3.0, "High")
    s.space(SQUARE, low)
    stray = s.space(SQUARE, None, z=3.05, name="stray")
    s._part(s.building, [stray])
    by_name = {storey.name: storey for storey in read(s, tmp_path).storeys}
    assert [r.name for r in by_name["High"].rooms] == ["stray"]
    assert high.GlobalId == by_name["High"].ifc_guid


def test_walls_in_no_storey_stand_where_their_height_says(tmp_path):
    s = Sketch()
    low, high = s.storey(0.0, "Low"), s.storey(3.0, "High")
    s.space(SQUARE, low)
    s.space(SQUARE, high, z=3.0)
    s.wall((0, 4.1), (4, 4.1), z=3.0, name="upper")
    s.wall((0, 4.1), (4, 4.1), z=0.0, height=2.8, storey=high, name="lower")  # contained in the wrong storey
    s.wall((4.1, 0), (4.1, 4), z=-0.2, height=6.0, name="through")
    by_name = {storey.name: {w.name for w in storey.walls} for storey in read(s, tmp_path).storeys}
    assert by_name == {"Low": {"lower", "through"}, "High": {"upper", "through"}}


def test_no_storeys_at_all(tmp_path):
    s = Sketch()
    low = s.space(SQUARE, None)
    high = s.space(SQUARE, None, z=3.0, name="2")
    s._part(s.building, [low, high])
    building = read(s, tmp_path)
    assert [storey.elevation_m for storey in building.storeys] == [0.0, 3.0]
    assert [len(storey.rooms) for storey in building.storeys] == [1, 1]
    assert "building.no-storeys" in codes(building)


def test_slabs_belong_to_the_storeys_they_touch(tmp_path):
    s = Sketch()
    low, high = s.storey(0.0, "Low"), s.storey(3.0, "High")
    s.space(SQUARE, low)
    s.space(SQUARE, high, z=3.0)
    for name, z in (("base", -0.2), ("between", 2.7), ("top", 5.5)):
        s.box("IfcSlab", 0, 0, 4, 4, z, 0.2, storey=low, name=name)
    by_name = {storey.name: {x.name for x in storey.slabs} for storey in read(s, tmp_path).storeys}
    assert by_name["Low"] >= {"base", "between"}
    assert by_name["High"] == {"between", "top"}


# constructions ------------------------------------------------------------------------------------


@pytest.mark.parametrize("absurd", [0.0, 115.0, 23000.0, 1e30, -1.0])
def test_absurd_u_values_are_not_used_and_told_once(tmp_path, absurd):
    s, made = two_rooms()
    for wall in made["walls"].values():
        s.properties(wall, "Pset_WallCommon", ThermalTransmittance=absurd, IsExternal=True)
    building = read(s, tmp_path)
    assert all(w.construction.u_value is None and w.construction.external for w in building.storeys[0].walls)
    (finding,) = [f for f in building.findings if f.code == "building.u-value-absurd"]
    assert len(finding.ifc_guids) == 5
    assert f"{absurd:g}" in finding.message


def test_walls_that_bear_or_resist_fire_are_told_from_those_of_which_the_model_is_silent(tmp_path):
    s, made = two_rooms()
    first, second, *_ = made["walls"].values()
    s.properties(first, "Pset_WallCommon", LoadBearing=True, FireRating="REI 60", Compartmentation=True)
    s.properties(second, "Pset_WallCommon", LoadBearing=False, FireRating="", Compartmentation=False)
    walls = {w.ifc_guid: w.construction for w in read(s, tmp_path).storeys[0].walls}
    one, other = walls.pop(first.GlobalId), walls.pop(second.GlobalId)
    assert (one.load_bearing, one.fire_rating, one.compartment) == (True, "REI 60", True)
    assert (other.load_bearing, other.fire_rating, other.compartment) == (False, "", False)
    assert {(c.load_bearing, c.fire_rating, c.compartment) for c in walls.values()} == {(None, "", False)}


@pytest.mark.parametrize(
    ("text", "rating"),
    [("EI30", "EI30"), (" 1 h ", "1 h"), ("FireRating", ""), ("Fire Rating", ""), ("-", ""), ("0", ""), (None, "")],
)
def test_a_fire_rating_states_a_time(text, rating):
    assert fire_rating({"firerating": text}) == rating


@pytest.mark.parametrize("name", ["ThermalTransmittance", "U-Value", "Heat Transfer Coefficient (U)", "U_VALUE"])
def test_u_values_under_other_names(tmp_path, name):
    s, made = two_rooms()
    s.properties(made["door"], "Analytical Properties", **{name: 1.4})
    doors = {o.ifc_guid: o for o in read(s, tmp_path).storeys[0].openings}
    assert doors[made["door"].GlobalId].construction.u_value == pytest.approx(1.4)
    assert doors[made["out"].GlobalId].construction.u_value is None


def layered(s, wall, with_usage: bool, conductivity: float | None):
    f = s.file
    material = f.create_entity("IfcMaterial", Name="Brick")
    layer = f.create_entity("IfcMaterialLayer", Material=material, LayerThickness=0.2 / s.scale)
    layers = f.create_entity("IfcMaterialLayerSet", MaterialLayers=[layer])
    if conductivity is not None and s.schema == "IFC2X3":
        f.create_entity("IfcThermalMaterialProperties", Material=material, ThermalConductivity=conductivity)
    elif conductivity is not None:
        value = f.create_entity("IfcReal", conductivity)
        item = f.create_entity("IfcPropertySingleValue", Name="ThermalConductivity", NominalValue=value)
        f.create_entity("IfcMaterialProperties", Name="Pset_MaterialThermal", Material=material, Properties=[item])
    used = layers
    if with_usage:
        used = f.create_entity(
            "IfcMaterialLayerSetUsage",
            ForLayerSet=layers, LayerSetDirection="AXIS2", DirectionSense="POSITIVE", OffsetFromReferenceLine=0.0,
        )  # fmt: skip
    s.make("IfcRelAssociatesMaterial", RelatedObjects=[wall], RelatingMaterial=used)


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3"])
@pytest.mark.parametrize("with_usage", [True, False])
def test_layers_with_conductivity(tmp_path, schema, with_usage):
    s, made = two_rooms(schema=schema, unit="mm")
    layered(s, made["walls"]["south"], with_usage, 0.45)
    layered(s, made["walls"]["north"], with_usage, 10 * CONDUCTIVITY_RANGE[1])
    walls = {w.ifc_guid: w for w in read(s, tmp_path).storeys[0].walls}
    (good,) = walls[made["walls"]["south"].GlobalId].construction.layers
    (bad,) = walls[made["walls"]["north"].GlobalId].construction.layers
    assert (good.name, good.thickness_m, good.conductivity) == ("Brick", pytest.approx(0.2), pytest.approx(0.45))
    assert bad.conductivity is None


# openings -----------------------------------------------------------------------------------------


def test_openings_know_their_wall_kind_and_sill(tmp_path):
    s, made = two_rooms()
    wall = made["walls"]["south"]
    window = s.fill(s.hole(wall, 1.0, -0.3, 2.5, 0.2, 0.9, 1.2), "IfcWindow")  # deeper than the wall
    found = {o.ifc_guid: o for o in read(s, tmp_path).storeys[0].openings}
    opening = found[window.GlobalId]
    assert (opening.kind, opening.wall_guid) == ("window", wall.GlobalId)
    assert (opening.bottom_m, opening.top_m, opening.width_m) == pytest.approx((0.9, 2.1, 1.5))
    assert opening.outline.bounds == pytest.approx((1.0, -0.2, 2.5, 0.0), abs=1e-6)


# obstacles ----------------------------------------------------------------------------------------


def obstacles(s, folder, storey=0):
    return {o.name: o for o in read(s, folder).storeys[storey].obstacles}


def test_fixed_movable_and_hung_furniture(tmp_path):
    s, made = two_rooms()
    g = made["storey"]
    s.box("IfcFurniture", 0, 3.4, 2.4, 4, 0.0, 0.9, storey=g, name="Kitchen unit")
    s.box("IfcFurniture", 1, 1, 2, 2, 0.0, 0.75, storey=g, name="Esstisch")
    s.box("IfcFurniture", 0, 3.65, 2.4, 4, 1.4, 0.7, storey=g, name="Kitchen wall cabinet")
    s.box("IfcSanitaryTerminal", 3, 3.3, 3.7, 4, 0.0, 0.4, storey=g, name="WC pan")
    s.box("IfcFurniture", 7.6, 1, 8.2, 2.5, 0.0, 2.0, storey=g, name="X1")  # looks fitted: 0.6 m deep, at the wall
    s.box("IfcFurniture", 5.5, 1, 6.1, 2.5, 0.0, 2.0, storey=g, name="X2")  # the same in the middle of the room
    found = obstacles(s, tmp_path)
    assert {n: o.movable for n, o in found.items()} == {
        "Kitchen unit": False, "Esstisch": True, "WC pan": False, "X1": False, "X2": True,
    }  # fmt: skip
    assert found["WC pan"].kind == "sanitary"
    assert found["Kitchen unit"].outline.area == pytest.approx(2.4 * 0.6)


def test_stairs_are_void_whatever_their_name_and_open_the_floor_above(tmp_path):
    s = Sketch()
    low, high = s.storey(0.0, "Low"), s.storey(3.0, "High")
    s.space(SQUARE, low)
    s.space(SQUARE, high, z=3.0)
    s.box("IfcStairFlight", 0, 0, 1, 3, 0.0, 3.0, storey=low, name="Table")
    assert obstacles(s, tmp_path)["Table"].kind == "stair"
    assert obstacles(s, tmp_path, 1)["Table"].kind == "stair"
    slab = s.box("IfcSlab", 0, 0, 4, 4, 2.8, 0.2, storey=high, name="slab")
    hole = s.hole(slab, 0, 0, 1.1, 3.2, 2.7, 0.4)
    hole.Name = "stair opening"
    above = obstacles(s, tmp_path, 1)
    assert set(above) == {"stair opening"}
    assert above["stair opening"].outline.area == pytest.approx(1.1 * 3.2)
    assert set(obstacles(s, tmp_path, 0)) == {"Table"}


def test_a_stair_made_of_flights(tmp_path):
    s = Sketch()
    g = s.storey()
    s.space(SQUARE, g)
    stair = s.make("IfcStair", Name="stair")
    s.contain(g, stair)
    s._part(stair, [s.box("IfcStairFlight", 0, 1.2 * k, 3, 1.2 * k + 1, 0.0 + k, 1.4) for k in (0, 1)])
    s._part(stair, [s.box("IfcRailing", -5, -5, 5, 5, 0.0, 1.0)])
    found = obstacles(s, tmp_path)
    assert set(found) == {"stair"}
    assert found["stair"].outline.area < 3 * 2.2 + 0.1


def test_a_spiral_stair_is_filled():
    angles = np.linspace(0, math.radians(280), 40)
    sector = shapely.Polygon([(0, 0), *np.column_stack([np.cos(angles), np.sin(angles)])])
    assert sector.area < 2.5
    filled = stair_outline(sector)
    assert filled.area > 0.85 * math.pi
    assert filled.covers(shapely.Point(0.2, -0.1))


def test_outlines_of_units_keep_their_corner_free():
    kitchen = shapely.union_all([shapely.box(0, 0, 3, 0.6), shapely.box(0, 0, 0.6, 3)])
    assert plain_outline(kitchen).area == pytest.approx(kitchen.area, abs=0.02)
    assert plain_outline(shapely.box(0, 0, 1, 1).difference(shapely.box(0.1, 0.1, 0.9, 0.9))).area > 0.99


def test_hearths(tmp_path):
    s, made = two_rooms()
    s.box("IfcBuildingElementProxy", 3.4, 0, 4, 0.6, 0.0, 2.5, storey=made["storey"], name="Kaminofen")
    s.box("IfcBuildingElementProxy", 1, 1, 2, 2, 0.0, 0.1, storey=made["storey"], name="Text")
    found = obstacles(s, tmp_path)
    assert {n: o.kind for n, o in found.items()} == {"Kaminofen": "hearth"}


@pytest.mark.parametrize(
    ("name", "movable"),
    [
        ("Kitchen table", True), ("Küchenzeile", False), ("Schrankwand", None), ("Einbauschrank", False),
        ("Bed 160x200", True), ("Embedded thing", None), ("Ванна", None), ("Стол", True), ("Sofa 3", True),
        ("Meuble de cuisine", False), ("Littering", None), ("", None),
    ],
)  # fmt: skip
def test_words_of_furniture(name, movable):
    assert says_movable(name) is movable


def test_words_of_hearths():
    assert is_hearth_name("Kachelofen")
    assert is_hearth_name("", "Cheminée")
    assert not is_hearth_name("Cabinet")


def test_furniture_of_facets_has_the_outline_that_the_kernel_gives(tmp_path):
    s, made = two_rooms(unit="mm")
    f = s.file
    corners = [(x, y, z) for z in (0.0, 0.8) for x, y in ((1, 1), (2, 1), (2, 1.5), (1, 1.5))]
    points = f.create_entity("IfcCartesianPointList3D", CoordList=[[c * 1000 for c in p] for p in corners])
    faces = [(1, 4, 3, 2), (5, 6, 7, 8), (1, 2, 6, 5), (2, 3, 7, 6), (3, 4, 8, 7), (4, 1, 5, 8)]
    triangles = [t for a, b, c, d in faces for t in ((a, b, c), (a, c, d))]
    mesh = f.create_entity("IfcTriangulatedFaceSet", Coordinates=points, CoordIndex=triangles)
    polygons = [f.create_entity("IfcIndexedPolygonalFace", CoordIndex=face) for face in faces]
    poly = f.create_entity("IfcPolygonalFaceSet", Coordinates=points, Faces=polygons)
    for name, solid in (("triangles", mesh), ("polygons", poly)):
        thing = s.make("IfcFurniture", Name=name)
        thing.ObjectPlacement = s._placement(s.building.ObjectPlacement)
        thing.Representation = s.body(solid, kind="Tessellation")
        s.contain(made["storey"], thing)
    s.box("IfcFurniture", 1, 1, 2, 1.5, 0.0, 0.8, storey=made["storey"], name="prism")
    found = obstacles(s, tmp_path)
    for name in ("triangles", "polygons", "prism"):
        assert found[name].outline.bounds == pytest.approx((1, 1, 2, 1.5), abs=1e-6)
        assert (found[name].bottom_m, found[name].top_m) == pytest.approx((0.0, 0.8))


def test_a_face_with_many_corners_is_covered_by_its_fan():
    s = Sketch()
    angles = np.linspace(0, 2 * math.pi, 8, endpoint=False)
    corners = [[float(np.cos(a)), float(np.sin(a)), 0.0] for a in angles]
    points = s.file.create_entity("IfcCartesianPointList3D", CoordList=corners)
    face = s.file.create_entity("IfcIndexedPolygonalFace", CoordIndex=list(range(1, 9)))
    item = s.file.create_entity("IfcPolygonalFaceSet", Coordinates=points, Faces=[face])
    vertices, faces = facets(s.file.createIfcShapeRepresentation(s.context, "Body", "Tessellation", [item]), 2.0)
    area = sum(shapely.Polygon(vertices[f][:, :2]).area for f in faces)
    assert area == pytest.approx(4 * shapely.Polygon([c[:2] for c in corners]).area)


def test_a_mapped_shape_is_placed_where_each_copy_stands(tmp_path):
    s, made = two_rooms(unit="cm")
    f = s.file
    shape = f.createIfcShapeRepresentation(
        s.context, "Body", "SweptSolid", [s.prism([(0, 0), (1, 0), (1, 0.5), (0, 0.5)], 0.5)]
    )
    source = f.createIfcRepresentationMap(s._axes((0, 0, 0)), shape)
    for k, place in enumerate([(1.0, 1.0, 0.0), (5.0, 2.0, 0.0)]):
        target = f.createIfcCartesianTransformationOperator3D(None, None, s._point((0.5, 0.0, 0.0)), None, None)
        item = f.createIfcMappedItem(source, target)
        thing = s.make("IfcFurniture", Name=f"shelf {k}")
        thing.ObjectPlacement = s._placement(s.building.ObjectPlacement, place, turn=math.pi / 2)
        thing.Representation = s.body(item, kind="MappedRepresentation")
        s.contain(made["storey"], thing)
    found = obstacles(s, tmp_path)
    assert found["shelf 0"].outline.bounds == pytest.approx((0.5, 1.5, 1.0, 2.5), abs=1e-6)
    assert found["shelf 1"].outline.bounds == pytest.approx((4.5, 2.5, 5.0, 3.5), abs=1e-6)
