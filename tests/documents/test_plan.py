"""The plan of the made-up storey: what is on it, and where."""

from __future__ import annotations

import dataclasses
import itertools
import math
import random
import xml.etree.ElementTree as ElementTree

import ezdxf
import pytest
import shapely
from ezdxf import bbox
from ezdxf.fonts import fonts
from ezdxf.fonts.font_manager import FontManager
from shapely.geometry import box

from tests.documents import made_up_design as made_up
from ufh_core.basis.errors import OutputError
from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Storey
from ufh_core.circuits.types import FailedRoom
from ufh_core.design_result import StoreyDesign, TakeOffLine
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.lettering import text_width
from ufh_core.documents.plan_base import left_out
from ufh_core.documents.plan_drawing import drawn_plan, plan_drawing
from ufh_core.documents.plan_materials import order_block
from ufh_core.documents.plan_pipes import halves, sleeve_spots
from ufh_core.documents.plan_signs import bar_length_m
from ufh_core.documents.plan_svg import plan_svg
from ufh_core.documents.sheet import COLUMN_MM, Column
from ufh_core.documents.storey_view import storey_view
from ufh_core.documents.writing import Block, Cell, Row, flow, paragraphs
from ufh_core.floor.types import BuildUp, Layer

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def design():
    return made_up.design()


@pytest.fixture(scope="module")
def plan(design):
    return drawn_plan(design, design.storeys[0], date="2031-05-06")


def texts(plan) -> list[str]:
    return [entity.dxf.text for entity in plan.document.modelspace().query("TEXT")]


def on(plan, kind: str, layer: str) -> list:
    return [e for e in plan.document.modelspace().query(kind) if e.dxf.layer == layer]


def test_labels_lie_apart_and_on_the_plan_part(plan):
    assert len([label for label in plan.labels if not label.key.startswith("obstacle")]) == 1 + 5 + 5
    for a, b in itertools.combinations(plan.labels, 2):
        assert a.box.intersection(b.box).area < 1e-9, (a.key, b.key)
    left, bottom, right, top = plan.sheet.plan
    part = box(*plan.sheet.at(left, bottom), *plan.sheet.at(right, top)).buffer(1e-6)
    assert all(part.covers(label.box) for label in plan.labels)


def test_lines_of_a_label_fit_in_its_box(plan):
    for label in plan.labels:
        assert all(label.box.buffer(1e-6).covers(line) for line in label.line_boxes), label.key


def test_labels_hide_little_pipe(design, plan):
    pipes = shapely.union_all([c.laid.axis.line() for c in design.storeys[0].circuits])
    hidden = sum(pipes.intersection(shapely.union_all(list(label.line_boxes))).length for label in plan.labels)
    assert hidden < 0.02 * pipes.length


def test_every_room_and_circuit_is_named_on_the_plan_part_and_in_the_tables(design, plan):
    found = texts(plan)
    for circuit in design.storeys[0].circuits:
        assert sum(circuit.laid.number in text for text in found) >= 2
        assert any(f"{circuit.laid.length_m:.1f}" in text for text in found)
    for room in design.building.storeys[0].rooms:
        assert found.count(room.label) >= 2


@pytest.mark.parametrize(
    ("turns", "words"),
    [(None, "1.50 · –"), (0.25, "1.50 · ¼"), (1.0, "1.50 · 1"), (2.75, "1.50 · 2¾"), (0.5, "1.50 · ½")],
)
def test_table_of_circuits_tells_flow_and_turns_of_the_valve(design, turns, words):
    storey = design.storeys[0]
    set_to = tuple(dataclasses.replace(c, flow=dataclasses.replace(c.flow, valve_turns=turns)) for c in storey.circuits)
    changed = dataclasses.replace(storey, circuits=set_to)
    found = texts(drawn_plan(dataclasses.replace(design, storeys=(changed,)), changed))
    assert found.count(words) == len(set_to)


