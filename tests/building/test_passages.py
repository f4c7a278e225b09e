"""Where pipes can go: doors, unfilled openings, doors that fill none, open sides; and where they cannot."""

import pytest
import shapely
from building_sketch import Sketch, two_rooms

from ufh_core.building.read import read_building
from ufh_core.settings.types import Settings


def read(sketch, folder):
    return read_building(sketch.save(folder), Settings())


def passages(sketch, folder):
    return read(sketch, folder).storeys[0].passages


def free_of_walls(building):
    """Whether no passage or room lies in a wall, but for its opening and 20 mm beyond it."""
    storey = building.storeys[0]
    walls = shapely.union_all([w.outline for w in storey.walls])
    holes = shapely.union_all([o.outline for o in storey.openings if o.kind != "window"]).buffer(0.0201)
    floor = shapely.union_all([p.outline for p in storey.passages] + [r.outline for r in storey.rooms])
    return floor.intersection(walls.difference(holes)).area < 1e-6


def test_doors_join_rooms_and_lead_out(tmp_path):
    sketch, made = two_rooms()
    building = read(sketch, tmp_path)
    inner, outer = building.storeys[0].passages
    assert set(inner.rooms) == {made["one"].GlobalId, made["two"].GlobalId}
    assert outer.rooms == (made["one"].GlobalId,)
    assert inner.kind == outer.kind == "door"
    assert inner.ifc_guid == made["door"].GlobalId
    assert abs(inner.direction[0]) == pytest.approx(1.0)
    assert inner.outline.bounds == pytest.approx((3.98, 1.0, 4.22, 1.9), abs=1e-6)
    assert free_of_walls(building)


def test_passage_reaches_rooms_that_stand_off_the_wall_and_stays_out_of_other_walls(tmp_path):
    s = Sketch()
    g = s.storey()
    middle = s.wall((4.1, 0.0), (4.1, 4.0), storey=g)
    s.wall((3.95, 0.0), (3.95, 1.2), thick=0.1, storey=g)  # a lining beside the door
    s.space([(0, 0), (3.6, 0), (3.6, 4), (0, 4)], g)
    s.space([(4.5, 0), (8, 0), (8, 4), (4.5, 4)], g, name="2")
    s.fill(s.hole(middle, 4.0, 1.0, 4.2, 1.9))
    building = read(s, tmp_path)
    (passage,) = building.storeys[0].passages
    assert len(passage.rooms) == 2
    assert all(r.outline.intersection(passage.outline).area > 0 for r in building.storeys[0].rooms)
    assert free_of_walls(building)


def test_door_that_fills_no_opening_is_found_by_its_place(tmp_path):
    sketch, _ = two_rooms()
    door = sketch.make("IfcDoor", Name="loose", OverallWidth=0.8, OverallHeight=2.0)
    door.ObjectPlacement = sketch._placement(sketch.building.ObjectPlacement, (4.1, 2.5, 0.0), turn=1.5707963)
    found = {p.ifc_guid: p for p in passages(sketch, tmp_path)}
    assert len(found[door.GlobalId].rooms) == 2
    assert found[door.GlobalId].width_m == pytest.approx(0.8)
    assert found[door.GlobalId].outline.bounds[1::2] == pytest.approx((2.5, 3.3), abs=1e-6)


def test_loose_door_without_a_width_is_0_9_m_wide(tmp_path):
    sketch, _ = two_rooms(unit="mm")
    door = sketch.make("IfcDoor", Name="loose")
    door.ObjectPlacement = sketch._placement(sketch.building.ObjectPlacement, (4.1, 2.5, 0.0), turn=1.5707963)
    widths = {p.ifc_guid: p.width_m for p in passages(sketch, tmp_path)}
    assert widths[door.GlobalId] == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("hole", "passable"),
    [
        ({"y": (2.5, 3.5), "z": 0.0, "height": 2.0}, True),
        ({"y": (2.5, 2.75), "z": 0.0, "height": 2.0}, False),  # narrower than 0.3 m
        ({"y": (2.5, 3.5), "z": 0.0, "height": 0.8}, False),  # lower than 1 m
        ({"y": (2.5, 3.5), "z": 0.9, "height": 1.2}, False),  # a serving hatch
        ({"y": (2.5, 3.5), "z": 0.2, "height": 1.8}, True),  # a threshold
    ],
)
def test_unfilled_openings(tmp_path, hole, passable):
    sketch, made = two_rooms()
    sketch.hole(made["walls"]["middle"], 4.0, hole["y"][0], 4.2, hole["y"][1], hole["z"], hole["height"])
    voids = [p for p in passages(sketch, tmp_path) if p.kind == "void"]
    assert len(voids) == (1 if passable else 0)


