"""The judge of rooms bites: one path laid by hand, good, then each rule broken."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import dwelling_cases
import path_judge
import pytest
import room_cases
from path_judge import Room, judge
from room_cases import Door, RoomCase
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldResult

Corners = tuple[tuple[float, float], ...]
CASE = RoomCase(
    name="by hand",
    kind="rectangle",
    outline=box(0, 0, 1.9, 1.85),
    keep_outs=(),
    door=Door(at=(0.275, 0.0), inward=(0.0, 1.0), width_m=0.5),
    pitch_m=0.2,
)
# In at the door, along three walls, then up and down beside itself: eight runs 0.2 m apart.
PATH: Corners = (
    (0.25, -0.06), (0.25, 1.75), (1.75, 1.75), (1.75, 0.15), (1.55, 0.15), (1.55, 1.55), (1.35, 1.55), (1.35, 0.15),
    (1.15, 0.15), (1.15, 1.55), (0.95, 1.55), (0.95, 0.15), (0.75, 0.15), (0.75, 1.55), (0.55, 1.55), (0.55, 0.25),
    (0.30, 0.00), (0.30, -0.06),
)  # fmt: skip
RING: Corners = (*PATH[:4], (0.45, 0.15), *PATH[16:])


def words(path: Corners = PATH, case: RoomCase = CASE, **more: object) -> str:
    return "; ".join(judge(case, path, **more).breaks)


def moved(first: int, last: int, dx: float, dy: float) -> Corners:
    """The path with some of its corners moved."""
    return tuple((x + dx, y + dy) if first <= k <= last else (x, y) for k, (x, y) in enumerate(PATH))


def test_nothing_is_said_of_a_good_path() -> None:
    assert words(heated=CASE.floor) == ""
    figures = judge(CASE, PATH).figures
    assert figures["covered"] > 0.99
    assert figures["greatest"] < 0.85
    assert figures["radius_mm"] == pytest.approx(75)
    assert figures["separation"] == pytest.approx(1.0, abs=0.01)
    assert figures["on_grid"] == 1.0
    assert figures["length"] == pytest.approx(0.864, abs=0.01)  # regression: one gap is 1.5 pitches


@pytest.mark.parametrize(
    ("path", "rule"),
    [
        (moved(1, 2, 0, 0.06), "clearance"),
        (moved(1, 2, 0, 0.2), "outside"),
        (moved(2, 3, 0.3, 0), "outside"),
        (tuple((x + 0.45, y) for x, y in PATH), "ends: not both in the door"),
        (tuple((x + 0.01, y) for x, y in PATH), ""),
        (PATH[:-2], "ends: not both in the door"),
        (moved(17, 17, 0.02, 0), "ends: 70 mm apart"),
        ((*PATH[:-2], (0.45, -0.06)), "ends: 200 mm apart"),
        (moved(4, 5, 0.1, 0), "bend of"),
        (moved(6, 9, 0.1, 0), "separation: runs"),
        (moved(8, 9, 0.02, 0), "studs: "),
        ((*PATH[:8], (1.12, 0.15), *PATH[9:]), "studs: "),
        ((*PATH[:6], *PATH[6:12][::-1], *PATH[12:]), "crossing"),
        ((PATH[0], (0.28, 0.1), (0.25, 0.4), *PATH[1:]), "tails"),
    ],
)  # fmt: skip
def test_each_broken_rule_is_named(path: Corners, rule: str) -> None:
    assert rule in words(path)
    assert rule or not words(path)


def test_a_smaller_bend_is_seen_even_where_it_would_fit() -> None:
    assert "least radius" in words(radius=0.06)


def test_a_pipe_through_a_keep_out_is_seen() -> None:
    unit = replace(CASE, keep_outs=(box(1.59, 0.8, 1.71, 1.0),))
    assert "clearance" in words(case=unit)
    assert "outside" in words(case=replace(CASE, keep_outs=(box(1.5, 0.8, 1.7, 1.0),)))


def test_a_pipe_too_long_is_seen() -> None:
    large = tuple((8 * x, 8 * y) for x, y in PATH)
    case = replace(CASE, outline=box(0, 0, 17, 15), pitch_m=0.3)
    assert "m long" in words(large, case)


def test_cold_floor_called_heated_is_seen() -> None:
    far = replace(CASE, outline=box(0, 0, 3.5, 1.85))
    assert "claim" in words(case=far, heated=far.floor)
    assert "claim: heats beyond" in words(heated=box(0, 0, 2.4, 1.8))


def test_figures_tell_a_worse_path_from_a_better_one() -> None:
    good, short = judge(CASE, PATH), judge(CASE, RING)
    assert short.figures["covered"] < 0.8 < good.figures["covered"]
    assert short.figures["greatest"] > 1.5
    assert len(short.cold) > 100
    off = judge(CASE, moved(8, 9, 0.02, 0))
    assert off.figures["on_grid"] < 0.92
    assert judge(CASE, tuple(reversed(PATH))).figures["uneven"] == pytest.approx(good.figures["uneven"], abs=1e-3)


def test_bends_of_half_a_right_angle_count_half() -> None:
    assert path_judge.turned(((0, 0), (1, 0), (2, 1), (3, 1))) == pytest.approx(1.0)


def test_floor_behind_a_gap_too_narrow_for_a_turn_is_not_reachable() -> None:
    neck = unary_union([box(0, 0, 2, 2), box(2, 0.9, 2.4, 1.15), box(2.4, 0, 4, 2)])
    case = replace(CASE, outline=neck)
    assert Room(case).reachable.area == pytest.approx(4, abs=0.1)
    wide = unary_union([neck, box(2, 0.7, 2.4, 1.3)])
    assert Room(replace(CASE, outline=wide)).reachable.area == pytest.approx(wide.area, abs=0.02)


# --- the cases ----------------------------------------------------------------------------------------


def test_rooms_are_drawn_again_alike_and_are_of_every_kind() -> None:
    cases = [room_cases.random_room(f"x/{k}") for k in range(120)]
    assert cases[7] == room_cases.random_room("x/7")
    assert {c.kind for c in cases} == set(room_cases.KINDS)
    assert {c.pitch_m for c in cases} == set(room_cases.PITCHES)
    assert min(c.floor.area for c in cases) < 1.5
    assert max(c.floor.area for c in cases) > 15
    for case in cases:
        assert isinstance(case.floor, Polygon)
        assert case.floor.is_valid
        assert room_cases.request(case).approaches
        assert not Room(case).reachable.is_empty


def test_a_pair_arrives_on_studs_in_the_middle_of_the_wall() -> None:
    case = next(c for k in range(200) if (c := room_cases.random_room(f"x/{k}")).kind == "turned")
    for approach in room_cases.request(case).approaches:
        studs = (approach.at[1 if approach.heading[0] else 0] - room_cases.TAILS / 2) / room_cases.STUD
        assert studs == pytest.approx(round(studs), abs=1e-6)
        assert case.door.ground(0.061, -0.059).contains(Point(approach.at))


def test_dwellings_are_houses() -> None:
    for k in range(30):
        storey, pitches = dwelling_cases.random_plan(f"x/{k}")
        assert 4 <= len(storey.rooms) <= 20
        assert set(pitches) == {r.ifc_guid for r in storey.rooms}
        entered, waiting = {"R0"}, list(storey.passages)
        while found := [p for p in waiting if set(p.rooms) & entered and not set(p.rooms) <= entered]:
            entered |= set(found[0].rooms)
        assert entered == set(pitches)
        rooms = unary_union([r.outline for r in storey.rooms])
        assert sum(r.outline.area for r in storey.rooms) == pytest.approx(rooms.area, abs=1e-6)
        for passage in storey.passages:
            assert passage.outline.intersection(rooms).area < 1e-6
            near = [r.ifc_guid for r in storey.rooms if r.outline.distance(passage.outline) < 2e-3]
            assert set(near) >= set(passage.rooms)


# --- paths as the layout makes them, spoilt -----------------------------------------------------------


@pytest.fixture(scope="module")
def laid() -> list[tuple[RoomCase, Corners]]:
    """A few rooms that are laid without a fault."""
    cases = [c for k in range(40) if (c := room_cases.random_room(f"spoilt/{k}")).pitch_m >= 0.2 and c.floor.area > 3]
    on_studs = [c for c in cases if c.on_studs]
    results = [(c, lay_field(room_cases.request(c))) for c in on_studs[:6]]
    return [(c, r.corners) for c, r in results if isinstance(r, FieldResult)]


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (lambda c: tuple((x + 0.11, y + 0.11) for x, y in c), "clearance|outside"),
        (lambda c: (*c[: len(c) // 2], (c[len(c) // 2][0] + 30, c[len(c) // 2][1] + 2), *c[len(c) // 2 :]), "outside"),
        (lambda c: c[: len(c) // 2], "ends"),
        (lambda c: tuple((x + 0.03 * (k == len(c) // 2), y) for k, (x, y) in enumerate(c)), "studs"),
        (lambda c: (*c[:3], *c[3:9][::-1], *c[9:]), "crossing"),
        (lambda c: (*c[:5], *_jog(c[4], c[5]), *c[5:]), "bend"),
        (lambda c: tuple((9 * x, 9 * y) for x, y in c), "m long|outside"),
    ],
)
def test_a_laid_path_that_is_spoilt_is_seen(
    laid: list[tuple[RoomCase, Corners]], spoil: Callable[[Corners], Corners], rule: str
) -> None:
    assert len(laid) >= 4
    for case, corners in laid:
        assert words(corners, case) == ""
        assert re.search(rule, words(spoil(corners), case)), case


def _jog(a: tuple[float, float], b: tuple[float, float]) -> list[tuple[float, float]]:
    """A step aside of 20 mm in the middle of a leg and back."""
    (x, y), (u, v) = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), (b[1] - a[1], a[0] - b[0])
    size = 0.02 / max(abs(u), abs(v))
    return [
        (x, y),
        (x + u * size, y + v * size),
        (x + u * size + (b[0] - a[0]) * 0.1, y + v * size + (b[1] - a[1]) * 0.1),
    ]


def test_no_pipe_turns_less_than_its_room_makes_it() -> None:
    ring = Point(0, 0).buffer(1.0, quad_segs=256)  # a pipe wound round and round just inside turns 1 / r a metre
    wound = 40.0
    assert path_judge.least_turned(ring, wound) == pytest.approx(wound / (math.pi / 2) - 2, rel=1e-3)
    figures = judge(CASE, PATH).figures
    assert 0 < figures["least_bends"] < figures["bends"]
    assert path_judge.least_turned(CASE.floor, 1.0) == 0
