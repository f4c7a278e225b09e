"""What the designer can do, in the order of the work; every operator runs from a script with all its arguments."""

from __future__ import annotations

import bpy

from . import designing, exporting, reading, settings, showing, steering

CLASSES = (*reading.CLASSES, *settings.CLASSES, *designing.CLASSES, *showing.CLASSES, *steering.CLASSES,
           *exporting.CLASSES)


def register() -> None:
    """Make the operators known."""
    for each in CLASSES:
        bpy.utils.register_class(each)


def unregister() -> None:
    """Take the operators away."""
    for each in reversed(CLASSES):
        bpy.utils.unregister_class(each)
