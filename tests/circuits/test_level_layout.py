"""What becomes of a level where not all is easy: reported in words, never laid wrongly."""

from __future__ import annotations

from dataclasses import replace

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.level_layout import lay_level
from ufh_core.circuits.types import LevelLayout
from ufh_core.settings.types import PipeSettings, Settings

PLAIN = Settings()
HALL_AND_ROOM = [
    sketch.room("H", box(0.02, 0.03, 5.02, 2.0), RoomKind.HALL),
    sketch.room("R", box(0.02, 2.12, 5.02, 6.12)),
]
DOOR = sketch.door(box(1, 2.0, 1.9, 2.12), sketch.THROUGH_Y, "H", "R")


def laid(storey: sketch.Storey, settings: Settings = PLAIN, pitch: float = 0.2) -> LevelLayout:
    pitches = {r.ifc_guid: pitch for r in storey.rooms}
    return lay_level(sketch.level(storey, settings), pitches, settings, 1, lambda _: None)


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


def test_rooms_without_a_door_between_get_a_manifold_each() -> None:
    storey = sketch.storey(HALL_AND_ROOM)
    layout = laid(storey)
    check(storey, layout)
    assert sorted(m.room for m in layout.manifolds) == ["H", "R"]


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
