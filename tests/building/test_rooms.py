"""Spaces become rooms: outline, level, kind, repeated ones, and figures that cannot be meant."""

import pytest
import shapely
import shapely.affinity
from building_sketch import Sketch, two_rooms
from hypothesis import given
from hypothesis import strategies as st

from ufh_core.basis.errors import ModelReadError
from ufh_core.building.read import read_building
from ufh_core.building.rooms import without_slivers
from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings

SQUARE = [(0, 0), (4, 0), (4, 4), (0, 4)]


def read(sketch, folder):
    return read_building(sketch.save(folder), Settings())


def codes(building):
    return {f.code for f in building.findings}


def one_room(**options):
    s = Sketch(**options)
    g = s.storey()
    return s, g, s.space(SQUARE, g)


def test_walls_and_columns_are_cut_from_a_space_that_overlaps_them(tmp_path):
    s, g, _ = one_room()
    s.wall((-0.1, 0.0), (4.1, 0.0), thick=0.3, storey=g)
    s.box("IfcColumn", 1.8, 1.8, 2.1, 2.1, 0.0, 2.6, storey=g)
    s.box("IfcColumn", 3.0, 3.0, 3.3, 3.3, 2.2, 0.4, storey=g)  # a beam's stub under the ceiling
    (room,) = read(s, tmp_path).storeys[0].rooms
    assert room.outline.area == pytest.approx(16 - 4 * 0.15 - 0.09, abs=1e-3)


def test_strips_beyond_a_wall_are_not_floor(tmp_path):
    s, g, _ = one_room()
    s.wall((3.9, -0.1), (3.9, 4.1), thick=0.14, storey=g)  # leaves 30 mm of the space outside
    (room,) = read(s, tmp_path).storeys[0].rooms
    assert room.outline.bounds[2] == pytest.approx(3.83)


def test_walls_without_a_body_and_curtain_walls_are_read_from_their_parts(tmp_path):
    s, _, _ = one_room()
    layered = s.make("IfcWall", Name="layered")
    s._part(layered, [s.box("IfcBuildingElementPart", -0.1 * k, 0, 0.1 - 0.1 * k, 4, 0, 2.6) for k in (0, 1)])
    curtain = s.make("IfcCurtainWall", Name="curtain")
    s._part(curtain, [s.box("IfcPlate", 3.95, 0, 4.0, 4, 0, 2.6)])
    building = read(s, tmp_path)
    walls = {w.name: w for w in building.storeys[0].walls}
    assert walls["layered"].outline.area == pytest.approx(0.8, abs=1e-6)
    assert walls["curtain"].ifc_class == "IfcCurtainWall"
    assert building.storeys[0].rooms[0].outline.area == pytest.approx(16 - 0.4 - 0.2, abs=1e-3)


def test_the_same_room_three_times_is_one_room(tmp_path):
    s, g, _ = one_room()
    s.space(SQUARE, g, name="1a", ObjectType="Rentable area")
    named = s.space([(0.02, 0), (4, 0), (4, 4), (0.02, 4)], g, name="1b", long_name="Kitchen")
    building = read(s, tmp_path)
    (room,) = building.storeys[0].rooms
    assert room.ifc_guid == named.GlobalId
    (finding,) = [f for f in building.findings if f.code == "building.room-repeated"]
    assert len(finding.ifc_guids) == 2


def test_of_two_named_spaces_the_one_told_apart_by_its_object_type_is_dropped(tmp_path):
    s = Sketch()
    g = s.storey()
    s.space(SQUARE, g, name="1", long_name="Kitchen", ObjectType="Variant")
    plain = s.space(SQUARE, g, name="1", long_name="Kitchen")
    assert [r.ifc_guid for r in read(s, tmp_path).storeys[0].rooms] == [plain.GlobalId]


@given(
    st.lists(
        st.tuples(st.floats(0, 5), st.floats(0, 5), st.floats(0.01, 3), st.floats(0.01, 3)), min_size=1, max_size=6
    )
)
def test_slivers_are_taken_away_and_nothing_is_added(boxes):
    area = shapely.union_all([shapely.box(x, y, x + w, y + h) for x, y, w, h in boxes])
    area = shapely.affinity.rotate(area, 20)
    left = without_slivers(area)
    assert left.is_valid
    assert left.difference(area.buffer(2e-4)).area < 1e-9
    if area.geom_type == "Polygon" and left.area < area.area - 1e-3:
        taken = area.difference(left.buffer(1e-3))
        assert taken.buffer(-0.0205, join_style="mitre").area < max(0.3, 1e-9)


