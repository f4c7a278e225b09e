"""Cards of circuits whose marks, gaps and studs are known by hand."""

from __future__ import annotations

import dataclasses
import math

import pytest
import shapely
from setting_out_cases import COMB, DOOR, RADIUS, RISES, SPIRAL, WAY_IN, card, length_by_hand

from ufh_core.basis.pipe_axis import Point, rounded
from ufh_core.setting_out.studs import StudGrid
from ufh_core.setting_out.types import CircuitCard, Step, StepKind
from ufh_core.settings import Settings

STUD = 0.05


def steps(made: CircuitCard, kind: StepKind) -> list[Step]:
    return [step for step in made.steps if step.kind is kind]


def studs_in(low: Point, high: Point) -> int:
    """Studs on one line across a box of the plan, each looked at by itself: odd halves of the pitch."""
    (west, south), (east, north) = low, high
    centres = [(k + 0.5) * STUD for k in range(-200, 200)]
    columns = sum(west < x < east for x in centres)
    rows = sum(south < y < north for y in centres)
    return min(columns, rows)


def test_marks_rise_and_end_at_the_length() -> None:
    made = card()
    marks = [step.at_m for step in made.steps]
    assert marks == sorted(marks)
    assert marks[0] == 0
    assert marks[-1] == made.length_m == pytest.approx(length_by_hand(SPIRAL) + 0.65 + 0.45, abs=1e-9)


def test_the_doorway_is_passed_in_and_out_at_its_marks() -> None:
    """The axis starts at y = -1.40, the middle of the wall is at y = -0.05; the way back is as long."""
    made = card()
    way_in, way_out = steps(made, StepKind.DOORWAY)
    assert way_in.at_m == pytest.approx(RISES.flow_m + 1.35, abs=0.01)
    assert made.length_m - way_out.at_m == pytest.approx(RISES.return_m + 1.35, abs=0.01)
    assert (way_in.room, way_in.to_room, way_out.to_room) == ("hall", "room", "hall")
    assert (way_in.left_m, way_in.right_m) == (pytest.approx(0.30), pytest.approx(0.50))
    assert (way_out.left_m, way_out.right_m) == (pytest.approx(0.35), pytest.approx(0.45))


def test_first_runs_are_measured_from_the_walls() -> None:
    """Clockwise round the room, the wall always on the left, 100 mm off: studs at 25 and 75 mm stand between."""
    first = steps(card(), StepKind.RUN)[1:]
    assert [run.run_m for run in first] == [pytest.approx(length - 2 * RADIUS) for length in (1.4, 2.3, 2.8, 2.3)]
    for run in first:
        (wall,) = run.walls
        assert (wall.side, round(wall.gap_m, 6), wall.studs) == ("left", 0.1, 2)
    assert [round(run.turn_deg or 0) for run in first] == [-90, -90, -90, -90]
    assert {run.studs for run in first} == {2}


def test_the_gap_on_the_way_in_is_two_pitches() -> None:
    """Rings of the way in at x = 0.10 and x = 0.40: 300 mm, with as many studs as stand between."""
    (gap,) = steps(card(), StepKind.GAP)
    assert gap.gap_m == pytest.approx(0.30)
    assert gap.studs == studs_in((0.10, -9), (0.40, 9)) == 6
    (field,) = steps(card(), StepKind.FIELD)
    assert (field.pitch_m, field.studs) == (0.15, studs_in((0.10, -9), (0.25, 9)))


def test_the_turn_round_is_where_the_way_in_ends() -> None:
    """Round three studs, between the runs at x = 2.10 and x = 1.95, at the top of both."""
    (turn,) = steps(card(), StepKind.TURN_ROUND)
    inwards = length_by_hand(WAY_IN) - RADIUS + math.pi / 2 * RADIUS + RISES.flow_m
    assert turn.at_m == pytest.approx(inwards, abs=1e-6)
    assert turn.point == pytest.approx((2.025, 0.70), abs=1e-3)
    assert turn.studs == studs_in((1.95, -9), (2.10, 9)) == 3
    assert not steps(card(), StepKind.HALF_WAY)


