"""Pieces of a hall between tails: filled by the circuit that ends in them, or by one of their own where worth it."""

from __future__ import annotations

import plan_sketch as sketch
import pytest
import shapely
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.circuits.wedges import cold_wedges, wedge_territories, with_wedges
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.settings.types import ManifoldSettings, Settings
from ufh_core.zones.territories import Territory, territories

PLAIN = Settings()
ROOMS = [
    sketch.room("H", box(0, 0, 8, 2), RoomKind.HALL),
    sketch.room("R", box(0, 2.12, 8, 6)),
]
DOOR = sketch.door(box(4.5, 2, 5.5, 2.12), sketch.THROUGH_Y, "H", "R")
LEVEL = sketch.level(sketch.storey(ROOMS, [DOOR]))
AWAY = Lane(territory=-1, manifold=0, port=1, corners=((5.0, 0.06), (5.0, 2.6)))
LEFT = Lane(territory=0, manifold=0, port=0, corners=((4.9, 0.06), (4.9, 0.5), (2.0, 0.5)))
RIGHT = Lane(territory=1, manifold=0, port=2, corners=((5.1, 0.06), (5.1, 0.5), (6.0, 0.5)))


def parts(halls: int) -> tuple[Territory, ...]:
    return territories(LEVEL, {"H": halls, "R": 1}, {"H": 0.2, "R": 0.2}, PLAIN)


def lanes(*some: Lane, of: tuple[Territory, ...]) -> LevelLanes:
    numbered = [Lane(territory=x.territory % len(of), manifold=0, port=x.port, corners=x.corners) for x in some]
    return LevelLanes(sites=(None,), lanes=tuple(numbered), unreached={})  # type: ignore[arg-type]


def test_each_circuit_fills_the_wedge_in_which_its_tails_end() -> None:
    two = parts(2)
    assert two[0].floor.area == pytest.approx(8.0)
    made, rooms = with_wedges(LEVEL, two, lanes(LEFT, RIGHT, AWAY, of=two), 100.0)
    assert rooms == {"H"}
    assert made[0].floor.area == pytest.approx(10.0, rel=0.01)  # left of the tails that lead to the door
    assert made[1].floor.area == pytest.approx(6.0, rel=0.01)
    assert made[2] == two[2]
    assert two[0].shared and not any(t.shared for t in made[:2])  # their lengths are no matter of cuts any more
    for territory in made[:2]:
        assert territory.floor.buffer(1e-6).covers(territory.axis)
        assert not shapely.LineString(AWAY.corners).intersects(territory.floor)
        edge = territory.axis.intersection(territory.floor.buffer(-0.3))
        assert edge.area > 0.98 * territory.floor.buffer(-0.3).area  # nothing is left of the cut that was there


def test_two_circuits_in_one_wedge_stay_as_they_were_divided() -> None:
    two = parts(2)
    both = Lane(territory=1, manifold=0, port=2, corners=((4.8, 0.06), (4.8, 0.8), (3.0, 0.8)))
    made, rooms = with_wedges(LEVEL, two, lanes(LEFT, both, AWAY, of=two), 100.0)
    assert made == two and not rooms


def test_a_circuit_that_ends_in_a_piece_too_small_for_a_wedge_leaves_the_room_as_it_was_divided() -> None:
    two = parts(2)
    beside = Lane(territory=-1, manifold=0, port=3, corners=((5.15, 0.06), (5.15, 2.6)))
    between = Lane(territory=1, manifold=0, port=2, corners=((5.075, 0.06), (5.075, 0.8)))
    made, rooms = with_wedges(LEVEL, two, lanes(LEFT, between, AWAY, beside, of=two), 100.0)
    assert made == two and not rooms


def test_a_wedge_that_would_make_a_circuit_too_long_is_not_taken() -> None:
    two = parts(2)
    made, rooms = with_wedges(LEVEL, two, lanes(LEFT, RIGHT, AWAY, of=two), 50.0)
    assert made == two and not rooms


def test_a_room_that_no_other_tails_cross_is_left_alone() -> None:
    two = parts(2)
    made, rooms = with_wedges(LEVEL, two, lanes(LEFT, RIGHT, of=two), 100.0)
    assert made == two and not rooms


def test_a_cold_wedge_gets_a_circuit_while_there_are_ports() -> None:
    one = parts(1)
    (wedges,) = cold_wedges(LEVEL, one, lanes(LEFT, AWAY, of=one), PLAIN).values()
    assert [round(w.area, 1) for w in wedges] == [6.0]
    more = wedge_territories(LEVEL, one, {"H": wedges})
    assert len(more) == 3 and more[:2] == one
    assert (more[2].room, more[2].part) == ("H", 1) and more[2].floor == wedges[0]
    assert more[2].axis.area == pytest.approx(2.944 * 1.888, rel=0.01)  # the clearance from three walls is off
    full = Settings(manifold=ManifoldSettings(most_ports=2))
    assert cold_wedges(LEVEL, one, lanes(LEFT, AWAY, of=one), full) == {}


def test_the_last_port_goes_to_the_largest_cold_wedge() -> None:
    one = parts(1)
    across = Lane(territory=0, manifold=0, port=3, corners=((3.0, 5.94), (3.0, 2.0), (3.0, 1.0)))
    some = lanes(LEFT, AWAY, across, of=one)
    both = cold_wedges(LEVEL, one, some, PLAIN)
    assert {guid: [round(w.area, 1) for w in found] for guid, found in both.items()} == {"H": [6.0], "R": [11.6]}
    last = Settings(manifold=ManifoldSettings(most_ports=4))
    assert list(cold_wedges(LEVEL, one, some, last)) == ["R"]


def test_a_room_without_a_lane_has_no_cold_wedges() -> None:
    one = parts(1)
    assert cold_wedges(LEVEL, one, lanes(AWAY, of=one), PLAIN) == {}


def test_a_long_wedge_too_narrow_for_a_loop_is_not_worth_a_port() -> None:
    one = parts(1)
    for at, worth in ((1.35, True), (1.65, False)):  # of 1.96 m² beside the tails where it is too narrow
        along = Lane(territory=-1, manifold=0, port=1, corners=((0.06, at), (7.0, at), (7.0, 2.6)))
        low = Lane(territory=0, manifold=0, port=0, corners=((0.06, 0.5), (2.0, 0.5)))
        assert bool(cold_wedges(LEVEL, one, lanes(low, along, of=one), PLAIN)) is worth


@pytest.mark.parametrize(("at", "worth"), [(6.0, True), (6.25, True), (6.5, False), (7.7, False)])
def test_a_narrow_wedge_is_not_worth_a_port(at: float, worth: bool) -> None:
    one = parts(1)
    aside = Lane(territory=-1, manifold=0, port=1, corners=((at, 0.06), (at, 1.9), (5.0, 1.9), (5.0, 2.6)))
    assert bool(cold_wedges(LEVEL, one, lanes(LEFT, aside, of=one), PLAIN)) is worth
