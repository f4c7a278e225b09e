"""The sidebar, in the order of the work. Drawing reads what is there; it calculates nothing."""

from __future__ import annotations

import bpy

from . import before, lists, results

CLASSES = (*lists.CLASSES, *before.CLASSES, *results.CLASSES)


def register() -> None:
    """Add lists and panels."""
    for each in CLASSES:
        bpy.utils.register_class(each)


def unregister() -> None:
    """Take them away."""
    for each in reversed(CLASSES):
        bpy.utils.unregister_class(each)
