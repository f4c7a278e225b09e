"""A circuit laid as a hand draws it: its way by corners, judged before anything is changed, kept by the next design."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.kept.memory import recall
from addon.kept.staying import drawn
from addon.scene import names
from addon.scene.markers import SPOT
from addon.scene.pipes import WAY
from ufh_core.exchange.design_json import design_to_json
from ufh_core.settings import read_settings

UNDO = ("EXEC_DEFAULT", True)


def record() -> Any:
    return bpy.context.scene.warmloom


def spots() -> list[Any]:
    return [o for o in bpy.data.objects if o.get(names.KIND) == SPOT and o.type == "EMPTY"]


def way_of(number: str) -> Any:
    """The curve of a circuit's way, drawn anew."""
    assert bpy.ops.warmloom.draw_way(circuit=number) == {"FINISHED"}
    (found,) = [o for o in bpy.data.objects if o.get(names.KIND) == WAY and o.get(names.NUMBER) == number]
    assert found.select_get() and bpy.context.view_layer.objects.active == found
    return found


def pushed(way: Any, by_m: float) -> int:
    """Push the longest inner run of a way sideways; which of its corners begins it."""
    points = way.data.splines[0].points
    at = np.array([p.co[:2] for p in points])
    legs = np.linalg.norm(np.diff(at, axis=0), axis=1)
    k = 2 + int(np.argmax(legs[2:-2]))
    along = (at[k + 1] - at[k]) / legs[k]
    for j in (k, k + 1):
        points[j].co.x += -along[1] * by_m
        points[j].co.y += along[0] * by_m
    return k


def paths() -> dict[str, Any]:
    results = design_to_json(recall(record().design_id).design)
    return {c["number"]: c for storey in results["storeys"] for c in storey["circuits"]}


def laid_slightly_otherwise() -> tuple[str, str, Any]:
    """Lay a circuit with one run moved by a centimetre; (its number, the message's curve, its row)."""
    for row in record().circuits:
        for by_m in (0.01, -0.01):
            way = way_of(row.label)
            pushed(way, by_m)
            try:
                if bpy.ops.warmloom.lay_as_drawn(curve=way.name, circuit=row.label) == {"FINISHED"}:
                    return row.label, way.name, row
            except RuntimeError:
                continue
    raise AssertionError("no run of any circuit may be moved by a centimetre")


def test_an_untouched_way_is_the_pipe_itself(designed: Any, host: Any) -> None:
    before = {n: c["path"] for n, c in paths().items()}
    for row in designed.circuits:
        length = row.length_m
        way_of(row.label)
        assert host.ops.warmloom.lay_as_drawn() == {"FINISHED"}
        assert row.fixed and row.length_m == pytest.approx(length, abs=1e-3)
        ends = [p if isinstance(p, list) else p["arc"][-1] for p in drawn(designed)[row.label]["path"]]
        there = [p if isinstance(p, list) else p["arc"][-1] for p in before[row.label]]
        assert np.abs(np.array(ends)[[0, -1]] - np.array(there)[[0, -1]]).max() < 1e-5
    assert not spots()


def test_a_moved_run_stays_as_drawn_through_the_next_design(designed: Any, host: Any) -> None:
    before = paths()
    number, _, row = laid_slightly_otherwise()
    way = drawn(designed)[number]["path"]
    assert row.fixed and designed.outdated and way != before[number]["path"]
    assert host.ops.warmloom.design(background=False) == {"FINISHED"}
    after = paths()[number]
    assert after["kept"] == f"{number} of the design before"
    assert len(after["path"]) == len(way) and after["length_m"] == pytest.approx(row.length_m, abs=2e-3)
    for ours, theirs in zip(after["path"], way, strict=True):
        pairs = (ours["arc"], theirs["arc"]) if isinstance(ours, dict) else ([ours], [theirs])
        assert np.abs(np.subtract(*pairs)).max() < 2e-6
    row = next(row for row in record().circuits if row.label == number)
    assert after["length_m"] == pytest.approx(row.length_m, abs=1e-3)
    assert row.fixed and not row.drawn, "the design holds it now, and it stays pinned"
    assert not [o for o in bpy.data.objects if o.get(names.KIND) == WAY]


def test_undo_takes_it_back(designed: Any, host: Any) -> None:
    name = way_of(designed.circuits[0].label).name
    host.ops.ed.undo_push(message="drawn")
    assert host.ops.warmloom.lay_as_drawn(*UNDO, curve=name) == {"FINISHED"}
    assert record().circuits[0].fixed and record().circuits[0].drawn
    host.ops.ed.undo()
    assert not record().circuits[0].fixed and not record().circuits[0].drawn


def test_the_settings_file_holds_the_drawn_way(designed: Any, host: Any, tmp_path: Any) -> None:
    import json

    number, _, _ = laid_slightly_otherwise()
    file = tmp_path / "mine.toml"
    assert host.ops.warmloom.write_settings(filepath=str(file)) == {"FINISHED"}
    (keep,) = read_settings(file).circuits.keep
    rows = json.loads((tmp_path / "mine-circuits.json").read_text())["storeys"][0]["circuits"]
    (row,) = [row for row in rows if row["number"] == number]
    assert keep.circuit == number and row["path"] == drawn(designed)[number]["path"]


