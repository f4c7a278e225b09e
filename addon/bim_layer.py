"""The one place that knows the open BIM layer: its open model, its objects, its undo. Nothing breaks without it.

The layer's modules are imported when they are needed, because it may be switched on after this add-on.
"""

import sys
from pathlib import Path
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix

from ufh_core.basis.errors import UfhError
from ufh_core.basis.frame import LocalFrame

from .kept.memory import recall
from .scene import clear

LAYER = "bonsai"
_registered: list[type] = []


def present() -> bool:
    """Whether the BIM layer is switched on; only looks, because panels ask at every drawing."""
    return LAYER in sys.modules


def ready() -> bool:
    """Whether the open model can be written into."""
    return present() and bool(_registered)


def save_copy(path: Path) -> str:
    """Write the open model as it stands, saved or not, to `path`; its name. Raises UfhError where none is open."""
    model = _open_model()
    try:
        model.write(str(path))
    except OSError as error:
        raise UfhError(f"the open model cannot be copied for reading: {error.strerror or error}") from None
    return Path(_tool().Ifc.get_path() or "the open model").name


def objects_of(guid: str) -> list[bpy.types.Object]:
    """The layer's object of an element; none without the layer, an open model or such an element."""
    if not present() or (model := _tool().Ifc.get()) is None:
        return []
    try:
        found = _tool().Ifc.get_object(model.by_guid(guid))
    except RuntimeError:
        return []
    return [found] if found is not None else []


def placement(frame: LocalFrame) -> Matrix:
    """From the plan frame to where the layer shows the model: it may have moved all to be near the origin.

    Found from one element that has both a placement in the model and an object in the scene.
    """
    x, y, z = frame.origin
    plan = np.array(Matrix.Rotation(frame.rotation, 4, "Z"), dtype=float)
    plan[:3, 3] = x, y, z
    return Matrix((_shift() @ plan).tolist())


def _shift() -> np.ndarray:
    """From the model's coordinates [m] to the scene's."""
    from ifcopenshell.util.placement import get_local_placement
    from ifcopenshell.util.unit import calculate_unit_scale

    model = _open_model()
    for element in (*model.by_type("IfcBuildingStorey"), *model.by_type("IfcElement")):
        shown = _tool().Ifc.get_object(element)
        if shown is not None and element.ObjectPlacement is not None:
            there = np.array(get_local_placement(element.ObjectPlacement), dtype=float)
            there[:3, 3] *= calculate_unit_scale(model)
            return np.array(shown.matrix_world, dtype=float) @ np.linalg.inv(there)
    return np.eye(4)


def _tool() -> Any:
    """The layer's tools."""
    import bonsai.tool

    return bonsai.tool


def _open_model() -> Any:
    """The model that the layer has open."""
    model = _tool().Ifc.get() if present() else None
    if model is None:
        raise UfhError("the BIM layer has no model open; open an IFC file there first")
    return model


def _write(context: bpy.types.Context) -> str:
    """Put the design into the open model in place of an earlier one, and into the scene; what came of it."""
    from ufh_core.exchange.open_model import earlier_in, write_into

    record = context.scene.warmloom
    designed = recall(record.design_id)
    if designed is None or not record.opened:
        raise UfhError("there is no design of the open model; take the open model and design it first")
    model = _open_model()
    for element in earlier_in(model):
        _let_go(element)
    added = write_into(designed.design, model)
    _show_new(model, added)
    clear(record.shown_as)  # what was drawn is now in the model itself
    return f"{len(added)} elements added to the open model; save it there to keep them"


def _let_go(element: Any) -> None:
    """Take an element's object out of the scene before the element goes."""
    shown = _tool().Ifc.get_object(element)
    _tool().Ifc.unlink(element=element)
    if isinstance(shown, bpy.types.Object):
        bpy.data.objects.remove(shown)


def _show_new(model: Any, guids: tuple[str, ...]) -> None:
    """Have the layer make objects for new elements, with their styles."""
    import bonsai.bim.handler
    from bonsai.bim import import_ifc

    importer = import_ifc.IfcImporter(import_ifc.IfcImportSettings.factory())
    importer.file, importer.has_existing_project = model, True
    importer.calculate_unit_scale()
    importer.process_context_filter()
    importer.material_creator.load_existing_materials()
    for style in model.by_type("IfcSurfaceStyle"):
        if _tool().Ifc.get_object(style) is None:
            importer.create_style(style)
    elements = (model.by_guid(guid) for guid in guids)
    importer.create_generic_elements({e for e in elements if e.is_a("IfcElement") and e.Representation is not None})
    importer.place_objects_in_collections()
    bonsai.bim.handler.refresh_ui_data()


def _operator() -> type:
    """The operator that writes into the open model: the layer's base class makes it part of its undo."""

    def poll(cls: type, context: bpy.types.Context) -> bool:
        return present() and bool(context.scene.warmloom.design_id) and context.scene.warmloom.opened

    def _execute(self: Any, context: bpy.types.Context) -> set[str]:
        try:
            self.report({"INFO"}, _write(context))
        except UfhError as error:
            self.report({"ERROR"}, " ".join(str(error).split()))
            return {"CANCELLED"}
        return {"FINISHED"}

    doc = (
        "Add the heating to the model that is open in the BIM layer; a second time replaces only what was added. "
        "Nothing of the architect's is changed. Undo takes it back"
    )
    return type(
        "WARMLOOM_OT_write_into_model",
        (_tool().Ifc.Operator, bpy.types.Operator),
        {
            "__doc__": doc,
            "bl_idname": "warmloom.write_into_model",
            "bl_label": "Write into the open model",
            "bl_options": {"REGISTER", "UNDO"},
            "poll": classmethod(poll),
            "_execute": _execute,
        },
    )


def register() -> None:
    """Make the operator known where the layer is there; called again when its model is first taken."""
    if present() and not _registered:
        made = _operator()
        bpy.utils.register_class(made)
        _registered.append(made)


def unregister() -> None:
    """Take the operator away."""
    while _registered:
        bpy.utils.unregister_class(_registered.pop())
