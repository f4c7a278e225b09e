"""Steering: a manifold that was dragged stays where it was put, and the pipes are laid again from there."""

from collections.abc import Iterator

import bpy
import numpy as np
from bpy.app.handlers import persistent
from mathutils import Matrix

from ufh_core.basis.errors import UfhError

from ..kept.choices import place_of, place_words
from ..kept.memory import Designed, recall
from ..scene import names, part
from ..work import desk
from .common import Told, designed_of

MOVED_M = 0.02
"""A manifold that stands nearer to where it was designed was not dragged."""
SETTLE_S = 0.7
"""How long a manifold must lie still before the pipes are laid again."""


def handles(scene: bpy.types.Scene) -> dict[str, bpy.types.Object]:
    """The empties by which manifolds are dragged, by the manifold's name."""
    shown = part(scene.warmloom.shown_as, "manifolds")
    found = shown.objects if shown is not None else ()
    return {each[names.NUMBER]: each for each in found if each.type == "EMPTY" and names.NUMBER in each}


def dragged(scene: bpy.types.Scene) -> dict[str, tuple[float, float]]:
    """Places in the model's plan [m] of manifolds that stand elsewhere than designed, by name."""
    designed = recall(scene.warmloom.design_id)
    empties = handles(scene) if designed is not None else {}
    rows = {row.label: row for row in scene.warmloom.manifolds if row.at}
    places = {name: _in_model(each, designed) for name, each in empties.items() if name in rows}
    return {name: at for name, at in places.items() if np.hypot(*np.subtract(at, place_of(rows[name].at))) > MOVED_M}


def _in_model(empty: bpy.types.Object, designed: Designed) -> tuple[float, float]:
    """Where an empty stands in the model's plan [m]."""
    building = designed.reading.building
    where = _to_plan(designed) @ empty.matrix_basis.translation
    x, y = building.frame.to_world(np.array([[where.x, where.y]]))[0]
    return float(x), float(y)


def _to_plan(designed: Designed) -> Matrix:
    """From the scene to the plan frame."""
    if not designed.reading.opened:
        return Matrix.Identity(4)
    from .. import bim_layer

    return bim_layer.placement(designed.reading.building.frame).inverted()


class WARMLOOM_OT_keep_manifolds(Told, bpy.types.Operator):
    """Take over where manifolds were dragged to in the scene: the next design puts each on the nearest free wall.
    The other manifolds of that storey stay where they stand
    """

    bl_idname = "warmloom.keep_manifolds"
    bl_label = "Take over dragged manifolds"
    bl_options = {"REGISTER", "UNDO"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Note the new places."""
        try:
            designed_of(context.scene.warmloom)
        except UfhError as error:
            return self.told(error)
        moved = dragged(context.scene)
        if not moved:
            return self.told(UfhError("no manifold was dragged; drag the cross at a manifold along the floor first"))
        self.report({"INFO"}, f"{', '.join(sorted(moved))}: stays where it was dragged to; design again")
        keep(context.scene, moved)
        return {"FINISHED"}


def keep(scene: bpy.types.Scene, moved: dict[str, tuple[float, float]]) -> None:
    """Fix manifolds at their new places, and the other ones of their storeys where they stand."""
    record = scene.warmloom
    storeys = {row.storey for row in record.manifolds if row.label in moved}
    for row in record.manifolds:
        if row.storey in storeys:
            row.fixed = True
        if row.label in moved:
            row.at = place_words(moved[row.label])


class WARMLOOM_OT_free_manifolds(bpy.types.Operator):
    """Let the next design choose the places of all manifolds again"""

    bl_idname = "warmloom.free_manifolds"
    bl_label = "Free all manifolds"
    bl_options = {"REGISTER", "UNDO"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Forget the places."""
        for row in context.scene.warmloom.manifolds:
            row.fixed = False
        return {"FINISHED"}


@persistent
def _scene_changed(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """Look whether a manifold was dragged, when it has lain still for a while."""
    record = scene.warmloom
    if not (record.follow and record.design_id) or desk.running() or bpy.app.background:
        return
    if any(_is_handle(update.id) for update in depsgraph.updates if update.is_updated_transform):
        if bpy.app.timers.is_registered(_design_again):
            bpy.app.timers.unregister(_design_again)
        bpy.app.timers.register(_design_again, first_interval=SETTLE_S)


def _is_handle(changed: bpy.types.ID) -> bool:
    return isinstance(changed, bpy.types.Object) and changed.type == "EMPTY" and names.NUMBER in changed


def _design_again() -> None:
    """Take over what was dragged and design again, in every scene that wants it."""
    for window, scene in _followed():
        moved = dragged(scene)
        if moved and not desk.running():
            keep(scene, moved)
            with bpy.context.temp_override(window=window, scene=scene):
                bpy.ops.warmloom.design("INVOKE_DEFAULT")


def _followed() -> Iterator[tuple[bpy.types.Window, bpy.types.Scene]]:
    for window in bpy.context.window_manager.windows:
        if window.scene.warmloom.follow:
            yield window, window.scene


def watch() -> None:
    """Begin to look at what the user drags."""
    bpy.app.handlers.depsgraph_update_post.append(_scene_changed)


def unwatch() -> None:
    """Stop looking."""
    if _scene_changed in bpy.app.handlers.depsgraph_update_post:
        bpy.app.handlers.depsgraph_update_post.remove(_scene_changed)
    if bpy.app.timers.is_registered(_design_again):
        bpy.app.timers.unregister(_design_again)


CLASSES = (WARMLOOM_OT_keep_manifolds, WARMLOOM_OT_free_manifolds)
