"""A pair of pipes that leaves a finished pipe for another piece of floor, and the pipe with its detour."""

from __future__ import annotations

import math
from itertools import pairwise

import plan_sketch as sketch
import pytest
import shapely
from shapely.geometry import LineString, box

from ufh_core.basis.pipe_axis import Arc, rounded
from ufh_core.building.types import RoomKind
from ufh_core.circuits.branch_places import BranchGround, BranchPlace, branch_places
from ufh_core.circuits.branches import spliced
from ufh_core.fields.types import Approach
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import lane_area

PLAIN = Settings()
ROOMS = [sketch.room("H", box(0, 0, 6, 2), RoomKind.HALL), sketch.room("W", box(2, 2.12, 4, 4), RoomKind.WC)]
DOOR = sketch.door(box(2.6, 2, 3.4, 2.12), sketch.THROUGH_Y, "H", "W")
LEVEL = sketch.level(sketch.storey(ROOMS, [DOOR]))
RUN = rounded([(0.5, 0.5), (0.5, 1.0), (5.5, 1.0), (5.5, 0.5)], 0.075)


def places(*others: LineString, of: object = RUN) -> list[BranchPlace]:
    ground = BranchGround(lane_area=lane_area(LEVEL, PLAIN, 0.05), others=others, settings=PLAIN)
    return branch_places(of, LEVEL.floors["W"], ground)  # type: ignore[arg-type]


def test_a_pair_leaves_a_run_opposite_the_door_on_studs() -> None:
    found = places()
    assert found
    for place in found:
        assert place.approach.heading == (0, 1) and place.piece == 2
        assert place.leaves[0] < place.returns[0]  # the way that the pipe runs
        assert place.returns[0] - place.leaves[0] == pytest.approx(0.05)
        assert place.leaves[0] / 0.05 == pytest.approx(round(place.leaves[0] / 0.05))
        assert place.leaves[0] >= 2.6 + 0.03 and place.returns[0] <= 3.4 - 0.03
        assert LEVEL.floors["W"].contains(shapely.Point(place.approach.at))
    assert found[0].way_m == min(place.way_m for place in found)


def test_on_the_way_back_the_pipe_leaves_by_the_far_corner() -> None:
    back = rounded([(5.5, 0.5), (5.5, 1.0), (0.5, 1.0), (0.5, 0.5)], 0.075)
    assert all(place.leaves[0] > place.returns[0] for place in places(of=back))
    assert places(of=back)


def test_no_pair_crosses_another_pipe_or_comes_near_to_it() -> None:
    assert places(LineString([(0.2, 1.5), (5.8, 1.5)])) == []
    beside = places(LineString([(3.0, 1.3), (3.0, 1.9)]))
    assert beside
    assert all(min(abs(x - 3.0) for x in (p.leaves[0], p.returns[0])) >= 0.099 for p in beside)


def test_there_is_no_way_beside_the_door_or_from_a_short_run() -> None:
    beside = rounded([(0.2, 0.5), (0.2, 1.0), (2.6, 1.0), (2.6, 0.5)], 0.075)
    assert places(of=beside) == []
    short = rounded([(2.9, 0.5), (2.9, 1.0), (3.1, 1.0), (3.1, 0.5)], 0.075)
    assert places(of=short) == []


@pytest.mark.parametrize("reverse", [False, True])
def test_the_detour_is_part_of_one_smooth_pipe(reverse: bool) -> None:
    place = BranchPlace(
        piece=2,
        leaves=(3.0, 1.0),
        returns=(3.05, 1.0),
        middle=(3.025, 1.0),
        approach=Approach(at=(3.025, 1.4), heading=(0, 1)),
    )
    loop = [(3.0, 1.4), (3.0, 1.6), (2.5, 1.6), (2.5, 2.0), (3.5, 2.0), (3.5, 1.6), (3.05, 1.6), (3.05, 1.4)]
    axis = spliced(RUN, place, loop[::-1] if reverse else loop, 0.075)
    assert (axis.start, axis.end) == (RUN.start, RUN.end)
    assert axis.line().is_simple
    assert all(math.dist(a.end, b.start) < 1e-9 for a, b in pairwise(axis.pieces))
    assert min(p.radius_m for p in axis.pieces if isinstance(p, Arc)) >= 0.075 - 1e-9
    around = sum(math.dist(a, b) for a, b in pairwise([(3.0, 1.0), *loop, (3.05, 1.0)])) - 0.05
    assert axis.length_m - RUN.length_m == pytest.approx(around - 8 * (2 - math.pi / 2) * 0.075, abs=1e-6)
