"""Panels under the pipes of laid storeys: one grid, every heated floor covered, doors too."""

import math
from dataclasses import replace

import pytest
import shapely
from designed_models import designed_job
from panel_judge import faults, pipes_across_studs
from shapely import affinity
from shapely.geometry import box

from ufh_core.basis.pipe_axis import rounded
from ufh_core.building.read import read_building
from ufh_core.building.types import Passage
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.exchange.design_json import design_to_json
from ufh_core.panels import panel_findings, panel_size
from ufh_core.panels.floors import panel_floors
from ufh_core.panels.plan import panel_plan
from ufh_core.panels.stud_angle import between_studs, straights, stud_angle
from ufh_core.samples import sample_model
from ufh_core.settings import Settings

STUD = 0.05


@pytest.fixture(scope="module", params=["bungalow", "bay-house", "house-ifc4-m"])
def design(request, tmp_path_factory) -> Design:
    return designed_job(request.param, tmp_path_factory).design()


def test_every_storey_is_covered_by_what_can_be_cut(design):
    for storey in design.storeys:
        if storey.panels is None:
            assert not storey.circuits
            continue
        assert faults(storey.panels) == []
        heated = shapely.union_all([f.outline for c in storey.circuits for f in c.laid.fields])
        laid = shapely.union_all([p.outline for p in storey.panels.pieces])
        beside = laid.buffer(design.settings.floor.edge_strip_thickness_m * math.sqrt(2) + 1e-3)
        assert shapely.difference(heated, beside).area < 1e-3 * heated.area


def test_the_pipes_grid_is_the_panels_grid(design):
    for storey in (s for s in design.storeys if s.panels is not None):
        told = sum(length for _, length in storey.panels.off_grid_m)
        axes = [c.laid.axis for c in storey.circuits]
        across = pipes_across_studs(storey.panels, axes)
        assert across <= told + 0.5 * len(storey.panels.areas)
        assert across < 0.02 * sum(axis.length_m for axis in axes) or told > 0


def test_doors_to_where_no_panel_lies_get_none(design):
    """A threshold lies between two rooms with panels, or under a pipe."""
    for storey in (s for s in design.storeys if s.panels is not None):
        pipes = shapely.union_all([c.laid.axis.line() for c in storey.circuits])
        for area in (a for a in storey.panels.areas if a.threshold):
            assert len(area.rooms) == 2 or area.outline.buffer(0.01).intersects(pipes)


def test_little_is_wasted_in_a_dwelling(design):
    for storey in (s for s in design.storeys if s.panels is not None):
        plan = storey.panels
        assert plan.panels * plan.size.covers_m2 <= 1.15 * plan.covered_m2
        assert [share for share in plan.rooms if share.covered_m2 > 12 and share.waste > 0.06] == []


def test_the_order_and_the_results_say_what_the_plan_says(design):
    plans = [s.panels for s in design.storeys if s.panels is not None]
    (line,) = [line for line in design.take_off if "castellated" in line.item]
    assert line.net == sum(plan.panels for plan in plans) <= line.quantity
    written = [s["panels"] for s in design_to_json(design)["storeys"]]
    assert [p["count"] for p in written if "count" in p] == [plan.panels for plan in plans]
    for rows, plan in zip([p for p in written if "count" in p], plans, strict=True):
        pieces = [piece for floor in rows["floors"] for piece in floor["pieces"]]
        assert [p["number"] for p in pieces] == [p.number for p in plan.pieces]
        for row, piece in zip(pieces, plan.pieces, strict=True):
            shape = shapely.Polygon(row["outline"], row["holes"])
            assert shape.area == pytest.approx(piece.outline.area, abs=1e-4)
        assert sum(rows["rooms"][k]["laid_area_m2"] for k in range(len(rows["rooms"]))) == pytest.approx(
            rows["laid_area_m2"], rel=1e-4
        )


@pytest.mark.parametrize("angle", [0.0, math.radians(20), math.radians(-31.25)])
def test_panels_lie_under_the_angle_of_the_pipes(angle):
    """A loop on whole stud pitches, turned about the origin: studs and loop share angle and phase."""
    corners = [(1.0, 1.0), (4.0, 1.0), (4.0, 3.0), (1.5, 3.0), (1.5, 2.0), (3.0, 2.0)]
    c, s = math.cos(angle), math.sin(angle)
    axis = rounded([(c * x - s * y, s * x + c * y) for x, y in corners], 0.075)
    pipes = straights([axis])
    assert stud_angle(pipes, STUD) == pytest.approx(angle, abs=1e-9)
    floor = affinity.rotate(box(0.31, 0.47, 4.83, 3.66), angle, origin=(0, 0), use_radians=True)
    (one,) = panel_floors({"r": floor}, {"r": angle}, [], 0.008, 0.1)
    plan = panel_plan([one], {"r": floor}, panel_size(Settings()), pin_below_m2=0.25)
    assert faults(plan, one.outline) == []
    assert pipes_across_studs(plan, [axis]) == 0.0
    shifted = rounded([(c * (x + 0.02) - s * y, s * (x + 0.02) + c * y) for x, y in corners], 0.075)
    assert pipes_across_studs(plan, [shifted]) > 1.0
    assert between_studs(straights([shifted]), angle, STUD).sum() < len(straights([shifted]).length)


