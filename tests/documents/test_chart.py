"""Charts: ticks at round numbers, curves within the axes, names that do not meet; and what the charts say."""

from __future__ import annotations

import csv
import dataclasses
import itertools
from pathlib import Path

import pytest
from shapely.geometry import box

from tests.documents import made_up_design as made_up
from ufh_core.documents.chart import Axis, Chart, Curve, Mark, chart_drawing, nice_axis
from ufh_core.documents.flow_temperatures import finish_chart, sweep_lines, write_flow_temperatures
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.lettering import text_width
from ufh_core.documents.water_charts import first_heating_chart, pump_chart
from ufh_core.joints.pours import PourDay
from ufh_core.thermal_output.sweep import SweepPoint


def texts(plan: Plan) -> dict[str, object]:
    found = {}
    for entity in plan.document.modelspace().query("TEXT"):
        wide = text_width(entity.dxf.text, entity.dxf.height, entity.dxf.style == "PLAN-BOLD")
        at = entity.dxf.insert if entity.dxf.halign == 0 else entity.dxf.align_point
        left = at.x - wide * {0: 0.0, 1: 0.5, 2: 1.0}[entity.dxf.halign]
        found[entity.dxf.text] = box(left, at.y, left + wide, at.y + entity.dxf.height)
    return found


def curves_of(plan: Plan) -> list[list[tuple[float, float]]]:
    lines = plan.document.modelspace().query("LWPOLYLINE")
    return [[(p[0], p[1]) for p in line.get_points()] for line in lines if line.dxf.lineweight == 50]


@pytest.mark.parametrize(
    ("greatest", "count", "low", "step", "high"),
    [(9.3, 6, 0.0, 2.0, 10.0), (100.0, 6, 0.0, 20.0, 120.0), (0.7, 6, 0.0, 0.2, 0.8), (41.8, 6, 10.0, 10.0, 50.0)],
)
def test_axes_end_at_round_numbers(greatest: float, count: int, low: float, step: float, high: float) -> None:
    axis = nice_axis("x", greatest, count, low)
    assert (axis.step, axis.high) == (pytest.approx(step), pytest.approx(high))
    assert axis.ticks()[0] == pytest.approx(low) and axis.ticks()[-1] == pytest.approx(high)
    assert axis.high > greatest - 1e-9


def test_curves_stay_within_the_axes_and_names_apart() -> None:
    lines = tuple(Curve(name=f"curve {k}", points=((0.0, 1.0 * k), (10.0, 9.8 + 0.02 * k))) for k in range(6))
    steep = Curve(name="steep", points=((0.0, -5.0), (10.0, 40.0)))
    x, y = Axis(label="x", low=0.0, high=10.0, step=2.0), Axis(label="y", low=0.0, high=10.0, step=2.0)
    plan = chart_drawing(Chart(title="T", x=x, y=y, curves=(*lines, steep), marks=(Mark(name="here", at=(5.0, 5.0)),)))
    drawn = curves_of(plan)
    assert len(drawn) == 7
    inside = box(26.0, 34.0, 297.0 - 62.0, 210.0 - 40.0).buffer(0.01)
    assert all(inside.covers(box(*(p + p))) for line in drawn for p in line)
    found = texts(plan)
    names = [found[f"curve {k}"] for k in range(6)] + [found["steep"]]
    assert all(a.intersection(b).area < 1e-9 for a, b in itertools.combinations(names, 2))
    sheet = box(0, 0, 297, 210)
    assert all(sheet.covers(area) for area in found.values())
    assert len(plan.document.audit().errors) == 0


def test_names_of_marks_that_lie_close_do_not_meet() -> None:
    axis = Axis(label="x", low=0.0, high=10.0, step=2.0)
    near = [Mark(name=f"a mark with a long name {k}", at=(5.0 + 0.15 * k, 5.0 + 0.01 * k)) for k in range(3)]
    marks = (*reversed(near), Mark(name="far from all", at=(9.0, 1.0)))
    found = texts(chart_drawing(Chart(title="T", x=axis, y=axis, curves=(), marks=marks)))
    names = [found[mark.name] for mark in marks]
    assert all(a.intersection(b).area < 1e-9 for a, b in itertools.combinations(names, 2))
    lows = [found[mark.name].bounds[1] for mark in near]
    assert lows == sorted(lows), "the one farthest to the right stands highest: no leader crosses a name"
    alone = texts(chart_drawing(Chart(title="T", x=axis, y=axis, curves=(), marks=marks[-1:])))
    assert alone["far from all"].equals(found["far from all"])


