"""Reading a building: from an IFC file, from the bundled example, or from the BIM layer's open model."""

import tempfile
from pathlib import Path
from typing import Any

import bpy
from bpy_extras.io_utils import ImportHelper

from ufh_core.basis.errors import UfhError
from ufh_core.samples import sample_model

from .. import bim_layer
from ..kept.carried import asking_the_model
from ..kept.choices import settings_of
from ..kept.fill import take_reading
from ..kept.memory import Reading
from ..scene import building as building_view
from ..scene import clear, view
from ..work import desk
from .common import BACKGROUND, Told, Working, in_scene, shown_as, taker

EXAMPLE = "bungalow"


def read_order(scene: bpy.types.Scene, path: Path, *, opened: str = "") -> desk.Order:
    """The order to read a model file; `opened` is the name of the BIM layer's model, of which it is a copy."""

    def take(found: bpy.types.Scene, answer: Any) -> None:
        building, report = answer
        reading = Reading(path=path, building=building, report=report, opened=bool(opened))
        show_reading(found, reading)

    return desk.Order(
        title=f"reading {opened or path.name}",
        task="read",
        arguments={"path": path, "settings": asking_the_model(settings_of(scene.warmloom))},
        take=taker(scene, take),
    )


def show_reading(scene: bpy.types.Scene, reading: Reading) -> None:
    """Show a building that was read, in the panel and in the scene."""
    take_reading(scene.warmloom, reading)
    name = shown_as(scene)
    with in_scene(scene):
        clear(name)
        if not reading.opened:  # the BIM layer shows its model itself
            view.look_at(list(building_view.show(reading.building, name=name).all_objects))


def read_words(record: Any) -> str:
    """What was read, in one line."""
    heated = sum(row.heated for row in record.rooms)
    return f"{Path(record.model_path).name}: {len(record.rooms)} rooms, {heated} to be heated"


class WARMLOOM_OT_read_building(Working, bpy.types.Operator, ImportHelper):
    """Read an architect's IFC file (IFC2X3, IFC4, IFC4X3, plain or zipped) for floor heating: rooms, walls, doors,
    slabs, fixed units. What is missing and must be assumed is listed, with what to ask the architect for
    """

    bl_idname = "warmloom.read_building"
    bl_label = "Read building"
    bl_options = {"REGISTER", "UNDO"}

    filename_ext = ".ifc"
    filter_glob: bpy.props.StringProperty(default="*.ifc;*.ifczip", options={"HIDDEN"})
    filepath: bpy.props.StringProperty(
        name="Model", description="The architect's model", subtype="FILE_PATH", options={"SKIP_SAVE"}
    )
    background: bpy.props.BoolProperty(name="In the background", description=BACKGROUND, default=True)

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        """Read a file that was dropped; else ask for one."""
        return self.execute(context) if self.filepath else ImportHelper.invoke(self, context, event)

    def order(self, context: bpy.types.Context) -> desk.Order:
        """What is to be read."""
        if not self.filepath:
            raise UfhError("no model was named; choose an .ifc or .ifczip file")
        return read_order(context.scene, Path(bpy.path.abspath(self.filepath)))

    def done(self, context: bpy.types.Context) -> str:
        """What was read."""
        return read_words(context.scene.warmloom)


class WARMLOOM_OT_read_example(Working, bpy.types.Operator):
    """Load the bundled bungalow, an invented building, to see how the work goes: then press Design"""

    bl_idname = "warmloom.read_example"
    bl_label = "Load the example"
    bl_options = {"REGISTER", "UNDO"}

    background: bpy.props.BoolProperty(name="In the background", description=BACKGROUND, default=True)

    def order(self, context: bpy.types.Context) -> desk.Order:
        """The bundled model."""
        return read_order(context.scene, sample_model(EXAMPLE))

    def done(self, context: bpy.types.Context) -> str:
        """What was read."""
        return f"{read_words(context.scene.warmloom)}; press Design to lay its pipes"


class WARMLOOM_OT_read_open_model(Working, bpy.types.Operator):
    """Take the model that the BIM layer has open, as it stands, saved or not"""

    bl_idname = "warmloom.read_open_model"
    bl_label = "Take the open model"
    bl_options = {"REGISTER", "UNDO"}

    background: bpy.props.BoolProperty(name="In the background", description=BACKGROUND, default=True)

    @classmethod
    def poll(cls, _context: bpy.types.Context) -> bool:
        """Only where the BIM layer is there."""
        return bim_layer.present()

    def order(self, context: bpy.types.Context) -> desk.Order:
        """A copy of the open model, which the other process can read."""
        copy = Path(tempfile.mkdtemp(prefix="warmloom-model-", dir=bpy.app.tempdir or None)) / "model.ifc"
        name = bim_layer.save_copy(copy)
        bim_layer.register()
        return read_order(context.scene, copy, opened=name)

    def done(self, context: bpy.types.Context) -> str:
        """What was read."""
        return read_words(context.scene.warmloom)


class WARMLOOM_OT_remove_building(Told, bpy.types.Operator):
    """Take the building, its design and all figures out of the scene; the model file stays as it is"""

    bl_idname = "warmloom.remove_building"
    bl_label = "Remove building and design"
    bl_options = {"REGISTER", "UNDO"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take everything out, the basis of design excepted."""
        record, name = context.scene.warmloom, shown_as(context.scene)
        clear(name)
        for rows in ("facts", "questions", "rooms", "manifolds", "circuits", "findings"):
            getattr(record, rows).clear()
        record.model_path = record.reading_id = record.design_id = record.headline = ""
        record.carried_places = ""
        record.outdated = record.opened = record.carried = False
        return {"FINISHED"}


def _over_the_view(_cls: type, context: bpy.types.Context) -> bool:
    """Only over the modelling view."""
    return context.area is not None and context.area.type == "VIEW_3D"


def _droppers() -> tuple[type, ...]:
    """What lets an .ifc file be dropped into the modelling view; hosts before 4.1 know no such thing."""
    if not hasattr(bpy.types, "FileHandler"):
        return ()
    members = {
        "__doc__": "Lets an .ifc file be dropped into the modelling view.",
        "bl_idname": "WARMLOOM_FH_building",
        "bl_label": "Building for floor heating",
        "bl_import_operator": "warmloom.read_building",
        "bl_file_extensions": ".ifc;.ifczip",
        "poll_drop": classmethod(_over_the_view),
    }
    return (type("WARMLOOM_FH_building", (bpy.types.FileHandler,), members),)


CLASSES = (
    WARMLOOM_OT_read_building,
    WARMLOOM_OT_read_example,
    WARMLOOM_OT_read_open_model,
    WARMLOOM_OT_remove_building,
    *_droppers(),
)
