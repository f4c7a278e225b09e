"""Warmloom in a modelling host: it gathers the host's model, calls `ufh_core`, and shows. It computes nothing.

The order of the work is the order of the panels: building, basis of design, rooms, manifolds, design, results,
export. `kept` is what the .blend keeps, `work` what runs beside the modeller, `scene` what is shown in it,
`operators` what can be done, `panel` how it looks, `bim_layer` the open BIM layer where there is one.
"""

from __future__ import annotations

import atexit

from . import bim_layer, operators, panel
from .kept import memory, properties
from .work import desk

bl_info = {
    "name": "Warmloom",
    "author": "The Warmloom contributors",
    "version": (0, 1, 0),
    "blender": (3, 4, 0),
    "location": "3D View > Sidebar > Warmloom; File > Import",
    "description": "Water floor heating designed from an architect's IFC model",
    "category": "Import-Export",
}
"""For hosts before extensions, where the core stands beside the host's Python; newer ones read the manifest."""


def register() -> None:
    """Switch the add-on on."""
    properties.register()
    operators.register()
    panel.register()
    bim_layer.register()
    atexit.register(desk.clear)


def unregister() -> None:
    """Switch it off: what runs is ended, results are forgotten; what a scene shows stays in its file."""
    atexit.unregister(desk.clear)
    desk.clear()
    memory.forget_all()
    bim_layer.unregister()
    panel.unregister()
    operators.unregister()
    properties.unregister()
