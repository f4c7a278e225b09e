"""Meanders: legal by a second opinion, to and fro, and warm along the cold wall where that is asked."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import field_checks
import field_rooms
import numpy as np
import pytest
import shapely
from shapely.affinity import rotate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.polygon import orient
from test_lay import OTHERS, RECTANGLES

from ufh_core.fields.joint import Lane, Rules, roots, walked
from ufh_core.fields.lattice import Lattice
from ufh_core.fields.lay import lay_field
from ufh_core.fields.meander import cold_side, rated_as_asked, ways_to_fill
from ufh_core.fields.rate import Rating
from ufh_core.fields.types import FieldRequest, FieldResult, Pattern
from ufh_core.settings.metadata import PATTERNS

SIDES = {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}
DOORS = {
    "below": ((0, 1), (1.5, 0)),
    "above": ((0, -1), (1.5, 4.1)),
    "left": ((1, 0), (0, 1.5)),
    "right": ((-1, 0), (3.7, 1.5)),
}
ROOMS = RECTANGLES | OTHERS


def walls_to(floor: Polygon, side: tuple[int, int]) -> tuple[LineString, ...]:
    """The edges of a floor that face a side, each with the floor on its left."""
    return tuple(
        LineString((a, b))
        for a, b in pairwise(orient(floor).exterior.coords)
        if (b[1] - a[1]) * side[0] + (a[0] - b[0]) * side[1] > 0.8 * math.dist(a, b)
    )


def meander(room: str, pitch: float = 0.2) -> FieldRequest:
    return replace(field_rooms.request(*ROOMS[room], pitch), pattern=Pattern.MEANDER)


def facade(asked: FieldRequest, side: tuple[int, int]) -> FieldRequest:
    asked = replace(asked, thorough=False)  # a few loops show the order of the runs as well as many
    return replace(asked, pattern=Pattern.FACADE_MEANDER, cold_walls=walls_to(asked.floor, side))


def laid(asked: FieldRequest) -> FieldResult:
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    assert field_checks.faults(asked, result) == []
    return result


def from_flow(asked: FieldRequest, result: FieldResult) -> np.ndarray:
    """Points every 20 mm from the flow, the pipe on the right of the way in, to the return."""
    heading = asked.approaches[result.approach].heading
    corners = np.array(result.corners)
    if (corners[0] - corners[-1]) @ np.array([heading[1], -heading[0]]) < 0:
        corners = corners[::-1]
    line = LineString(corners)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, np.arange(0, line.length, 0.02)))


def runs(asked: FieldRequest, result: FieldResult, side: tuple[int, int]) -> list[tuple[float, float]]:
    """(distance from a side of the room, share of the way from the flow) of long runs along the side, nearest first.

    Left out: runs shorter than 60 % of the room; those by the wall over the way, where flow or return may lead;
    in the wall of the door the return, which must come out there.
    """
    places = from_flow(asked, result)
    out, along = np.abs(side), np.abs(side)[::-1]
    depth = (places.max(axis=0) - places) @ out if sum(side) > 0 else (places - places.min(axis=0)) @ out
    moves = np.abs(np.diff(places @ along)) > 0.019
    pieces = np.split(np.arange(len(moves)), np.flatnonzero(np.diff(moves)) + 1)
    long = [k for k in pieces if moves[k[0]] and 0.02 * len(k) > 0.6 * np.ptp(places @ along)]
    share = [(float(depth[k].mean()), float(k.mean() / len(places))) for k in long]
    own_wall = asked.approaches[0].heading == (-side[0], -side[1])
    return sorted((d, s) for d, s in share if (0.25 if own_wall else 0.0) < d < depth.max() - 0.5)


def warm_by_depth(asked: FieldRequest, side: tuple[int, int]) -> tuple[float, float]:
    """Mean share of the way that the water has gone in the metre next to a side, and in the rest of the floor."""
    places = from_flow(asked, laid(asked))
    depth = (places @ side).max() - places @ side
    run = np.linspace(0, 1, len(places))
    return float(run[depth < 1].mean()), float(run[depth >= 1].mean())


@pytest.mark.parametrize("room", ROOMS)
def test_a_meander_warms_all_of_a_room(room: str) -> None:
    asked = meander(room)
    result = laid(asked)
    assert result.heated.area >= 0.95 * asked.floor.area


@pytest.mark.parametrize("side", SIDES.values(), ids=SIDES)
@pytest.mark.parametrize("room", ["L", "U", "island", "oblique"])
def test_a_facade_meander_warms_all_of_a_room(room: str, side: tuple[int, int]) -> None:
    asked = facade(meander(room), side)
    assert laid(asked).heated.area >= 0.95 * asked.floor.area


@pytest.mark.parametrize("seed", range(8))
def test_random_rooms_are_laid_to_and_fro_as_well_as_side_by_side(seed: int) -> None:
    plain = field_rooms.random_request(700 + seed, oblique=bool(seed % 2))
    spiral, back_and_forth = laid(plain), laid(replace(plain, pattern=Pattern.MEANDER))
    assert back_and_forth.heated.area >= spiral.heated.area - 0.03 * plain.floor.area


def test_a_meander_is_straight_runs_from_wall_to_wall() -> None:
    """A fitter's count: rows of 4.01 m at 200 mm need two turns each, and little besides."""
    asked = meander("living room")
    result = laid(asked)
    legs = [math.dist(p, q) for p, q in pairwise(result.corners)]
    assert sum(leg for leg in legs if leg > 3) > 0.8 * sum(legs)
    assert result.unevenness > 0.2  # one side warm, the other cool: the price of the pattern


