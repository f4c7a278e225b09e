"""Walls for a manifold: free of openings, facing the room, with free floor in front."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import pytest
from shapely.affinity import rotate
from shapely.geometry import LineString, Point, box

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.zones.manifold_sites import WallStretch, service_rows, wall_stretches

ROOM = box(0.03, 0.04, 5.03, 4.04)
DOOR = sketch.door(box(1.0, -0.16, 1.9, 0.04), sketch.THROUGH_Y, "A")
WINDOW = sketch.window(box(2.0, 4.04, 3.5, 4.34))


def stretches(level: sketch.Level) -> list[WallStretch]:
    return wall_stretches(level, Settings())


def as_line(stretch: WallStretch, out: float = 0.0) -> LineString:
    return LineString([stretch.point(stretch.low, out), stretch.point(stretch.high, out)])


def test_a_room_without_openings_has_its_four_walls() -> None:
    found = stretches(sketch.one_room(ROOM))
    assert sorted(s.normal for s in found) == [(-1, 0), (0, -1), (0, 1), (1, 0)]
    assert sorted(round(s.high - s.low, 3) for s in found) == [4.0, 4.0, 5.0, 5.0]
    assert all(ROOM.exterior.buffer(1e-9).covers(as_line(s)) for s in found)


@pytest.mark.parametrize("outline", [ROOM, box(0, 0, 6, 5).difference(box(4, 2, 7, 6))], ids=["box", "L"])
def test_normals_point_into_the_room(outline: sketch.Polygon) -> None:
    found = stretches(sketch.one_room(outline))
    assert len(found) == len(outline.exterior.coords) - 1
    for stretch in found:
        assert outline.covers(as_line(stretch, 0.01).interpolate(0.5, normalized=True))
        assert not outline.covers(as_line(stretch, -0.01).interpolate(0.5, normalized=True))


def test_no_stretch_lies_in_front_of_a_door_or_a_window() -> None:
    level = sketch.one_room(ROOM, passages=[DOOR], openings=[WINDOW])
    found = stretches(level)
    for opening in (DOOR.outline, WINDOW.outline):
        assert all(as_line(s).distance(opening) > 0.05 for s in found)
    south = sorted((round(s.low, 2), round(s.high, 2)) for s in found if s.normal == (0, 1))
    north = sorted((round(s.low, 2), round(s.high, 2)) for s in found if s.normal == (0, -1))
    assert south == [(0.03, 0.92), (1.98, 5.03)]
    assert north == [(0.03, 1.92), (3.58, 5.03)]


def test_no_stretch_lies_over_a_sleeve() -> None:
    way = sketch.door(box(3.0, -0.16, 3.5, 0.04), sketch.THROUGH_Y, "A", "B", kind="sleeve")
    level = replace(sketch.one_room(ROOM), sleeve_ways=(way,))
    assert all(as_line(s).distance(way.outline) > 0.05 for s in stretches(level))


def test_an_open_side_is_no_wall() -> None:
    rooms = [sketch.room("A", box(0, 0, 4, 4), RoomKind.LIVING), sketch.room("B", box(4, 1, 7, 4), RoomKind.KITCHEN)]
    found = stretches(sketch.level(sketch.storey(rooms)))
    east = [s for s in found if s.normal == (-1, 0) and s.room == "A"]
    assert [(round(s.low, 2), round(s.high, 2)) for s in east] == [(0.0, 0.9)]
    assert not [s for s in found if s.normal == (1, 0) and s.room == "B"]


@pytest.mark.parametrize(
    ("kind", "external"), [(RoomKind.SHAFT, False), (RoomKind.OUTSIDE, False), (RoomKind.HALL, True)]
)
def test_no_manifold_in_shafts_or_outside(kind: RoomKind, external: bool) -> None:
    rooms = [sketch.room("A", ROOM), sketch.room("B", box(6, 0, 9, 4), kind, external=external)]
    (level,) = sketch.levels_of(sketch.storey(rooms), frozenset({"A"}), Settings())
    assert {s.room for s in stretches(level)} == {"A"}


def test_walls_at_an_angle_carry_none() -> None:
    assert stretches(sketch.one_room(rotate(ROOM, 20))) == []


def test_the_kind_of_room_sets_the_price() -> None:
    rooms = [sketch.room("A", ROOM, RoomKind.LIVING), sketch.room("B", box(6, 0, 9, 4), RoomKind.HALL)]
    prices = {s.room: s.factor for s in stretches(sketch.level(sketch.storey(rooms)))}
    assert prices["B"] < prices["A"]


def test_floor_in_front_is_free_to_the_depth() -> None:
    unit = sketch.unit_in(box(2.0, 0.5, 3.0, 1.0))
    level = sketch.one_room(ROOM, obstacles=[unit])
    south = next(s for s in stretches(level) if s.normal == (0, 1))
    assert [(round(a, 1), round(b, 1)) for a, b in service_rows(level, south, 0.4)] == [(0.0, 5.0)]
    spans = service_rows(level, south, 0.7)
    assert [(round(a, 1), round(b, 1)) for a, b in spans] == [(0.0, 2.0), (3.0, 5.0)]
    for low, high in spans:
        front = box(low, south.at + 0.03, high, south.at + 0.67)
        assert level.floors["A"].buffer(0.03).covers(front)
        assert not front.buffer(-0.03).intersects(unit.outline)


def test_a_room_narrower_than_the_depth_has_none() -> None:
    level = sketch.one_room(box(0, 0, 4, 0.6), RoomKind.HALL)
    wide = [s for s in stretches(level) if s.high - s.low > 1]
    assert wide and all(service_rows(level, s, 0.7) == [] for s in wide)


def test_points_off_a_wall() -> None:
    stretch = WallStretch(room="A", normal=(-1, 0), at=5.0, low=0.0, high=2.0, factor=1.0)
    assert stretch.point(1.5, 0.2) == (4.8, 1.5)
    assert Point(stretch.point(1.5, -0.2)).x == 5.2
