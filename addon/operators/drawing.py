"""Areas drawn in the scene that are left without pipes: a flat mesh or a closed curve, as it lies over the rooms."""

from collections.abc import Iterator

import bpy
import numpy as np
import shapely
from mathutils import Matrix
from shapely.geometry import Polygon

from ufh_core.basis.errors import UfhError
from ufh_core.building.types import Building

from .. import bim_layer
from ..kept.areas import rings_of, words_of
from ..kept.memory import Reading
from ..scene import names
from .common import Told, reading_of

LEAST_M2 = 0.01
SIMPLE_M = 0.001


class WARMLOOM_OT_leave_out(Told, bpy.types.Operator):
    """Leave the selected flat meshes or closed curves without pipes: draw one over a room, as a kitchen unit or a
    bath stands there, select it, and press this. It counts for every room that it covers on the storey nearest below
    """

    bl_idname = "warmloom.leave_out"
    bl_label = "Leave out drawn areas"
    bl_options = {"REGISTER", "UNDO"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take over what is selected."""
        record = context.scene.warmloom
        try:
            reading = reading_of(record)
            found = _areas(reading, context)
        except UfhError as error:
            return self.told(error)
        for row in (row for row in record.rooms if row.guid in found):
            row.leave_out = words_of((*rings_of(row.leave_out), *found[row.guid]))
        labels = ", ".join(row.label for row in record.rooms if row.guid in found)
        self.report({"INFO"}, f"{labels}: the drawn area is left without pipes; design again")
        return {"FINISHED"}


class WARMLOOM_OT_heat_again(bpy.types.Operator):
    """Forget the areas that were drawn in a room; it is heated there again"""

    bl_idname = "warmloom.heat_again"
    bl_label = "Forget drawn areas"
    bl_options = {"REGISTER", "UNDO"}

    guid: bpy.props.StringProperty(name="Room", description="GlobalId of the room; empty for all rooms")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Forget them."""
        for row in context.scene.warmloom.rooms:
            if row.leave_out and self.guid in ("", row.guid):
                row.leave_out = ""
        return {"FINISHED"}


def _areas(reading: Reading, context: bpy.types.Context) -> dict[str, list[tuple[tuple[float, float], ...]]]:
    """Rings [m, the model's plan] by room of what is selected. Raises UfhError where nothing of it can be used."""
    to_plan = bim_layer.placement(reading.building.frame).inverted() if reading.opened else Matrix()
    drawn = [each for each in context.selected_objects if each.type in {"MESH", "CURVE"} and names.KIND not in each]
    if not drawn:
        raise UfhError("nothing drawn is selected; draw a flat mesh or a closed curve over a room and select it")
    found: dict[str, list[tuple[tuple[float, float], ...]]] = {}
    for each in drawn:
        for guid, ring in _in_rooms(each, to_plan, reading.building, context):
            found.setdefault(guid, []).append(ring)
    if not found:
        raise UfhError("what is selected covers no room; draw it over a room, with an area")
    return found


def _in_rooms(
    drawn: bpy.types.Object, to_plan: Matrix, building: Building, context: bpy.types.Context
) -> Iterator[tuple[str, tuple[tuple[float, float], ...]]]:
    """(room, ring in the model's plan) of what an object covers of the rooms of its storey."""
    corners, area = _covered(drawn, to_plan, context)
    below = [s for s in building.storeys if s.elevation_m <= corners[:, 2].max() + 0.5] or list(building.storeys[:1])
    for room in max(below, key=lambda s: s.elevation_m).rooms:
        for part in shapely.get_parts(shapely.intersection(area, room.outline)):
            if isinstance(part, Polygon) and part.area > LEAST_M2:
                ring = shapely.get_coordinates(part.simplify(SIMPLE_M).exterior)[:-1]
                yield room.ifc_guid, tuple((float(x), float(y)) for x, y in building.frame.to_world(ring))


def _covered(drawn: bpy.types.Object, to_plan: Matrix, context: bpy.types.Context) -> tuple[np.ndarray, Polygon]:
    """(corners in the shown plan, the area that they cover); a curve counts as the polygon of its points."""
    shown = drawn.evaluated_get(context.evaluated_depsgraph_get())
    mesh = shown.to_mesh()
    place = to_plan @ drawn.matrix_world
    corners = np.array([place @ v.co for v in mesh.vertices], dtype=float).reshape(-1, 3)
    faces = [Polygon(corners[list(face.vertices), :2]) for face in mesh.polygons]
    lines = [corners[list(edge.vertices), :2] for edge in mesh.edges] if not faces else []
    shown.to_mesh_clear()
    closed = shapely.polygonize(shapely.linestrings(lines)).geoms if lines else ()
    return corners, shapely.union_all([*(shapely.make_valid(face) for face in faces), *closed])


CLASSES = (WARMLOOM_OT_leave_out, WARMLOOM_OT_heat_again)
