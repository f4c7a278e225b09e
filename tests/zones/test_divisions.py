"""Dividing a floor: cuts on the stud grid, compact parts, near to where tails come from."""

from __future__ import annotations

import pytest
import shapely
import shapely.affinity
from shapely.geometry import Polygon, box

from ufh_core.zones.divisions import Cut, Ruler, cuts_of, divided, leaves, parts_of, recut, ruler_for, with_cuts

STUD = 0.05
L_ROOM = box(0, 0, 7, 6).difference(box(4, 3, 8, 7))
U_ROOM = box(0, 0, 9, 6).difference(box(3, 2, 6, 7))


@pytest.mark.parametrize("pitch", [0.1, 0.15, 0.2, 0.25, 0.3])
@pytest.mark.parametrize("outline", [box(0.013, 0.027, 9, 4), L_ROOM, U_ROOM], ids=["box", "L", "U"])
def test_lines_half_a_pitch_from_a_cut_lie_on_the_stud_grid(outline: Polygon, pitch: float) -> None:
    division = divided(outline, 5, ruler_for(pitch, STUD))
    assert len(cuts_of(division)) == 4
    for at in cuts_of(division):
        for line in (at - pitch / 2, at + pitch / 2):
            assert line / STUD == pytest.approx(round(line / STUD), abs=1e-6)


def test_parts_are_compact() -> None:
    parts = parts_of(box(0, 0, 8, 8), divided(box(0, 0, 8, 8), 4, ruler_for(0.2, STUD)))
    assert [round(p.area, 6) for p in parts] == [16.0] * 4
    assert all(p.length == pytest.approx(16.0) for p in parts)


def test_a_room_entered_from_its_short_side_is_cut_so_that_both_parts_reach_it() -> None:
    room, ruler = box(0, 0, 3.4, 3.8), ruler_for(0.2, STUD)
    assert divided(room, 2, ruler)[0].axis == 1  # type: ignore[union-attr]
    from_below = divided(room, 2, ruler, [(1.7, 0.0)])
    assert all(p.distance(shapely.Point(1.7, 0)) < 0.1 for p in parts_of(room, from_below))


def test_no_part_has_an_arm_too_narrow_for_a_loop() -> None:
    gallery = box(0.3, 0.3, 11.7, 9.7).difference(box(7.45, 0, 12, 4.0))
    for part in parts_of(gallery, divided(gallery, 9, ruler_for(0.15, STUD))):
        wide = part.buffer(-0.45, join_style="mitre").buffer(0.45, join_style="mitre")
        assert wide.area > 0.95 * part.area


def test_a_piece_on_the_wrong_side_of_a_cut_goes_to_its_neighbour() -> None:
    for count in (2, 3, 5):
        parts = parts_of(U_ROOM, divided(U_ROOM, count, ruler_for(0.2, STUD)))
        assert len(parts) == count
        assert sum(p.area for p in parts) == pytest.approx(U_ROOM.area, rel=1e-4)


def test_cuts_are_moved_as_areas_ask() -> None:
    room, ruler = box(0, 0, 9, 4), ruler_for(0.2, STUD)
    division = divided(room, 3, ruler)
    areas = [14.4, 7.2, 14.4]
    moved = recut(room, room, division, areas, ruler)
    assert [round(p.area, 2) for p in parts_of(room, moved)] == areas
    assert cuts_of(moved) == pytest.approx([3.6, 5.4])
    assert sum(map(leaves, moved)) == 3


def test_areas_are_measured_on_the_floor_that_is_left() -> None:
    room, ruler = box(0, 0, 8, 4), ruler_for(0.2, STUD)
    left = box(0, 1, 4, 4).union(box(4, 0, 8, 4))
    (at,) = cuts_of(recut(room, left, divided(room, 2, ruler), [1, 1], ruler))
    assert left.intersection(box(0, 0, at, 4)).area == pytest.approx(left.area / 2, rel=0.02)


def test_cuts_can_be_set_one_by_one() -> None:
    division = divided(box(0, 0, 9, 4), 3, ruler_for(0.2, STUD))
    places = [at + 0.05 for at in cuts_of(division)]
    assert cuts_of(with_cuts(division, places)) == places
    assert with_cuts(division, cuts_of(division)) == division


HOLED = box(0, 0, 6, 4).difference(box(1, 1, 2.2, 2.1))
PIECES = shapely.union_all([HOLED, box(7, 1, 9, 3), shapely.affinity.rotate(box(9.5, 0, 12, 2), 30)])


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("share", [0.2, 0.5, 0.77])
@pytest.mark.parametrize("measured", [HOLED, PIECES], ids=["with a hole", "in pieces"])
def test_a_cut_leaves_its_share_of_floor_below_whatever_its_shape(measured: Polygon, axis: int, share: float) -> None:
    """Checked by cutting the floor; 10 mm of the cut's place are the resolution."""
    tree = Cut(axis=axis, at=0.0, low=None, high=None)
    whole = box(*measured.bounds)
    (at,) = cuts_of(recut(whole, measured, (tree,), [share, 1 - share], Ruler(first_m=0.0, step_m=0.01)))
    low, high = (list(whole.bounds) for _ in range(2))
    low[axis + 2], high[axis + 2] = at - 0.01, at + 0.01
    below = [measured.intersection(box(*bounds)).area / measured.area for bounds in (low, high)]
    assert below[0] < share < below[1]


def test_a_strip_too_narrow_for_a_pair_of_runs_goes_to_the_part_that_it_lies_along() -> None:
    """A cut 0.14 m beside a wall's corner would leave such a strip between itself and the wall."""
    floor = box(0, 0, 4, 6).union(box(0, 0, 8, 3))
    beside = (Cut(axis=0, at=3.86, low=None, high=None),)
    left, right = parts_of(floor, beside)
    assert left.bounds == pytest.approx((0, 0, 4, 6), abs=1e-5)
    assert right.bounds == pytest.approx((3.86, 0, 8, 3), abs=1e-5)
    assert left.area + right.area == pytest.approx(floor.area, abs=1e-3)


def test_a_strip_wide_enough_for_a_pair_stays() -> None:
    floor = box(0, 0, 4, 6).union(box(0, 0, 8, 3))
    left, right = parts_of(floor, (Cut(axis=0, at=3.6, low=None, high=None),))
    assert left.bounds == pytest.approx((0, 0, 3.6, 6), abs=1e-5)
    assert right.area == pytest.approx(floor.area - 3.6 * 6, abs=1e-3)
