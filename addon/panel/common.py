"""What panels share."""

from __future__ import annotations

from typing import Any

import bpy

from .figures import wrapped

TAB = "Warmloom"
LETTER_PX = 6.5
NARROWEST, USUAL = 24, 46


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
    for k, line in enumerate(wrapped(text, _letters(context))):
        column.label(text=line, icon=icon if not k else ("NONE" if icon == "NONE" else "BLANK1"))


def _letters(context: bpy.types.Context) -> int:
    region = getattr(context, "region", None)
    return max(NARROWEST, int(region.width / LETTER_PX)) if region is not None else USUAL
