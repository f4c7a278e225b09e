"""What lanes foretell of circuits: rooms with too much pipe, tails that are too long whatever the floor."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.foretelling import MOST_TAILS, better_reached, counts_needed, reaches
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.circuits.numbering import riser_length
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.settings.floor_types import PipeSettings
from ufh_core.settings.types import Settings
from ufh_core.zones.territories import Territory, first_division, territories
from ufh_core.zones.wishes import Wishes

PLAIN = Settings()
ROOMS = [sketch.room("H", box(0, 0, 8, 2), RoomKind.HALL), sketch.room("R", box(0, 2.12, 8, 6))]
DOOR = sketch.door(box(4.5, 2, 5.5, 2.12), sketch.THROUGH_Y, "H", "R")
STOREY = sketch.storey(ROOMS, [DOOR])
LEVEL = sketch.level(STOREY)
TO_HALL = ((4.9, 0.06), (4.9, 0.5), (2.0, 0.5))
TO_ROOM = ((5.0, 0.06), (5.0, 2.6))
ALONG_THE_HALL = ((5.2, 0.06), (5.2, 1.0), (0.5, 1.0))


def brief(limit_m: float, wishes: Wishes | None = None) -> LevelBrief:
    settings = Settings(pipe=PipeSettings(greatest_circuit_length_m=limit_m))
    pitches = {"H": 0.2, "R": 0.2}
    return LevelBrief(level=LEVEL, pitches=pitches, settings=settings, wishes=wishes or Wishes())


def parts(rooms: int = 1) -> tuple[Territory, ...]:
    return territories(LEVEL, {"H": 1, "R": rooms}, {"H": 0.2, "R": 0.2}, PLAIN)


def lanes(*corners: tuple[tuple[float, float], ...]) -> LevelLanes:
    led = tuple(Lane(territory=t, manifold=0, port=t, corners=c) for t, c in enumerate(corners))
    return LevelLanes(sites=(), lanes=led, unreached={})


def whole_m(part: Territory, lane: tuple[tuple[float, float], ...]) -> float:
    return part.axis.area / part.pitch_m * 1.03 + 2 * LineString(lane).length + riser_length(PLAIN)


def test_a_room_gets_as_many_circuits_as_its_pipe_needs() -> None:
    two = parts()
    both = lanes(TO_HALL, TO_ROOM)
    length = whole_m(two[1], TO_ROOM)
    assert length == pytest.approx(two[1].floor.area / 0.2, rel=0.06)  # a circuit of 155 m
    assert counts_needed(brief(length + 0.1), two, both) == {}
    assert counts_needed(brief(length - 0.1), two, both) == {"R": 2}
    assert counts_needed(brief(length / 3), two, both)["R"] == 4  # each with tails of its own


def test_a_number_that_the_designer_gave_stays() -> None:
    assert counts_needed(brief(100.0, Wishes(circuits={"R": 1})), parts(), lanes(TO_HALL, TO_ROOM)) == {}


def test_floor_that_the_tails_of_others_take_needs_no_pipe() -> None:
    two = parts()
    limit = whole_m(two[0], TO_HALL) - 2.0
    far = LevelLanes(sites=(), lanes=lanes(TO_HALL, TO_ROOM).lanes[:1], unreached={})
    assert "H" in counts_needed(brief(limit), two, far)
    assert "H" not in counts_needed(brief(limit), two, lanes(TO_HALL, ALONG_THE_HALL))


def test_circuits_of_a_room_count_together_since_cuts_make_them_alike() -> None:
    three = parts(2)
    uneven = [three[0], replace(three[1], floor=box(0, 2.12, 6, 6)), replace(three[2], floor=box(6, 2.12, 8, 6))]
    uneven[1:] = [replace(p, axis=p.floor.buffer(-0.1)) for p in uneven[1:]]
    farther = ((0.5, 0.06), (0.5, 1.0), (5.0, 1.0), (5.0, 2.6))
    led = lanes(TO_HALL, TO_ROOM, farther)
    longest, other = (whole_m(part, lane) for part, lane in zip(uneven[1:], (TO_ROOM, farther), strict=True))
    assert longest > 1.5 * other
    assert "R" not in counts_needed(brief((longest + other) / 2 + 1.0), uneven, led)
    assert counts_needed(brief((longest + other) / 2 - 3.0), uneven, led)["R"] == 3


def test_a_lane_may_take_most_of_a_pipe_or_what_the_floor_leaves_of_it() -> None:
    _, room = parts()
    small = replace(room, axis=box(0, 0, 2.0, 2.0))
    left_m = 100.0 - 4.0 / room.pitch_m
    assert left_m > MOST_TAILS * 100.0  # else this sketch shows one case only
    wide = replace(room, axis=box(0, 0, 5.0, 3.0))
    assert 100.0 - 15.0 / room.pitch_m < MOST_TAILS * 100.0
    asked = brief(100.0 + riser_length(PLAIN))
    assert reaches(asked, [small, wide]) == pytest.approx((left_m / 2, MOST_TAILS * 100.0 / 2))


def test_a_room_in_which_the_manifold_stands_is_divided_anew_from_there() -> None:
    five = parts(4)
    division = first_division(LEVEL, "R", 4, 0.2, PLAIN)
    by_the_wall = ((0.06, 4.0), (2.0, 4.0))
    found = better_reached(brief(100.0), five, lanes(TO_HALL, *[by_the_wall] * 4), {"R": division})
    assert found == {"R": first_division(LEVEL, "R", 4, 0.2, PLAIN, [by_the_wall[0]])} != {"R": division}
    assert better_reached(brief(100.0), five, lanes(TO_HALL, *[TO_ROOM] * 4), {"R": division}) == {}


def test_a_level_is_laid_with_no_circuit_too_long() -> None:
    for limit in (60.0, 80.0, 100.0):
        layout = lay_level(brief(limit))
        assert not layout.failed
        assert max(c.length_m for c in layout.circuits) <= limit
