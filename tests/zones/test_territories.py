"""Territories: equal parts in one piece each, half a pitch from the line between them."""

from __future__ import annotations

from itertools import combinations

import plan_sketch as sketch
import pytest
import shapely
from shapely.geometry import Polygon, box

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import axis_area
from ufh_core.zones.territories import DividedRooms, Territory, first_division, territories

L_ROOM = box(0, 0, 7, 6).difference(box(4, 3, 8, 7))
U_ROOM = box(0, 0, 9, 6).difference(box(3, 2, 6, 7))
WITH_ISLAND = box(0, 0, 8, 5)
ISLAND = sketch.unit_in(box(3.5, 2, 5, 3))


PLAIN = Settings()


def parts_of(outline: Polygon, count: int, pitch: float = 0.2, obstacles: tuple[object, ...] = ()) -> list[Territory]:
    level = sketch.one_room(outline, obstacles=obstacles)
    return list(territories(level, {"A": count}, {"A": pitch}, Settings()))


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 7])
@pytest.mark.parametrize(
    ("outline", "obstacles"),
    [(box(0, 0, 9, 4), ()), (L_ROOM, ()), (WITH_ISLAND, (ISLAND,))],
    ids=["box", "L", "island"],
)
def test_parts_are_equal_in_one_piece_and_lose_no_floor(
    outline: Polygon, obstacles: tuple[object, ...], count: int
) -> None:
    parts = parts_of(outline, count, obstacles=obstacles)
    free = shapely.difference(outline, shapely.union_all([o.outline for o in obstacles]))
    assert len(parts) == count
    assert [t.part for t in parts] == list(range(count))
    for territory in parts:
        assert isinstance(territory.floor, Polygon) and territory.floor.is_valid
        assert territory.floor.area == pytest.approx(free.area / count, rel=0.03)
        assert free.buffer(1e-9).covers(territory.floor)
    assert sum(t.floor.area for t in parts) == pytest.approx(free.area, rel=0.02)
    for one, other in combinations(parts, 2):
        assert one.floor.intersection(other.floor).area < 1e-6


@pytest.mark.parametrize("count", [2, 3, 4, 5])
def test_no_floor_of_a_u_room_is_lost(count: int) -> None:
    parts = parts_of(U_ROOM, count)
    assert len(parts) == count
    assert sum(t.floor.area for t in parts) > 0.97 * U_ROOM.area


@pytest.mark.parametrize("pitch", [0.15, 0.3])
def test_fields_of_two_parts_keep_half_a_pitch_from_the_line_between(pitch: float) -> None:
    parts = parts_of(box(0, 0, 9, 4), 3, pitch)
    for one, other in combinations(parts, 2):
        assert one.axis.distance(other.floor) >= pitch / 2 - 1e-6
        assert one.axis.distance(other.axis) >= pitch - 1e-6
    touching = [(a, b) for a, b in combinations(parts, 2) if a.floor.distance(b.floor) < 1e-6]
    assert len(touching) == 2
    for one, other in touching:
        assert one.axis.distance(other.axis) == pytest.approx(pitch, abs=2e-3)


def test_fields_keep_the_clearance_from_walls_and_units() -> None:
    (only,) = parts_of(WITH_ISLAND, 1, obstacles=(ISLAND,))
    assert only.axis.distance(WITH_ISLAND.exterior) == pytest.approx(0.056, abs=1e-3)
    assert only.axis.distance(ISLAND.outline) == pytest.approx(0.056, abs=1e-3)


def open_plan(heated_kind: RoomKind = RoomKind.KITCHEN) -> sketch.Level:
    rooms = [sketch.room("A", box(0, 0, 4, 4), RoomKind.LIVING), sketch.room("B", box(4, 0, 7, 4), heated_kind)]
    way = sketch.door(box(3.99, 0, 4.01, 4), sketch.THROUGH_X, "A", "B", kind="open")
    return sketch.level(sketch.storey(rooms, [way]))


def test_rooms_without_a_wall_between_keep_their_pitches_apart() -> None:
    parts = {t.room: t for t in territories(open_plan(), {"A": 1, "B": 1}, {"A": 0.2, "B": 0.3}, Settings())}
    assert parts["A"].axis.distance(parts["B"].floor) == pytest.approx(0.1, abs=2e-3)
    assert parts["B"].axis.distance(parts["A"].floor) == pytest.approx(0.15, abs=2e-3)


def test_a_room_that_is_not_heated_gets_no_territory_but_keeps_its_neighbour_away() -> None:
    whole = open_plan().storey
    (level,) = sketch.levels_of(whole, frozenset({"A"}), Settings())
    (only,) = territories(level, {"A": 1}, {"A": 0.2}, Settings())
    assert only.room == "A"
    assert only.axis.distance(box(4, 0, 7, 4)) == pytest.approx(0.1, abs=2e-3)


def test_floors_that_a_unit_parts_become_territories_of_their_own() -> None:
    parts = parts_of(box(0, 0, 6, 3), 1, obstacles=(sketch.unit_in(box(2, -1, 2.6, 4)),))
    assert sorted(round(t.floor.area, 2) for t in parts) == [6.0, 10.2]


def test_scraps_of_floor_get_none() -> None:
    parts = parts_of(box(0, 0, 6, 3), 1, obstacles=(sketch.unit_in(box(5.4, -1, 5.9, 4)),))
    assert [round(t.floor.area, 2) for t in parts] == [16.2]


def test_what_is_remembered_of_a_room_is_told_apart_by_its_division_and_its_room() -> None:
    level = open_plan()
    pitches = dict.fromkeys(level.heated, 0.2)
    remembered = DividedRooms(level, pitches, axis_area(level, PLAIN))
    for count in (1, 2, 3, 2):
        divisions = {guid: first_division(level, guid, count, 0.2, PLAIN) for guid in level.heated}
        fresh = territories(level, dict.fromkeys(level.heated, count), pitches, PLAIN, divisions)
        assert remembered.territories(divisions) == fresh
    guid = min(level.heated)
    assert remembered.of(guid, divisions[guid])[0] is remembered.of(guid, divisions[guid])[0]
