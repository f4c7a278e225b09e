"""The design: all storeys or some, in the background, and how it is stopped."""

from typing import Any

import bpy
from mathutils import Matrix

from ufh_core.basis.errors import UfhError

from .. import bim_layer
from ..kept.choices import settings_of
from ..kept.fill import take_design
from ..kept.memory import Designed
from ..kept.staying import design_before, drawn, staying
from ..scene import design as design_view
from ..work import desk
from .common import BACKGROUND, Working, in_scene, reading_of, shown_as, taker


class WARMLOOM_OT_design(Working, bpy.types.Operator):
    """Design the floor heating: heat demand, pitches, manifolds, every pipe, flows and valve settings, the order.
    You can go on modelling meanwhile. Whatever falls short is said under Results
    """

    bl_idname = "warmloom.design"
    bl_label = "Design"
    bl_options = {"REGISTER", "UNDO"}

    storeys: bpy.props.StringProperty(
        name="Storeys", description="Names of the storeys to design, with semicolons between them; empty for all"
    )
    background: bpy.props.BoolProperty(name="In the background", description=BACKGROUND, default=True)

    def order(self, context: bpy.types.Context) -> desk.Order:
        """The design of the building that the scene shows, with the scene's settings."""
        return design_order(context.scene, tuple(s.strip() for s in self.storeys.split(";") if s.strip()))

    def done(self, context: bpy.types.Context) -> str:
        """What came of it."""
        return context.scene.warmloom.headline


def design_order(scene: bpy.types.Scene, storeys: tuple[str, ...]) -> desk.Order:
    """The order to design the scene's building. Raises UfhError where there is none, or settings contradict."""
    reading, settings = reading_of(scene.warmloom), settings_of(scene.warmloom)
    earlier, stay = design_before(scene.warmloom), staying(scene.warmloom)

    def take(found: bpy.types.Scene, answer: Any) -> None:
        design, summary = answer
        if found.warmloom.reading_id != reading_id:
            raise UfhError("another building was read meanwhile; the design of the one before was dropped")
        show_design(found, Designed(reading=reading, design=design, summary=summary))

    reading_id = scene.warmloom.reading_id
    return desk.Order(
        title="the design",
        task="design",
        arguments={
            "building": reading.building,
            "model": reading.path,
            "settings": settings,
            "storeys": storeys,
            "earlier": earlier,
            "stay": stay,
            "drawn": drawn(scene.warmloom),
        },
        take=taker(scene, take),
    )


def show_design(scene: bpy.types.Scene, designed: Designed) -> None:
    """Show a design, in the panel and in the scene."""
    take_design(scene.warmloom, designed)
    reading = designed.reading
    with in_scene(scene):
        shown = design_view.show(
            designed.design,
            reading.building,
            name=shown_as(scene),
            project_guid=reading.building.project_guid,
        )
        if reading.opened:
            _move(shown, bim_layer.placement(reading.building.frame))


def _move(shown: bpy.types.Collection, to: Matrix) -> None:
    """Put what was drawn in the plan frame where the BIM layer shows the model."""
    for each in shown.all_objects:
        if each.parent is None:
            each.matrix_basis = to @ each.matrix_basis


class WARMLOOM_OT_stop(bpy.types.Operator):
    """Stop what is being calculated; nothing is changed by what was calculated so far"""

    bl_idname = "warmloom.stop"
    bl_label = "Stop"

    @classmethod
    def poll(cls, _context: bpy.types.Context) -> bool:
        """Only while something runs."""
        return bool(desk.running())

    def execute(self, _context: bpy.types.Context) -> set[str]:
        """Ask it to stop."""
        desk.stop()
        return {"FINISHED"}


CLASSES = (WARMLOOM_OT_design, WARMLOOM_OT_stop)
