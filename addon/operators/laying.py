"""A circuit laid as a hand draws it: its way by corners to move, and the judgement of what was drawn."""

import json
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix

from ufh_core.basis.errors import UfhError
from ufh_core.returned.drawn_way import DrawnWay, WayRefused, drawn_way, spine

from .. import bim_layer
from ..kept.memory import Designed
from ..panel.figures import length
from ..scene import markers, names, objects, part, pipes
from .common import Told, designed_of, in_scene, shown_as

PIPES = "flow"
"""Part of the shown design to which drawn ways belong: the next design takes them out with its pipes."""


class WARMLOOM_OT_draw_way(Told, bpy.types.Operator):
    """Draw a circuit's way as a curve of its corners alone. Move corners, add or take out some in edit mode (the two
    ends stay at their ports), then press Lay it so
    """

    bl_idname = "warmloom.draw_way"
    bl_label = "Draw its way"
    bl_options = {"REGISTER", "UNDO"}

    circuit: bpy.props.StringProperty(name="Circuit", description="Number; empty for the one chosen in the list")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Draw it, in place of one that was drawn before."""
        record = context.scene.warmloom
        try:
            designed, number = designed_of(record), _number(record, self.circuit)
            corners = np.array(spine(designed.design, number))
        except UfhError as error:
            return self.told(error)
        inside = _opened(context.scene)
        _forget_way(inside, number)
        with in_scene(context.scene):
            radius = designed.design.settings.pipe.outside_diameter_m / 2
            way = pipes.show_way(inside, number, corners, _height(context.scene, number), radius)
        way.matrix_basis = _placement(designed) @ way.matrix_basis
        _select_alone(context, way)
        self.report({"INFO"}, f"{number}: {len(corners)} corners; move them in edit mode, then press Lay it so")
        return {"FINISHED"}


class WARMLOOM_OT_lay_as_drawn(Told, bpy.types.Operator):
    """Lay a circuit along the selected curve, its corners rounded with the least bend. The curve is judged first:
    bends, distance to walls and to other pipes, ends at the manifold's ports, length. Where it breaks a rule, one line
    and a sign in the view say which and where, and nothing is changed
    """

    bl_idname = "warmloom.lay_as_drawn"
    bl_label = "Lay it so"
    bl_options = {"REGISTER", "UNDO"}

    circuit: bpy.props.StringProperty(
        name="Circuit", description="Number; empty for the one that the curve is the way of, else the chosen one"
    )
    curve: bpy.props.StringProperty(name="Curve", description="Name of the curve; empty for the selected one")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Judge it, and pin the circuit to it where it keeps the rules."""
        scene, record = context.scene, context.scene.warmloom
        try:
            designed = designed_of(record)
            curve = _drawn_curve(context, self.curve)
            number = _number(record, self.circuit or curve.get(names.NUMBER, ""))
            points = _points(curve, _placement(designed).inverted())
            inside = _opened(scene)
            markers.clear_spots(inside)
            way = drawn_way(designed.design, number, points)
        except WayRefused as refused:
            _mark(scene, designed, number, refused)
            return self.told(refused)
        except UfhError as error:
            return self.told(error)
        was = _pinned(record, way)
        self.report({"INFO"}, f"{number}: lies as drawn, {length(way.length_m)} instead of {length(was)}; design again")
        return {"FINISHED"}


def _pinned(record: Any, way: DrawnWay) -> float:
    """Note the way of a circuit, which stays so; its length before [m]."""
    row = next(row for row in record.circuits if row.label == way.number)
    was = float(row.length_m)
    row.drawn, row.length_m, row.fixed = json.dumps(way.row, separators=(",", ":")), way.length_m, True
    return was


def _number(record: Any, wanted: str) -> str:
    """The number of a circuit: as wanted, else the chosen one's. Raises UfhError where there is none."""
    numbers = [row.label for row in record.circuits]
    if wanted and wanted not in numbers:
        raise UfhError(f'there is no circuit "{wanted}"; the circuits are {", ".join(numbers) or "none"}')
    if not wanted and not 0 <= record.circuit < len(numbers):
        raise UfhError("no circuit is chosen; choose one in the list under Results")
    return wanted or numbers[record.circuit]


