"""The design in the scene: one collection a part, filled from the results."""

from __future__ import annotations

import bpy

from ufh_core.building.types import Building
from ufh_core.design_result import Design

from . import names
from .floors import show_fields, show_panels
from .manifolds import show_manifolds
from .markers import show_findings
from .objects import child, emptied, opened_root, part
from .pipes import show_pipes
from .temperature import show_temperature


def show(design: Design, building: Building, *, name: str, project_guid: str = "") -> bpy.types.Collection:
    """Show a design as `name`; replaces what an earlier call put there, and which parts are hidden stays.

    `project_guid` is the GlobalId of the architect's project: with it, pipes and manifolds carry the GlobalIds that
    they have in heating.ifc.
    """
    top = opened_root(names.DESIGN, name, building.frame)
    parts = {key: _opened_part(top, name, key, label) for key, label in names.PARTS}
    for collection in parts.values():
        emptied(collection)
    for storey in design.storeys:
        show_pipes(parts, design, storey, project_guid)
        show_manifolds(parts["manifolds"], design, storey, project_guid)
        show_fields(parts["fields"], design, storey, project_guid)
        show_panels(parts["panels"], design, storey)
        show_temperature(parts["surface"], design, storey)
    show_findings(parts["findings"], design)
    return top


def _opened_part(top: bpy.types.Collection, name: str, key: str, label: str) -> bpy.types.Collection:
    """The collection of a part, made where it is missing."""
    found = part(name, key)
    if found is None:
        found = child(top, label, "part", {names.PART: key})
        found.hide_viewport = found.hide_render = key in names.HIDDEN_AT_FIRST
    return found