def test_rooms_open_to_each_other_are_one_floor_and_doors_are_their_own():
    """Two rooms that touch, and one behind a wall of 0.12 m with a door of 0.9 m."""
    rooms = {"a": box(0, 0, 4, 3), "b": box(4, 0, 7, 3), "c": box(0, 3.12, 7, 5)}
    door = Passage(
        ifc_guid="d", kind="door", outline=box(1, 3, 1.9, 3.12), direction=(0.0, 1.0), width_m=0.9, rooms=("a", "c")
    )
    floors = panel_floors(rooms, dict.fromkeys(rooms, 0.0), [door], 0.008, 0.1)
    assert [f.rooms for f in floors] == [("a", "b"), ("c",), ("a", "c")]
    threshold = floors[2]
    assert threshold.outline.bounds == pytest.approx((1.008, 2.992, 1.892, 3.128))
    plan = panel_plan(floors, rooms, panel_size(Settings()), pin_below_m2=0.25)
    assert faults(plan, shapely.union_all([f.outline for f in floors])) == []
    (piece,) = plan.areas[2].pieces
    assert sorted((piece.length_m, piece.width_m)) == pytest.approx([0.156, 0.884])  # 136 mm and a lap at both sides
    assert {share.room for share in plan.rooms if share.covered_m2 > 5} == {"a", "b", "c"}


def test_a_slot_beside_a_unit_gets_no_piece():
    """A wardrobe 50 mm off the wall: no fitter lays a strip of 42 mm behind it."""
    room = box(0, 0, 4, 3).difference(box(3.35, 0.5, 3.95, 2.5))
    (floor,) = panel_floors({"r": room}, {"r": 0.0}, [], 0.008, 0.1)
    assert floor.outline.intersection(box(3.96, 0.6, 4.0, 2.4)).is_empty
    assert floor.outline.area == pytest.approx(3.984 * 2.984 - 0.65 * 2.016, abs=1e-6)


def test_rooms_at_two_angles_share_no_floor():
    rooms = {"a": box(0, 0, 4, 3), "b": box(4, 0, 7, 3)}
    floors = panel_floors(rooms, {"a": 0.0, "b": 0.3}, [], 0.008, 0.1)
    assert [(f.rooms, f.angle_rad) for f in floors] == [(("a",), 0.0), (("b",), 0.3)]
    assert shapely.intersection(floors[0].outline, floors[1].outline).area < 1e-9
    whole = box(0, 0, 7, 3).buffer(-0.008, join_style="mitre")
    assert sum(f.outline.area for f in floors) == pytest.approx(whole.area, rel=1e-6)


def test_what_lies_across_the_studs_is_told(design):
    storey = next(s for s in design.storeys if s.panels is not None)
    room = design.building.room(storey.panels.areas[0].rooms[0])
    plan = replace(storey.panels, off_grid_m=((room.ifc_guid, 3.24),), slivers=(storey.panels.pieces[0].number,))
    found = {f.code: f for f in panel_findings(plan, [room])}
    assert found["panels.off-grid"].ifc_guids == (room.ifc_guid,)
    assert room.label in found["panels.off-grid"].message and "3.2 m" in found["panels.off-grid"].message
    assert storey.panels.pieces[0].number in found["panels.narrow-pieces"].message
    assert panel_findings(replace(plan, off_grid_m=(), slivers=()), [room]) == ()
    assert panel_findings(None, [room]) == ()


def test_a_system_without_studs_has_no_panels():
    settings = Settings()
    loose = replace(settings, layout=replace(settings.layout, stud_grid=False))
    done = design_building(read_building(sample_model("bay-house"), loose), loose)
    assert all(storey.panels is None for storey in done.storeys)
    assert not any("castellated" in line.item for line in done.take_off)
    floors = [room.build_up for storey in done.storeys for room in storey.rooms if room.build_up is not None]
    assert floors and not any(layer.role == "panel" for floor in floors for layer in floor.layers)
    assert {floor.fixing for floor in floors} == {"staples"}
    (line,) = [line for line in done.take_off if "staple" in line.item]
    laid = sum(circuit.laid.length_m for storey in done.storeys for circuit in storey.circuits)
    assert line.net == pytest.approx(laid / settings.floor.staple_spacing_m, abs=2)
    assert {storey["panels"]["fixing"] for storey in design_to_json(done)["storeys"]} == {"staples"}
