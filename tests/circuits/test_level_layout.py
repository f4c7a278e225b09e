"""What becomes of a level where not all is easy: reported in words, never laid wrongly."""

from __future__ import annotations

from dataclasses import replace

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import RoomKind, Wall
from ufh_core.circuits.field_layer import FieldLayer
from ufh_core.circuits.field_scene import field_scene
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.circuits.numbering import numbered
from ufh_core.circuits.territory_fields import territory_fields
from ufh_core.circuits.types import LevelLayout
from ufh_core.lanes.level import route_lanes
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.types import LayoutSettings, Settings
from ufh_core.storeys.answers import answer_findings, lay_as_wished, room_answers
from ufh_core.zones.territories import territories
from ufh_core.zones.wishes import Wishes

PLAIN = Settings()
HALL_AND_ROOM = [
    sketch.room("H", box(0.02, 0.03, 5.02, 2.0), RoomKind.HALL),
    sketch.room("R", box(0.02, 2.12, 5.02, 6.12)),
]
DOOR = sketch.door(box(1, 2.0, 1.9, 2.12), sketch.THROUGH_Y, "H", "R")


def laid(storey: sketch.Storey, settings: Settings = PLAIN, pitch: float = 0.2) -> LevelLayout:
    pitches = {r.ifc_guid: pitch for r in storey.rooms}
    return lay_level(LevelBrief(level=sketch.level(storey, settings), pitches=pitches, settings=settings))


def check(storey: sketch.Storey, layout: LevelLayout) -> None:
    assert layout_checks.faults(storey, layout, [r.ifc_guid for r in storey.rooms]) == []


@pytest.mark.parametrize("wall_y", [2.0, 2.01, 2.02, 2.03, 2.04, 2.05, 2.06, 2.07, 2.08, 2.09])
def test_one_manifold_serves_hall_and_room_wherever_their_wall_stands(wall_y: float) -> None:
    rooms = [
        sketch.room("H", box(0, 0, 5, wall_y), RoomKind.HALL),
        sketch.room("R", box(0, wall_y + 0.12, 5, 6)),
    ]
    storey = sketch.storey(rooms, [sketch.door(box(1, wall_y, 1.9, wall_y + 0.12), sketch.THROUGH_Y, "H", "R")])
    layout = laid(storey)
    check(storey, layout)
    assert len(layout.manifolds) == 1 and not layout.failed
    assert layout.manifolds[0].room == "H"
    assert {c.rooms[0] for c in layout.circuits} == {"H", "R"}


def test_rooms_without_a_door_between_get_a_manifold_each_where_no_wall_may_be_drilled() -> None:
    storey = sketch.storey(HALL_AND_ROOM)
    layout = laid(storey, Settings(layout=LayoutSettings(wall_sleeves=False)))
    check(storey, layout)
    assert sorted(m.room for m in layout.manifolds) == ["H", "R"]
    assert not layout.failed and not any(c.sleeves for c in layout.circuits)


def test_a_room_without_a_door_is_reached_through_sleeves_that_are_counted() -> None:
    between = Wall(ifc_guid="W", name="", outline=box(0.02, 2.0, 5.02, 2.12), bottom_m=0.0, top_m=2.5)
    storey = replace(sketch.storey(HALL_AND_ROOM), walls=(between,))
    layout = laid(storey)
    assert not layout.failed and len(layout.manifolds) == 1
    home = layout.manifolds[0].room
    assert all(c.sleeves == (0 if c.rooms == (home,) else 2) for c in layout.circuits)
    assert {c.rooms[0] for c in layout.circuits} == {"H", "R"}
    drilled = replace(storey, passages=layout.level.sleeve_ways)
    check(drilled, layout)


def test_a_long_room_is_split_until_every_circuit_is_short_enough() -> None:
    settings = Settings(pipe=PipeSettings(greatest_circuit_length_m=60.0))
    storey = sketch.storey([HALL_AND_ROOM[0], sketch.room("R", box(0.02, 2.12, 9.02, 6.12))], [DOOR])
    layout = laid(storey, settings)
    check(storey, layout)
    assert not layout.failed
    assert max(c.length_m for c in layout.circuits) <= 60.0
    assert sum(c.rooms == ("R",) for c in layout.circuits) >= 3


def test_a_room_too_narrow_for_a_pair_is_reported() -> None:
    slot = sketch.room("S", box(5.2, 0.03, 5.42, 6.0))
    storey = sketch.storey([*HALL_AND_ROOM, slot], [DOOR])
    layout = laid(storey)
    check(storey, layout)
    (failure,) = layout.failed
    assert failure.room == "S" and failure.reason


def test_a_unit_that_takes_all_floor_is_reported() -> None:
    unit = sketch.unit_in(box(0.3, 2.3, 4.9, 6.0))
    storey = sketch.storey(HALL_AND_ROOM, [DOOR], obstacles=[unit])
    layout = laid(storey)
    check(storey, layout)
    assert {f.room for f in layout.failed} == {"R"}


@pytest.mark.parametrize("pitch", [0.15, 0.2, 0.25, 0.3])
def test_at_every_pitch_the_pipe_is_as_long_as_floor_and_pitch_ask(pitch: float) -> None:
    storey = sketch.storey(HALL_AND_ROOM, [DOOR])
    layout = laid(storey, pitch=pitch)
    check(storey, layout)
    for circuit in layout.circuits:
        in_field = circuit.axis.length_m - circuit.tail_length_m
        assert circuit.pitch_m == pitch
        assert in_field == pytest.approx(circuit.heated_area_m2 / pitch, rel=0.2)
        assert circuit.tail_length_m >= 0