def test_reasons_findings_cautions_and_title_are_written(plan):
    everything = " ".join(texts(plan))
    for words in (
        "4 Bedroom: not laid; no door or opening leads to it",
        "3 Bath: short by 120 W",
        "ERROR: 4 Bedroom",
        "Designed by calculation",
        "No drilling",
        "Made-up house",
        "House by the pond",
        "Ground floor",
        "scale 1:50 on A3",
        "2031-05-06",
        "0123456789ab",
        "1 more, see design.json",
        "its floor would get too warm",
    ):
        assert words in everything, words


def test_flow_and_return_differ_by_line_type_and_meet_half_way(design, plan):
    flow, back = on(plan, "LWPOLYLINE", "PIPE-FLOW"), on(plan, "LWPOLYLINE", "PIPE-RETURN")
    layers = plan.document.layers
    assert layers.get("PIPE-FLOW").dxf.linetype.upper() == "CONTINUOUS"
    assert layers.get("PIPE-RETURN").dxf.linetype == "RETURN_DASH"
    assert {e.dxf.linetype for e in flow if not e.closed} == {"BYLAYER"}
    long_back = [e for e in back if not e.closed]
    assert {e.dxf.linetype for e in long_back} == {"BYLAYER"} and len(long_back) == 8  # five and the legend's three
    for circuit in design.storeys[0].circuits:
        first, second = halves(circuit.laid.axis)
        assert sum(p.length_m for p in first) == pytest.approx(circuit.laid.axis.length_m / 2)
        assert math.dist(first[-1].end, second[0].start) < 1e-9
        assert first[0].start == circuit.laid.axis.start and second[-1].end == circuit.laid.axis.end


def test_drawn_pipe_is_as_long_as_the_circuit(design, plan):
    """Flattened drawing entities against the axis they came from, arcs and all."""
    drawn = 0.0
    for layer in ("PIPE-FLOW", "PIPE-RETURN"):
        for entity in on(plan, "LWPOLYLINE", layer):
            if not entity.closed and entity.dxf.count > 2:
                for part in entity.virtual_entities():
                    drawn += sum(math.dist(a, b) for a, b in itertools.pairwise(_points(part)))
    wanted = sum(c.laid.axis.length_m for c in design.storeys[0].circuits)
    assert drawn / 1000 == pytest.approx(wanted, rel=2e-3)


def _points(part):
    if part.dxftype() == "LINE":
        return [part.dxf.start, part.dxf.end]
    return list(part.flattening(0.1))


def test_scale_bar_is_as_long_as_it_says(plan):
    bars = [e for e in on(plan, "LWPOLYLINE", "SHEET") if e.closed and _height(e) == pytest.approx(1.6 * 50, abs=0.01)]
    xs = [x for bar in bars for x, *_ in bar.get_points()]
    assert len(bars) == 3
    assert (max(xs) - min(xs)) / 1000 == pytest.approx(bar_length_m(plan.sheet)) == pytest.approx(3.0)
    assert "3 m" in texts(plan)


def _height(entity) -> float:
    ys = [y for _, y, *_ in entity.get_points()]
    return max(ys) - min(ys)


@pytest.mark.parametrize("north", [0.0, 0.5, -2.0, math.pi])
def test_north_arrow_turns_with_the_building(north):
    design = made_up.design(building=made_up.building(north_rad=north))
    plan = drawn_plan(design, design.storeys[0])
    shafts = [
        e
        for e in on(plan, "LWPOLYLINE", "SHEET")
        if not e.closed and _length(e) == pytest.approx(12.0 * plan.sheet.scale, rel=1e-3)
    ]
    (foot_x, foot_y, *_), (tip_x, tip_y, *_) = shafts[0].get_points()
    turned = math.atan2(tip_y - foot_y, tip_x - foot_x) - math.pi / 2
    assert len(shafts) == 1
    assert math.remainder(turned - north, math.tau) == pytest.approx(0.0, abs=1e-4)


def _length(entity) -> float:
    points = [(x, y) for x, y, *_ in entity.get_points()]
    return sum(math.dist(a, b) for a, b in itertools.pairwise(points))


def test_north_that_is_not_known_is_said_so():
    design = made_up.design(building=made_up.building(north_rad=None))
    found = texts(drawn_plan(design, design.storeys[0]))
    assert "not given" in found and "N" not in found


