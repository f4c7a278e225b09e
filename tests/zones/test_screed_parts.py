"""Floors parted at movement joints, and small parts of them set aside."""

from __future__ import annotations

import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, box

from ufh_core.building.types import RoomKind
from ufh_core.zones.divisions import islands
from ufh_core.zones.level_plan import room_of
from ufh_core.zones.screed_parts import small_parts, with_joints, with_parts_aside

ROOMS = [
    sketch.room("H", box(0.02, 0.03, 9.02, 1.53), RoomKind.HALL),
    sketch.room("R", box(0.02, 1.65, 9.02, 6.12)),
]
LEVEL = sketch.level(sketch.storey(ROOMS, [sketch.door(box(0.6, 1.53, 1.5, 1.65), sketch.THROUGH_Y, "H", "R")]))
ACROSS = LineString([(6.0, 1.65), (6.0, 6.12)])


def test_a_joint_parts_the_floor_of_its_room_and_no_other() -> None:
    parted = with_joints(LEVEL, {"R": [ACROSS], "X": [ACROSS]})
    assert [round(p.area, 1) for p in islands(parted.floors["R"])] == [26.7, 13.5]
    assert parted.floors["H"].equals(LEVEL.floors["H"])
    assert sum(p.area for p in islands(parted.floors["R"])) == pytest.approx(LEVEL.floors["R"].area, abs=0.01)
    assert parted.joints.distance(ACROSS) < 1e-9 and parted.ground.equals(LEVEL.ground)
    assert parted.floors["R"].geoms[0].distance(parted.floors["R"].geoms[1]) > 1e-3


def test_a_joint_that_ends_a_millimetre_before_the_wall_parts_all_the_same() -> None:
    parted = with_joints(LEVEL, {"R": [LineString([(6.0, 1.653), (6.0, 6.117)])]})
    assert len(islands(parted.floors["R"])) == 2


def test_without_joints_the_level_is_the_same() -> None:
    assert with_joints(LEVEL, {}) is LEVEL


def test_small_parts_are_those_beside_a_joint_but_the_largest() -> None:
    end, corner = LineString([(8.5, 1.65), (8.5, 6.12)]), LineString([(0.52, 1.65), (0.52, 6.12)])
    parted = with_joints(LEVEL, {"R": [ACROSS, end, corner]})
    assert [round(p.area, 1) for p in small_parts(parted, "R", 4.0)] == [2.3, 2.2]
    assert small_parts(parted, "R", 2.0) == [] and small_parts(LEVEL, "R", 100.0) == []
    assert len(small_parts(parted, "R", 1000.0)) == 3


def test_a_part_aside_is_floor_that_nobody_heats() -> None:
    parted = with_joints(LEVEL, {"R": [LineString([(8.5, 1.65), (8.5, 6.12)])]})
    (small,) = small_parts(parted, "R", 4.0)
    aside = with_parts_aside(parted, [("R", small)])
    assert aside.heated == parted.heated
    assert [room_of(guid) for guid in aside.floors] == ["H", "R", "R"]
    assert sum(floor.area for floor in aside.floors.values()) == pytest.approx(
        sum(floor.area for floor in parted.floors.values())
    )
    assert aside.floors["R"].area == pytest.approx(parted.floors["R"].area - small.area)
