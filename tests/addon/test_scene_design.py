"""The design in the host's scene equals its results: lengths, heights, places, ids, areas, temperatures."""

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

bpy = pytest.importorskip("bpy", reason="the host's module bpy is not installed")

from scene_cases import area, corners, counts, designed, fresh_scene, length, of_kind, points

from addon import scene
from addon.scene import building as shown_building
from addon.scene import design as shown_design
from addon.scene import names, pipes, temperature
from addon.scene.manifolds import moved
from addon.scene.objects import find, find_circuit, root
from addon.scene.view import frame, show_part
from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.model_file import open_model
from ufh_core.design_result import Design
from ufh_core.exchange.design_json import design_to_json
from ufh_core.exchange.heating_model import heating_file
from ufh_core.exchange.pipe_run import circuit_run
from ufh_core.samples import sample_model


@pytest.fixture
def design() -> Design:
    fresh_scene()
    return designed()


@pytest.fixture
def shown(design: Design) -> bpy.types.Collection:
    return shown_design.show(design, design.building, name="bungalow")


def half(number: str, key: str) -> bpy.types.Object:
    (found,) = [each for each in find_circuit(number) if each["ufh_half"] == key]
    return found


def test_parts_are_in_their_order_and_what_would_cover_others_is_hidden(shown: bpy.types.Collection) -> None:
    assert [(c["ufh_part"], c.name) for c in shown.children] == list(names.PARTS)
    assert {c["ufh_part"] for c in shown.children if c.hide_viewport} == {"panels", "surface"}
    assert all(each["ufh_kind"] for each in shown.all_objects)


def test_curves_are_as_long_as_the_circuits(design: Design, shown: bpy.types.Collection) -> None:
    written = [c for s in json.loads(json.dumps(design_to_json(design)))["storeys"] for c in s["circuits"]]
    assert len(of_kind(shown.all_objects, "pipe")) == 2 * len(written) > 20
    for row, circuit in zip(written, (c for s in design.storeys for c in s.circuits), strict=True):
        parts = [half(row["number"], key) for key in ("flow", "return")]
        drawn = sum(length(points(each.data)[0]) for each in parts)
        assert drawn == pytest.approx(row["length_m"], rel=1e-3)
        assert drawn == pytest.approx(circuit.laid.length_m, rel=2e-2)  # risers with sharp feet
        for each in parts:
            assert each["ufh_length_m"] == pytest.approx(row["length_m"], abs=1e-6)
            assert each["ufh_mass_flow_kg_s"] == pytest.approx(row["mass_flow_kg_s"], abs=1e-6)
            assert each["ufh_valve_setting"] == row["valve_setting"]


def test_curves_run_from_port_to_port_on_the_axis_at_the_pipe_s_height(
    design: Design, shown: bpy.types.Collection
) -> None:
    settings = design.settings
    for storey in design.storeys:
        ports = {(m.manifold.name, p.number): p for m in storey.manifolds for p in m.manifold.ports}
        floors = {r.ifc_guid: r.floor_m for s in design.building.storeys for r in s.rooms}
        height = next(r.build_up.pipe_axis_m for r in storey.rooms if r.build_up)
        for circuit in storey.circuits:
            laid = circuit.laid
            flow, back = (points(half(laid.number, key).data)[0] for key in ("flow", "return"))
            floor = floors[next(m.manifold.room for m in storey.manifolds if m.manifold.name == laid.manifold)]
            port = ports[laid.manifold, laid.port]
            top = floor + settings.manifold.flow_bar_height_m
            assert flow[0] == pytest.approx([*port.flow, top], abs=2e-5)
            assert back[-1] == pytest.approx([*port.return_, floor + settings.manifold.return_bar_height_m], abs=2e-5)
            assert flow[-1] == pytest.approx(back[0], abs=2e-5)
            assert flow[-1, 2] == pytest.approx(height, abs=2e-5)
            # Outside: plan distance from the laid axis, whose own chords stray by less than half a millimetre.
            off = shapely.distance(laid.axis.line(), shapely.points(np.vstack([flow, back])[:, :2]))
            assert off.max() < 1e-3
            assert np.vstack([flow, back])[:, 2].min() == pytest.approx(height, abs=2e-5)
            middle = laid.axis.line().interpolate(0.5, normalized=True)
            assert middle.distance(shapely.Point(flow[-1])) < 0.02