def test_windows_recesses_and_high_doors_are_no_passages(tmp_path):
    sketch, made = two_rooms()
    middle = made["walls"]["middle"]
    sketch.fill(sketch.hole(middle, 4.0, 2.2, 4.2, 3.0, 0.1, 2.0), "IfcWindow")
    sketch.fill(sketch.hole(middle, 4.0, 3.1, 4.2, 3.9, 1.0, 2.0))  # a door one metre up
    recess = sketch.hole(middle, 4.0, 0.2, 4.1, 0.9, 0.0, 2.0)
    recess.PredefinedType = "RECESS"
    assert len(passages(sketch, tmp_path)) == 2


def test_a_hole_in_a_wall_of_another_storey_is_no_passage(tmp_path):
    sketch, _ = two_rooms()
    above = sketch.wall((4.1, 0.0), (4.1, 4.0), z=2.8, height=2.6)
    sketch.hole(above, 4.0, 2.5, 4.2, 3.5, 0.0, 5.0)
    assert len(passages(sketch, tmp_path)) == 2


def open_plan(gap: float, step: float = 0.0):
    s = Sketch()
    g = s.storey()
    s.space([(0, 0), (4, 0), (4, 4), (0, 4)], g)
    s.space([(4 + gap, 1), (8, 1), (8, 3.5), (4 + gap, 3.5)], g, z=step, name="2")
    return s, g


@pytest.mark.parametrize(("gap", "count"), [(0.0, 1), (0.004, 1), (0.02, 0), (0.12, 0)])
def test_open_sides_are_touching_outlines(tmp_path, gap, count):
    found = passages(open_plan(gap)[0], tmp_path)
    assert [p.kind for p in found] == ["open"] * count
    if count:
        assert found[0].width_m == pytest.approx(2.5, abs=0.02)
        assert found[0].outline.bounds == pytest.approx((3.7, 1, 4.3 + gap, 3.5), abs=0.02)


def test_no_open_side_over_a_step(tmp_path):
    assert passages(open_plan(0.0, step=0.2)[0], tmp_path) == ()


def test_a_wall_between_touching_spaces_closes_the_side(tmp_path):
    s, g = open_plan(0.0)
    s.wall((4.0, 0.0), (4.0, 4.0), thick=0.1, storey=g)
    assert passages(s, tmp_path) == ()


def test_a_membrane_in_the_gap_closes_the_side(tmp_path):
    s, g = open_plan(0.004)
    s.wall((4.002, 0.0), (4.002, 4.0), thick=0.004, storey=g)
    assert passages(s, tmp_path) == ()


def test_a_short_wall_leaves_the_rest_open(tmp_path):
    s, g = open_plan(0.0)
    s.wall((4.0, 0.0), (4.0, 2.0), thick=0.1, storey=g)
    (found,) = passages(s, tmp_path)
    assert found.width_m == pytest.approx(1.5, abs=0.02)
    assert free_of_walls(read(s, tmp_path))


def test_one_space_with_a_wall_and_a_door_in_it_stays_one_piece(tmp_path):
    s = Sketch()
    g = s.storey()
    s.space([(0, 0), (8, 0), (8, 4), (0, 4)], g)
    wall = s.wall((4.0, 0.0), (4.0, 4.0), storey=g)
    s.fill(s.hole(wall, 3.9, 1.0, 4.1, 1.9))
    (room,) = read(s, tmp_path).storeys[0].rooms
    assert room.outline.geom_type == "Polygon"
    assert room.outline.area == pytest.approx(8 * 4 - 0.2 * 4 + 0.2 * 0.9, abs=1e-3)
