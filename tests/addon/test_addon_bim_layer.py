"""With the open BIM layer: its open model is read, designed and written into, and undo takes it back.

Against a stand-in (`bim_stand_in`), because the layer is in no package registry.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from bim_stand_in import StandIn
from conftest import show

from addon import bim_layer
from addon.operators import steering
from addon.scene import manifolds, part
from ufh_core.exchange.open_model import earlier_in

SHIFT = (-100.0, -75.0, 0.0)


@pytest.fixture
def layer(host: Any, small: SimpleNamespace, monkeypatch: pytest.MonkeyPatch) -> StandIn:
    """The layer with the small house open."""
    made = StandIn(small.path, SHIFT)
    made.install(monkeypatch)
    return made


def lines(layer: StandIn) -> list[str]:
    """The open model's content."""
    return sorted(layer.file.to_string().splitlines())


def test_without_the_layer_nothing_is_offered(host: Any) -> None:
    assert not bim_layer.present()
    assert not host.ops.warmloom.read_open_model.poll()
    assert "write_into_model" not in dir(host.ops.warmloom)
    assert bim_layer.objects_of("0" * 22) == []


def test_the_open_model_is_taken_as_it_stands(layer: StandIn, host: Any) -> None:
    """Also what is not saved: a room is renamed in the open model only."""
    layer.file.by_type("IfcSpace")[0].LongName = "Studio"
    assert host.ops.warmloom.read_open_model() == {"FINISHED"}
    record = host.context.scene.warmloom
    assert "1 Studio" in [row.label for row in record.rooms]
    assert record.opened
    assert not [each for each in bpy.data.objects if each.get("ufh_kind") == "wall"]  # the layer shows its own


def test_no_open_model_is_said(layer: StandIn, host: Any) -> None:
    layer.file = None
    with pytest.raises(RuntimeError, match="no model open"):
        host.ops.warmloom.read_open_model()


def test_pipes_lie_where_the_layer_shows_the_model(layer: StandIn, host: Any, small: SimpleNamespace) -> None:
    show(host.context.scene, small, opened=True)
    bpy.context.view_layer.update()
    shown = part(host.context.scene.warmloom.shown_as, "manifolds")
    handle = next(each for each in shown.objects if manifolds.PLACE in each)
    position = small.design.storeys[0].manifolds[0].manifold.position
    world = small.building.frame.to_world(np.array([position]))[0]
    assert tuple(handle.matrix_world.translation)[:2] == pytest.approx(world + SHIFT[:2], abs=1e-4)
    assert steering.dragged(host.context.scene) == {}
    handle.location.x += 0.5
    (at,) = steering.dragged(host.context.scene).values()
    assert at == pytest.approx((world[0] + 0.5, world[1]), abs=1e-4)


def test_writing_into_the_open_model_and_taking_it_back(layer: StandIn, host: Any, small: SimpleNamespace) -> None:
    before, objects = lines(layer), len(bpy.data.objects)
    bim_layer.register()
    show(host.context.scene, small, opened=True)
    assert host.ops.warmloom.write_into_model() == {"FINISHED"}
    written = lines(layer)
    assert set(before) <= set(written)  # nothing of the architect's is changed
    assert layer.file.by_type("IfcPipeSegment") and layer.calls == ["placed"] and layer.refreshed == 1
    assert len(bpy.data.objects) > objects
    assert not part(host.context.scene.warmloom.shown_as, "flow")
    layer.undo()
    assert lines(layer) == before


def test_a_second_time_replaces_only_what_was_added(layer: StandIn, host: Any, small: SimpleNamespace) -> None:
    before = lines(layer)
    bim_layer.register()
    counts = []
    for _ in range(2):
        show(host.context.scene, small, opened=True)
        assert host.ops.warmloom.write_into_model() == {"FINISHED"}
        counts.append(len([each for each in bpy.data.objects if each.name.startswith("Ifc")]))
    assert counts[0] == counts[1]  # no object stays without its element
    once = len(earlier_in(layer.file))
    assert once == len({e.GlobalId for e in earlier_in(layer.file)}) > 0
    shown = [i for i in layer.objects if i in {e.id() for e in earlier_in(layer.file)}]
    assert shown and all(layer.objects[i].name in bpy.data.objects for i in shown)
    layer.undo()
    assert set(before) <= set(lines(layer)) and earlier_in(layer.file)
    layer.undo()
    assert lines(layer) == before


def test_a_design_of_a_file_is_not_written_into_the_open_model(layer: StandIn, host: Any, small: Any) -> None:
    bim_layer.register()
    show(host.context.scene, small)
    assert not host.ops.warmloom.write_into_model.poll()


def test_a_finding_selects_the_layer_s_object(layer: StandIn, host: Any) -> None:
    wall = layer.file.by_type("IfcWall")[0]
    host.ops.warmloom.show_element(guids=wall.GlobalId)
    assert host.context.selected_objects == [layer.objects[wall.id()]]