def test_nothing_is_drawn_off_the_sheet(design):
    """Walls and openings of the storey that run on far from its rooms are cut at the plan's edge."""
    storey = design.building.storeys[0]
    far = dataclasses.replace(storey.walls[0], outline=box(-30, -0.3, 40, 0))
    gap = dataclasses.replace(storey.openings[0], outline=box(-20, -0.3, 3, 0), width_m=23.0)
    changed = dataclasses.replace(storey, walls=(*storey.walls, far), openings=(*storey.openings, gap))
    wide = drawn_plan(made_up.design(building=made_up.building(storeys=(changed,))), design.storeys[0])
    extents = bbox.extents(wide.document.modelspace().query("LWPOLYLINE HATCH CIRCLE"))
    west, south = wide.sheet.corner
    assert extents.extmin.x / 1000 >= west - 1e-3 and extents.extmin.y / 1000 >= south - 1e-3
    assert extents.size.x <= wide.sheet.width * wide.sheet.scale + 1


def test_left_out_floor_is_hatched_and_fields_are_not(design, plan):
    bare = left_out(storey_view(design, design.storeys[0]))
    bath_tub, kitchen = box(0.1, 0.1, 1.7, 0.6), box(3.3, 5.1, 3.7, 7.3)
    assert bare.covers(bath_tub) and bare.covers(kitchen)
    for circuit in design.storeys[0].circuits:
        assert bare.intersection(circuit.laid.fields[0].outline).area < 1e-6
    patterns = [h for h in on(plan, "HATCH", "LEFT-OUT") if not h.dxf.solid_fill]
    by_families = sorted(len(h.pattern.lines) for h in patterns)
    assert by_families[-2:] == [2, 2], "the room that was not laid and its sign in the legend are cross-hatched"
    assert len(patterns) >= 6


def test_an_edge_zone_is_tinted_explained_and_its_pitch_told(design, plan):
    storey = design.storeys[0]
    last = storey.circuits[-1]
    (field,) = last.laid.fields
    west, _, east, north = field.outline.bounds
    strip = box(west, north - 1, east, north)
    fields = (
        dataclasses.replace(field, outline=field.outline.difference(strip)),
        dataclasses.replace(field, outline=field.outline.intersection(strip), edge=True, pitch_m=0.15),
    )
    circuits = (*storey.circuits[:-1], dataclasses.replace(last, laid=dataclasses.replace(last.laid, fields=fields)))
    with_edge = drawn_plan(design, dataclasses.replace(storey, circuits=circuits))
    words = "edge zone along an outer wall"
    assert not any(words in text for text in texts(plan))
    assert any(words in text for text in texts(with_edge))
    assert any("200/150 mm" in text for text in texts(with_edge))
    tints = {h.rgb for h in on(with_edge, "HATCH", "FIELD")} - {h.rgb for h in on(plan, "HATCH", "FIELD")}
    assert len(tints) == 1


def test_no_floor_with_a_pipe_near_it_is_shown_as_free_of_pipe(design):
    """Tails outside all fields lie on clear ground: a screw may go where the hatch is."""
    bare = left_out(storey_view(design, design.storeys[0]))
    for circuit in design.storeys[0].circuits:
        assert bare.distance(circuit.laid.axis.line()) > 0.09, circuit.laid.number
    tails = design.storeys[0].circuits[0].laid.axis.line().intersection(made_up.HALL)
    assert tails.length > 5, "the first circuit's tails cross the hall, so the check has something to check"


def test_what_keeps_pipes_out_is_named_and_movable_furniture_is_not(plan):
    names = {
        " ".join(line.text for line in label.wording.lines): label
        for label in plan.labels
        if label.key.startswith("obstacle")
    }
    assert set(names) == {"sanitary ware", "unit"}
    assert box(0.05, 0.0, 1.75, 0.7).covers(names["sanitary ware"].box)


