"""What panels share."""

from __future__ import annotations

from typing import Any

import bpy

from .figures import wrapped

TAB = "Warmloom"
LETTER_PX = 6.3
ASIDE_PX, ICON_PX = 56, 24
"""What a sidebar's margins and its strip of tabs take of its width, and a sign before a text."""
FEWEST, USUAL = 16, 46


class Sidebar:
    """A panel of the sidebar of the modelling view."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = TAB


def record_of(context: bpy.types.Context) -> Any:
    """What the scene keeps."""
    return context.scene.warmloom


def paragraph(layout: Any, text: str, context: bpy.types.Context, icon: str = "NONE") -> None:
    """A text over as many lines as the sidebar's width asks for."""
    column = layout.column(align=True)
    for k, line in enumerate(wrapped(text, letters(context, icon))):
        column.label(text=line, icon=icon if not k else ("NONE" if icon == "NONE" else "BLANK1"))


def letters(context: bpy.types.Context, icon: str = "NONE") -> int:
    """How many letters a line of the sidebar holds, in the middle of what words bring."""
    region = getattr(context, "region", None)
    if region is None:
        return USUAL
    aside = ASIDE_PX + (ICON_PX if icon != "NONE" else 0)
    scale = bpy.context.preferences.system.ui_scale or 1.0  # none without a screen
    return max(FEWEST, int((region.width / scale - aside) / LETTER_PX))
