"""Fields in generated polygons: every hard rule is kept or the room is reported, and twice gives the same.

Judged by `path_judge`, which sees the finished path and the room as built.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import path_judge
import pytest
import room_cases
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from room_cases import Door, RoomCase
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon, box
from shapely.geometry.polygon import orient

from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldFailure, FieldResult

LEGAL = settings(
    max_examples=20,
    deadline=None,
    derandomize=True,
    phases=(Phase.explicit, Phase.generate),  # the case is named in full; to make it smaller would take minutes
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
CM = st.integers


@st.composite
def rooms(draw: st.DrawFn, plain: bool = False) -> RoomCase:
    """A box less bites at its sides, an oblique cut and a column, with a door in any wall that is long enough."""
    w, h = draw(CM(100, 420)) / 100, draw(CM(100, 420)) / 100
    outline = box(0, 0, w, h)
    if not plain:
        for side in draw(st.lists(CM(0, 3), max_size=3)):
            at, wide, deep = (draw(CM(0, 60)) / 100 for _ in range(3))
            x, y = at * w, at * h
            bites = (box(x, 0, x + wide, deep), box(x, h - deep, x + wide, h), box(0, y, deep, y + wide))
            outline = outline.difference([*bites, box(w - deep, y, w, y + wide)][side])
        if draw(st.booleans()):
            a, b = draw(CM(20, 70)) / 100, draw(CM(20, 70)) / 100
            outline = outline.difference(Polygon([(w - a * w, h), (w + 1, h + 1), (w, h - b * h)]))
    assume(outline.geom_type == "Polygon" and outline.area > 0.9 and outline.buffer(-0.3).geom_type == "Polygon")
    things = []
    if not plain and draw(st.booleans()):
        middle = outline.representative_point()
        radius = draw(CM(10, 40)) / 100
        things = (
            [middle.buffer(radius, quad_segs=draw(CM(1, 4)))] if outline.buffer(-0.3 - radius).contains(middle) else []
        )
    pitch = draw(st.sampled_from(sorted(room_cases.PITCHES, key=lambda p: abs(p - 0.2))))
    assume(outline.area < room_cases.PIPE_M * pitch)
    door = draw(doors(outline))
    angle = (
        draw(st.sampled_from((0, 0, 0, 0, 30, 45, 73))) if pitch >= 2 * room_cases.RADIUS else 0
    )  # see the last test
    return RoomCase(
        name="drawn",
        kind="polygon",
        outline=rotate(outline, angle, origin=(0, 0)),
        keep_outs=tuple(rotate(thing, angle, origin=(0, 0)) for thing in things),
        door=turned(door, math.radians(angle)),
        pitch_m=pitch,
    )


def turned(door: Door, angle: float) -> Door:
    """The door of a room that is turned about the origin."""

    def turn(v: tuple[float, float]) -> tuple[float, float]:
        return v[0] * math.cos(angle) - v[1] * math.sin(angle), v[0] * math.sin(angle) + v[1] * math.cos(angle)

    return replace(door, at=turn(door.at), inward=turn(door.inward))


@st.composite
def doors(draw: st.DrawFn, outline: Polygon) -> Door:
    """A door 0.8 m wide in one of the walls along the axes."""
    ends = list(pairwise(orient(outline).exterior.coords))
    walls = [(a, b) for a, b in ends if math.dist(a, b) > 0.85 and min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1e-9]
    assume(walls)
    (ax, ay), (bx, by) = draw(st.sampled_from(walls))
    length = math.dist((ax, ay), (bx, by))
    along = 0.41 + draw(st.floats(0, 1)) * (length - 0.82)
    ux, uy = (bx - ax) / length, (by - ay) / length
    door = Door(at=(ax + ux * along, ay + uy * along), inward=(-uy, ux), width_m=0.8)
    assume(outline.buffer(1e-6).contains(door.ground(0, 0.6)))
    return door


def said(case: RoomCase) -> str:
    return f"{case.outline.wkt} {[t.wkt for t in case.keep_outs]} {case.door} {case.pitch_m}"


@LEGAL
@given(rooms())
def test_hard_rules_are_kept_or_the_room_is_reported(case: RoomCase) -> None:
    laid = lay_field(room_cases.request(case))
    if isinstance(laid, FieldFailure):
        assert laid.reason
    else:
        assert path_judge.judge(case, laid.corners, laid.heated).breaks == (), said(case)


@LEGAL
@given(rooms(plain=True))
def test_a_plain_rectangle_is_never_refused(case: RoomCase) -> None:
    """From pitch 150 mm on: at 100 mm a turn is wider than the pitch."""
    assume(case.pitch_m >= 2 * room_cases.RADIUS)
    laid = lay_field(room_cases.request(case))
    assert isinstance(laid, FieldResult), said(case)
    verdict = path_judge.judge(case, laid.corners, laid.heated)
    assert verdict.breaks == (), said(case)
    assert verdict.figures["covered"] > 0.97, said(case)


@settings(LEGAL, max_examples=8)
@given(rooms())
def test_the_same_room_is_laid_the_same_way(case: RoomCase) -> None:
    assert lay_field(room_cases.request(case)) == lay_field(room_cases.request(case))


@settings(LEGAL, max_examples=60)
@given(rooms())
def test_reachable_floor_is_floor_and_lies_near_where_a_turn_fits(case: RoomCase) -> None:
    """Of the judge itself: it calls no floor reachable that is none, and leaves no open floor out."""
    room = path_judge.Room(case)
    assert room.reachable.difference(case.floor.buffer(1e-9)).is_empty
    open_floor = case.floor.buffer(-0.3)
    if open_floor.geom_type == "Polygon" and open_floor.distance(Point(case.door.at)) < 0.5:
        assert open_floor.difference(room.reachable.buffer(1e-6)).is_empty


@pytest.mark.parametrize("seed", ["tight/8", "tight/44", "free/68"])
def test_a_room_that_once_ended_in_an_error_is_laid_or_reported(seed: str) -> None:
    """Found by the bench. tight/8, tight/44: arcs buffered by exactly their radius (0.75 x 100 mm), which gave no
    valid area when turned. free/68: rings with an edge of no length.
    """
    case = room_cases.random_room(seed)
    laid = lay_field(room_cases.request(case))
    assert isinstance(laid, FieldFailure) or not path_judge.judge(case, laid.corners, laid.heated).breaks
