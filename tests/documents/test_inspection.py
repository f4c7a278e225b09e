"""The inspection page: facts, reasons and questions follow from the building, and a page stays a page."""

import json
from dataclasses import replace

import pytest
from shapely.geometry import box

from tests.documents import made_up_design as made_up
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import (
    Building,
    Construction,
    MaterialLayer,
    Obstacle,
    Opening,
    Passage,
    Room,
    RoomKind,
    Slab,
    Storey,
    Wall,
)
from ufh_core.documents.inspection import inspection_report
from ufh_core.heat_demand import DemandBasis, HeatDemand, RoomDemand
from ufh_core.settings.types import Settings
from ufh_core.zones.selection import select_rooms

UNIT = tuple(tuple(float(i == j) for j in range(4)) for i in range(4))
INSULATED = Construction(u_value=0.25, external=True)


def room(guid, x, kind, **more):
    values = {"name": guid, "long_name": kind.value.title(), "floor_m": 0.15, "height_m": 2.5, "slab_top_m": 0.0}
    values |= {"heat_load_w": 500.0, "indoor_c": 20.0}
    return Room(ifc_guid=guid, kind=kind, outline=box(x, 0, x + 4, 4), **(values | more))


def obstacle(kind, x):
    return Obstacle(ifc_guid=f"o{x}", name="", kind=kind, outline=box(x, 0, x + 1, 0.6), bottom_m=0.15, top_m=1.0)


def way(*rooms):
    return Passage(
        ifc_guid="d" + "".join(rooms), kind="door", outline=box(0, 0, 1, 1), direction=(1, 0), width_m=0.9, rooms=rooms
    )


def perfect():
    """A storey with nothing to ask."""
    rooms = (room("A", 0, RoomKind.LIVING), room("B", 4.2, RoomKind.KITCHEN), room("C", 8.4, RoomKind.BATH))
    wall = Wall(ifc_guid="W", name="", outline=box(0, 4, 12, 4.3), bottom_m=0, top_m=2.6, construction=INSULATED)
    window = Opening(
        ifc_guid="X",
        name="",
        kind="window",
        outline=box(1, 4, 2, 4.3),
        bottom_m=1,
        top_m=2,
        width_m=1,
        wall_guid="W",
        construction=replace(INSULATED, u_value=1.1),
    )
    slab = Slab(
        ifc_guid="F", name="", kind="base", outline=box(0, 0, 13, 5), bottom_m=-0.2, top_m=0.0, construction=INSULATED
    )
    return Storey(
        ifc_guid="S",
        name="Ground",
        elevation_m=0.15,
        placement=UNIT,
        rooms=rooms,
        walls=(wall,),
        openings=(window,),
        passages=(way("A", "B"), way("A", "C"), way("A")),
        obstacles=(obstacle("furniture", 5), obstacle("sanitary", 9)),
        slabs=(replace(slab, construction=INSULATED),),
    )


def building(storey, **more):
    values = {"north_rad": None, "findings": (), "frame": LocalFrame()} | more
    return Building(
        project_name="Sample", building_name="House", schema="IFC4", length_unit_m=0.001, storeys=(storey,), **values
    )


def report(storey, **more):
    built = building(storey, **more)
    return inspection_report(built, select_rooms(built, Settings()))


def topics(storey):
    return [question.topic for question in report(storey).questions]


def changed(storey, guid, **change):
    return replace(storey, rooms=tuple(replace(r, **change) if r.ifc_guid == guid else r for r in storey.rooms))


def test_nothing_to_ask_of_a_complete_model():
    page = report(perfect())
    assert page.questions == ()
    assert "No question to the architect." in page.lines()
    assert "Nothing had to be assumed." in page.lines()


@pytest.mark.parametrize(
    ("change", "topic", "guids"),
    [
        (lambda s: changed(s, "B", slab_top_m=None), "slab-below", ("B",)),
        (lambda s: changed(s, "B", slab_top_m=0.15), "build-up", ("B",)),
        (lambda s: changed(s, "B", slab_top_m=-0.4), "build-up-high", ("B",)),
        (lambda s: replace(s, slabs=()), "slabs", ()),
        (lambda s: replace(s, passages=s.passages[:1]), "doors", ("C",)),
        (lambda s: changed(s, "A", indoor_c=None), "temperatures", ("A",)),
        (lambda s: changed(s, "A", heat_load_w=None), "heat-loads", ("A",)),
        (lambda s: changed(s, "A", kind=RoomKind.OTHER), "room-use", ("A",)),
        (lambda s: changed(s, "A", kind=RoomKind.OTHER, derived=True), "rooms", ("A",)),
        (lambda s: replace(s, obstacles=s.obstacles[1:]), "kitchen-units", ("B",)),
        (lambda s: replace(s, obstacles=s.obstacles[:1]), "sanitary-ware", ("C",)),
    ],
)
def test_each_gap_is_one_question(change, topic, guids):
    (question,) = report(change(perfect())).questions
    assert (question.topic, question.ifc_guids) == (topic, guids)
    assert "?" in question.text or question.text.startswith("Please")


