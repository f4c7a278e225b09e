"""Which small rooms may share a circuit, and with whom."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import CircuitSettings, Settings
from ufh_core.zones.partners import partners_of
from ufh_core.zones.wishes import NO_WISHES, Wishes

PLAIN = Settings()
ROOMS = [
    sketch.room("H", box(0, 0, 6, 2), RoomKind.HALL),
    sketch.room("W", box(0, 2.12, 1.5, 4), RoomKind.WC),
    sketch.room("B", box(1.62, 2.12, 3.9, 4), RoomKind.BATH),
    sketch.room("L", box(4.02, 2.12, 6, 7), RoomKind.LIVING),
    sketch.room("S", box(0, 4.12, 1.5, 6), RoomKind.STORE),
]
DOORS = [
    sketch.door(box(0.3, 2, 1.1, 2.12), sketch.THROUGH_Y, "H", "W"),
    sketch.door(box(2.3, 2, 3.1, 2.12), sketch.THROUGH_Y, "H", "B"),
    sketch.door(box(1.5, 3, 1.62, 3.8), sketch.THROUGH_X, "W", "B"),
    sketch.door(box(4.5, 2, 5.3, 2.12), sketch.THROUGH_Y, "H", "L"),
]
LEVEL = sketch.level(sketch.storey(ROOMS, DOORS))
INDOOR = {"H": 20.0, "W": 20.0, "B": 24.0, "L": 20.0, "S": 15.0}


def found(wishes: Wishes = NO_WISHES, limit: float = 3.0, level: object = LEVEL) -> dict[str, tuple[str, ...]]:
    return partners_of(level, INDOOR, wishes, Settings(circuits=CircuitSettings(share_below_m2=limit)))  # type: ignore[arg-type]


def test_small_rooms_share_with_neighbours_about_as_warm() -> None:
    assert found() == {"W": ("H",)}  # not with the bathroom; the store is colder than all
    assert found(limit=0.0) == {}
    assert found(limit=2.0) == {}


def test_the_designers_word_goes_first() -> None:
    assert found(Wishes(shares_with={"W": "none"})) == {}
    assert found(Wishes(shares_with={"W": "B"})) == {"W": ("B",)}
    assert found(Wishes(shares_with={"W": "L"})) == {"W": ("L",)}  # no door leads there, but its tails may pass
    assert found(Wishes(shares_with={"W": "nobody"})) == {}
    for own in (Wishes(circuits={"W": 1}), Wishes(entries={"W": frozenset("D")}), Wishes(served_from={"W": "here"})):
        assert found(own) == {}


def test_a_room_that_takes_another_in_is_not_taken_in_itself() -> None:
    both = found(Wishes(shares_with={"S": "W"}))
    assert both == {"S": ("W",)}


def test_nobody_shares_across_flats() -> None:
    flats = {"H": "1", "B": "1", "L": "1", "W": "2", "S": "2"}
    apart = [replace(r, dwelling=flats[r.ifc_guid]) for r in ROOMS]
    assert found(level=sketch.level(sketch.storey(apart, DOORS))) == {}