def test_the_same_level_is_laid_the_same_twice() -> None:
    storey = sketch.storey(HALL_AND_ROOM, [DOOR])
    assert laid(storey).circuits == laid(storey).circuits


def test_the_order_of_rooms_and_doors_does_not_matter() -> None:
    storey = sketch.random_dwelling(6)
    turned = replace(storey, rooms=storey.rooms[::-1], passages=storey.passages[::-1])
    heated = [r.ifc_guid for r in storey.rooms]
    check(turned, laid(turned))
    assert {c.rooms[0] for c in laid(turned).circuits} == set(heated)


def far_apart(limit_m: float) -> tuple[sketch.Storey, LevelLayout]:
    """Two small rooms at the ends of a long hall that is not heated, with pipes too short to lead there and back."""
    settings = Settings(pipe=PipeSettings(greatest_circuit_length_m=limit_m))
    rooms = [
        sketch.room("H", box(0, 0, 20, 1.5), RoomKind.HALL),
        sketch.room("A", box(0, 1.62, 1.5, 3.5)),
        sketch.room("B", box(18.5, 1.62, 20, 3.5)),
    ]
    doors = [sketch.door(box(x, 1.5, x + 0.9, 1.62), sketch.THROUGH_Y, "H", g) for x, g in ((0.3, "A"), (18.8, "B"))]
    storey = sketch.storey(rooms, doors)
    (level,) = sketch.levels_of(storey, frozenset({"A", "B"}), settings)
    return storey, lay_level(LevelBrief(level=level, pitches={"A": 0.3, "B": 0.3}, settings=settings))


@pytest.mark.parametrize("limit_m", [20.0, 40.0])
def test_what_cannot_be_short_enough_is_reported_and_not_laid(limit_m: float) -> None:
    storey, layout = far_apart(limit_m)
    assert layout_checks.faults(storey, layout, ["A", "B"]) == []
    assert all(c.length_m <= limit_m for c in layout.circuits)
    assert {c.rooms[0] for c in layout.circuits} | {f.room for f in layout.failed} == {"A", "B"}


def test_a_circuit_that_came_out_too_long_is_left_out_with_its_length() -> None:
    level = sketch.level(sketch.storey(HALL_AND_ROOM, [DOOR]))
    parts = territories(level, {"H": 1, "R": 1}, {"H": 0.2, "R": 0.3}, PLAIN)
    lanes = route_lanes(level, parts, PLAIN)
    joined, failed = territory_fields(field_scene(level, PLAIN, FieldLayer()), parts, lanes)
    lengths = sorted(j.axis.length_m for j in joined)
    assert len(lengths) == 2 and not failed
    limit = lengths[0] + 5.0
    layout = numbered(level, lanes, joined, failed, Settings(pipe=PipeSettings(greatest_circuit_length_m=limit)), 1)
    (kept,), (out,) = layout.circuits, layout.failed
    assert kept.length_m <= limit < lengths[1]
    assert {kept.rooms[0], out.room} == {"H", "R"} and " m of pipe" in out.reason
    assert [len(m.ports) for m in layout.manifolds] == [1]


def wished(storey: sketch.Storey, circuits: dict[str, int], settings: Settings = PLAIN) -> LevelLayout:
    pitches = {r.ifc_guid: 0.2 for r in storey.rooms}
    level = sketch.level(storey, settings)
    return lay_as_wished(LevelBrief(level=level, pitches=pitches, settings=settings, wishes=Wishes(circuits=circuits)))


@pytest.mark.parametrize("asked", [2, 4])
def test_a_room_gets_the_number_of_circuits_that_the_designer_asks_for(asked: int) -> None:
    storey = sketch.storey(HALL_AND_ROOM, [DOOR])
    layout = wished(storey, {"R": asked})
    check(storey, layout)
    assert not layout.failed and sum(c.rooms == ("R",) for c in layout.circuits) == asked
    (answer,) = room_answers(Wishes(circuits={"R": asked}), [layout])["R"]
    assert answer.followed and answer.asked == str(asked)


def test_too_few_circuits_are_exceeded_only_as_the_pipe_s_length_asks_and_said() -> None:
    settings = Settings(pipe=PipeSettings(greatest_circuit_length_m=60.0))
    storey = sketch.storey(HALL_AND_ROOM, [DOOR])
    layout = wished(storey, {"R": 1}, settings)
    check(storey, layout)
    assert not layout.failed and max(c.length_m for c in layout.circuits) <= 60.0
    answers = room_answers(Wishes(circuits={"R": 1}), [layout])
    (finding,) = answer_findings(storey.rooms, answers)
    assert finding.code == "layout.circuits-not-followed" and finding.message.startswith("R: circuits = 1")


def test_too_many_circuits_for_the_floor_give_a_layout_and_a_finding() -> None:
    storey = sketch.storey(HALL_AND_ROOM, [DOOR])
    layout = wished(storey, {"H": 20})
    check(storey, layout)
    assert any(c.rooms == ("H",) for c in layout.circuits)
    answers = room_answers(Wishes(circuits={"H": 20}), [layout])
    (finding,) = answer_findings(storey.rooms, answers)
    assert "H: circuits = 20 cannot be followed" in finding.message
