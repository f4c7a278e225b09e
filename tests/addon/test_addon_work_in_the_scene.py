"""The way of the work by operators: read, design, write; and every one of them stopped, refused and undone."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from conftest import fresh_house

from addon.operators import common
from addon.operators.designing import design_order
from addon.work import desk
from addon.work.job import State
from ufh_core.exchange.design_json import design_to_json

UNDO = ("EXEC_DEFAULT", True)


def record() -> Any:
    """What the scene keeps; asked for anew after undo, which makes new data."""
    return bpy.context.scene.warmloom


def marked() -> list[str]:
    """Names of everything that was shown."""
    things = (*bpy.data.objects, *bpy.data.collections)
    return sorted(each.name for each in things if "ufh_kind" in each)


@pytest.mark.parametrize("background", [True, False], ids=["a process of its own", "in this process"])
def test_two_clicks_to_a_design(host: Any, small: SimpleNamespace, background: bool) -> None:
    assert host.ops.warmloom.read_building(filepath=str(small.path), background=background) == {"FINISHED"}
    assert [row.label for row in record().rooms] == ["1 Living room", "2 Bedroom"]
    assert marked()
    assert host.ops.warmloom.design(background=background) == {"FINISHED"}
    assert record().headline == small.summary.headline
    assert not desk.running()


def test_rows_are_what_design_json_says(designed: Any, small: SimpleNamespace) -> None:
    """Every figure in the panel, to single precision."""
    storey = design_to_json(small.design)["storeys"][0]
    rooms = {row["ifc_guid"]: row for row in storey["rooms"]}
    for row in designed.rooms:
        said = rooms[row.guid]
        gives = said["heat_output_w"] + said["tail_output_w"] - said["bare_floor_loss_w"]
        figures = (row.need_w, row.gives_w, row.area_m2)
        assert figures == pytest.approx((said["heat_demand_w"], gives, said["area_m2"]), rel=1e-5)
        assert (row.label, row.status, row.kind) == (said["name"], said["status"], said["kind"])
    circuits = {row["number"]: row for row in storey["circuits"]}
    assert [row.label for row in designed.circuits] == list(circuits)
    keys = ("length_m", "pitch_m", "heat_output_w", "pressure_drop_pa")
    for row in designed.circuits:
        said = circuits[row.label]
        figures = (row.length_m, row.pitch_m, row.output_w, row.drop_pa)
        assert figures == pytest.approx([said[key] for key in keys], rel=1e-5)
        assert row.setting == said["valve_setting"]
    pipes = {p["ufh_number"]: p["ufh_length_m"] for p in bpy.data.objects if p.get("ufh_kind") == "pipe"}
    assert pipes == pytest.approx({number: said["length_m"] for number, said in circuits.items()}, rel=1e-6)
    for row, said in zip(designed.manifolds, storey["manifolds"], strict=True):
        figures = (row.flow_c, row.return_c, row.pump_pa)
        keys = ("flow_temperature_c", "return_temperature_c", "pump_pressure_pa")
        assert figures == pytest.approx([said[key] for key in keys], rel=1e-5)
    assert len(designed.findings) == len(design_to_json(small.design)["findings"])


def test_files_are_written_whole(designed: Any, host: Any, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert host.ops.warmloom.write_files(directory=str(folder)) == {"FINISHED"}
    written = json.loads((folder / "design.json").read_text(encoding="utf-8"))
    assert [c["number"] for c in written["storeys"][0]["circuits"]] == [row.label for row in record().circuits]
    assert {"heating.ifc", "commissioning.html"} <= {path.name for path in folder.iterdir()}
    assert Path(record().folder) == folder


def test_extras_are_written_where_wanted(designed: Any, host: Any, tmp_path: Path) -> None:
    designed.merge, designed.issues = True, "3.0"
    host.ops.warmloom.write_files(directory=str(tmp_path), background=False)
    assert {"coordinated.ifc", "coordination.bcf"} <= {path.name for path in tmp_path.iterdir()}


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda ops: ops.design(), "there is no building yet"),
        (lambda ops: ops.write_files(directory="/nowhere"), "there is no design"),
        (lambda ops: ops.read_building(filepath="/nowhere/house.ifc"), "no such file"),
        (lambda ops: ops.read_building(), "no model was named"),
        (lambda ops: ops.read_settings(filepath="/nowhere/mine.toml"), "cannot be read"),
        (lambda ops: ops.write_settings(filepath="/nowhere/mine.toml"), "cannot be written"),
        (lambda ops: ops.show_element(guids="0" * 22), "nothing of this is shown"),
        (lambda ops: ops.keep_manifolds(), "there is no design"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(host: Any, call: Any, words: str) -> None:
    with pytest.raises(RuntimeError, match=words) as caught:
        call(host.ops.warmloom)
    assert str(caught.value).startswith("Error: ")
    assert "Traceback" not in str(caught.value)
    assert len(str(caught.value).strip().splitlines()) == 1


def test_a_broken_file_changes_nothing(designed: Any, host: Any, tmp_path: Path) -> None:
    broken = tmp_path / "broken.ifc"
    broken.write_text("ISO-10303-21;\n", encoding="utf-8")
    before, shown = [row.label for row in record().rooms], marked()
    with pytest.raises(RuntimeError, match="cut off"):
        host.ops.warmloom.read_building(filepath=str(broken))
    assert [row.label for row in record().rooms] == before
    assert marked() == shown
    assert record().headline


def test_undo_brings_back_what_was_before(host: Any, small: SimpleNamespace, tmp_path: Path) -> None:
    host.ops.warmloom.read_building(*UNDO, filepath=str(small.path), background=False)
    host.ops.warmloom.design(*UNDO, background=False)
    designed_id, shown = record().design_id, marked()
    host.ops.warmloom.read_building(*UNDO, filepath=str(fresh_house(tmp_path)), background=False)
    assert not record().design_id
    host.ops.ed.undo()
    assert record().design_id == designed_id
    assert common.designed_of(record()).summary.headline == record().headline == small.summary.headline
    assert marked() == shown
    host.ops.ed.undo()
    assert not record().design_id and record().rooms and not record().circuits
    host.ops.ed.undo()
    assert not record().rooms and not marked()
    host.ops.ed.redo()
    assert record().rooms and marked()


def test_removing_and_undoing_it(designed: Any, host: Any) -> None:
    shown = marked()
    host.ops.warmloom.remove_building(*UNDO)
    assert not marked() and not record().rooms and not record().findings
    host.ops.ed.undo()
    assert marked() == shown and record().headline


def test_stopping_a_design_changes_nothing(designed: Any, host: Any) -> None:
    before = record().design_id
    desk.begin(design_order(host.context.scene, ()))
    assert host.ops.warmloom.stop() == {"FINISHED"}
    assert desk.finish() is State.STOPPED
    assert record().design_id == before
    assert not host.ops.warmloom.stop.poll()


def test_a_design_of_a_building_that_is_gone_is_dropped(designed: Any, host: Any) -> None:
    order = design_order(host.context.scene, ())
    host.ops.warmloom.remove_building()
    with pytest.raises(common.UfhError, match="another building was read meanwhile"):
        order.take((None, None))


def test_a_scene_that_is_gone_is_said(designed: Any, host: Any) -> None:
    other = host.data.scenes.new("Other")
    take = common.taker(other, lambda scene, answer: None)
    host.data.scenes.remove(other)
    with pytest.raises(common.UfhError, match="gone"):
        take(None)


def test_the_blend_keeps_choices_and_rows_but_no_result(designed: Any, host: Any, tmp_path: Path) -> None:
    designed.basis.flow_c_given, designed.basis.flow_c = True, 37.5
    designed.rooms[1].heat = "no"
    headline, shown = designed.headline, marked()
    host.ops.wm.save_as_mainfile(filepath=str(tmp_path / "house.blend"))
    import addon

    addon.memory.forget_all()  # as in another session
    host.ops.wm.open_mainfile(filepath=str(tmp_path / "house.blend"))
    assert record().headline == headline and marked() == shown
    assert record().basis.flow_c == 37.5 and record().rooms[1].heat == "no"
    with pytest.raises(RuntimeError, match="read the building again"):
        host.ops.warmloom.design()


def test_finding_its_element(designed: Any, host: Any) -> None:
    guid = designed.rooms[0].guid
    assert host.ops.warmloom.show_element(guids=guid) == {"FINISHED"}
    assert {each["ufh_guid"] for each in host.context.selected_objects} == {guid}


def test_a_design_of_some_storeys_that_are_not_there(designed: Any, host: Any) -> None:
    with pytest.raises(RuntimeError, match='no storey "Attic"'):
        host.ops.warmloom.design(storeys="Attic")


def test_the_example_is_bundled(host: Any) -> None:
    assert host.ops.warmloom.read_example() == {"FINISHED"}
    assert Path(record().model_path).name == "bungalow.ifc"
    assert sum(row.heated for row in record().rooms) == 9
