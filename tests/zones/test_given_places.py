"""Places for manifolds that the designer names: found on their storey, or refused in one line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, RoomKind, Wall
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.settings.types import ManifoldSettings, RoomSettings
from ufh_core.zones.given_places import GivenPlace, given_places, unsuited
from ufh_core.zones.selection import select_rooms
from ufh_core.zones.wishes import Wishes, wishes_of

FRAME = LocalFrame(origin=(100.0, 50.0, 0.0), rotation=0.3)
HALL = sketch.room("H", box(0, 0, 5, 2), RoomKind.HALL, long_name="Hall")
ROOM = sketch.room("R", box(0, 2.1, 5, 6), long_name="Study")
DOOR = sketch.door(box(1, 2, 1.9, 2.1), sketch.THROUGH_Y, "H", "R")
WALL = Wall(ifc_guid="W", name="", outline=box(0, 2, 5, 2.1), bottom_m=0, top_m=2.5)
CUPBOARD = sketch.unit_in(box(4, 0, 5, 0.6))
GROUND = replace(sketch.storey([HALL, ROOM], [DOOR], obstacles=[CUPBOARD]), walls=(WALL,))
UPPER = replace(
    sketch.storey([sketch.room("H2", box(0, 0, 5, 2), long_name="Hall", floor_m=3.0)]), ifc_guid="S2", name="Upper"
)


def building(*storeys: sketch.Storey) -> Building:
    names = {"project_name": "", "building_name": "", "schema": "IFC4"}
    return Building(**names, length_unit_m=1.0, frame=FRAME, north_rad=None, storeys=storeys)


def found(*storeys: sketch.Storey, **place: object) -> dict[str, tuple[GivenPlace, ...]]:
    whole = building(*storeys)
    settings = Settings(manifold=ManifoldSettings(places=(ManifoldPlace(name="here", **place),)))
    return given_places(whole, select_rooms(whole, settings), settings)


def world(x: float, y: float) -> tuple[float, float]:
    (point,) = FRAME.to_world(np.array([[x, y]]))
    return (float(point[0]), float(point[1]))


def test_a_point_is_turned_into_the_plan() -> None:
    (place,) = found(GROUND, at=world(1.0, 0.5))["S"]
    assert place.distance_m((1.0, 0.0)) == pytest.approx(0.5)


def test_rooms_walls_and_elements_are_found_by_what_they_are_called() -> None:
    assert found(GROUND, room="Study")["S"][0].room == "R"
    assert found(GROUND, room="H")["S"][0].room == "H"
    assert found(GROUND, wall="W")["S"][0].target == WALL.outline
    assert found(GROUND, element="u")["S"][0].target == CUPBOARD.outline


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ({"room": "Hal"}, ['manifold.places "here"', 'no room "Hal"', "warmloom inspect"]),
        ({"room": "*"}, ['"*" is more than one room', "H Hall", "GlobalId"]),
        ({"wall": "X"}, ['no wall with the GlobalId "X"']),
        ({"element": "X"}, ['no element that stands on a floor with the GlobalId "X"']),
        ({"at": (0.0, 0.0)}, ["no room within 1.5 m of [0, 0]", "model coordinates in metres"]),
        ({"room": "Hall", "storey": "Attic"}, ['no storey "Attic"', '"Ground"']),
    ],
)
def test_what_is_nowhere_is_refused_in_one_line(place: dict[str, object], words: list[str]) -> None:
    with pytest.raises(SettingsError) as caught:
        found(GROUND, **place)
    message = str(caught.value)
    assert "\n" not in message and [w for w in words if w not in message] == [], message


def test_a_place_on_two_storeys_needs_its_storey() -> None:
    with pytest.raises(SettingsError, match='on the storeys "Ground", "Upper"; say which with storey'):
        found(GROUND, UPPER, at=world(1.0, 0.5))
    places = found(GROUND, UPPER, at=world(1.0, 0.5), storey="Upper")
    assert places["S"] == () and len(places["S2"]) == 1


def test_a_place_where_no_manifold_can_stand_says_what_it_would_need() -> None:
    narrow = sketch.one_room(box(0, 0, 0.6, 0.6), RoomKind.HALL)
    assert "free of doors, windows and units" in unsuited(GivenPlace(name="", words="", room="A"), [narrow], Settings())
    short = sketch.one_room(box(0, 0, 0.35, 5), RoomKind.HALL)
    words = unsuited(GivenPlace(name="", words="", room="A"), [short], Settings())
    assert "0.35 m" in words and "0.40 m of straight free wall" in words


def wished(**answers: object) -> tuple[Wishes, tuple[str, ...]]:
    settings = Settings(rooms=RoomSettings(overrides=(RoomOverride(match="Study", **answers),)))
    whole = building(GROUND)
    places = (GivenPlace(name="here", words="", room="H", serves=("Stud*", "Kitchn")),)
    wishes, findings = wishes_of(GROUND, select_rooms(whole, settings), places)
    return wishes, tuple(f.message for f in findings)


@pytest.mark.parametrize("entry", ["Hall", "H", "h hall", DOOR.ifc_guid])
def test_an_entry_is_a_door_or_the_room_behind_it(entry: str) -> None:
    wishes, _ = wished(entry=entry)
    assert wishes.entries == {"R": frozenset({DOOR.ifc_guid})}


def test_an_entry_that_names_nothing_is_told_with_the_ways_there_are() -> None:
    wishes, messages = wished(entry="Kitchen")
    assert wishes.entries == {}
    message = next(m for m in messages if m.startswith('R Study: entry "Kitchen" is neither a door of the room'))
    assert message.endswith(f"its ways are {DOOR.ifc_guid} to H Hall")


def test_patterns_say_whom_a_place_serves_and_one_without_a_room_is_told() -> None:
    wishes, messages = wished()
    assert wishes.served_from == {"R": "here"}
    assert any('"Kitchn"' in m for m in messages)
    assert wished(manifold="there")[0].served_from == {"R": "there"}
