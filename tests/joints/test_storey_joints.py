"""Joints of made-up storeys: doorways, floors heated differently, screeds, pipes that cross, the order.

Source of the rules: EN 1264-4, from memory; figures for calcium sulphate: a trade association's.
"""

from dataclasses import replace

import pytest
from shapely.geometry import LineString, Polygon, box

from ufh_core.basis.findings import Finding
from ufh_core.basis.pipe_axis import Point, rounded
from ufh_core.building.types import Passage, Room, RoomKind, Storey
from ufh_core.circuits.types import HeatedField, LaidCircuit
from ufh_core.joints import division
from ufh_core.joints.doorways import ScreedRoom
from ufh_core.joints.order import joint_order
from ufh_core.joints.storey import crossed_joints, planned_joints
from ufh_core.joints.types import JointReason, StoreyJoints
from ufh_core.settings import Settings

SETTINGS = Settings()
SULPHATE = replace(SETTINGS, floor=replace(SETTINGS.floor, screed="flowing calcium sulphate"))
UNIT = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))


def screed(name: str, outline: Polygon, *, heated: bool = True, indoor_c: float = 20.0) -> ScreedRoom:
    return ScreedRoom(room=name, outline=outline, heated=heated, indoor_c=indoor_c, finish_r=0.1)


def passage(kind: str, outline: Polygon, rooms: tuple[str, ...], width_m: float) -> Passage:
    return Passage(ifc_guid="p", kind=kind, outline=outline, direction=(1.0, 0.0), width_m=width_m, rooms=rooms)


def storey(rooms: list[ScreedRoom], *passages: Passage) -> Storey:
    named = [
        Room(
            ifc_guid=r.room, name=r.room, long_name="", kind=RoomKind.LIVING, outline=r.outline, floor_m=0, height_m=2.5
        )
        for r in rooms
    ]
    return Storey(ifc_guid="s", name="s", elevation_m=0, placement=UNIT, rooms=tuple(named), passages=tuple(passages))


def circuit(corners: list[Point], *fields: Polygon) -> LaidCircuit:
    return LaidCircuit(
        number="M1.01",
        manifold="M1",
        port=1,
        rooms=("A",),
        axis=rounded(corners, 0.075),
        pitch_m=0.15,
        fields=tuple(HeatedField(room="A", circuit="M1.01", outline=f) for f in fields),
        tail_length_m=0.0,
        riser_length_m=0.0,
    )


def storey_joints(
    made: Storey, rooms: list[ScreedRoom], circuits: list[LaidCircuit], settings: Settings
) -> tuple[StoreyJoints, list[Finding]]:
    return crossed_joints(planned_joints(made, rooms, settings), made, circuits, settings)


APART = [screed("A", box(0, 0, 4, 4)), screed("B", box(4.2, 0, 8, 4))]
DOOR = passage("door", box(3.98, 1.5, 4.22, 2.4), ("A", "B"), 0.9)
OPEN_ROOMS = [screed("A", box(0, 0, 3.8, 4)), screed("B", box(3.8, 0, 7.6, 4))]
OPEN = passage("open", box(3.5, 0, 4.1, 4), ("A", "B"), 4.0)


def test_a_doorway_has_its_joint_half_way_through_the_wall() -> None:
    found, findings = storey_joints(storey(APART, DOOR), APART, [], SETTINGS)
    (joint,) = found.joints
    assert joint.reason is JointReason.DOOR and joint.rooms == ("A", "B")
    assert joint.line.equals_exact(LineString([(4.1, 1.5), (4.1, 2.4)]), 1e-6) or joint.line.equals_exact(
        LineString([(4.1, 2.4), (4.1, 1.5)]), 1e-6
    )
    assert [(f.rooms, round(f.area_m2, 3)) for f in found.fields] == [(("A",), 16.0), (("B",), 15.2)]
    assert findings == []


def test_a_hole_through_a_wall_for_sleeves_has_none() -> None:
    sleeve = replace(DOOR, kind="sleeve")
    assert storey_joints(storey(APART, sleeve), APART, [], SETTINGS)[0].joints == ()


def test_rooms_open_to_each_other_are_poured_as_one() -> None:
    found, _ = storey_joints(storey(OPEN_ROOMS, OPEN), OPEN_ROOMS, [], SETTINGS)
    (field,) = found.fields
    assert found.joints == () and field.rooms == ("A", "B") and field.area_m2 == pytest.approx(30.4)
    assert (field.length_m, field.width_m, field.ratio) == pytest.approx((7.6, 4.0, 1.9))


@pytest.mark.parametrize("change", [{"heated": False}, {"indoor_c": 24.0}])
def test_floors_heated_differently_are_parted_where_the_rooms_meet(change: dict[str, float]) -> None:
    rooms = [OPEN_ROOMS[0], replace(OPEN_ROOMS[1], **change)]
    found, _ = storey_joints(storey(rooms, OPEN), rooms, [], SETTINGS)
    (joint,) = found.joints
    assert joint.reason is JointReason.HEATING and joint.line.bounds == pytest.approx((3.8, 0, 3.8, 4))
    assert {f.rooms for f in found.fields} == ({("A",)} if "heated" in change else {("A",), ("B",)})


def test_two_kelvin_are_no_reason_to_part_a_floor() -> None:
    rooms = [OPEN_ROOMS[0], replace(OPEN_ROOMS[1], indoor_c=22.0)]
    assert storey_joints(storey(rooms, OPEN), rooms, [], SETTINGS)[0].joints == ()


