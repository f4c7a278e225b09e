"""Levels of a storey, and where pipes may run on one."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import pytest
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon, box

from ufh_core.basis.pipe_axis import rounded
from ufh_core.building.types import RoomKind
from ufh_core.settings.types import LayoutSettings, Settings
from ufh_core.zones.level_plan import axis_area, keep_outs, lane_area, levels_of, pipe_area, resized

PLAIN = Settings()


def two_rooms(floor_b: float = 0.0, kind_b: RoomKind = RoomKind.BEDROOM) -> sketch.Storey:
    rooms = [sketch.room("A", box(0, 0, 4, 4)), sketch.room("B", box(4.2, 0, 8, 4), kind_b, floor_b)]
    return sketch.storey(rooms, [sketch.door(box(4, 1, 4.2, 2), sketch.THROUGH_X, "A", "B")])


@pytest.mark.parametrize(("step", "count"), [(0.0, 1), (0.03, 1), (0.17, 2), (1.4, 2)])
def test_rooms_at_one_height_are_one_level(step: float, count: int) -> None:
    levels = levels_of(two_rooms(step), frozenset({"A", "B"}), PLAIN)
    assert len(levels) == count
    assert sorted(g for level in levels for g in level.heated) == ["A", "B"]
    assert [level.floor_m for level in levels] == sorted(level.floor_m for level in levels)


def test_a_level_without_a_room_to_heat_is_none() -> None:
    (level,) = levels_of(two_rooms(1.0), frozenset({"B"}), PLAIN)
    assert level.floor_m == 1.0 and level.heated == {"B"}


@pytest.mark.parametrize(("kind", "way"), [(RoomKind.STORE, True), (RoomKind.SHAFT, False), (RoomKind.STAIR, False)])
def test_tails_may_run_through_rooms_that_are_not_heated_but_not_through_shafts(kind: RoomKind, way: bool) -> None:
    (level,) = levels_of(two_rooms(kind_b=kind), frozenset({"A"}), PLAIN)
    assert ("B" in level.floors) == way
    assert level.heated == {"A"}


def test_what_stands_on_the_floor_is_taken_off_and_movable_things_only_if_asked() -> None:
    fixed, table = sketch.unit_in(box(1, 1, 2, 2)), sketch.unit_in(box(2.5, 1, 3, 2), movable=True)
    shelf = sketch.unit_in(box(0, 0, 4, 0.4), bottom_m=1.4, top_m=2.0)
    of = replace(two_rooms(), obstacles=(fixed, table, shelf))
    (level,) = levels_of(of, frozenset({"A"}), PLAIN)
    assert level.floors["A"].area == pytest.approx(15.0)
    careful = Settings(layout=LayoutSettings(keep_clear_of_movable=True))
    (level,) = levels_of(of, frozenset({"A"}), careful)
    assert level.floors["A"].area == pytest.approx(14.5)


def test_pipes_keep_their_greater_distance_from_a_hearth() -> None:
    hearth = sketch.unit_in(box(1, 1, 2, 2), kind="hearth")
    assert keep_outs([hearth], 0.0, PLAIN).area == pytest.approx(1.3**2)
    (level,) = levels_of(replace(two_rooms(), obstacles=(hearth,)), frozenset({"A"}), PLAIN)
    assert axis_area(level, PLAIN).distance(hearth.outline) >= 0.2


def test_areas_for_pipes_keep_the_clearance_and_lead_through_the_door() -> None:
    level = sketch.level(two_rooms())
    walls = box(0, 0, 4, 4).exterior
    assert axis_area(level, PLAIN).distance(walls) == pytest.approx(0.056, abs=1e-6)
    single, pair = pipe_area(level, PLAIN), lane_area(level, PLAIN, 0.05)
    assert not axis_area(level, PLAIN).contains(Point(4.1, 1.5))
    jambs = [box(4, 0, 4.2, 1), box(4, 2, 4.2, 4)]
    assert min(single.distance(j) for j in jambs) == pytest.approx(0.03, abs=1e-6)
    assert min(pair.distance(j) for j in jambs) == pytest.approx(0.055, abs=1e-6)


def test_a_door_too_narrow_for_a_pair_leads_nowhere() -> None:
    way = sketch.door(box(4, 1, 4.2, 1.1), sketch.THROUGH_X, "A", "B")
    level = sketch.level(replace(two_rooms(), passages=(way,)))
    assert not lane_area(level, PLAIN, 0.05).contains(Point(4.1, 1.05))
    assert pipe_area(level, PLAIN).contains(Point(4.1, 1.05))


def test_a_bend_round_a_re_entrant_corner_keeps_most_of_the_clearance() -> None:
    """The area's corner is mitred; a bend of 75 mm radius cuts inside it, towards the corner of the wall."""
    corner = Point(2, 2)
    area = axis_area(sketch.one_room(box(0, 0, 5, 5).difference(box(2, 2, 6, 6))), PLAIN)
    bend = rounded([(1.944, 4.0), (1.944, 1.944), (4.0, 1.944)], PLAIN.pipe.least_bend_radius_m)
    turn = bend.line()
    assert area.buffer(1e-6).contains(Point(1.944, 1.944))
    assert turn.distance(corner) == pytest.approx(0.056 * 2**0.5 - (2**0.5 - 1) * 0.075, abs=1e-3)
    assert turn.distance(corner) > PLAIN.layout.wall_clearance_m - 0.005


@pytest.mark.parametrize("wall_y", [2.0, 2.01, 2.02, 2.03, 2.04, 2.05])
def test_the_way_through_a_door_has_no_gap_at_the_threshold(wall_y: float) -> None:
    """A gap of a few millimetres would close the door to tails on the lattice at some places of the wall."""
    rooms = [sketch.room("A", box(0, 0, 4, wall_y)), sketch.room("B", box(0, wall_y + 0.12, 4, 6))]
    way = sketch.door(box(1, wall_y, 1.9, wall_y + 0.12), sketch.THROUGH_Y, "A", "B")
    level = sketch.level(sketch.storey(rooms, [way]))
    assert isinstance(pipe_area(level, PLAIN), Polygon)
    assert isinstance(lane_area(level, PLAIN, 0.05), Polygon)


@pytest.mark.parametrize("turn", [0.0, 0.6])
def test_a_passage_is_resized_across_and_along_its_own_direction(turn: float) -> None:
    way = sketch.door(box(0, 0, 1, 0.2), sketch.THROUGH_Y, "A")
    turned = rotate(way.outline, turn, origin=(0, 0), use_radians=True)
    direction = rotate(Point(0, 1), turn, origin=(0, 0), use_radians=True)
    passage = replace(way, outline=turned, direction=(direction.x, direction.y))
    assert resized(passage, -0.1, 0.3).area == pytest.approx(0.8 * 0.8)
    assert resized(passage, -0.5, 0.3).is_empty
