"""What the designer can do, in the order of the work; every operator runs from a script with all its arguments."""

from __future__ import annotations

import bpy

from . import designing, drawing, exporting, laying, reading, settings, showing, steering

CLASSES = (
    *reading.CLASSES,
    *settings.CLASSES,
    *designing.CLASSES,
    *showing.CLASSES,
    *steering.CLASSES,
    *drawing.CLASSES,
    *laying.CLASSES,
    *exporting.CLASSES,
)


def _in_menu(menu: bpy.types.Menu, _context: bpy.types.Context) -> None:
    """The line in File > Import."""
    menu.layout.operator(reading.WARMLOOM_OT_read_building.bl_idname, text="Building for floor heating (.ifc)")


def register() -> None:
    """Make the operators known, and begin to look at what is dragged."""
    for each in CLASSES:
        bpy.utils.register_class(each)
    bpy.types.TOPBAR_MT_file_import.append(_in_menu)
    steering.watch()


def unregister() -> None:
    """Take all of it away."""
    steering.unwatch()
    bpy.types.TOPBAR_MT_file_import.remove(_in_menu)
    for each in reversed(CLASSES):
        bpy.utils.unregister_class(each)
