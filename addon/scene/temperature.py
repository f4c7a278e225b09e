"""The temperature of the floor's surface: coloured cells at the top of the finish, legend and figures.

Each cell has its temperature as a value (`surface_c`, on faces), its colour as a vertex colour (`surface`), and a
material of the scale's steps, so that it shows in a solid view whichever of the two the view colours by.
"""

from __future__ import annotations

import math

import bpy
import numpy as np
from numpy.typing import NDArray

from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.surface_palette import coloured
from ufh_core.documents.surface_picture import scale_ends
from ufh_core.surface_field.types import SurfaceField

from . import names
from .objects import placed
from .scale import scale_looks, show_figures, show_legend, steps_of, with_vertex_colours

MOST_CELLS = 400_000
LEGEND_GAP_M = 0.8


def show_temperature(inside: bpy.types.Collection, design: Design, storey: StoreyDesign) -> None:
    """The surface of a storey; none where nothing is laid."""
    field = storey.surface
    if field is None or not np.isfinite(field.surface_c).any():
        return
    factor = max(1, math.ceil(math.sqrt(np.isfinite(field.surface_c).sum() / MOST_CELLS)))
    values, rooms = coarser(field.surface_c, field.room_index, factor)
    ends = scale_ends(field)
    heights = _floor_tops(design, storey, field)
    cell = field.cell_m * factor
    own = next(s for s in design.building.storeys if s.ifc_guid == storey.storey)
    mesh = _cells(names.shown_name(own.name), field, cell, (values, rooms), heights)
    _colour(mesh, values[np.isfinite(values)], ends)
    marks = {names.STOREY: storey.storey, "ufh_cell_m": cell, "ufh_scale_c": list(ends)}
    placed(inside, f"Surface {own.name}", mesh, "surface", marks)
    for room in field.rooms:
        show_figures(inside, own, room, heights[field.floors.index(room.room)])
    east = field.corner[0] + field.cell_m * (1 + np.flatnonzero(np.isfinite(field.surface_c).any(axis=0))[-1])
    south = field.corner[1] + field.cell_m * np.flatnonzero(np.isfinite(field.surface_c).any(axis=1))[0]
    show_legend(inside, field, ends, (float(east) + LEGEND_GAP_M, float(south), float(heights.max())), storey.storey)


def coarser(
    values: NDArray[np.float32], rooms: NDArray[np.int32], factor: int
) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Cells `factor` times as wide, each with the warmest of its cells, so that no hot place is lost, and a room."""
    if factor == 1:
        return values, rooms
    short = [(0, -n % factor) for n in values.shape]
    shape = [m for n in values.shape for m in (-(-n // factor), factor)]
    known = np.where(np.isfinite(values), values, -np.inf)
    warmest = np.pad(known, short, constant_values=-np.inf).reshape(shape).max(axis=(1, 3))
    room = np.pad(rooms, short, constant_values=-1).reshape(shape).max(axis=(1, 3))
    return np.where(np.isfinite(warmest), warmest, np.nan).astype(np.float32), room


def _floor_tops(design: Design, storey: StoreyDesign, field: SurfaceField) -> NDArray[np.float64]:
    """World height of the finished floor of each of the field's floors [m]."""
    tops = {room.ifc_guid: room.floor_m for s in design.building.storeys for room in s.rooms}
    tops |= {r.room: r.build_up.layers[-1].top_m for r in storey.rooms if r.build_up is not None and r.build_up.layers}
    return np.array([tops[guid] for guid in field.floors])


def _cells(
    name: str,
    field: SurfaceField,
    cell: float,
    cells: tuple[NDArray[np.float32], NDArray[np.int32]],
    heights: NDArray[np.float64],
) -> bpy.types.Mesh:
    """A square for each of the `cells` (temperatures, rooms) with a temperature, at the height of its room [m].

    Corners of cells at one height are shared.
    """
    values, rooms = cells
    row, column = np.nonzero(np.isfinite(values))
    levels, level = np.unique(np.round(heights, 6), return_inverse=True)
    tall, wide = values.shape[0] + 1, values.shape[1] + 1
    first = (level.ravel()[rooms[row, column]] * tall + row) * wide + column
    corners = (first[:, None] + np.array([0, 1, wide + 1, wide])).ravel()
    is_used = np.zeros(len(levels) * tall * wide, dtype=bool)
    is_used[corners] = True
    used = np.flatnonzero(is_used)
    x, y = field.corner[0] + used % wide * cell, field.corner[1] + used // wide % tall * cell
    points = np.column_stack([x, y, levels[used // (wide * tall)]])
    return _squares(name, points, (np.cumsum(is_used) - 1)[corners])


def _squares(name: str, points: NDArray[np.float64], places: NDArray[np.int64]) -> bpy.types.Mesh:
    """A mesh of squares, each by the places of four points in a row."""
    mesh = bpy.data.meshes.new(name)
    mesh.vertices.add(len(points))
    mesh.loops.add(len(places))
    mesh.polygons.add(len(places) // 4)
    mesh.polygons.foreach_set("loop_start", np.arange(0, len(places), 4, dtype=np.int32))
    if "position" in mesh.attributes and ".corner_vert" in mesh.attributes:
        mesh.attributes["position"].data.foreach_set("vector", points.astype(np.float32).ravel())
        mesh.attributes[".corner_vert"].data.foreach_set("value", places.astype(np.int32))
    else:  # hosts before 3.6
        mesh.vertices.foreach_set("co", points.astype(np.float32).ravel())
        mesh.loops.foreach_set("vertex_index", places.astype(np.int32))
        mesh.polygons.foreach_set("loop_total", np.full(len(places) // 4, 4, dtype=np.int32))
    mesh.update(calc_edges=True)
    return mesh


def _colour(mesh: bpy.types.Mesh, values: NDArray[np.float32], ends: tuple[float, float]) -> None:
    """Temperatures as values, as vertex colours and as materials of the scale."""
    mesh.attributes.new("surface_c", "FLOAT", "FACE").data.foreach_set("value", values)
    with_vertex_colours(mesh, coloured(values, *ends) / 255.0)
    for each in scale_looks():
        mesh.materials.append(each)
    mesh.polygons.foreach_set("material_index", steps_of(values, *ends))