def test_u_values_are_asked_for_only_where_loads_are_missing_and_layers_do_not_tell():
    bare = replace(perfect().walls[0], construction=Construction(external=True))
    storey = replace(perfect(), walls=(bare,))
    assert topics(storey) == []  # the loads are given
    storey = changed(storey, "A", heat_load_w=None)
    (question,) = report(storey).questions
    assert question.topic == "u-values"
    assert question.ifc_guids == ("W",)
    assert "1 outer wall;" in question.text
    layers = (MaterialLayer(name="", thickness_m=0.3, conductivity=0.1),)
    told = replace(bare, construction=Construction(external=True, layers=layers))
    assert topics(replace(storey, walls=(told,))) == ["heat-loads"]
    silent = replace(bare, construction=Construction(external=True, layers=(replace(layers[0], conductivity=None),)))
    assert topics(replace(storey, walls=(silent,))) == ["u-values"]


def test_rooms_that_are_not_heated_raise_no_question():
    storey = changed(perfect(), "C", kind=RoomKind.GARAGE, slab_top_m=None, indoor_c=None, heat_load_w=None)
    page = report(storey)
    assert page.questions == ()
    assert next(line for line in page.lines() if "garage" in line).endswith("no: garage")


def test_most_important_first():
    storey = replace(changed(perfect(), "A", indoor_c=None, derived=True), passages=())
    assert topics(storey) == ["rooms", "doors", "temperatures"]


def test_rows_and_json_say_the_same():
    page = report(changed(perfect(), "C", slab_top_m=None))
    text = "\n".join(page.lines())
    assert "A Living" in text
    row = next(line for line in page.lines() if "A Living" in line)
    assert row.split()[2:] == ["living", "16.0", "2.50", "150", "3", "yes"]
    assert next(line for line in page.lines() if "C Bath" in line).split()[5] == "?"
    data = json.loads(json.dumps(page.to_json()))
    rows = data["storeys"][0]["rooms"]
    assert [(r["ifc_guid"], r["heated"], r["ways_in"]) for r in rows] == [
        ("A", True, 3),
        ("B", True, 1),
        ("C", True, 1),
    ]
    assert rows[2]["build_up_m"] is None
    assert data["storeys"][0]["elements"]["windows"] == 1


def test_findings_the_worst_first_and_not_too_many():
    notes = tuple(Finding(code="x", severity=Severity.NOTE, message=f"note {k}") for k in range(20))
    error = Finding(code="y", severity=Severity.ERROR, message="the error")
    lines = report(perfect(), findings=(*notes, error)).lines()
    start = lines.index("Assumed, or odd in the model")
    assert "the error" in lines[start + 1]
    assert lines[start + 1].startswith("  !!")
    assert "and 9 more" in lines[start + 13]
    assert len(report(perfect(), findings=(*notes, error)).to_json()["assumed"]) == 21


@pytest.mark.parametrize(
    ("north", "words"),
    [(None, "not stated"), (0.0, "up the plan"), (0.5236, "30.0° to the left"), (-0.5236, "30.0° to the right")],
)
def test_true_north_in_words(north, words):
    facts = dict(report(perfect(), north_rad=north).facts)
    assert words in facts["true north"]
    assert facts["file"] == "IFC4, lengths in mm"


def test_a_page_is_narrow_enough_and_many_rooms_are_summed_up():
    long = changed(perfect(), "A", name="部屋" * 20, long_name="a" * 90)
    frame = LocalFrame(origin=(1500000.0, -20.0, 0.0), rotation=0.4)
    lines = report(long, frame=frame).lines()
    assert max(map(len, lines)) <= 100
    assert any("turned by +22.9°" in line for line in lines)
    many = tuple(room(f"R{k}", 5 * k, RoomKind.OFFICE) for k in range(70))
    lines = report(replace(perfect(), rooms=many)).lines()
    assert any(line.split()[:4] == ["70", "rooms", "office", "1120.0"] for line in lines)
    assert len(lines) < 40


def test_the_model_s_load_stands_beside_the_calculated_one() -> None:
    rooms = {
        "living": RoomDemand(
            room="living", indoor_c=20.0, demand_w=1000.0, basis=DemandBasis.MODEL, model_w=1000.0, calculated_w=1250.0
        ),
        "bath": RoomDemand(
            room="bath", indoor_c=24.0, demand_w=300.0, basis=DemandBasis.CALCULATED, calculated_w=300.0
        ),
    }
    house = made_up.building()
    selection = select_rooms(house, Settings())
    report = inspection_report(house, selection, (), HeatDemand(outdoor_c=-12.0, rooms=rooms))
    lines = report.lines()
    (head,) = [line for line in lines if line.startswith("Heat demand")]
    assert head == "Heat demand at -12 °C outdoors, 1300 W in all; the floor's own loss is not in it"
    rows = {line.split()[1]: line.split()[2:] for line in lines[lines.index(head) + 2 : lines.index(head) + 4]}
    assert rows == {
        "Living": ["1000", "1250", "+25", "%", f"{1000 / made_up.LIVING.area:.0f}", "the", "model's"],
        "Bath": ["–", "300", "33", "calculated"],
    }
    assert [row["model_w"] for row in report.to_json()["heat_demand"]] == [1000.0, None]
    assert all(len(line) <= 100 for line in lines)
    assert not [line for line in inspection_report(house, selection).lines() if line.startswith("Heat demand")]
