"""The scale of temperatures: the colours of the pictures in a few steps, and the legend beside a floor."""

from __future__ import annotations

import bpy
import numpy as np
from numpy.typing import NDArray

from ufh_core.building.types import Storey
from ufh_core.documents.surface_palette import palette
from ufh_core.surface_field.types import RoomSurface, SurfaceField

from . import names
from .bodies import Body
from .lettering import lying_text, spot_for_name
from .looks import COLOURS, dressed, linear, material
from .objects import marked, placed

STEPS = 32
WIDE_M, TALL_M, LETTER_M = 0.40, 4.0, 0.24
FIGURE_M, LETTER_WIDE = 0.16, 0.56
"""Height of figures [m], and the greatest mean width of a letter by its height."""


def scale_colours() -> NDArray[np.float64]:
    """(`STEPS`, 3) colours on the screen from cold to warm."""
    return palette()[np.linspace(0, len(palette()) - 1, STEPS).round().astype(int)] / 255.0


def scale_looks() -> list[bpy.types.Material]:
    """Materials from cold to warm, made once in a file."""
    return [material(f"scale {k + 1:02d}", (r, g, b, 1.0)) for k, (r, g, b) in enumerate(scale_colours().tolist())]


def steps_of(values: NDArray[np.float32], low: float, high: float) -> NDArray[np.int32]:
    """The steps in which temperatures lie between `low` and `high` [°C]."""
    share = np.clip((values - low) / (high - low), 0.0, 1.0)
    return np.minimum((share * STEPS).astype(np.int32), STEPS - 1)


def with_vertex_colours(mesh: bpy.types.Mesh, colours: NDArray[np.float64]) -> None:
    """Give each face of a mesh of squares its colour of the screen, for views that colour by vertex."""
    solid = np.column_stack([colours, np.ones(len(colours))])
    layer = mesh.color_attributes.new("surface", "BYTE_COLOR", "CORNER")
    layer.data.foreach_set("color_srgb", np.repeat(solid, 4, axis=0).astype(np.float32).ravel())
    mesh.color_attributes.active_color = layer


def show_legend(
    inside: bpy.types.Collection,
    field: SurfaceField,
    ends: tuple[float, float],
    corner: tuple[float, float, float],
    storey: str,
) -> None:
    """The scale with its degrees and the limits of the rooms; `corner` is its lower left [m], `ends` in °C."""
    x, y, z = corner
    low, high = ends
    _bar(inside, corner, storey)
    right = x + WIDE_M + 0.5 * LETTER_M

    def height_of(degree: float) -> float:
        return y + TALL_M * (degree - low) / (high - low)

    lines = [("surface, °C", (x, y + TALL_M + 1.2 * LETTER_M, z))]
    step = 1 if high - low <= 16 else 2
    lines += [(f"{degree}", (right, height_of(degree), z)) for degree in range(int(low), int(high) + 1, step)]
    limits = sorted({room.limit_c for room in field.rooms if low <= room.limit_c <= high})
    lines += [(f"- limit {limit:.0f}", (right + 1.6 * LETTER_M, height_of(limit), z)) for limit in limits]
    for text, at in lines:
        lying_text(inside, text, at, LETTER_M, "legend", align="LEFT")[names.STOREY] = storey


def show_figures(inside: bpy.types.Collection, storey: Storey, room: RoomSurface, height_m: float) -> None:
    """A room's name, mean and peak [°C] on a pale ground, over its name on the building's floor."""
    own = next(each for each in storey.rooms if each.ifc_guid == room.room)
    spot = spot_for_name(storey, own)
    if spot is None:
        return
    label, lines = names.one_line(own.label), [f"mean {room.mean_c:.1f} °C", f"peak {room.peak_c:.1f} °C"]
    wide, tall = FIGURE_M * LETTER_WIDE * max(map(len, (label, *lines))) / 2, 0.6 * FIGURE_M * (len(lines) + 1.4)
    body, (x, y) = Body(), spot
    body.rectangle((x - wide, y - tall, x + wide, y + tall), height_m + 0.005)
    marks = {names.STOREY: storey.ifc_guid, "ufh_room": room.room}
    dressed(placed(inside, label, body.mesh("Figures"), "figures_ground", marks), "paper")
    text = "\n".join([label, *lines])
    marked(lying_text(inside, text, (x, y, height_m + 0.008), FIGURE_M, "figures"), "figures", marks)


def _bar(inside: bpy.types.Collection, corner: tuple[float, float, float], storey: str) -> None:
    """The colours one over the other on a dark ground that shows as a rim."""
    x, y, z = corner
    body, rim = Body(), 0.02
    body.rectangle((x - rim, y - rim, x + WIDE_M + rim, y + TALL_M + rim), z - 0.002, STEPS)
    for k in range(STEPS):
        body.rectangle((x, y + TALL_M * k / STEPS, x + WIDE_M, y + TALL_M * (k + 1) / STEPS), z, k)
    mesh = body.mesh("Scale")
    with_vertex_colours(mesh, np.vstack([COLOURS["ink"][:3], scale_colours()]))
    made = placed(inside, "Scale", mesh, "legend", {names.STOREY: storey})
    for each in [*scale_looks(), material("ink", COLOURS["ink"])]:
        made.data.materials.append(each)
    made.color = linear(COLOURS["ink"])
