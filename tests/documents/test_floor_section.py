"""Sections through floors: each build-up once, everything named and to scale, nothing on top of something else."""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest
from shapely.geometry import box

from tests.documents import made_up_design as made_up
from ufh_core.basis.errors import OutputError
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.floor_section import floor_kinds, floor_sections
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.lettering import text_width
from ufh_core.documents.section_drawing import SCALE
from ufh_core.documents.storey_view import storey_view
from ufh_core.floor import design_build_up
from ufh_core.settings.types import Settings


def with_floors(slabs: dict[str, float], below: str = "ground", settings: Settings | None = None) -> Design:
    """The made-up house with a floor in each room, the slab so far under the rooms' floor."""
    design = made_up.design(**({"settings": settings} if settings else {}))
    (storey,), (there,) = design.storeys, design.building.storeys
    built = {}
    for room in there.rooms:
        if room.ifc_guid in slabs:
            on = dataclasses.replace(room, slab_top_m=-slabs[room.ifc_guid])
            built[room.ifc_guid] = design_build_up(on, below, design.settings, 0.1)
    rooms = tuple(dataclasses.replace(r, build_up=built.get(r.room)) for r in storey.rooms)
    return dataclasses.replace(design, storeys=(dataclasses.replace(storey, rooms=rooms),))


def storey_of(design: Design) -> StoreyDesign:
    return design.storeys[0]


def drawn(design: Design) -> Plan:
    return floor_sections(design, storey_of(design))


def texts(plan: Plan) -> list[str]:
    return [entity.dxf.text for entity in plan.document.modelspace().query("TEXT")]


def boxes(plan: Plan) -> list:
    """The boxes of all texts on the sheet [mm]; marks in pipes left out."""
    found = []
    for entity in plan.document.modelspace().query("TEXT"):
        height = entity.dxf.height / SCALE
        if height < 1.5:
            continue
        wide = text_width(entity.dxf.text, height, entity.dxf.style == "PLAN-BOLD")
        at = entity.dxf.insert if entity.dxf.halign == 0 else entity.dxf.align_point
        x, y = at.x / SCALE, at.y / SCALE
        left = x - wide * {0: 0.0, 1: 0.5, 2: 1.0}[entity.dxf.halign]
        area = box(left, y, left + wide, y + height)
        if entity.dxf.rotation:
            area = box(x - height, y - wide / 2, x, y + wide / 2)
        found.append((entity.dxf.text, area))
    return found


