"""Fields in rooms that stand at an angle to the frame: as good as in the frame, their panels along their walls."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import field_checks
import field_rooms
import layout_checks
import plan_sketch as sketch
import pytest
import shapely
from shapely.affinity import rotate
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from ufh_core.building.types import Passage, RoomKind
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.fields.check import fault
from ufh_core.fields.lay import lay_field
from ufh_core.fields.pair import pair_legs, run_in
from ufh_core.fields.turned import frames
from ufh_core.fields.types import FieldRequest, FieldResult
from ufh_core.settings.types import Settings

SOUTH, NORTH, WEST, EAST = (0, 1), (0, -1), (1, 0), (-1, 0)  # the wall of the door, heading into the room
ROOM = box(0.013, 0.021, 4.03, 5.01)
L_ROOM = unary_union([box(0, 0, 6.1, 2.5), box(0, 0, 2.9, 5.2)])
ROOMS = {
    "living room, door in the south": (ROOM, (2.0, 0.021), SOUTH),
    "living room, door in the east": (ROOM, (4.03, 3.1), EAST),
    "L": (L_ROOM, (0, 4.0), WEST),
    "corridor": (box(0, 0, 8, 1.2), (4, 1.2), NORTH),
}


def laid(asked: FieldRequest) -> FieldResult:
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []
    return result


@pytest.mark.parametrize("degrees", [17, -8, 30, 45])
@pytest.mark.parametrize("room", ROOMS)
def test_a_turned_room_is_laid_as_well_as_a_straight_one(room: str, degrees: float) -> None:
    straight_asked = field_rooms.request(*ROOMS[room], 0.2)
    asked = field_rooms.turned_request(*ROOMS[room], 0.2, degrees)
    straight, turned = laid(straight_asked), laid(asked)
    assert math.degrees(turned.turned_rad) == pytest.approx(degrees, abs=0.01)
    assert turned.heated.area >= straight.heated.area - 0.02 * asked.floor.area
    farthest = field_checks.greatest_distance(straight_asked, straight)
    assert field_checks.greatest_distance(asked, turned) <= farthest + 0.1
    assert per_metre(turned) < 0.9  # regression: 1.4 and more where the field lies in the level's frame
    assert turned.unevenness <= straight.unevenness + 0.08


def per_metre(result: FieldResult) -> float:
    return result.bends / LineString(result.corners).length


@pytest.mark.parametrize("pitch", [0.15, 0.25, 0.3])
def test_every_pitch_is_laid_in_a_turned_room(pitch: float) -> None:
    asked = field_rooms.turned_request(*ROOMS["L"], pitch, 24)
    assert laid(asked).heated.area > 0.95 * asked.floor.area


@pytest.mark.parametrize(
    ("floor", "degrees"),
    [
        (ROOM, [0]),
        (rotate(ROOM, 1), [0]),
        (rotate(ROOM, 17), [17]),
        (rotate(ROOM, 100), [10]),
        (Polygon([(0, 0), (5, 0), (4, 3.9), (0, 3.1)]), [0]),  # an oblique wall alone
        (unary_union([box(0, 0, 4, 4), rotate(box(3, 0, 9, 3), 30, origin=(3, 0))]), [0, 30]),
    ],
)
def test_a_frame_is_tried_where_enough_of_the_walls_ask_for_it(floor: Polygon, degrees: list[float]) -> None:
    assert [math.degrees(angle) for angle in frames(floor)] == pytest.approx(degrees, abs=0.01)


def test_the_pair_stays_together_over_its_bend() -> None:
    asked = field_rooms.turned_request(*ROOMS["L"], 0.2, 30)
    result = laid(asked)
    assert pair_legs(result.corners) == 2
    middle = run_in(result.corners)
    assert middle[0] == pytest.approx(asked.approaches[result.approach].at)
    assert pair_legs(lay_field(field_rooms.request(*ROOMS["L"], 0.2)).corners) == 1  # type: ignore[union-attr]
    for corners in (result.corners, result.corners[::-1]):  # both pipes half the spacing beside the middle
        away = (
            LineString(corners[:2]).distance(LineString(middle)),
            LineString(corners[1:3]).distance(LineString(middle)),
        )
        assert away == pytest.approx((asked.tail_spacing_m / 2,) * 2, abs=1e-6)


def test_both_checks_see_a_pair_that_closes_at_its_bend_and_runs_off_the_studs() -> None:
    asked = field_rooms.turned_request(*ROOMS["L"], 0.2, 30)
    result = laid(asked)
    (ax, ay), (bx, by) = result.corners[1], result.corners[-2]
    closer = (bx + 0.2 * (ax - bx), by + 0.2 * (ay - by))
    closed = (*result.corners[:-2], closer, result.corners[-1])
    assert fault(closed, asked)
    assert field_checks.faults(asked, replace(result, corners=closed))
    assert "off the studs" in field_checks.faults(asked, replace(result, turned_rad=0.0))


def wing(degrees: float) -> sketch.Storey:
    """A hall and a room in the frame, and a corridor with two rooms at an angle to it, entered from the hall."""
    hall = box(0.02, 0.03, 6.02, 2.03)
    straight = sketch.room("S", box(0.02, 2.15, 6.02, 6.15))

    def at(*bounds: float) -> Polygon:
        return rotate(box(*bounds), degrees, origin=(6.14, 1.0))

    def through(name: str, *bounds: float) -> Passage:
        across = (math.sin(math.radians(degrees)), -math.cos(math.radians(degrees)))
        return Passage(
            ifc_guid=name, kind="door", outline=at(*bounds), direction=across, width_m=0.9, rooms=("C", name)
        )

    corridor = unary_union([at(6.14, 0.3, 14.4, 1.8), box(6.1, 0.45, 6.5, 1.55)])
    rooms = [
        sketch.room("H", hall, RoomKind.HALL),
        straight,
        sketch.room("C", corridor, RoomKind.HALL),
        sketch.room("A", at(10.0, -3.6, 14.4, 0.18)),
        sketch.room("B", at(10.0, 1.92, 14.4, 5.4)),
    ]
    passages = [
        sketch.door(box(1, 2.03, 1.9, 2.15), sketch.THROUGH_Y, "H", "S"),
        sketch.door(box(6.02, 0.55, 6.1, 1.45), sketch.THROUGH_X, "H", "C"),
        through("A", 10.8, 0.18, 11.7, 0.3),
        through("B", 11.3, 1.8, 12.2, 1.92),
    ]
    return sketch.storey(rooms, passages)


@pytest.mark.parametrize("degrees", [20, 30])
def test_a_wing_at_an_angle_is_laid_along_its_own_walls(degrees: float) -> None:
    storey = wing(degrees)
    guids = [r.ifc_guid for r in storey.rooms]
    layout = lay_level(LevelBrief(level=sketch.level(storey), pitches=dict.fromkeys(guids, 0.2), settings=Settings()))
    assert layout_checks.faults(storey, layout, guids) == []
    assert not layout.failed
    for name in ("A", "B"):
        outline = next(r.outline for r in storey.rooms if r.ifc_guid == name)
        circuits = [c for c in layout.circuits if c.rooms == (name,)]
        assert sum(f.outline.area for c in circuits for f in c.fields) > 0.88 * outline.area
        for circuit in circuits:  # the rest are bends, diagonals and the tails' way in
            assert share_along(circuit.axis.line().intersection(outline), degrees) > 0.75


def share_along(line: shapely.Geometry, degrees: float) -> float:
    """Share of a pipe's length that runs along the axes of a frame at an angle."""
    along = whole = 0.0
    for part in shapely.get_parts(line):
        for (ax, ay), (bx, by) in pairwise(part.coords):
            length = math.hypot(bx - ax, by - ay)
            off = (math.degrees(math.atan2(by - ay, bx - ax)) - degrees + 45) % 90 - 45
            whole += length
            along += length * (abs(off) < 0.5)
    return along / whole
