"""A room whose lane ends in a recess too shallow for a loop is heated all the same."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import shapely
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.field_layer import FieldLayer
from ufh_core.circuits.field_scene import field_scene
from ufh_core.circuits.second_ends import fields_and_lanes
from ufh_core.circuits.territory_fields import territory_fields
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.settings.types import Settings
from ufh_core.zones.territories import territories

PLAIN = Settings()
RECESSED = box(0.12, 4.38, 8.64, 6.43).difference(box(0, 4.85, 0.8, 7))
ROOMS = [sketch.room("H", box(0.09, 2.3, 6.0, 4.26), RoomKind.HALL), sketch.room("R", RECESSED)]
LEVEL = sketch.level(sketch.storey(ROOMS, [sketch.door(box(0.19, 4.26, 1.05, 4.38), sketch.THROUGH_Y, "H", "R")]))
PARTS = territories(LEVEL, {"H": 1, "R": 1}, {"H": 0.2, "R": 0.2}, PLAIN)
WAY = ((1.625, 2.36), (1.625, 2.725), (0.325, 2.725), (0.325, 4.625))
INTO_THE_RECESS = Lane(territory=[p.room for p in PARTS].index("R"), manifold=0, port=0, corners=WAY)
LANES = LevelLanes(sites=(), lanes=(INTO_THE_RECESS,), unreached={})


def test_the_lane_is_led_on_to_where_a_loop_fits() -> None:
    scene = field_scene(LEVEL, PLAIN, FieldLayer())
    _, refused = territory_fields(scene, PARTS, LANES)
    assert [r.room for r in refused] == ["R"]  # else this sketch shows nothing
    lanes, joined, failed = fields_and_lanes(scene, LevelGround(scene.level, scene.settings), PARTS, LANES)
    assert failed == []
    assert joined[0].heated.area > 0.9 * RECESSED.area
    assert lanes.lanes[0].corners[0] == INTO_THE_RECESS.corners[0] and joined[0].lane is lanes.lanes[0]


def test_a_room_that_no_end_serves_stays_refused_with_its_reason() -> None:
    scene = field_scene(LEVEL, PLAIN, FieldLayer())
    part = PARTS[INTO_THE_RECESS.territory]
    slot = box(0.1, 4.4, 0.9, 4.9)
    only_recess = [
        replace(p, axis=p.axis.intersection(slot), floor=p.floor.intersection(slot)) if p is part else p for p in PARTS
    ]
    lanes, joined, failed = fields_and_lanes(scene, LevelGround(scene.level, scene.settings), only_recess, LANES)
    assert lanes == LANES and joined == [] and [f.room for f in failed] == ["R"] and failed[0].reason
    assert not shapely.is_empty(only_recess[INTO_THE_RECESS.territory].axis)


def test_a_loop_that_breaks_a_rule_is_kept_as_the_best_attempt() -> None:
    """The area handed to the field reaches into the wall, so each loop in it is too near to one."""
    part = PARTS[INTO_THE_RECESS.territory]
    careless = [replace(p, axis=p.floor.buffer(0.04)) if p is part else p for p in PARTS]
    scene = field_scene(LEVEL, PLAIN, FieldLayer())
    deep = replace(INTO_THE_RECESS, corners=(*WAY[:-1], (0.325, 4.625), (1.325, 4.625)))
    _, (failed,) = territory_fields(scene, careless, replace(LANES, lanes=(deep,)))
    assert "too near to a wall" in failed.reason
    assert failed.best_attempt is not None and failed.best_attempt.length_m > 20
