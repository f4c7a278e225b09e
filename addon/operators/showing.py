"""Finding things in the scene: the element of a finding, a room, a circuit; parts shown and hidden."""

from typing import Any

import bpy

from ufh_core.basis.errors import UfhError

from .. import bim_layer
from ..scene import names, objects, part, view
from .common import Told, shown_as


class WARMLOOM_OT_show_element(Told, bpy.types.Operator):
    """Select what this is about in the scene, and zoom to it"""

    bl_idname = "warmloom.show_element"
    bl_label = "Show in the model"
    bl_options = {"REGISTER", "UNDO"}

    guids: bpy.props.StringProperty(name="GlobalIds", description="GlobalIds of elements, with spaces between them")
    circuits: bpy.props.StringProperty(name="Circuits", description="Numbers of circuits, with spaces between them")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Select and zoom."""
        found = _elements(self.guids.split()) + _circuits(context, self.circuits.split())
        if not found:
            return self.told(UfhError("nothing of this is shown in the scene; it may lie on a storey that is not read"))
        view.frame(list(dict.fromkeys(found)))
        return {"FINISHED"}


def _elements(guids: list[str]) -> list[bpy.types.Object]:
    return [each for guid in guids for each in (*objects.find(guid), *bim_layer.objects_of(guid))]


def _circuits(context: bpy.types.Context, numbers: list[str]) -> list[bpy.types.Object]:
    name = shown_as(context.scene)
    return [each for number in numbers for each in objects.find_circuit(number, name)]


class WARMLOOM_OT_show_part(Told, bpy.types.Operator):
    """Show or hide a part of the design: pipes, manifolds, heated fields, panels, surface temperature, findings"""

    bl_idname = "warmloom.show_part"
    bl_label = "Show part"
    bl_options = {"REGISTER", "UNDO"}

    part: bpy.props.EnumProperty(name="Part", items=[(key, label, label) for key, label in names.PARTS])
    shown: bpy.props.BoolProperty(name="Shown", default=True)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Show or hide."""
        view.show_part(shown_as(context.scene), self.part, self.shown)
        return {"FINISHED"}


def part_is_shown(scene: bpy.types.Scene, key: str) -> bool | None:
    """Whether a part can be seen now, None where there is none."""
    found: Any = part(scene.warmloom.shown_as, key)
    return None if found is None else not found.hide_viewport


CLASSES = (WARMLOOM_OT_show_element, WARMLOOM_OT_show_part)