@pytest.mark.parametrize("door", [(0.6, 0.0), (3.4, 0.0)])
@pytest.mark.parametrize("side", SIDES.values(), ids=SIDES)
def test_water_cools_from_run_to_run_away_from_the_cold_wall(side: tuple[int, int], door: tuple[float, float]) -> None:
    asked = facade(field_rooms.request(box(0, 0, 4.02, 5.01), door, (0, 1), 0.2), side)
    found = runs(asked, laid(asked), side)
    assert len(found) > 12
    assert [s for _, s in found] == sorted(s for _, s in found)
    assert found[0][1] < 0.25


@pytest.mark.parametrize("side", SIDES.values(), ids=SIDES)
@pytest.mark.parametrize("door", DOORS.values(), ids=DOORS)
def test_doors_in_all_walls_lead_to_the_cold_wall_first(
    side: tuple[int, int], door: tuple[tuple[int, int], tuple[float, float]]
) -> None:
    heading, at = door
    asked = facade(field_rooms.request(box(0, 0, 3.7, 4.1), at, heading, 0.2), side)
    found = runs(asked, laid(asked), side)
    assert len(found) > 10
    assert [s for _, s in found] == sorted(s for _, s in found)


@pytest.mark.parametrize("side", SIDES.values(), ids=SIDES)
@pytest.mark.parametrize("room", ["L", "bay", "T", "oblique"])
def test_the_cold_side_of_any_room_is_warmer_than_the_rest(room: str, side: tuple[int, int]) -> None:
    near, rest = warm_by_depth(facade(meander(room), side), side)
    assert near < rest


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("side", SIDES.values(), ids=SIDES)
def test_combs_of_both_hands_bring_the_flow_to_the_cold_wall(side: tuple[int, int], mirrored: bool) -> None:
    """On a bare lattice of 13 x 15 lines, with the pair in the middle of the south side."""
    us, vs = tuple(range(-24, 25, 4)), tuple(range(2, 60, 4))
    face, node = np.ones((12, 14), bool), np.ones((13, 15), bool)
    view = Lattice(us=us, vs=vs, face=face, node=node, tight=np.zeros((13, 15, 2, 2), bool))
    lane, rules = Lane(left=-1, right=0, end=0, reach=10), Rules(leg=3, end_leg=1.5, apart=3)
    asked = facade(field_rooms.request(box(-1.25, 0, 1.25, 3), (0, 0), (0, 1), 0.2), side)
    (fill,) = ways_to_fill(asked, (0, 1), mirrored)
    found = [walked(view, lane, rules, root, fill) for root in roots(view, lane, rules, 1)]
    loops = [tuple((-u if mirrored else u, v) for u, v in loop) for loop in found if loop]
    rating = Rating(missed=0.0, gap=0.5, unevenness=0.2, bends=4, length_m=10.0)
    disorder = [rated_as_asked(rating, loop, (0, 1), asked).disorder for loop in loops]
    assert disorder
    assert all(d is not None and d < 0.7 for d in disorder)


def test_without_a_cold_wall_it_is_a_plain_meander() -> None:
    plain = meander("bath")
    assert lay_field(replace(plain, pattern=Pattern.FACADE_MEANDER)) == lay_field(plain)


def test_the_longest_cold_wall_counts() -> None:
    asked = replace(meander("bath"), cold_walls=tuple(map(LineString, pairwise([(0, 0), (2, 0), (2, 3), (1.5, 3)]))))
    assert cold_side(asked) == (1, 0)
    assert cold_side(replace(asked, cold_walls=(LineString([(4, 3), (0, 3.5)]),))) == (0, 1)
    assert cold_side(replace(asked, cold_walls=())) is None


def test_disorder_is_none_for_water_that_cools_away_from_the_wall() -> None:
    """By hand: three runs 2 m long, 1 m apart, from the upper wall down, flow on the right of the way in."""
    rating = Rating(missed=0.0, gap=0.5, unevenness=0.2, bends=4, length_m=10.0)
    asked = facade(meander("bath"), (0, 1))
    down = [(2, 0), (2, 9), (0, 9), (0, 8), (2, 8), (2, 7), (0, 7), (0, 0)]
    warm_first = rated_as_asked(rating, down, (0, 1), asked)
    warm_last = rated_as_asked(rating, [(x - 2, y) for x, y in down][::-1], (0, -1), asked)
    assert warm_first.disorder is not None and warm_last.disorder is not None
    assert warm_first.disorder < warm_last.disorder
    assert rated_as_asked(rating, down, (0, 1), replace(asked, pattern=Pattern.COUNTERFLOW)) == rating
    assert rating.cost - rated_as_asked(rating, down, (0, 1), meander("bath")).cost == pytest.approx(20 * 0.2)


def test_the_same_request_gives_the_same_meander() -> None:
    asked = facade(meander("bay"), (0, 1))
    assert lay_field(asked) == lay_field(asked)


def test_the_settings_know_the_patterns() -> None:
    assert tuple(Pattern) == PATTERNS


def test_a_turned_room_is_warm_along_its_own_cold_wall() -> None:
    """A room at 25 degrees to the frame: the metre next to its far wall has the warmer water."""
    room = rotate(box(0, 0, 4, 4.6), 25, origin=(0, 0))
    asked = field_rooms.request(room, (1.83, 0.85), (0, 1), 0.2)
    wall = rotate(LineString([(4, 4.6), (0, 4.6)]), 25, origin=(0, 0))
    asked = replace(asked, lane_area=room.union(asked.lane_area), pattern=Pattern.FACADE_MEANDER, cold_walls=(wall,))
    result = lay_field(asked)
    assert isinstance(result, FieldResult), result
    places = from_flow(asked, result)
    away = shapely.distance(shapely.points(places), wall)
    run = np.linspace(0, 1, len(places))
    assert run[away < 1].mean() < run[(away > 1) & (away < 3)].mean()
