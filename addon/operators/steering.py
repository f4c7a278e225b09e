"""Steering: a manifold that was dragged stays where it was put, and the pipes are laid again from there."""

import bpy
import numpy as np
from bpy.app.handlers import persistent

from ufh_core.basis.errors import UfhError

from .. import bim_layer
from ..kept.choices import place_words
from ..kept.memory import Designed, recall
from ..scene import manifolds, names, part
from ..work import desk
from . import common
from .common import Told, designed_of

SETTLE_S = 0.7
"""How long a manifold must lie still before the pipes are laid again."""


def dragged(scene: bpy.types.Scene) -> dict[str, tuple[float, float]]:
    """Places in the model's plan [m] of manifolds that stand elsewhere than designed, by name."""
    designed = recall(scene.warmloom.design_id)
    if designed is None:
        return {}
    if designed.reading.opened:
        return _dragged_in_layer(scene, designed)
    return {each.name: each.at_world for each in manifolds.moved(scene.warmloom.shown_as)}


def _dragged_in_layer(scene: bpy.types.Scene, designed: Designed) -> dict[str, tuple[float, float]]:
    """The same where the BIM layer says where the model lies in the scene."""
    shown, frame = part(scene.warmloom.shown_as, "manifolds"), designed.reading.building.frame
    to_plan = bim_layer.placement(frame).inverted()
    found = {}
    for empty in (each for each in (shown.objects if shown else ()) if manifolds.PLACE in each):
        at = to_plan @ empty.matrix_basis.translation
        if np.hypot(at.x - empty[manifolds.PLACE][0], at.y - empty[manifolds.PLACE][1]) > manifolds.MOVED_M:
            x, y = frame.to_world(np.array([[at.x, at.y]]))[0]
            found[empty[names.NUMBER]] = (float(x), float(y))
    return found


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
    if not (record.follow and record.design_id and common.on_screen()) or desk.running():
        return
    if any(_is_manifold(update.id) for update in depsgraph.updates if update.is_updated_transform):
        _forget_timer()
        bpy.app.timers.register(design_again, first_interval=SETTLE_S)


def _is_manifold(changed: bpy.types.ID) -> bool:
    """Whether it is a manifold's handle or its body."""
    return isinstance(changed, bpy.types.Object) and (
        manifolds.PLACE in changed or changed.get(names.KIND) == "manifold_body"
    )


def design_again() -> None:
    """Take over what was dragged and design again, in every scene that wants it."""
    for window in bpy.context.window_manager.windows:
        scene = window.scene
        moved = dragged(scene) if scene.warmloom.follow else {}
        if moved and not desk.running():
            keep(scene, moved)
            design_where_dragged(window, scene)


def design_where_dragged(window: bpy.types.Window, scene: bpy.types.Scene) -> None:
    """Begin the design in the background."""
    with bpy.context.temp_override(window=window, scene=scene):
        bpy.ops.warmloom.design("INVOKE_DEFAULT")


def _forget_timer() -> None:
    if bpy.app.timers.is_registered(design_again):
        bpy.app.timers.unregister(design_again)


def watch() -> None:
    """Begin to look at what the user drags."""
    bpy.app.handlers.depsgraph_update_post.append(_scene_changed)


def unwatch() -> None:
    """Stop looking."""
    if _scene_changed in bpy.app.handlers.depsgraph_update_post:
        bpy.app.handlers.depsgraph_update_post.remove(_scene_changed)
    _forget_timer()


CLASSES = (WARMLOOM_OT_keep_manifolds, WARMLOOM_OT_free_manifolds)