CASES = {
    "deep": {"living": 0.15, "hall": 0.15, "bath": 0.12},
    "just": {"living": 0.1232},
    "raised": {"living": 0.02, "hall": 0.0},
    "thick": {"living": 0.30},
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("below", ["ground", "outside"])
def test_words_lie_apart_and_on_the_sheet(case: str, below: str) -> None:
    plan = drawn(with_floors(CASES[case], below))
    sheet, found = box(0, 0, plan.sheet.width, plan.sheet.height).buffer(-5), boxes(plan)
    for (a, area_a), (b, area_b) in itertools.combinations(found, 2):
        assert area_a.intersection(area_b).area < 1e-9, (a, b)
    assert all(sheet.covers(area) for _, area in found)
    assert len(plan.document.audit().errors) == 0


def test_rooms_with_the_same_floor_share_a_section() -> None:
    design = with_floors({"living": 0.15, "hall": 0.15, "bath": 0.2})
    kinds = floor_kinds(storey_view(design, storey_of(design)))
    assert [kind.labels for kind in kinds] == [("1 Living", "2 Hall"), ("3 Bath",)]
    found = texts(drawn(design))
    assert "Floor 1, on ground: 1 Living, 2 Hall" in found
    assert "Floor 2, on ground: 3 Bath" in found


def test_every_layer_is_named_with_its_thickness_and_they_make_the_height() -> None:
    design = with_floors({"living": 0.15})
    build_up = storey_of(design).rooms[0].build_up
    assert build_up is not None
    found = texts(drawn(design))
    for layer in build_up.layers:
        said = f"{1000 * layer.thickness_m:.4g} mm {layer.material}"
        assert sum(text.startswith(said) for text in found) == 1, said
    assert sum(layer.thickness_m for layer in build_up.layers) == pytest.approx(build_up.height_m)
    assert f"{1000 * build_up.height_m:.0f}" in found
    assert "pipe axis -68" in found  # by hand: 15 mm finish, 45 mm cover, half a pipe of 16 mm
    assert "finish, model's floor ±0" in found


def test_a_raised_floor_shows_the_model_s_floor() -> None:
    found = texts(drawn(with_floors({"living": 0.02})))
    assert "finish +103" in found  # by hand: layers of 123 mm on a slab 20 mm under the floor
    assert "model's floor ±0" in found
    assert "base -20" in found


@pytest.mark.parametrize("holder", ["staples", "rails"])
def test_without_studs_a_section_shows_what_holds_the_pipe(holder: str) -> None:
    settings = Settings()
    loose = dataclasses.replace(
        settings,
        layout=dataclasses.replace(settings.layout, stud_grid=False),
        floor=dataclasses.replace(settings.floor, pipe_holder=holder),
    )
    found = texts(drawn(with_floors({"living": 0.15}, settings=loose)))
    assert any(f"pipe held by {holder}, shown in principle" in text for text in found)
    assert not any("castellated" in text or "stud" in text for text in found)
    assert any("castellated" in text for text in texts(drawn(with_floors({"living": 0.15}))))


@pytest.mark.parametrize("pitch_mm", [100, 150, 200])
def test_pipes_are_drawn_to_scale_at_their_pitch(pitch_mm: int) -> None:
    design = with_floors({"living": 0.15})
    storey = storey_of(design)
    first = storey.rooms[0]
    assert first.output is not None
    output = dataclasses.replace(first.output, pitch_m=pitch_mm / 1000)
    rooms = (dataclasses.replace(first, output=output), *storey.rooms[1:])
    plan = floor_sections(design, dataclasses.replace(storey, rooms=rooms))
    circles = plan.document.modelspace().query("CIRCLE")
    pipes = sorted(c.dxf.center.x for c in circles if c.dxf.layer.startswith("PIPE") and c.dxf.radius == 8.0)
    assert len(pipes) >= 2
    assert {round(b - a, 3) for a, b in itertools.pairwise(pipes)} == {float(pitch_mm)}
    drawn_layers = {c.dxf.layer for c in circles if c.dxf.radius == 8.0}
    assert drawn_layers == {"PIPE-FLOW", "PIPE-RETURN"}


def test_heights_are_to_scale() -> None:
    """The pipes lie as high over the base on paper as in the floor."""
    design = with_floors({"living": 0.15})
    build_up = storey_of(design).rooms[0].build_up
    assert build_up is not None
    plan = drawn(design)
    space = plan.document.modelspace()
    pipe = next(c for c in space.query("CIRCLE") if c.dxf.layer == "PIPE-FLOW").dxf.center.y
    base = min(p[1] for line in space.query("LWPOLYLINE") if line.dxf.layer == "WALL" for p in line.get_points())
    over = build_up.pipe_axis_m - build_up.layers[0].bottom_m
    assert pipe - base == pytest.approx(1000 * over + 7.0 * SCALE, abs=0.01)  # the base is drawn 7 mm thick on paper


def test_many_floors_go_on_a_larger_sheet() -> None:
    design = with_floors({"living": 0.15})
    (storey,), (there,) = design.storeys, design.building.storeys
    first = storey.rooms[0]
    assert first.build_up is not None
    rooms, made = [], []
    for k in range(11):
        room = dataclasses.replace(there.rooms[0], ifc_guid=f"r{k}", name=str(k), slab_top_m=-0.13 - 0.01 * k)
        made.append(room)
        rooms.append(
            dataclasses.replace(first, room=f"r{k}", build_up=design_build_up(room, "ground", design.settings, 0.1))
        )
    building = dataclasses.replace(design.building, storeys=(dataclasses.replace(there, rooms=tuple(made)),))
    many = dataclasses.replace(storey, rooms=tuple(rooms), circuits=(), manifolds=())
    whole = dataclasses.replace(design, building=building, storeys=(many,))
    plan = floor_sections(whole, many)
    assert plan.sheet.paper == "A2"
    assert sum(t.startswith("Floor ") and ", on ground" in t for t in texts(plan)) == 11
    found = boxes(plan)
    assert all(a.intersection(b).area < 1e-9 for (_, a), (_, b) in itertools.combinations(found, 2))
    assert math.isclose(plan.sheet.width, 420.0)


def test_a_storey_without_floors_has_no_sections(tmp_path) -> None:
    design = made_up.design()
    with pytest.raises(OutputError, match="nothing is heated"):
        floor_sections(design, storey_of(design))
    with pytest.raises(OutputError, match="choose another folder"):
        write_sheet(drawn(with_floors({"living": 0.15})), tmp_path / "no" / "f")
