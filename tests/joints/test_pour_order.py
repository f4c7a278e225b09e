"""In which order screed is poured: nobody walks over fresh screed, and the day's output is kept."""

import itertools
import random
from dataclasses import replace

import pytest
import shapely
from shapely.geometry import Polygon, box

from ufh_core.building.types import Passage
from ufh_core.joints.pours import Pour, days_of, pour_days, pour_order
from ufh_core.joints.types import PourField
from ufh_core.settings import Settings


def a_field(room: str, outline: Polygon) -> PourField:
    return PourField(rooms=(room,), outline=outline, length_m=1.0, width_m=1.0)


def a_door(outline: Polygon, *rooms: str) -> Passage:
    return Passage(ifc_guid="d", kind="door", outline=outline, direction=(1.0, 0.0), width_m=0.9, rooms=rooms)


ROW = [a_field(f"{k}", box(4.2 * k, 0, 4.2 * k + 4, 3)) for k in range(3)]
INNER = [a_door(box(4.2 * k + 4, 1, 4.2 * k + 4.2, 1.9), f"{k}", f"{k + 1}") for k in range(2)]


def test_the_farthest_comes_first_and_the_field_at_the_door_last() -> None:
    """By hand: rooms of 4 m in a row, walls of 0.2 m, door out at the left: middles 2.0, 6.2, 10.4 m from it."""
    order = pour_order(ROW, [*INNER, a_door(box(-0.3, 1.05, 0, 1.95), "0")])
    assert [k for k, _ in order] == [2, 1, 0]
    assert [way for _, way in order] == pytest.approx([10.4, 6.2, 2.0], abs=0.01)


def test_the_way_out_through_the_hall_is_preferred() -> None:
    doors = [*INNER, a_door(box(-0.3, 1, 0, 1.9), "0"), a_door(box(12.4, 1, 12.7, 1.9), "2", "stair")]
    assert [k for k, _ in pour_order(ROW, doors, ("0",))] == [2, 1, 0]
    assert [k for k, _ in pour_order(ROW, doors, ("2",))] == [0, 1, 2]
    assert pour_order(ROW, doors)[0][0] == 1  # with both open the middle is farthest


def test_what_nobody_can_leave_comes_first_and_is_said() -> None:
    alone = a_field("alone", box(30, 0, 31, 1))
    order = pour_order([*ROW, alone], [*INNER, a_door(box(-0.3, 1, 0, 1.9), "0")])
    assert order[0] == (3, None)
    assert all(way is None for _, way in pour_order(ROW, INNER))


@pytest.mark.parametrize("seed", range(40))
def test_every_field_keeps_a_way_out_over_unpoured_floor(seed: int) -> None:
    """Random halves of a grid of squares that touch; walked independently, field by field."""
    rng = random.Random(seed)
    cells = [c for c in itertools.product(range(5), range(4)) if rng.random() < 0.75 or c == (0, 0)]
    fields = [a_field(f"{c}", box(3 * c[0], 3 * c[1], 3 * c[0] + 3, 3 * c[1] + 3)) for c in cells]
    order = pour_order(fields, [a_door(box(-0.3, 1, 0, 2), f"{(0, 0)}")])
    assert sorted(k for k, _ in order) == list(range(len(fields)))
    for n, (k, way) in enumerate(order):
        if way is None:
            continue
        left = shapely.union_all([fields[j].outline for j, _ in order[n:]]).buffer(-0.1)
        mine = next(p for p in shapely.get_parts(left) if p.intersects(fields[k].outline.buffer(-0.5)))
        assert mine.intersects(box(0, 0, 3, 3).buffer(-0.5))


def test_days_keep_the_output_and_waste_no_day() -> None:
    """By hand: 40 + 50 fit 100, 60 goes to the next day, 150 is a day by itself; a pump of 6 m³ ends a day sooner."""
    loads = [(area, 0.065 * area) for area in (40, 50, 60, 150, 10)]
    assert days_of(loads, (100, 99.0)) == [1, 1, 2, 3, 4]
    assert days_of(loads, (100, 5.0)) == [1, 2, 3, 4, 5]
    assert days_of(loads, (100, 6.0)) == [1, 1, 2, 3, 4]
    assert days_of([], (100, 10.0)) == []


def a_pour(number: int, day: int, storey: str, screed_m3: float) -> Pour:
    return Pour(
        number=number, day=day, storey=storey, field=0, name=f"F1.{number:02d}", area_m2=10.0, doorway_m2=0.5,
        screed_m3=screed_m3, way_m=None,
    )  # fmt: skip


def test_days_of_a_storey_make_up_its_order_and_lorries_are_counted() -> None:
    """By hand, 5 % spare in steps of 0.25 m³: 6.2 m³ are 6.51, ordered 6.75; 3.1 more are 9.765, so 10 less 6.75."""
    pours = [a_pour(1, 1, "a", 4.0), a_pour(2, 1, "a", 2.2), a_pour(3, 2, "a", 3.1), a_pour(4, 3, "b", 3.1)]
    days = pour_days(pours, Settings())
    assert [day.ordered_m3 for day in days] == [6.75, 3.25, 3.5]
    assert [day.lorries for day in days] == [2, 1, 1]
    assert [day.fields for day in days] == [("F1.01", "F1.02"), ("F1.03",), ("F1.04",)]
    assert days[0].area_m2 == 21.0
    bags = replace(Settings(), order=replace(Settings().order, screed_supply="bags"))
    assert [(day.ordered_m3, day.lorries) for day in pour_days(pours, bags)] == [(0.0, 0)] * 3
