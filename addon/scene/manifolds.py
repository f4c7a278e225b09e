"""Manifolds: an empty that can be dragged, and with it bars, ports, mixing station, cabinet and name."""

from __future__ import annotations

from dataclasses import dataclass

import bpy
import numpy as np

from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.circuits.types import Manifold
from ufh_core.design_result import Design, ManifoldDesign, StoreyDesign
from ufh_core.exchange.manifold_plan import BAR_RADIUS_M, ManifoldPlan, plan_manifold
from ufh_core.exchange.pipe_run import manifold_floor

from . import names
from .bodies import Body
from .lettering import lying_text
from .looks import dressed
from .objects import part, placed, root

VALVE_RADIUS_M, SHEET_M, LABEL_M = 0.012, 0.006, 0.22
STATION_RADII = {"pump": 0.03, "mixing": 0.02, "thermometer": 0.012, "shut-off": 0.014}
FLOW, RETURN, FITTING, CABINET = range(4)
PLACE = "ufh_place_m"
"""On the empty of a manifold: where the design has it, in the shown plan."""
MOVED_M = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedManifold:
    """A manifold that was dragged: its storey's GlobalId, its new place in the shown plan and in the model's [m]."""

    name: str
    storey: str
    at_plan: tuple[float, float]
    at_world: tuple[float, float]


def show_manifolds(inside: bpy.types.Collection, design: Design, storey: StoreyDesign, project_guid: str) -> None:
    """Every manifold of a storey."""
    for result in storey.manifolds:
        _show_manifold(inside, design, storey, result, project_guid)


def moved(name: str) -> list[MovedManifold]:
    """The manifolds of the design shown as `name` that do not stand where the design has them."""
    inside = part(name, "manifolds")
    if inside is None:
        return []
    bpy.context.view_layer.update()
    bodies = [each for each in inside.objects if each.get(names.KIND) == "manifold_body" and each.parent]
    found = [_moved(each, _frame(name)) for each in bodies]
    return sorted((each for each in found if each is not None), key=lambda each: each.name)


def _moved(body: bpy.types.Object, frame: LocalFrame) -> MovedManifold | None:
    """Where a manifold was dragged to, by its empty or by its body."""
    at, empty = body.matrix_world.translation, body.parent
    if np.hypot(at.x - empty[PLACE][0], at.y - empty[PLACE][1]) <= MOVED_M:
        return None
    world = frame.to_world(np.array([[at.x, at.y]]))[0]
    return MovedManifold(
        name=empty[names.NUMBER],
        storey=empty[names.STOREY],
        at_plan=(float(at.x), float(at.y)),
        at_world=(float(world[0]), float(world[1])),
    )


def _frame(name: str) -> LocalFrame:
    """Where the shown plan lies in the world."""
    top = root(names.DESIGN, name)
    x, y, z = top[names.FRAME_ORIGIN]
    return LocalFrame(origin=(x, y, z), rotation=top[names.FRAME_ROTATION])


def _show_manifold(
    inside: bpy.types.Collection, design: Design, storey: StoreyDesign, result: ManifoldDesign, project_guid: str
) -> None:
    """The empty at the cabinet's back on the floor, and what hangs on it."""
    manifold = result.manifold
    at = (*manifold.position, manifold_floor(design, storey, manifold))
    guid = deterministic_guid(project_guid, "IfcElementAssembly", storey.storey, manifold.name)
    marks = {names.GUID: guid, names.STOREY: storey.storey, names.NUMBER: manifold.name}
    duty = {"ufh_flow_c": result.flow_c, "ufh_return_c": result.return_c, "ufh_pump_pa": result.pump.pressure_pa}
    empty = placed(inside, manifold.name, None, "manifold", {**marks, **duty, PLACE: [float(c) for c in at]})
    empty.location, empty.empty_display_type, empty.empty_display_size = at, "ARROWS", 0.3
    empty.show_name = empty.show_in_front = True
    body = _body(manifold, design, at)
    made = placed(inside, f"{manifold.name} body", body.mesh(f"{manifold.name} body"), "manifold_body", marks)
    dressed(made, "flow pipe", "return pipe", "fitting", "cabinet").parent = empty
    label = lying_text(inside, manifold.name, _label_at(manifold, design), LABEL_M, "manifold_label")
    label.parent = empty


def _label_at(manifold: Manifold, design: Design) -> tuple[float, float, float]:
    """Where the name stands, from the empty: before the cabinet, as high as its top."""
    out = manifold.depth_m + 0.6 * LABEL_M
    return manifold.normal[0] * out, manifold.normal[1] * out, design.settings.manifold.cabinet_height_m


def _body(manifold: Manifold, design: Design, at: tuple[float, float, float]) -> Body:
    """Bars, valves, mixing station and cabinet, as they stand in heating.ifc, from the empty."""
    settings = design.settings.manifold
    heights = (at[2] + settings.flow_bar_height_m, at[2] + settings.return_bar_height_m)
    plan = plan_manifold(manifold, settings.mixing_station_m, heights)
    body = Body()
    _bars(body, plan)
    for port in manifold.ports:
        for point, z, slot in ((port.flow, plan.flow_z, FLOW), (port.return_, plan.return_z, RETURN)):
            end = (*point, z)
            body.rod(plan.at_bar(end), end, VALVE_RADIUS_M, slot)
    sheet = manifold.cabinet.difference(manifold.cabinet.buffer(-SHEET_M, join_style="mitre"))
    body.upright(sheet, at[2], at[2] + settings.cabinet_height_m, CABINET)
    body.vertices = [tuple(row) for row in (np.array(body.vertices) - at).tolist()]
    return body


def _bars(body: Body, plan: ManifoldPlan) -> None:
    """The two bars and the mixing station beyond them."""
    ends = ((plan.flow_z, plan.last_m, FLOW), (plan.return_z, plan.station("mixing")[1], RETURN))
    for z, last, slot in ends:
        body.rod(plan.spot(plan.first_m, z), plan.spot(last, z), BAR_RADIUS_M, slot)
    for place, radius in STATION_RADII.items():
        near, far = plan.station(place)
        body.rod(plan.spot(near, plan.flow_z), plan.spot(far, plan.flow_z), radius, FITTING)