def test_doors_have_a_leaf_and_windows_a_line_of_glass(plan):
    """In the door of the bath, which is 0.8 m wide in a wall 0.1 m thick, a closed leaf within the wall."""
    leaves = [e for e in on(plan, "LWPOLYLINE", "OPENING") if e.closed]
    boxes = [_box(e) for e in leaves]
    inside = [b for b in boxes if box(3.1, 0.4, 3.2, 1.2).buffer(1e-3).covers(b)]
    assert len(inside) == 1 and inside[0].bounds[3] - inside[0].bounds[1] == pytest.approx(0.8)
    assert not any(box(10.5, 1, 10.8, 3).buffer(1e-3).covers(b) for b in boxes)


def _box(entity):
    return shapely.Polygon([(x / 1000, y / 1000) for x, y, *_ in entity.get_points()])


def test_a_pipe_through_a_wall_off_all_doors_is_marked(design):
    circuit = design.storeys[0].circuits[2]
    sleeved = dataclasses.replace(circuit, laid=dataclasses.replace(circuit.laid, sleeves=2))
    storey = dataclasses.replace(design.storeys[0], circuits=(sleeved,))
    moved = dataclasses.replace(design.building.storeys[0], openings=(), passages=())
    walls = shapely.union_all([wall.outline for wall in moved.walls])
    blind = dataclasses.replace(design, building=made_up.building(storeys=(moved,)), storeys=(storey,))
    spots = sleeve_spots(storey_view(blind, storey))
    assert len(spots) == 2 and all(walls.buffer(1e-6).covers(spot) for spot in spots)
    assert "pipe through a wall in a sleeve: have each hole" in " ".join(texts(drawn_plan(blind, storey)))
    through_a_door = dataclasses.replace(storey, circuits=(circuit,))
    assert sleeve_spots(storey_view(blind, through_a_door)) == []


def test_outside_rooms_are_left_to_the_table(design):
    storey = design.building.storeys[0]
    rooms = tuple(dataclasses.replace(r, external=True) if r.ifc_guid == "store" else r for r in storey.rooms)
    changed = made_up.design(building=made_up.building(storeys=(dataclasses.replace(storey, rooms=rooms),)))
    plan = drawn_plan(changed, design.storeys[0])
    assert texts(plan).count("5 Store") == 1
    assert "store" not in [label.key for label in plan.labels]


def test_only_signs_on_the_plan_are_explained(design):
    storey = dataclasses.replace(design.building.storeys[0], openings=(), obstacles=())
    bare = made_up.design(building=made_up.building(storeys=(storey,)))
    words = texts(drawn_plan(bare, design.storeys[0]))
    assert "floor without any pipe" in words and "window" not in words


def test_layers_and_order_are_written_on_the_first_plan_only(design):
    lines = (
        TakeOffLine(item="pipe 16 x 2 mm", quantity=613, unit="m"),
        TakeOffLine(item="screed", quantity=7.04, unit="m³"),
    )
    layers = (
        Layer(role="insulation", material="board", bottom_m=0.0, top_m=0.06),
        Layer(role="foil", material="foil", bottom_m=0.06, top_m=0.0602),
        Layer(role="screed", material="screed", bottom_m=0.0602, top_m=0.1252),
    )
    build_up = BuildUp(
        room="hall", layers=layers, pipe_axis_m=0.07, below="ground", r_below=2.0, available_m=None,
        missing_height_m=0.0, screed_volume_m3=1.0, edge_strip_m=9.0, mass_kg_m2=130.0,
    )  # fmt: skip
    first = design.storeys[0]
    rooms = tuple(dataclasses.replace(r, build_up=build_up) if r.room == "hall" else r for r in first.rooms)
    changed = dataclasses.replace(design, take_off=lines, storeys=(dataclasses.replace(first, rooms=rooms),))
    words = " ".join(texts(drawn_plan(changed, changed.storeys[0])))
    assert "2 Hall: screed 65 (47 over the pipe), foil, board 60, 125 in all" in words
    assert "613 m" in words and "7.04 m³" in words
    other = dataclasses.replace(first, storey="first")
    assert order_block(storey_view(dataclasses.replace(changed, storeys=(other, first)), first)).rows == ()