def test_pipes_have_their_true_diameter_and_only_the_return_half_wears_rings(
    design: Design, shown: bpy.types.Collection
) -> None:
    for each in of_kind(shown.all_objects, "pipe"):
        assert each.data.bevel_depth == pytest.approx(design.settings.pipe.outside_diameter_m / 2)
        places, thickness = points(each.data)
        if each["ufh_half"] == "flow":
            assert set(thickness) == {1.0}
        else:
            widths = np.linalg.norm(np.diff(places, axis=0), axis=1)
            ringed = widths[(thickness[1:] > 1) & (thickness[:-1] > 1)].sum()
            assert 0.1 < ringed / widths.sum() < 0.25
            assert thickness.min() == 1.0 and 1.3 < thickness.max() < 2


def test_arcs_stay_within_a_millimetre(design: Design) -> None:
    arcs = 0
    for storey in design.storeys:
        for circuit in storey.circuits:
            line = shapely.LineString(pipes.run_points(circuit_run(design, storey, circuit))[:, :2])
            for piece in circuit.laid.axis.pieces[1:-1]:
                middle = getattr(piece, "middle", None)
                if middle is not None:
                    arcs += 1
                    assert line.distance(shapely.Point(middle)) < 1e-3
    assert arcs > 200


def test_ids_are_those_of_the_heating_model(design: Design) -> None:
    source = open_model(sample_model("bungalow")).model
    project = source.by_type("IfcProject")[0].GlobalId
    shown_design.show(design, design.building, name="bungalow", project_guid=project)
    model = heating_file(design, source)
    for pipe in model.by_type("IfcPipeSegment"):
        assert {each["ufh_number"] for each in find(pipe.GlobalId)} == {pipe.Tag}
        assert len(find(pipe.GlobalId)) == 2
    for assembly in (each for each in model.by_type("IfcElementAssembly") if each.Name.startswith("M")):
        assert {each["ufh_number"] for each in find(assembly.GlobalId)} == {assembly.Name}
    zones = {zone.GlobalId for zone in model.by_type("IfcSpatialZone")}
    assert zones == {each["ufh_guid"] for each in scene.part("bungalow", "fields").objects}


def test_fields_and_panels_have_their_areas(design: Design, shown: bpy.types.Collection) -> None:
    for circuit in (c for s in design.storeys for c in s.circuits):
        mine = [o for o in of_kind(shown.all_objects, "field") if o["ufh_number"] == circuit.laid.number]
        assert len(mine) == len(circuit.laid.fields)
        assert sum(area(o.data) for o in mine) == pytest.approx(circuit.laid.heated_area_m2, rel=1e-3)
    plans = {s.storey: s.panels for s in design.storeys if s.panels}
    meshes = of_kind(shown.all_objects, "panels")
    assert {o["ufh_storey"] for o in meshes} == set(plans)
    for shown_panels in meshes:
        plan = plans[shown_panels["ufh_storey"]]
        assert area(shown_panels.data) == pytest.approx(plan.covered_m2, rel=1e-3)
        whole = sum(p.outline.area for p in plan.pieces if p.whole and not p.pin)
        assert area(shown_panels.data, [0]) == pytest.approx(whole, rel=0.03)


def test_every_cell_shows_its_temperature_at_its_place(design: Design, shown: bpy.types.Collection) -> None:
    (result,) = design.storeys
    field = result.surface
    (floor,) = of_kind(shown.all_objects, "surface")
    mesh, count = floor.data, int(np.isfinite(field.surface_c).sum())
    shown_c = np.empty(count, dtype=np.float32)
    mesh.attributes["surface_c"].data.foreach_get("value", shown_c)
    assert len(mesh.polygons) == count > 50_000
    middles = np.empty(count * 3, dtype=np.float32)
    mesh.polygons.foreach_get("center", middles)
    middles = middles.reshape(-1, 3)
    column, row = np.floor((middles[:, :2] - field.corner) / field.cell_m).astype(int).T
    assert (shown_c == field.surface_c[row, column]).all()
    tops = {r.room: r.build_up.layers[-1].top_m for r in result.rooms if r.build_up}
    wanted = np.array([tops[guid] for guid in field.floors])[field.room_index[row, column]]
    assert middles[:, 2] == pytest.approx(wanted, abs=1e-4)
    assert area(mesh) == pytest.approx(count * field.cell_m**2, rel=1e-3)
    normals = np.empty(count * 3, dtype=np.float32)
    mesh.polygons.foreach_get("normal", normals)
    assert normals[2::3].min() > 0.99