def test_points_lie_where_the_axes_say() -> None:
    x, y = Axis(label="x", low=20.0, high=40.0, step=5.0), Axis(label="y", low=0.0, high=100.0, step=50.0)
    plan = chart_drawing(Chart(title="T", x=x, y=y, curves=(Curve(name="c", points=((20.0, 0.0), (30.0, 50.0))),)))
    (line,) = curves_of(plan)
    assert line[0] == (26.0, 34.0)
    assert line[1] == (pytest.approx((26 + 235) / 2), pytest.approx((34 + 170) / 2))


def test_a_made_up_design_has_a_first_heating_and_no_pump_without_a_network() -> None:
    """EN 1264-4, from memory: 3 days at 25 °C, 4 days at the design's greatest flow temperature, here 38 °C."""
    design = made_up.design()
    chart = first_heating_chart(design)
    assert chart is not None
    (curve,) = chart.curves
    assert (0.0, 25.0) in curve.points and (3.0, 25.0) in curve.points
    warm = [x for x, y in curve.points if y == 38.0]
    assert warm[1] - warm[0] == pytest.approx(4.0)
    assert warm[0] == pytest.approx(3.0 + 13.0 / 10.0)  # 10 K a day
    assert any(line.startswith("day 21: first heating may begin") for line in chart.lists[0])
    dated = dataclasses.replace(
        design.settings, floor=dataclasses.replace(design.settings.floor, poured_on="2031-05-06")
    )
    with_dates = first_heating_chart(dataclasses.replace(design, settings=dated))
    assert with_dates is not None
    assert any(line.startswith("day 21, 2031-05-27: first heating") for line in with_dates.lists[0])
    words = texts(chart_drawing(with_dates))
    assert all(box(0, 0, 297, 210).covers(area) for area in words.values())
    assert all(a.intersection(b).area < 1e-9 for a, b in itertools.combinations(words.values(), 2))
    assert pump_chart(design, design.storeys[0].manifolds[0]) is None


def test_the_first_heating_waits_for_the_field_poured_last() -> None:
    """Three days of pouring: day 21 of the last field is the 29th, two days after that of the first."""
    design = made_up.design()
    days = tuple(
        PourDay(day=k, storey="s", fields=(), area_m2=1, screed_m3=1, ordered_m3=1, lorries=1) for k in (1, 2, 3)
    )
    floor = dataclasses.replace(design.settings.floor, poured_on="2031-05-06")
    settings = dataclasses.replace(design.settings, floor=floor)
    chart = first_heating_chart(dataclasses.replace(design, settings=settings, pour_days=days))
    assert chart is not None
    assert any(line.startswith("day 21, 2031-05-29: first heating") for line in chart.lists[0])


def point(pitch: float, finish: float | None, flow: float, share: float, worst: str = "r") -> SweepPoint:
    return SweepPoint(
        pitch_m=pitch, finish_r=finish, flow_c=flow, carried_share=share, rooms_carried=1, missing_w=10.0,
        worst_room=worst if share < 1 else "",
    )  # fmt: skip


POINTS = [
    point(p, f, flow, share)
    for f in (None, 0.1)
    for p, shares in ((0.15, (0.5, 0.96, 1.0)), (0.3, (0.3, 0.6, 0.9)))
    for flow, share in zip((30.0, 35.0, 40.0), shares, strict=True)
]


def test_the_table_names_the_coolest_water() -> None:
    head, pitches, own, parquet = sweep_lines(POINTS)
    assert "all of the heat (95 % of it)" in head
    assert pitches.split() == ["150", "mm", "300", "mm"]
    assert own.split()[-4:] == ["40", "(35)", "–", "(–)"]
    assert parquet.startswith("a finish of 0.10 m²K/W")


def test_a_chart_says_which_water_carries_all() -> None:
    chart = finish_chart([p for p in POINTS if p.finish_r is None], None)
    assert [curve.name for curve in chart.curves] == ["150 mm: 40 °C (35)", "300 mm: never all"]
    assert chart.curves[0].points == ((30.0, 50.0), (35.0, 96.0), (40.0, 100.0))


def test_files_are_whole_and_no_room_s_name_is_a_formula(tmp_path: Path) -> None:
    write_flow_temperatures(POINTS, {"r": "=1+1"}, tmp_path)
    names = sorted(p.name for p in tmp_path.iterdir())
    assert names == ["flow-temperatures-R0.10.svg", "flow-temperatures-own-finishes.svg", "flow-temperatures.csv"]
    with (tmp_path / "flow-temperatures.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert len(rows) == 1 + len(POINTS)
    assert rows[1] == ["own", "150", "30", "50.0", "1", "10", "'=1+1"]
    assert rows[3][-1] == ""
