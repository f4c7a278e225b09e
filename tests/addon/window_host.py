"""What the host with a window runs at its start: the add-on, and a file that says how far it is.

The host's own libraries bring another geometry library; shapely's must be found first, so it is bound deeply.
The file holds, a line each: the sidebar's place, what lies in the clipboard, the number of rooms, the headline of the
design, and the number of its pipes when the view was last drawn.
"""

from __future__ import annotations

import os
import sys

sys.setdlopenflags(os.RTLD_NOW | os.RTLD_DEEPBIND)
import shapely.lib  # noqa: F401

sys.setdlopenflags(os.RTLD_NOW)
import bpy

import addon

SAYS = os.environ["WARMLOOM_SAYS"]


DRAWN = [0]


def drawn() -> None:
    """Note what there was to draw."""
    DRAWN.append(sum(each.get("ufh_kind") == "pipe" for each in bpy.data.objects))


def says() -> float:
    """Tell the test where the work stands."""
    manager, record = bpy.context.window_manager, bpy.context.scene.warmloom
    for area in manager.windows[0].screen.areas:
        if area.type == "VIEW_3D" and not area.spaces.active.show_region_ui:
            area.spaces.active.show_region_ui = True
    sidebar = next(
        r for a in manager.windows[0].screen.areas if a.type == "VIEW_3D" for r in a.regions if r.type == "UI"
    )
    place = f"{sidebar.x} {manager.windows[0].height - sidebar.y - sidebar.height} {sidebar.width} {sidebar.height}"
    with open(f"{SAYS}.part", "w", encoding="utf-8") as file:
        file.write("\n".join([place, manager.clipboard, str(len(record.rooms)), record.headline, str(DRAWN[-1])]))
    os.replace(f"{SAYS}.part", SAYS)
    return 0.3


addon.register()
bpy.context.preferences.view.show_splash = False
bpy.types.SpaceView3D.draw_handler_add(drawn, (), "WINDOW", "POST_PIXEL")
bpy.app.timers.register(says, first_interval=0.5, persistent=True)