def test_colours_of_cells_darken_with_their_temperature(design: Design, shown: bpy.types.Collection) -> None:
    (floor,) = of_kind(shown.all_objects, "surface")
    mesh = floor.data
    shown_c = np.empty(len(mesh.polygons), dtype=np.float32)
    mesh.attributes["surface_c"].data.foreach_get("value", shown_c)
    slots = np.empty(len(mesh.polygons), dtype=np.int32)
    mesh.polygons.foreach_get("material_index", slots)
    light = np.array([0.2126, 0.7152, 0.0722, 0.0])  # relative luminance of linear light, IEC 61966-2-1
    by_slot = [float(np.array(m.diffuse_color) @ light) for m in mesh.materials]
    assert len(by_slot) == 32 and all(a > b for a, b in pairwise(by_slot))
    order = np.argsort(shown_c)
    assert (np.diff(slots[order]) >= 0).all() and len(set(slots)) > 20
    colours = np.empty(len(mesh.loops) * 4, dtype=np.float32)
    mesh.color_attributes.active_color.data.foreach_get("color", colours)
    corner_light = colours.reshape(-1, 4, 4) @ light
    assert np.ptp(corner_light, axis=1).max() == 0
    assert np.diff(corner_light[order, 0]).max() < 0.004  # the palette is in whole steps of the screen
    assert corner_light.max() - corner_light.min() > 0.4


def test_the_legend_says_the_degrees_of_the_scale(design: Design, shown: bpy.types.Collection) -> None:
    (floor,) = of_kind(shown.all_objects, "surface")
    low, high = floor["ufh_scale_c"]
    field = design.storeys[0].surface
    assert low <= min(r.coldest_c for r in field.rooms) < max(r.peak_c for r in field.rooms) <= high
    legend = of_kind(shown.all_objects, "legend")
    words = {o.data.body: o.location for o in legend if o.type == "FONT"}
    assert {"surface, °C", f"{low:.0f}", f"{high:.0f}"} <= set(words)
    (bar,) = [o for o in legend if o.type == "MESH"]
    scale = corners(bar.data)
    bottom, top = scale[:, 1].min() + 0.02, scale[:, 1].max() - 0.02
    assert words[f"{low:.0f}"].y == pytest.approx(bottom, abs=1e-4)
    assert words[f"{high:.0f}"].y == pytest.approx(top, abs=1e-4)
    assert scale[:, 0].min() > corners(floor.data)[:, 0].max() + 0.2


def test_rooms_show_their_figures_on_a_ground_that_holds_them(design: Design, shown: bpy.types.Collection) -> None:
    show_part("bungalow", "surface", True)
    bpy.context.view_layer.update()
    rooms = {r.room: r for r in design.storeys[0].surface.rooms}
    labels = {r.ifc_guid: r.label for r in design.building.storeys[0].rooms}
    outlines = {r.ifc_guid: r.outline for r in design.building.storeys[0].rooms}
    words = {o["ufh_room"]: o for o in of_kind(shown.all_objects, "figures")}
    grounds = {o["ufh_room"]: o for o in of_kind(shown.all_objects, "figures_ground")}
    assert set(words) == set(grounds) == set(rooms)
    for guid, room in rooms.items():
        figures = [f"mean {room.mean_c:.1f} °C", f"peak {room.peak_c:.1f} °C"]
        assert words[guid].data.body.split("\n") == [labels[guid], *figures]
        assert outlines[guid].contains(shapely.Point(words[guid].location[:2]))
        ground = corners(grounds[guid].data)
        assert (np.array(words[guid].dimensions[:2]) <= np.ptp(ground, axis=0)[:2]).all()
        assert ground.mean(axis=0)[:2] == pytest.approx(words[guid].location[:2], abs=1e-4)
        assert words[guid].dimensions.x > 0.3 < words[guid].dimensions.y


