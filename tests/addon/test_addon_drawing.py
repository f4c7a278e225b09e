"""Areas drawn over rooms are left without pipes: kept in the scene, in the settings file, and undone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from shapely.geometry import Polygon, box

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.kept.areas import rings_of, words_of
from addon.kept.choices import settings_of
from ufh_core.settings import changed_settings
from ufh_core.settings.reading import settings_from_text

UNDO = ("EXEC_DEFAULT", True)


def draw(area: Polygon, *, curve: bool = False) -> Any:
    """Draw an area of the shown plan, 10 cm over the floor, and select it alone."""
    corners = [(x, y, 0.0) for x, y in area.exterior.coords[:-1]]
    if curve:
        data = bpy.data.curves.new("drawn", "CURVE")
        data.dimensions = "3D"
        spline = data.splines.new("POLY")
        spline.points.add(len(corners) - 1)
        for point, corner in zip(spline.points, corners, strict=True):
            point.co = (*corner, 1.0)
        spline.use_cyclic_u = True
    else:
        data = bpy.data.meshes.new("drawn")
        data.from_pydata(corners, [], [list(range(len(corners)))])
    made = bpy.data.objects.new("drawn", data)
    made.location.z = 0.1
    bpy.context.scene.collection.objects.link(made)
    bpy.context.view_layer.update()
    for each in bpy.context.selected_objects:
        each.select_set(False)
    made.select_set(True)
    return made


def corner_of(small: Any) -> tuple[Any, Polygon]:
    """A room, and an area that covers a corner of it and lies half outside the house."""
    room = small.building.storeys[0].rooms[0]
    west, south, *_ = room.outline.bounds
    return room, box(west - 0.5, south - 0.5, west + 1.2, south + 0.8)


@pytest.mark.parametrize("curve", [False, True])
def test_a_drawn_area_is_left_out_in_the_model_s_coordinates(designed: Any, host: Any, small: Any, curve: bool) -> None:
    room, area = corner_of(small)
    draw(area, curve=curve)
    assert host.ops.warmloom.leave_out() == {"FINISHED"}
    (own,) = settings_of(designed).rooms.overrides
    (ring,) = own.leave_out
    assert own.match == room.ifc_guid and designed.outdated
    local = Polygon(small.building.frame.to_local(np.array(ring)))
    expected = area.intersection(room.outline)
    assert local.symmetric_difference(expected).area < 0.01 * expected.area
    assert np.abs(np.array(ring)).max() > 50  # the house stands far from the model's origin
    again = settings_from_text(changed_settings(settings_of(designed)), "written")
    assert again.rooms.overrides[0].leave_out == own.leave_out


def test_no_pipe_lies_there_after_the_next_design(designed: Any, host: Any, small: Any) -> None:
    from addon.operators.common import designed_of

    room, area = corner_of(small)
    inside = area.intersection(room.outline).buffer(-0.01)

    def pipe_m() -> float:
        circuits = designed_of(host.context.scene.warmloom).design.storeys[0].circuits
        return float(sum(c.laid.axis.line().intersection(inside).length for c in circuits))

    assert pipe_m() > 1
    draw(area)
    host.ops.warmloom.leave_out()
    host.ops.warmloom.design(background=False)
    assert pipe_m() == 0


def test_it_can_be_undone_and_forgotten(designed: Any, host: Any, small: Any) -> None:
    draw(corner_of(small)[1])
    host.ops.ed.undo_push(message="drawn")
    host.ops.warmloom.leave_out(*UNDO)
    assert any(row.leave_out for row in host.context.scene.warmloom.rooms)
    host.ops.ed.undo()
    assert not any(row.leave_out for row in host.context.scene.warmloom.rooms)
    draw(corner_of(small)[1])
    host.ops.warmloom.leave_out()
    host.ops.warmloom.heat_again()
    assert settings_of(host.context.scene.warmloom).rooms.overrides == ()


def test_what_cannot_be_used_is_said(designed: Any, host: Any) -> None:
    for each in host.context.selected_objects:
        each.select_set(False)
    with pytest.raises(RuntimeError, match="nothing drawn is selected"):
        host.ops.warmloom.leave_out()
    draw(box(500, 500, 501, 501))
    with pytest.raises(RuntimeError, match="covers no room"):
        host.ops.warmloom.leave_out()


def test_words_keep_a_millimetre_far_from_the_origin() -> None:
    ring = ((5_321_000.123, 4.5), (5_321_001.0, 4.5), (5_321_001.0, 9.876))
    assert rings_of(words_of([ring, ring])) == (ring, ring)
