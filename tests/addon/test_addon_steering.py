"""Steering: what is dragged stays where it was put, in the model's coordinates, and can be undone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.kept.choices import place_of, settings_of
from addon.operators import steering
from addon.scene import manifolds, part

UNDO = ("EXEC_DEFAULT", True)


def empty(scene: Any) -> Any:
    """The first manifold's handle."""
    shown = part(scene.warmloom.shown_as, "manifolds")
    return next(each for each in shown.objects if manifolds.PLACE in each)


def drag(scene: Any, to: tuple[float, float]) -> None:
    """Put the first manifold's handle to a point of the plan [m]."""
    handle = empty(scene)
    handle.location = (*to, handle.location.z)
    bpy.context.view_layer.update()


def other_room(small: Any, designed: Any) -> tuple[float, float]:
    """A point of the plan [m] in the room where the first manifold does not stand, by a wall."""
    storey = small.building.storeys[0]
    away = next(room for room in storey.rooms if room.label != designed.manifolds[0].room)
    left, _, right, _ = away.outline.bounds
    middle = away.outline.centroid
    neighbour = next(room for room in storey.rooms if room is not away).outline.centroid
    return (right - 0.1 if middle.x > neighbour.x else left + 0.1, middle.y)


def test_nothing_dragged_nothing_kept(designed: Any, host: Any) -> None:
    with pytest.raises(RuntimeError, match="no manifold was dragged"):
        host.ops.warmloom.keep_manifolds()
    assert settings_of(designed).manifold.places == ()


def test_a_dragged_manifold_is_given_in_the_model_s_coordinates(designed: Any, host: Any, small: Any) -> None:
    at = other_room(small, designed)
    drag(host.context.scene, at)
    host.ops.ed.undo_push(message="dragged")
    host.ops.warmloom.keep_manifolds(*UNDO)
    (place,) = settings_of(host.context.scene.warmloom).manifold.places
    expected = small.building.frame.to_world(np.array([at]))[0]
    assert place.at == pytest.approx(tuple(expected), abs=2e-3)
    assert np.hypot(*place.at) > 50  # the house stands far from the model's origin
    assert host.context.scene.warmloom.outdated
    host.ops.ed.undo()
    assert settings_of(host.context.scene.warmloom).manifold.places == ()


def test_the_next_design_stands_there(designed: Any, host: Any, small: Any) -> None:
    at, room_before = other_room(small, designed), designed.manifolds[0].room
    drag(host.context.scene, at)
    host.ops.warmloom.keep_manifolds()
    host.ops.warmloom.design(background=False)
    again = host.context.scene.warmloom.manifolds[0]
    now = small.building.frame.to_local(np.array([place_of(again.at)]))[0]
    assert np.hypot(*(now - at)) < 1.5
    assert again.fixed and again.room != room_before
    assert steering.dragged(host.context.scene) == {}


def test_free_manifolds_are_sited_again(designed: Any, host: Any) -> None:
    designed.manifolds[0].fixed = True
    host.ops.ed.undo_push(message="fixed")
    host.ops.warmloom.free_manifolds(*UNDO)
    assert not host.context.scene.warmloom.manifolds[0].fixed
    host.ops.ed.undo()
    assert host.context.scene.warmloom.manifolds[0].fixed


def test_following_waits_until_it_lies_still_and_only_where_wanted(
    designed: Any, host: Any, small: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    at, before = other_room(small, designed), designed.manifolds[0].at
    calls: list[str] = []
    monkeypatch.setattr("addon.operators.common.on_screen", lambda: True)
    monkeypatch.setattr(steering, "design_where_dragged", lambda *_: calls.append("design"))
    drag(host.context.scene, at)
    assert not host.app.timers.is_registered(steering.design_again)
    designed.follow = True
    drag(host.context.scene, (at[0], at[1] + 0.5))
    assert host.app.timers.is_registered(steering.design_again)
    steering.design_again()
    assert calls == ["design"]
    assert host.context.scene.warmloom.manifolds[0].at != before
    steering.unwatch()
    assert not host.app.timers.is_registered(steering.design_again)