def refused(says: str, **arguments: Any) -> Any:
    """What was drawn is refused with one line, a sign, and nothing changed; the sign."""
    before = [(row.label, row.fixed, row.drawn, row.length_m) for row in record().circuits]
    with pytest.raises(RuntimeError) as error:
        bpy.ops.warmloom.lay_as_drawn(**arguments)
    line = str(error.value).strip().removeprefix("Error: ")
    assert says in line and "Nothing was changed" in line and "\n" not in line
    assert [(row.label, row.fixed, row.drawn, row.length_m) for row in record().circuits] == before
    assert not record().outdated
    (spot,) = spots()
    assert spot["ufh_message"] == line
    return spot


def test_through_a_wall_it_is_refused_where_it_leaves_the_room(designed: Any, host: Any, small: Any) -> None:
    way = way_of(designed.circuits[0].label)
    west = min(p.co.x for p in way.data.splines[0].points)
    for point in way.data.splines[0].points:
        if point.co.x < west + 0.01:
            point.co.x -= 0.12
    spot = refused("too near to a wall")
    assert spot.location.x == pytest.approx(west - 0.12, abs=0.02)


def test_ends_off_their_ports_are_refused_there(designed: Any, host: Any) -> None:
    way = way_of(designed.circuits[0].label)
    end = way.data.splines[0].points[0].co
    end.x += 0.4
    at = end.copy()
    spot = refused("mm off its port of manifold M1")
    assert (spot.location.x, spot.location.y) == pytest.approx((at.x, at.y), abs=1e-3)


def test_a_corner_without_room_for_its_bend_is_refused_there(designed: Any, host: Any) -> None:
    way = way_of(designed.circuits[0].label)
    points = way.data.splines[0].points
    k = pushed(way, 0.0)
    middle = (points[k].co + points[k + 1].co) / 2
    points[k + 1].co = points[k].co + (middle - points[k].co) * 0.02
    spot = refused("takes no bend")
    assert np.hypot(spot.location.x - points[k].co.x, spot.location.y - points[k].co.y) < 0.5


def test_beside_its_own_run_or_another_pipe_it_is_refused(designed: Any, host: Any, small: Any) -> None:
    way = way_of(designed.circuits[0].label)
    pitch = small.design.storeys[0].circuits[0].laid.pitch_m
    k = pushed(way, 0.5 * pitch)
    points = way.data.splines[0].points
    spot = refused("")
    assert "its runs lie" in spot["ufh_message"] or "within" in spot["ufh_message"] or "meets" in spot["ufh_message"]
    near = np.array([[p.co.x, p.co.y] for p in points[k - 1 : k + 3]])
    low, high = near.min(axis=0) - 0.3, near.max(axis=0) + 0.3
    assert (low <= spot.location[:2]).all() and (spot.location[:2] <= high).all()


def test_too_long_a_way_is_refused(designed: Any, host: Any, small: Any) -> None:
    from dataclasses import replace

    from addon.kept.memory import Designed, remember

    design = small.design
    pipe = replace(design.settings.pipe, greatest_circuit_length_m=20.0)
    shorter = replace(design, settings=replace(design.settings, pipe=pipe))
    own = recall(designed.design_id)
    designed.design_id = remember(Designed(reading=own.reading, design=shorter, summary=own.summary))
    longest = max(designed.circuits, key=lambda row: row.length_m)
    assert longest.length_m > 20
    way_of(longest.label)
    refused("over 20 m")


def test_a_sign_goes_with_the_next_try(designed: Any, host: Any) -> None:
    way = way_of(designed.circuits[0].label)
    way.data.splines[0].points[0].co.x += 0.4
    refused("off its port")
    way.data.splines[0].points[0].co.x -= 0.4
    assert host.ops.warmloom.lay_as_drawn() == {"FINISHED"}
    assert not spots()


def test_what_is_no_way_is_told_in_one_line(designed: Any, host: Any) -> None:
    for each in bpy.context.selected_objects:
        each.select_set(False)
    with pytest.raises(RuntimeError, match="no drawn curve is selected"):
        host.ops.warmloom.lay_as_drawn()
    with pytest.raises(RuntimeError, match=r'there is no circuit "M9\.99"; the circuits are M1\.01'):
        host.ops.warmloom.draw_way(circuit="M9.99")
    way = way_of(designed.circuits[0].label)
    way.data.splines.new("POLY").points.add(2)
    with pytest.raises(RuntimeError, match="this has 2 pieces"):
        host.ops.warmloom.lay_as_drawn()


def test_a_curve_of_ones_own_with_handles_is_sampled(designed: Any, host: Any) -> None:
    """A curve with vector handles through the corners of the way is that way."""
    number = designed.circuits[0].label
    way = way_of(number)
    corners = [p.co.to_3d() for p in way.data.splines[0].points]
    data = bpy.data.curves.new("mine", "CURVE")
    data.dimensions, data.resolution_u = "3D", 1
    spline = data.splines.new("BEZIER")
    spline.bezier_points.add(len(corners) - 1)
    for point, at in zip(spline.bezier_points, corners, strict=True):
        point.co, point.handle_left_type, point.handle_right_type = at, "VECTOR", "VECTOR"
    mine = bpy.data.objects.new("mine", data)
    bpy.context.scene.collection.objects.link(mine)
    bpy.context.view_layer.update()
    assert host.ops.warmloom.lay_as_drawn(curve="mine", circuit=number) == {"FINISHED"}
    assert record().circuits[0].drawn and "mine" in bpy.data.objects