def test_coarser_cells_lose_no_hot_place() -> None:
    values = np.full((5, 7), 20, dtype=np.float32)
    values[0, 0], values[4, 6], values[:2, 2:4] = 31, 33, np.nan
    rooms = np.zeros((5, 7), dtype=np.int32)
    rooms[:2, 2:4] = -1
    rooms[4, 6] = 1
    coarse, whose = temperature.coarser(values, rooms, 2)
    assert coarse.shape == whose.shape == (3, 4)
    assert coarse[0, 0] == 31 and coarse[2, 3] == 33 and np.isnan(coarse[0, 1]) and coarse[1, 1] == 20
    assert whose[2, 3] == 1 and whose[0, 1] == -1 and whose[0, 0] == 0


def test_a_large_storey_is_shown_in_fewer_cells(design: Design, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(temperature, "MOST_CELLS", 20_000)
    top = shown_design.show(design, design.building, name="bungalow")
    (floor,) = of_kind(top.all_objects, "surface")
    assert len(floor.data.polygons) < 30_000 and floor["ufh_cell_m"] > design.storeys[0].surface.cell_m
    shown_c = [each.value for each in floor.data.attributes["surface_c"].data]
    assert max(shown_c) == pytest.approx(float(np.nanmax(design.storeys[0].surface.surface_c)))
    bounds = corners(floor.data)
    field = design.storeys[0].surface
    known = np.flatnonzero(np.isfinite(field.surface_c).any(axis=0)) * field.cell_m + field.corner[0]
    assert bounds[:, 0].min() == pytest.approx(known.min(), abs=0.1)
    assert bounds[:, 0].max() == pytest.approx(known.max(), abs=0.1)


def test_findings_stand_at_their_places_with_the_severity_in_shape_and_word(design: Design) -> None:
    placed = Finding(code="test.here", severity=Severity.ERROR, message="here\nand there", at=(93.0, 87.5))
    changed = replace(design, findings=(*design.findings, placed, placed))
    top = shown_design.show(changed, design.building, name="bungalow")
    marks = {o["ufh_number"]: o for o in of_kind(top.all_objects, "finding")}
    assert sorted(marks) == list(range(1, len(changed.findings) + 1))
    last = len(changed.findings)
    assert marks[last - 1].location[:2] == pytest.approx((93.0, 87.5), abs=1e-4)
    assert (marks[last].location - marks[last - 1].location).length > 0.2
    spots = {tuple(np.round(o.location, 3)) for o in marks.values()}
    assert len(spots) == len(marks)
    signs = {o["ufh_number"]: len(o.data.vertices) for o in of_kind(top.all_objects, "finding_sign")}
    words = {o["ufh_number"]: o.data.body for o in of_kind(top.all_objects, "finding_words")}
    for number, finding in enumerate(changed.findings, start=1):
        assert words[number] == f"{finding.severity} {number}"
        assert "\n" not in marks[number]["ufh_message"] and marks[number]["ufh_code"] == finding.code
        assert signs[number] == {"error": 4, "warning": 3, "note": 24}[finding.severity]
        shape = {"error": "CUBE", "warning": "CONE", "note": "SPHERE"}[finding.severity]
        assert marks[number].empty_display_type == shape
        if finding.at is not None and number != last:
            assert marks[number].location[:2] == pytest.approx(finding.at, abs=1e-4)


def test_a_dragged_manifold_is_told_with_its_place_in_the_model(design: Design, shown: bpy.types.Collection) -> None:
    assert moved("bungalow") == [] and moved("nobody") == []
    empties = {o["ufh_number"]: o for o in of_kind(shown.all_objects, "manifold")}
    results = {m.manifold.name: m.manifold for s in design.storeys for m in s.manifolds}
    assert set(empties) == set(results)
    for name, empty in empties.items():
        assert empty.type == "EMPTY" and empty.location[:2] == pytest.approx(results[name].position, abs=1e-5)
    first, second = sorted(empties)
    empties[first].location.x += 0.5
    (body,) = [o for o in empties[second].children if o["ufh_kind"] == "manifold_body"]
    body.location.y -= 0.25
    found = {each.name: each for each in moved("bungalow")}
    x, y = results[first].position
    assert found[first].at_plan == pytest.approx((x + 0.5, y), abs=1e-4)
    assert found[second].at_plan == pytest.approx((results[second].position[0], results[second].position[1] - 0.25))
    world = design.building.frame.to_world(np.array([[x + 0.5, y]]))[0]
    assert found[first].at_world == pytest.approx(tuple(world), abs=1e-4)
    assert found[first].storey == design.storeys[0].storey


def test_a_manifold_s_body_stands_in_its_cabinet(design: Design, shown: bpy.types.Collection) -> None:
    bpy.context.view_layer.update()
    for result in design.storeys[0].manifolds:
        manifold = result.manifold
        (body,) = [o for o in of_kind(shown.all_objects, "manifold_body") if o["ufh_number"] == manifold.name]
        at = corners(body.data) + np.array(body.matrix_world.translation)
        assert manifold.cabinet.buffer(0.02).contains(shapely.MultiPoint(at[:, :2]))
        settings = design.settings.manifold
        floor = next(r.floor_m for r in design.building.storeys[0].rooms if r.ifc_guid == manifold.room)
        assert at[:, 2].min() == pytest.approx(floor, abs=1e-4)
        assert at[:, 2].max() == pytest.approx(floor + settings.cabinet_height_m, abs=1e-4)
        heights = (floor + settings.flow_bar_height_m, floor + settings.return_bar_height_m)
        for port in manifold.ports:
            for point, height in zip((port.flow, port.return_), heights, strict=True):
                assert np.linalg.norm(at - (*point, height), axis=1).min() < 0.015


def test_showing_again_replaces_keeps_what_is_hidden_and_clearing_leaves_nothing(design: Design) -> None:
    empty = counts()
    shown_building.show(design.building, name="bungalow")
    only_building = counts()
    shown_design.show(design, design.building, name="bungalow")
    first = counts()
    show_part("bungalow", "flow", False)
    show_part("bungalow", "panels", True)
    shown_design.show(design, design.building, name="bungalow")
    assert counts() == first
    assert scene.part("bungalow", "flow").hide_viewport and not scene.part("bungalow", "panels").hide_viewport
    shown_design.show(design, design.building, name="variant")
    assert len(find_circuit("M1.01")) == 4 and len(find_circuit("M1.01", "variant")) == 2
    scene.clear("variant")
    assert counts() == first and root(names.DESIGN, "variant") is None
    bare = replace(design, storeys=(), findings=())
    shown_design.show(bare, design.building, name="bungalow")
    assert len(scene.part("bungalow", "flow").objects) == 0
    scene.clear("bungalow")
    assert counts() == empty != only_building


def test_a_pipe_that_is_being_edited_is_replaced_too(design: Design) -> None:
    for _ in range(2):
        shown_design.show(design, design.building, name="bungalow")
        frame(find_circuit("M1.01"))
        assert bpy.ops.object.mode_set(mode="EDIT") == {"FINISHED"}
    scene.clear("bungalow")
    assert bpy.context.mode == "OBJECT" and not bpy.data.objects


def test_it_is_found_again_in_a_saved_file(design: Design, tmp_path: Path) -> None:
    shown_building.show(design.building, name="bungalow")
    shown_design.show(design, design.building, name="bungalow")
    first = counts()
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "house.blend"))
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "house.blend"))
    shown_building.show(design.building, name="bungalow")
    shown_design.show(design, design.building, name="bungalow")
    assert counts() == first and len(find_circuit("M1.01", "bungalow")) == 2


def test_a_design_without_panels_surface_or_manifolds_is_shown(design: Design) -> None:
    (storey,) = design.storeys
    bare = replace(
        design, storeys=(replace(storey, panels=None, surface=None, manifolds=(), circuits=()),), findings=()
    )
    top = shown_design.show(bare, design.building, name="bare")
    assert not top.all_objects
