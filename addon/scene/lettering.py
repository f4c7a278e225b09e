"""Text that lies on the floor and is read from above."""

from __future__ import annotations

from collections.abc import Sequence

import bpy

from . import names
from .looks import dressed
from .objects import placed


def lying_text(
    inside: bpy.types.Collection,
    text: str,
    at: Sequence[float],
    height_m: float,
    kind: str,
    *,
    align: str = "CENTER",
    look: str = "ink",
) -> bpy.types.Object:
    """A text at a point, `height_m` high [m]."""
    curve = bpy.data.curves.new(names.shown_name(text), "FONT")
    curve.body = names.one_line(text)
    curve.size, curve.align_x, curve.align_y = height_m, align, "CENTER"
    made = placed(inside, text, curve, kind, {})
    made.location = at
    return dressed(made, look)