def test_a_comb_has_no_turn_round_and_no_gap_to_leave() -> None:
    made = card(COMB, pitch_m=0.30)
    assert not steps(made, StepKind.TURN_ROUND) and not steps(made, StepKind.GAP)
    assert len(steps(made, StepKind.HALF_WAY)) == 1


def test_bends_against_two_studs_and_turns_round_three() -> None:
    """Common practice: 90° round at least two studs, 180° round at least three. The corner's stud is under the axis."""
    bends = card().bends
    right_angles = [b for b in bends if abs(abs(b.turn_deg) - 90) < 1e-6]
    turns = [b for b in bends if abs(abs(b.turn_deg) - 180) < 1e-6]
    assert len(right_angles) == len(SPIRAL) - 4 and len(turns) == 1
    assert {(b.studs, b.over) for b in right_angles} == {(2, 1)}
    assert (turns[0].studs, turns[0].over) == (3, 2)


def test_runs_and_bends_add_up_to_the_pipe() -> None:
    made = card()
    bends = sum(b.run_m + abs(math.radians(b.turn_deg)) * b.radius_m for b in made.bends)
    last_run = 0.25 + 1.40 - RADIUS
    assert bends + last_run + RISES.flow_m + RISES.return_m == pytest.approx(made.length_m, abs=1e-9)


def test_check_marks_lie_on_the_pipe_at_whole_tens() -> None:
    made = card()
    assert [check.at_m for check in made.checks] == [10.0, 20.0, 30.0]
    line = rounded(SPIRAL, RADIUS).line()
    for check in made.checks:
        at = shapely.line_locate_point(line, shapely.Point(check.point))
        assert at == pytest.approx(check.at_m - RISES.flow_m, abs=0.02)
        across = {wall.side: wall for wall in check.walls}
        x, y = check.point
        walls = (x, 3 - x, y, 2.5 - y) if y > 0 else (x, 3 - x, y + 2, -0.1 - y)
        assert min(wall.gap_m for wall in across.values()) == pytest.approx(min(walls), abs=1e-6)


@pytest.mark.parametrize("degrees", [0, 17, 45, 90, 200])
def test_studs_are_counted_the_same_at_any_angle(degrees: float) -> None:
    angle = math.radians(degrees)
    c, s = math.cos(angle), math.sin(angle)
    axis = rounded([(c * x - s * y, s * x + c * y) for x, y in SPIRAL], RADIUS)
    grid = StudGrid(angle_rad=angle, stud_m=STUD)
    arcs = [piece for piece in axis.pieces if hasattr(piece, "sweep")]
    assert {grid.inside_bend((arc,), 0.016) for arc in arcs} == {(2, 1)}


def test_what_is_cut_from_which_coil() -> None:
    cut = card().coil
    assert cut is not None
    assert (cut.coil, cut.coil_m, cut.cut, cut.cuts, cut.before_m, cut.cut_m) == (2, 120, 2, 2, 70.0, 25.0)


def test_a_joint_in_the_doorway_asks_for_its_sleeve() -> None:
    (joint,) = steps(card(joints=True), StepKind.JOINT)
    assert joint.at_m == pytest.approx(RISES.flow_m + 1.35, abs=1e-3)
    assert joint.run_m == pytest.approx(0.60)


def test_without_a_passage_the_pipe_goes_through_the_wall() -> None:
    elsewhere = dataclasses.replace(DOOR, outline=shapely.box(0.1, -0.1, 0.9, 0))
    made = card(passage=elsewhere)
    assert len(steps(made, StepKind.WALL_SLEEVE)) == 2 and not steps(made, StepKind.DOORWAY)


def test_without_studs_only_millimetres_are_told() -> None:
    plain = Settings()
    made = card(settings=dataclasses.replace(plain, layout=dataclasses.replace(plain.layout, stud_grid=False)))
    assert all(step.studs is None for step in made.steps)
    assert all(wall.studs is None for step in made.steps for wall in step.walls)
    assert all(bend.studs is None and bend.over is None for bend in made.bends)
    (gap,) = steps(made, StepKind.GAP)
    assert gap.gap_m == pytest.approx(0.30)