def test_rooms_one_over_the_other_are_two(tmp_path):
    s, _, _ = one_room()
    s.space(SQUARE, s.storey(3.0, "First floor"), z=3.0)
    building = read(s, tmp_path)
    assert [len(storey.rooms) for storey in building.storeys] == [1, 1]
    assert "building.room-repeated" not in codes(building)


def test_a_space_over_all_rooms_is_an_area_scheme(tmp_path):
    s, made = two_rooms()
    s.space([(-0.2, -0.2), (8.4, -0.2), (8.4, 4.2), (-0.2, 4.2)], made["storey"], name="all")
    building = read(s, tmp_path)
    kinds = {r.name: r.kind for r in building.storeys[0].rooms}
    assert kinds == {"1": RoomKind.LIVING, "2": RoomKind.BEDROOM, "all": RoomKind.AREA_SCHEME}
    assert "building.area-scheme" in codes(building)
    assert "building.rooms-overlap" not in codes(building)


def test_what_the_schema_says_of_a_space_comes_before_its_name(tmp_path):
    s = Sketch()
    g = s.storey()
    for k, kind in enumerate(("EXTERNAL", "GFA", "PARKING", "INTERNAL")):
        corners = [(x + 5 * k, y) for x, y in SQUARE]
        s.space(corners, g, name=kind, long_name="Living room", PredefinedType=kind)
    rooms = {r.name: r for r in read(s, tmp_path).storeys[0].rooms}
    assert [rooms[n].kind for n in ("EXTERNAL", "GFA", "PARKING", "INTERNAL")] == [
        RoomKind.OUTSIDE,
        RoomKind.AREA_SCHEME,
        RoomKind.GARAGE,
        RoomKind.LIVING,
    ]
    assert rooms["EXTERNAL"].external
    assert not rooms["INTERNAL"].external


def test_external_in_ifc2x3_and_by_property(tmp_path):
    s = Sketch(schema="IFC2X3")
    g = s.storey()
    s.space(SQUARE, g, name="terrace", InteriorOrExteriorSpace="EXTERNAL")
    other = s.space([(x + 5, y) for x, y in SQUARE], g, name="balcony", InteriorOrExteriorSpace="INTERNAL")
    s.properties(other, "Pset_SpaceCommon", IsExternal=True)
    assert all(r.external for r in read(s, tmp_path).storeys[0].rooms)


@pytest.mark.parametrize(
    ("top", "code"),
    [
        (-0.15, "building.space-above-slab"),
        (0.46, "building.space-below-slab"),
        (0.0, None),
        (-2.0, "building.no-slab-below"),
    ],
)
def test_levels_of_space_and_slab(tmp_path, top, code):
    s, g, _ = one_room()
    s.box("IfcSlab", 0, 0, 4, 4, top - 0.2, 0.2, storey=g)
    building = read(s, tmp_path)
    (room,) = building.storeys[0].rooms
    assert room.slab_top_m == (None if top == -2.0 else pytest.approx(top))
    level_codes = {c for c in codes(building) if "slab" in c}
    assert level_codes == ({code} if code else set())


def test_floor_coverings_stand_in_where_there_is_no_slab(tmp_path):
    s, g, _ = one_room()
    s.box("IfcCovering", 0, 0, 4, 4, -0.02, 0.02, storey=g, PredefinedType="FLOORING")
    building = read(s, tmp_path)
    assert building.storeys[0].rooms[0].slab_top_m == pytest.approx(0.0)
    assert "building.no-slabs" in codes(building)


def test_what_is_missing_is_told_one_by_one(tmp_path):
    building = read(one_room()[0], tmp_path)
    assert {"building.no-walls", "building.no-doors", "building.no-slabs"} <= codes(building)
    s, _ = two_rooms()
    assert codes(read(s, tmp_path)) == {"building.space-above-slab"}


def test_neither_rooms_nor_walls_is_refused(tmp_path):
    s = Sketch()
    s.storey()
    with pytest.raises(ModelReadError, match=r"no rooms \(IfcSpace\) and no walls"):
        read(s, tmp_path)


