"""What the user looks at: the selection, the zoom, which parts are shown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import bpy

from .objects import part


def frame(objects: Sequence[bpy.types.Object]) -> None:
    """Select objects, and zoom every modelling view to them; without a window they are only selected."""
    layer = bpy.context.view_layer
    layer.update()
    there = [each for each in objects if each.name in layer.objects and layer.objects[each.name] == each]
    for each in list(layer.objects.selected):
        each.select_set(False)
    for each in there:
        each.select_set(True)
    if there:
        layer.objects.active = there[0]
    for place in _views() if there else ():
        with bpy.context.temp_override(**place):
            bpy.ops.view3d.view_selected()


def look_at(objects: Sequence[bpy.types.Object]) -> None:
    """Have every modelling view look at objects from above, as on a plan: walls would hide the floors otherwise.

    The selection stays as it is.
    """
    if bpy.app.background:
        return
    layer = bpy.context.view_layer
    selected, active = list(layer.objects.selected), layer.objects.active
    for place in _views():
        with bpy.context.temp_override(**place):
            bpy.ops.view3d.view_axis(type="TOP")
    frame(objects)
    for each in list(layer.objects.selected):
        each.select_set(False)
    for each in selected:
        each.select_set(True)
    layer.objects.active = active


def show_part(name: str, key: str, shown: bool) -> None:
    """Show or hide one of `names.PARTS` of the design shown as `name`."""
    found = part(name, key)
    if found is not None:
        found.hide_viewport = found.hide_render = not shown


def _views() -> Iterator[dict[str, object]]:
    """All modelling views of all windows, none where the host runs without a screen."""
    for window in [] if bpy.app.background else bpy.context.window_manager.windows:
        for area in window.screen.areas:
            region = next((r for r in area.regions if r.type == "WINDOW"), None)
            if area.type == "VIEW_3D" and region is not None:
                yield {"window": window, "area": area, "region": region}