def _drawn_curve(context: bpy.types.Context, name: str) -> bpy.types.Object:
    """The curve that was drawn. Raises UfhError where there is none, or more than one."""
    if name:
        found = [each for each in (bpy.data.objects.get(name),) if each is not None and each.type == "CURVE"]
    else:
        found = [each for each in context.selected_objects if each.type == "CURVE"]
        found = [each for each in found if each.get(names.KIND) in (None, pipes.WAY)]
    if len(found) != 1:
        what = "more than one curve is" if found else "no drawn curve is"
        raise UfhError(f"{what} selected; press Draw its way at a circuit, move its corners, and select that curve")
    return found[0]


def _points(curve: bpy.types.Object, to_plan: Matrix) -> list[tuple[float, float]]:
    """Corners of a curve in the design's plan [m]. Raises UfhError where it is not one open piece."""
    curve.update_from_editmode()
    splines = curve.data.splines
    if len(splines) != 1 or splines[0].use_cyclic_u:
        raise UfhError(f"{curve.name}: a pipe is one open curve from port to port; this has {len(splines)} pieces")
    place = to_plan @ curve.matrix_world
    spline = splines[0]
    corners = [p.co.to_3d() for p in spline.points] if spline.type == "POLY" else _sampled(curve)
    if len(corners) < 2:
        raise UfhError(f"{curve.name}: has {len(corners)} points; draw it from port to port")
    return [(float(at.x), float(at.y)) for at in (place @ corner for corner in corners)]


def _sampled(curve: bpy.types.Object) -> list[Any]:
    """Points along a curve with handles, as the host draws it."""
    bare = curve.data.copy()
    bare.bevel_depth = bare.extrude = 0.0
    bare.bevel_object = None
    stand_in = bpy.data.objects.new("drawn", bare)
    try:
        return [vertex.co.copy() for vertex in stand_in.to_mesh().vertices]
    finally:
        stand_in.to_mesh_clear()
        bpy.data.objects.remove(stand_in)
        bpy.data.curves.remove(bare)


def _opened(scene: bpy.types.Scene) -> bpy.types.Collection:
    found = part(shown_as(scene), PIPES)
    if found is None:
        raise UfhError("the design is not shown in the scene; design again")
    return found


def _forget_way(inside: bpy.types.Collection, number: str) -> None:
    """Take a way out that was drawn before."""
    old = [o for o in inside.objects if o.get(names.KIND) == pipes.WAY and o.get(names.NUMBER) == number]
    data = {each.data for each in old}
    bpy.data.batch_remove(old)
    bpy.data.batch_remove([each for each in data if each.users == 0])


def _height(scene: bpy.types.Scene, number: str) -> float:
    """Height at which a circuit's pipe lies [m]."""
    shown = objects.find_circuit(number, shown_as(scene))
    return min((p.co.z for each in shown for p in each.data.splines[0].points), default=0.0)


def _placement(designed: Designed) -> Matrix:
    """From the design's plan to the scene."""
    reading = designed.reading
    return bim_layer.placement(reading.building.frame) if reading.opened else Matrix()


def _mark(scene: bpy.types.Scene, designed: Designed, number: str, refused: WayRefused) -> None:
    """A sign where the way breaks a rule."""
    with in_scene(scene):
        at = (*refused.at, _height(scene, number) + markers.OVER_FLOOR_M)
        spot = markers.show_spot(_opened(scene), f"{number} cannot lie so", at, str(refused))
        spot.matrix_basis = _placement(designed) @ spot.matrix_basis


def _select_alone(context: bpy.types.Context, chosen: bpy.types.Object) -> None:
    for each in context.selected_objects:
        each.select_set(False)
    chosen.select_set(True)
    context.view_layer.objects.active = chosen


CLASSES = (WARMLOOM_OT_draw_way, WARMLOOM_OT_lay_as_drawn)