def test_spaces_without_a_shape_are_told_and_refused_when_all_lack_one(tmp_path):
    s, g, _ = one_room()
    bare = s.make("IfcSpace", Name="2")
    s._part(g, [bare])
    building = read(s, tmp_path)
    (finding,) = [f for f in building.findings if f.code == "building.space-without-shape"]
    assert finding.ifc_guids == (bare.GlobalId,)
    only = Sketch()
    only._part(only.storey(), [only.make("IfcSpace", Name="2")])
    with pytest.raises(ModelReadError, match="no usable shape"):
        read(only, tmp_path)


def test_rooms_are_found_from_walls_where_there_are_no_spaces(tmp_path):
    s, made = two_rooms()
    s.file.remove(made["one"])
    s.file.remove(made["two"])
    for relation in [r for r in s.file.by_type("IfcRelAggregates") if not r.RelatedObjects]:
        s.file.remove(relation)
    building = read(s, tmp_path)
    rooms = building.storeys[0].rooms
    assert [r.outline.area for r in rooms] == pytest.approx([16.0, 16.0], abs=0.05)
    assert all(r.derived for r in rooms)
    assert "building.rooms-derived" in codes(building)
    assert any(len(p.rooms) == 2 for p in building.storeys[0].passages)


@pytest.mark.parametrize(("factor", "told"), [(1.0, False), (1.04, False), (0.7, True), (1.29, True)])
def test_stated_area_is_compared_with_the_drawn_one(tmp_path, factor, told):
    s, _, space = one_room(unit="mm")
    s.properties(space, "Dimensions", Area=16e6 * factor)  # the file declares no area unit: mm²
    building = read(s, tmp_path)
    assert building.storeys[0].rooms[0].stated_area_m2 == pytest.approx(16 * factor)
    assert building.storeys[0].rooms[0].outline.area == pytest.approx(16.0)
    assert ("building.area-differs" in codes(building)) is told


@pytest.mark.parametrize(
    ("given", "read_as"), [(21.0, 21.0), (294.15, 21.0), (0.0, None), (68.0, None), (-273.0, None), (1e30, None)]
)
def test_indoor_temperature(tmp_path, given, read_as):
    s, _, space = one_room()
    s.properties(space, "Pset_SpaceThermalRequirements", SpaceTemperatureMin=given)
    building = read(s, tmp_path)
    assert building.storeys[0].rooms[0].indoor_c == (None if read_as is None else pytest.approx(read_as))
    assert ("building.temperature-refused" in codes(building)) is (read_as is None and given != 0.0)


@pytest.mark.parametrize(("given", "read_as"), [(850.0, 850.0), (0.0, None), (3.0, None), (1e9, None)])
@pytest.mark.parametrize(
    ("schema", "pset", "name"),
    [
        ("IFC2X3", "Pset_SpaceThermalDesign", "TotalHeatLoss"),
        ("IFC4", "Pset_ThermalLoadAggregate", "TotalHeatingLoad"),
        ("IFC4X3", "Pset_ThermalLoad", "TotalHeatingLoad"),
    ],
)
def test_heat_load(tmp_path, schema, pset, name, given, read_as):
    s, _, space = one_room(schema=schema)
    s.properties(space, pset, **{name: given})
    building = read(s, tmp_path)
    assert building.storeys[0].rooms[0].heat_load_w == read_as
    assert ("building.heat-load-refused" in codes(building)) is (read_as is None and given != 0.0)


def test_overlapping_rooms_are_told(tmp_path):
    s, g, _ = one_room()
    s.space([(2, 0), (7, 0), (7, 4), (2, 4)], g, name="2")
    assert "building.rooms-overlap" in codes(read(s, tmp_path))


def test_a_broken_shape_neither_stops_the_reading_nor_hides_the_others(tmp_path):
    s, made = two_rooms()
    solid = made["walls"]["north"].Representation.Representations[0].Items[0]
    solid.SweptArea.OuterCurve.Points = solid.SweptArea.OuterCurve.Points[:1]
    building = read(s, tmp_path)
    (finding,) = [f for f in building.findings if f.code == "building.shape-failed"]
    assert finding.ifc_guids == (made["walls"]["north"].GlobalId,)
    assert len(building.storeys[0].walls) == 4
    assert len(building.storeys[0].rooms) == 2