def test_calcium_sulphate_needs_fewer_joints_and_more_under_tiles() -> None:
    """19 x 5 m: cement in three; calcium sulphate whole under wood, in two under tiles (10 m)."""
    hall = [screed("A", box(0, 0, 19, 5))]
    tiles = [replace(hall[0], finish_r=0.02)]
    count = [
        len(storey_joints(storey(rooms), rooms, [], settings)[0].joints)
        for rooms, settings in ((hall, SETTINGS), (hall, SULPHATE), (tiles, SULPHATE))
    ]
    assert count == [2, 0, 1]


def test_calcium_sulphate_has_joints_only_in_doorways_of_long_rooms() -> None:
    """By the trade association: rooms longer than 7 m, under tiles longer than 5 m."""
    long = [APART[0], screed("B", box(4.2, 0, 10.2, 4))]
    tiles = [replace(room, finish_r=0.02) for room in long]
    assert storey_joints(storey(long, DOOR), long, [], SULPHATE)[0].joints == ()
    assert len(storey_joints(storey(tiles, DOOR), tiles, [], SULPHATE)[0].joints) == 1


def test_tails_through_a_doorway_are_sleeved_on_both_sides_and_are_no_fault() -> None:
    pair = circuit([(1, 1.9), (5, 1.9), (5, 2.0), (1, 2.0)], box(4.6, 0.1, 7.9, 3.9))
    found, findings = storey_joints(storey(APART, DOOR), APART, [pair], SETTINGS)
    assert findings == [] and [c.in_field for c in found.crossings] == [False, False]
    for crossing, y in zip(found.crossings, (1.9, 2.0), strict=True):
        assert crossing.at == pytest.approx((4.1, y), abs=1e-4) and crossing.circuit == "M1.01" and crossing.joint == 0
        assert crossing.sleeve.length == pytest.approx(0.6) and crossing.sleeve.bounds[0] == pytest.approx(
            3.8, abs=1e-4
        )


def test_a_field_across_a_joint_is_told_with_circuit_room_and_mend() -> None:
    room = [screed("A", box(0, 0, 9, 5))]
    snake: list[Point] = [(0.1, 0.5), (8.9, 0.5), (8.9, 1.0), (0.1, 1.0), (0.1, 1.5), (8.9, 1.5)]
    across = circuit(snake, box(0.05, 0.4, 8.95, 1.6))
    found, (finding,) = storey_joints(storey(room), room, [across], SETTINGS)
    assert [c.in_field for c in found.crossings] == [True] * 3
    assert finding.code == "joints.crossed" and finding.ifc_guids == ("A",)
    assert finding.message.startswith("M1.01: its field in A lies across a movement joint (5.0 m for ")
    assert "3 pipes cross" in finding.message and "lay it anew" in finding.message
    beside = circuit(snake[:2], box(0.05, 1.7, 4.4, 4.9))
    assert storey_joints(storey(room), room, [beside], SETTINGS)[1] == []


def test_the_order_counts_strip_and_sleeves() -> None:
    pair = circuit([(1, 1.9), (5, 1.9), (5, 2.0), (1, 2.0)], box(4.6, 0.1, 7.9, 3.9))
    found, _ = storey_joints(storey(APART, DOOR), APART, [pair], SETTINGS)
    lines = [(line.item, line.quantity, line.unit) for line in joint_order([found, found], SETTINGS)]
    assert lines == [("movement joint strip", 2, "m"), ("joint sleeve 600 mm", 4, "pcs")]
    assert joint_order([StoreyJoints()], SETTINGS) == ()


def test_the_same_storey_gives_the_same_joints() -> None:
    room = [screed("A", box(0, 0, 9, 9).difference(box(5, 5, 9, 9)))]
    assert storey_joints(storey(room), room, [], SETTINGS) == storey_joints(storey(room), room, [], SETTINGS)


def test_floor_too_thin_to_pour_is_no_field() -> None:
    """A crack of 2 mm joins two rooms in the model, another leads nowhere."""
    cracked = box(0, 0, 3, 3).union(box(3, 1, 4, 1.002)).union(box(4, 0, 7, 3))
    rooms = [screed("A", cracked), screed("B", box(10, 0, 10.002, 40))]
    found, findings = storey_joints(storey(rooms), rooms, [], SETTINGS)
    assert [round(f.area_m2, 2) for f in found.fields] == [9.0, 9.0] and findings == []


def test_a_walk_round_a_court_is_parted_all_round() -> None:
    """By hand, under tiles: two sides of 9 m and two of 7 m, 1 m wide, in two each, none longer than 5 m."""
    ring = Polygon(box(0, 0, 9, 9).exterior, [box(1, 1, 8, 8).exterior])
    rooms = [replace(screed("A", ring), finish_r=0.02)]
    found, findings = storey_joints(storey(rooms), rooms, [], SETTINGS)
    assert len(found.fields) == 8 and findings == []
    assert max(field.length_m for field in found.fields) <= 5.0 + 1e-6
    assert sum(field.area_m2 for field in found.fields) == pytest.approx(32.0, abs=1e-2)


def test_a_field_that_cannot_keep_its_rules_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(division, "_cuts", lambda outline, region: [])
    rooms = [screed("A", Polygon([(0, 0), (9, 0), (9, 3), (5, 3), (5, 5), (0, 5)]))]
    found, (finding,) = storey_joints(storey(rooms), rooms, [], SETTINGS)
    assert [field.keeps_rules for field in found.fields] == [False]
    assert finding.code == "joints.rules" and "A: a field of screed of 37.0 m², 9.0 x 5.0 m" in finding.message