def test_findings_of_another_storeys_circuits_stay_off_the_plan(design):
    def slow(number: str) -> Finding:
        return Finding(code="hydraulics.velocity", severity=Severity.WARNING, message=f"water in circuit {number} runs")

    changed = dataclasses.replace(design, findings=(slow("M1.02"), slow("M2.01"), slow("M1.04")))
    words = " ".join(texts(drawn_plan(changed, design.storeys[0])))
    assert "water in circuit M1.02 runs (likewise M1.04)" in words and "M2.01" not in words


def test_text_is_large_enough_to_read(plan):
    heights = [e.dxf.height / plan.sheet.scale for e in plan.document.modelspace().query("TEXT")]
    assert min(heights) >= 1.8 - 1e-9


def test_svg_has_the_sheet_size_and_live_text(plan):
    text = plan_svg(plan)
    root = ElementTree.fromstring(text)
    assert (root.get("width"), root.get("height")) == ("420mm", "297mm")
    assert root.get("viewBox") == "0 0 42000 29700"
    found = [e.text for e in root.iter(f"{SVG}text")]
    assert found == texts(plan)
    assert len(text.encode()) < 1_000_000


def test_svg_text_lies_where_the_drawing_has_it(plan):
    root = ElementTree.fromstring(plan_svg(plan))
    label = next(label for label in plan.labels if label.key == "M1.03")
    text = next(e for e in root.iter(f"{SVG}text") if e.text == label.wording.lines[0].text)
    x, y = label.middle
    right = (x - plan.sheet.corner[0]) * 1000 / plan.sheet.scale
    down = plan.sheet.height - (y - plan.sheet.corner[1]) * 1000 / plan.sheet.scale
    assert float(text.get("x")) / 100 == pytest.approx(right, abs=0.05)
    assert float(text.get("y")) / 100 == pytest.approx(down + 0.9, abs=0.05)
    # The lines of the drawing use the same scale: the frame of the paper fills the view box.
    first_path = next(root.iter(f"{SVG}path")).get("d")
    assert "42000" in first_path and "29700" in first_path


def test_svg_dashes_the_return_halves_and_only_them(design, plan):
    """Told apart in black and white: by dash, not by colour."""
    root = ElementTree.fromstring(plan_svg(plan))
    styles = {e.text.split(" ", 1)[0][1:]: e.text for e in root.iter(f"{SVG}style")}
    dashes = {"flow": [], "return": []}
    for path in root.iter(f"{SVG}path"):
        style = styles[path.get("class")]
        if "stroke-width: 30;" in style and path.get("d").count("c") >= 2:
            half = "return" if any(c in style for c in ("#005c80", "#26809e")) else "flow"
            dashes[half].append(path.get("stroke-dasharray"))
    assert dashes == {"flow": [None] * 5, "return": ["220 90"] * 5}


def test_no_fonts_of_the_machine_are_needed(plan, monkeypatch):
    expected = plan_svg(plan)
    monkeypatch.setattr(fonts, "font_manager", FontManager())
    assert plan_svg(drawn_plan(made_up.design(), made_up.design().storeys[0], date="2031-05-06")) == expected


def test_the_drawing_is_a_sound_dxf(plan, tmp_path):
    plan.document.saveas(tmp_path / "plan.dxf")
    auditor = ezdxf.readfile(tmp_path / "plan.dxf").audit()
    assert not auditor.has_errors and not auditor.has_fixes


def test_same_design_same_bytes(design, plan):
    first = plan_svg(plan)
    random.seed(12345)
    again = drawn_plan(made_up.design(), made_up.design().storeys[0], date="2031-05-06")
    assert plan_svg(again) == first


WEIRD = [
    '<b>&"room"</b>',
    "Спальня №4",
    "お風呂",
    "a/b\\c:d*e?",
    "line\nbreak\x00\x07",
    "%%u%%d",
    "lone \ud800 half",
    "",
]


