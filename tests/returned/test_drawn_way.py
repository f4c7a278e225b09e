"""A circuit's way by its corners and back, and the rules that a drawn way must keep. Figures are worked by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest
from shapely.geometry import LineString, Point

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Straight, rounded
from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.returned.drawn_way import WayRefused, drawn_way, spine
from ufh_core.returned.laid_rows import laid_rows
from ufh_core.returned.plan_way import greatest_offset_m
from ufh_core.returned.spine import corners_of, pieces_along
from ufh_core.samples import sample_model
from ufh_core.settings import Settings
from ufh_core.settings.earlier_run import circuits_of


def test_a_bend_is_one_corner_and_a_turn_round_two() -> None:
    axis = rounded([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)], 0.1)
    assert [p for p, _ in corners_of(axis)] == [(0.0, 0.0), pytest.approx((1.0, 0.0)), (1.0, 1.0)]
    turn = PipeAxis(
        (
            Straight((0.0, 0.0), (1.0, 0.0)),
            Arc((1.0, 0.0), (1.1, 0.1), (1.0, 0.2), (1.0, 0.1), math.pi),
            Straight((1.0, 0.2), (0.0, 0.2)),
        )
    )
    corners = corners_of(turn)
    assert [p for p, _ in corners[1:-1]] == [pytest.approx((1.1, 0.0)), pytest.approx((1.1, 0.2))]
    assert [r for _, r in corners[1:-1]] == pytest.approx([0.1, 0.1])
    back = PipeAxis(pieces_along([p for p, _ in corners], corners, 0.08))
    assert back.length_m == pytest.approx(turn.length_m)
    assert greatest_offset_m(back, turn) < 1e-3  # the turn is drawn in other chords


def test_a_moved_corner_gets_the_least_bend_and_one_left_alone_its_own() -> None:
    known = corners_of(rounded([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (4.0, 2.0)], 0.2))
    points = [p for p, _ in known]
    points[2] = (2.0, 2.3)
    radii = [p.radius_m for p in pieces_along(points, known, 0.08) if isinstance(p, Arc)]
    assert radii == pytest.approx([0.2, 0.08])


def test_single_precision_moves_no_corner() -> None:
    known = corners_of(rounded([(100.0, 0.0), (102.0, 0.0), (102.0, 0.4), (100.0, 0.4)], 0.2))
    points = [(x + 8e-6, y - 8e-6) for (x, y), _ in known]
    assert [p.radius_m for p in pieces_along(points, known, 0.08) if isinstance(p, Arc)] == pytest.approx([0.2, 0.2])


def test_a_leg_too_short_for_two_least_bends_leaves_both_sharp() -> None:
    """At right angles each bend takes its radius of the leg: 2 x 0.08 m do not fit 0.15 m, and do fit 0.17 m."""
    for leg, bends in ((0.15, 0), (0.17, 2)):
        points = [(0.0, 0.0), (1.0, 0.0), (1.0, leg), (2.0, leg)]
        assert sum(isinstance(p, Arc) for p in pieces_along(points, [], 0.08)) == bends


@pytest.fixture(scope="module")
def design() -> Design:
    return design_building(read_building(sample_model("bungalow"), Settings()), Settings())


def test_rows_hold_the_circuits_as_design_json_does(design: Design) -> None:
    from ufh_core.exchange.design_json import design_to_json

    short, whole = (circuits_of(rows, "x") for rows in (laid_rows(design), design_to_json(design)))
    assert short == whole


def test_every_circuit_is_its_own_spine(design: Design) -> None:
    for circuit in design.storeys[0].circuits:
        way = drawn_way(design, circuit.laid.number, spine(design, circuit.laid.number)[::-1])
        assert way.axis.length_m == pytest.approx(circuit.laid.axis.length_m, abs=1e-4)
        assert greatest_offset_m(way.axis, circuit.laid.axis) < 2e-3


def test_a_corner_put_on_another_circuit_is_refused_and_names_it(design: Design) -> None:
    """The line names the circuit that is there, and the sign is at its pipe."""
    lines = {c.laid.number: c.laid.axis.line() for c in design.storeys[0].circuits}
    number, k, near = next(_beside_another(design, lines))
    points = spine(design, number)
    goal = lines[near].interpolate(lines[near].project(_point(points[k])))
    with pytest.raises(WayRefused) as refused:
        drawn_way(design, number, [*points[:k], (goal.x, goal.y), *points[k + 1 :]])
    text = str(refused.value)
    assert f"of circuit {near}, at [" in text and text.endswith("Nothing was changed")
    assert lines[near].distance(_point(refused.value.at)) < 0.1


def _beside_another(design: Design, lines: dict[str, LineString]) -> Iterator[tuple[str, int, str]]:
    """(circuit, corner, another circuit) where the corner may go to the other's pipe over free floor of one room."""
    for number in lines:
        points = spine(design, number)
        for k in range(4, len(points) - 4):
            for other in (n for n in lines if n != number):
                way = lines[other].project(_point(points[k]))
                goal = lines[other].interpolate(way)
                clear = LineString([points[k], (goal.x, goal.y)])
                legs = LineString([points[k - 1], (goal.x, goal.y), points[k + 1]])
                own = [*points[: k - 1], *points[k + 2 :]]
                inside = any(room.outline.buffer(-0.1).covers(legs) for room in design.building.storeys[0].rooms)
                apart = all(LineString(own[i : i + 2]).distance(legs) > 0.25 for i in range(len(own) - 1) if i != k - 2)
                if inside and apart and 0.1 < clear.length < 0.4 and 1.0 < way < lines[other].length - 1.0:
                    yield number, k, other


def _point(at: tuple[float, float]) -> Point:
    return Point(at)
