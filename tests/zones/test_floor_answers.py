"""Areas that the designer leaves out or takes in: in model coordinates, told where they cannot be followed."""

from __future__ import annotations

import math

import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, Storey
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.types import RoomSettings
from ufh_core.zones.floor_answers import floor_answers, with_floor_answers
from ufh_core.zones.level_plan import levels_of
from ufh_core.zones.selection import select_rooms

TURNED = LocalFrame(origin=(100.0, 50.0, 0.0), rotation=0.3)
ROOM = sketch.room("A", box(0, 0, 5, 4))
UNIT = sketch.unit_in(box(0, 3.4, 3, 4))


def building(storey: Storey, frame: LocalFrame = TURNED) -> Building:
    return Building(
        project_name="",
        building_name="",
        schema="IFC4",
        length_unit_m=1.0,
        frame=frame,
        north_rad=None,
        storeys=(storey,),
    )


def world(*corners: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in TURNED.to_world(np.array(corners)))


def answered(storey: Storey, **answers: object):
    settings = Settings(rooms=RoomSettings(overrides=(RoomOverride(match="*", **answers),)))
    whole = building(storey)
    changed, findings = with_floor_answers(whole, select_rooms(whole, settings))
    (level,) = levels_of(changed.storeys[0], frozenset({"A"}), settings)
    return level.floors["A"], findings, changed


def test_an_area_left_out_in_model_coordinates_is_no_floor_in_the_turned_plan() -> None:
    floor, findings, changed = answered(sketch.storey([ROOM]), leave_out=(world((1, 1), (2, 1), (2, 3), (1, 3)),))
    assert floor.area == pytest.approx(20 - 2)
    assert floor.symmetric_difference(ROOM.outline.difference(box(1, 1, 2, 3))).area < 1e-6
    assert findings == ()
    assert [o.name for o in changed.storeys[0].obstacles] == ["left out"]


def test_what_reaches_beyond_the_room_is_cut_at_its_walls() -> None:
    floor, findings, changed = answered(sketch.storey([ROOM]), leave_out=(world((4, -1), (9, -1), (9, 9), (4, 9)),))
    assert floor.area == pytest.approx(16) and findings == ()
    assert ROOM.outline.buffer(1e-6).covers(changed.storeys[0].obstacles[0].outline)


def test_a_unit_is_heated_under_where_it_is_taken_in_and_only_there() -> None:
    storey = sketch.storey([ROOM], obstacles=[UNIT])
    floor, findings, _ = answered(storey, take_in=(world((-1, 3), (1, 3), (1, 5), (-1, 5)),))
    assert floor.area == pytest.approx(20 - 2 * 0.6) and findings == ()
    floor, _, changed = answered(storey, take_in=(world((-1, 3), (4, 3), (4, 5), (-1, 5)),))
    assert floor.area == pytest.approx(20) and changed.storeys[0].obstacles == ()


@pytest.mark.parametrize("kind", ["stair", "void", "hearth"])
def test_what_cannot_be_heated_is_not_taken_in_and_said(kind: str) -> None:
    storey = sketch.storey([ROOM], obstacles=[sketch.unit_in(box(0, 3.4, 3, 4), kind=kind)])
    floor, (finding,), _ = answered(storey, take_in=(world((-1, 3), (4, 3), (4, 5), (-1, 5)),))
    assert floor.area < 19
    assert finding.code == "zones.area-not-taken-in" and kind in finding.message and "A" in finding.message


def test_an_area_beside_the_room_is_told_once_with_the_room_s_name() -> None:
    floor, (finding,), _ = answered(sketch.storey([ROOM]), leave_out=(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)),))
    assert floor.area == pytest.approx(20)
    assert finding.code == "zones.area-outside-room" and finding.message.startswith("A: leave_out 1")


def test_an_area_for_a_pattern_need_only_lie_in_one_of_its_rooms() -> None:
    other = sketch.room("B", box(10, 0, 12, 4))
    _, findings, changed = answered(sketch.storey([ROOM, other]), leave_out=(world((1, 1), (2, 1), (2, 3)),))
    assert findings == () and len(changed.storeys[0].obstacles) == 1


def test_taking_in_bare_floor_is_told() -> None:
    floor, (finding,), _ = answered(sketch.storey([ROOM]), take_in=(world((1, 1), (2, 1), (2, 3)),))
    assert math.isclose(floor.area, 20) and finding.code == "zones.nothing-to-take-in"


def test_the_designer_says_to_which_flat_a_room_belongs() -> None:
    _, _, changed = answered(sketch.storey([ROOM]), dwelling="first")
    assert [r.dwelling for r in changed.storeys[0].rooms] == ["first"]


def test_what_became_of_areas_is_told_by_room() -> None:
    stair = sketch.unit_in(box(0, 3.4, 3, 4), kind="stair")
    rings = {
        "leave_out": (world((4, -1), (9, -1), (9, 9), (4, 9)),),
        "take_in": (world((-1, 3), (1, 3), (1, 5), (-1, 5)),),
    }
    settings = Settings(rooms=RoomSettings(overrides=(RoomOverride(match="A", **rings),)))
    whole = building(sketch.storey([ROOM], obstacles=[stair]))
    out, taken = floor_answers(whole, select_rooms(whole, settings))["A"]
    assert (out.key, out.areas, out.remark) == ("leave_out", 1, "") and out.square_metres == pytest.approx(4)
    assert taken.key == "take_in" and "the stair there cannot be heated" in taken.remark