@pytest.mark.parametrize("name", WEIRD)
def test_weird_names_stay_in_well_formed_files(name, tmp_path):
    design = made_up.with_names(name, name, project=name)
    write_sheet(drawn_plan(design, design.storeys[0]), tmp_path / "plan", (".svg",))
    root = ElementTree.parse(tmp_path / "plan.svg").getroot()
    words = " ".join(e.text for e in root.iter(f"{SVG}text"))
    expected = " ".join(name.replace("\x00", "").replace("\x07", "").replace("\ud800", "").split())
    assert expected in words


def test_an_attempt_that_breaks_a_rule_is_drawn_apart_and_named_so(design):
    storey = design.storeys[0]
    failed = FailedRoom(room="bedroom", reason="too near to a wall", best_attempt=storey.circuits[0].laid.axis)
    with_attempt = dataclasses.replace(storey, failed=(failed,))
    plan = drawn_plan(dataclasses.replace(design, storeys=(with_attempt,)), with_attempt)
    assert any("NOT to be laid" in text for text in texts(plan))
    assert len(plan.document.modelspace().query('LWPOLYLINE[layer=="NOT-TO-LAY"]')) == 2  # the attempt and its sign
    plain = drawn_plan(design, storey)
    assert not any("NOT to be laid" in text for text in texts(plain))


def test_a_storey_with_nothing_designed_still_has_its_rooms_and_reasons(design):
    rooms = tuple(
        dataclasses.replace(room, status="not_heated", reason="left out by hand", demand=None, output=None)
        for room in design.storeys[0].rooms
    )
    rooms = tuple(dataclasses.replace(room, status=design.storeys[0].rooms[4].status) for room in rooms)
    bare = StoreyDesign(storey="storey", rooms=rooms, manifolds=(), circuits=())
    plan = drawn_plan(dataclasses.replace(design, storeys=(bare,)), bare)
    found = texts(plan)
    assert (plan.sheet.paper, plan.sheet.scale) == ("A4", 100)
    assert "3 Bath: not heated; left out by hand" in found
    assert "No floor heating on this storey: none of its rooms is to be heated." in " ".join(found)
    assert found.count("not heated") >= 10


def test_an_empty_storey_gets_a_sheet(design):
    storey = Storey(ifc_guid="empty", name="Void", elevation_m=3, placement=made_up.IDENTITY)
    empty = dataclasses.replace(design, building=made_up.building(storeys=(storey,)))
    bare = StoreyDesign(storey="empty", rooms=(), manifolds=(), circuits=())
    plan = drawn_plan(empty, bare)
    assert "Floor heating plan: Void" in texts(plan) and plan.sheet.paper == "A4"
    assert "No floor heating on this storey: the model has no rooms here." in " ".join(texts(plan))


def test_a_storey_that_is_not_in_the_building_is_refused(design):
    with pytest.raises(OutputError, match="nowhere"):
        plan_drawing(design, dataclasses.replace(design.storeys[0], storey="nowhere"))


def test_a_folder_in_the_way_is_one_clear_error(design, tmp_path):
    with pytest.raises(OutputError, match="cannot be written"):
        write_sheet(drawn_plan(design, design.storeys[0]), tmp_path / "absent" / "plan", (".svg",))


def test_writing_that_goes_on_in_another_column_stays_within_it():
    rows = tuple(Row(height=3.5, cells=(Cell(x=1.2, drop=2.6, text=str(k)),)) for k in range(100))
    block = Block(title="To order for all storeys of the whole building", rows=rows)
    placed = flow([block], 50.0, [Column(x=110.0 * k, top=280.0, bottom=10.0) for k in range(2)])
    assert placed is not None
    titles = [cell for each in placed for cell in each.row.cells if "To order" in cell.text]
    assert len(titles) == 2 and "continued" in titles[1].text
    assert all(text_width(cell.text, cell.height, bold=True) <= COLUMN_MM for cell in titles)
    assert titles[1].height < titles[0].height


def test_a_short_text_is_not_broken_between_columns():
    block = paragraphs("Cautions", ["word " * 60, "word " * 60])
    assert [len({cell.drop for cell in row.cells}) > 3 for row in block.rows] == [True, True]
    assert all(row.height >= max(cell.drop for cell in row.cells) for row in block.rows)
