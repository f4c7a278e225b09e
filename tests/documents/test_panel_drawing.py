"""The laying plan of the made-up storey: every piece is named where it lies, and listed with its size."""

import dataclasses
import itertools
import xml.etree.ElementTree as ElementTree

import pytest
import shapely

from tests.documents import made_up_design as made_up
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.panel_drawing import drawn_panels
from ufh_core.documents.panel_writing import STACK, panel_blocks
from ufh_core.documents.plan_svg import panel_file_names, plan_svg
from ufh_core.documents.storey_view import storey_view
from ufh_core.panels import panel_size
from ufh_core.panels.floors import panel_floors
from ufh_core.panels.plan import panel_plan
from ufh_core.panels.types import CuttingLine

HEATED = ("living", "hall", "bath")


@pytest.fixture(scope="module")
def design():
    plain = made_up.design()
    rooms = {r.ifc_guid: r.outline for r in plain.building.storeys[0].rooms if r.ifc_guid in HEATED}
    passages = plain.building.storeys[0].passages
    floors = panel_floors(rooms, dict.fromkeys(rooms, 0.0), passages, 0.008, 0.1)
    plan = panel_plan(floors, rooms, panel_size(plain.settings), pin_below_m2=0.25)
    return dataclasses.replace(plain, storeys=(dataclasses.replace(plain.storeys[0], panels=plan),))


@pytest.fixture(scope="module")
def drawn(design):
    return drawn_panels(design, design.storeys[0], date="2031-05-06")


def texts(drawn) -> list[str]:
    return [entity.dxf.text for entity in drawn.document.modelspace().query("TEXT")]


def test_every_piece_is_named_once_where_it_lies(design, drawn):
    pieces = {p.number: p for p in design.storeys[0].panels.pieces}
    assert sorted(label.key for label in drawn.labels) == sorted(pieces)
    for label in drawn.labels:
        middle = shapely.Point(label.target or label.middle)
        assert pieces[label.key].outline.covers(middle), label.key
        if label.target is None:
            assert pieces[label.key].outline.buffer(1e-6).covers(label.box), label.key
    for a, b in itertools.combinations(drawn.labels, 2):
        assert a.box.intersection(b.box).area < 1e-9, (a.key, b.key)


def test_cut_sizes_stand_in_pieces_that_are_wide_enough(design, drawn):
    found = " | ".join(texts(drawn))
    for piece in design.storeys[0].panels.pieces:
        size = f"{1000 * piece.length_m:.0f} x {1000 * piece.width_m:.0f}"
        west, south, east, north = piece.outline.bounds
        if not piece.whole and not piece.trimmed and min(east - west, north - south) > 0.75:
            assert size in found, piece.number


def test_the_list_names_every_cut_piece_with_its_panel(design, drawn):
    plan = design.storeys[0].panels
    blocks = panel_blocks(storey_view(design, design.storeys[0]), plan)
    listed = " ".join(cell.text for block in blocks for row in block.rows for cell in row.cells)
    for piece in plan.pieces:
        assert (f"{piece.number} ({piece.from_panel})" in listed) == (not piece.whole)
    assert f"{plan.panels} panels 1400 x 800 mm" in listed
    for needed in ("competent person", "gap and the lap", "two studs"):
        assert needed in listed


def test_a_high_stack_goes_on_in_further_rows(design):
    plan = design.storeys[0].panels
    many = tuple(f"A{k}" for k in range(3 * STACK + 1))
    line = CuttingLine(width_m=0.3, length_m=0.8, pieces=many, panels=tuple(range(len(many))))
    blocks = panel_blocks(storey_view(design, design.storeys[0]), dataclasses.replace(plan, cutting_list=(line,)))
    listed = " ".join(cell.text for block in blocks for row in block.rows for cell in row.cells)
    assert all(f"{name} ({k})" in listed for k, name in enumerate(many))
    assert "…" not in listed


def test_small_pieces_have_their_pins_and_floors_their_start(design, drawn):
    plan = design.storeys[0].panels
    circles = [e for e in drawn.document.modelspace().query("CIRCLE") if e.dxf.layer == "PANEL"]
    starts = sum(not area.threshold for area in plan.areas)
    assert len(circles) == starts + 1  # and the one in the legend
    small = [
        e for e in drawn.document.modelspace().query("LWPOLYLINE") if e.dxf.lineweight == 9 and e.dxf.layer == "PANEL"
    ]
    assert len(small) == 2 * sum(p.pin for p in plan.pieces) + 2


def test_the_file_is_a_drawing_that_can_be_searched(design, drawn, tmp_path):
    assert panel_file_names(design) == {"storey": "panels-Ground-floor.svg"}
    assert panel_file_names(made_up.design()) == {}
    path = tmp_path / "panels.svg"
    write_sheet(drawn, tmp_path / "panels", (".svg",))
    root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
    words = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {p.number for p in design.storeys[0].panels.pieces if p.whole} <= words
    assert plan_svg(drawn) == path.read_text(encoding="utf-8")
