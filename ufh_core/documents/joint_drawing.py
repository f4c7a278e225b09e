"""The joint plan of a storey: fields of screed in the order of pouring, movement joints, sleeves, pipes in grey.

Neighbouring fields differ by their hatching; each names its number, area, screed and day.
"""

from __future__ import annotations

import shapely

from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.clear_lines import InkMap
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.joint_writing import joint_blocks
from ufh_core.documents.labels import Label, Line, Placer, Wish, Wording
from ufh_core.documents.lettering import clean
from ufh_core.documents.pen import Pen, polygons
from ufh_core.documents.plan_base import FIELD_TINT, draw_shell
from ufh_core.documents.plan_drawing import drawn_page
from ufh_core.documents.plan_joints import draw_joint_line, draw_joint_sleeve, draw_joints
from ufh_core.documents.plan_labels import draw_label
from ufh_core.documents.sheet import Sheet
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.joints.pours import Pour
from ufh_core.joints.types import Joint
from ufh_core.words import number, say

NAME_MM, SMALL_MM, STEP_MM = 2.3, 1.8, 3.0
PIPE_GREY = (186, 186, 186)
ANGLES = (20.0, 65.0, 110.0, 155.0)
HATCH_MM = 5.0


def drawn_joints(design: Design, storey: StoreyDesign, *, date: str = "") -> Plan:
    """The joint plan of a storey with fields of screed. Raises: OutputError where it is not in the building."""
    view = storey_view(design, storey)

    def draw(pen: Pen, sheet: Sheet) -> tuple[Label, ...]:
        for k, field in enumerate(storey.joints.fields):
            pen.fill(field.outline, "FIELD", FIELD_TINT)
            pen.hatch(field.outline, "FIELD", angles_deg=(ANGLES[k % len(ANGLES)],), gap_mm=HATCH_MM)
            pen.outline(field.outline, "FIELD", linetype="CONTINUOUS", weight_mm=0.18)
        for circuit in storey.circuits:
            pen.axis(circuit.laid.axis.pieces, "ROOM", colour=PIPE_GREY)
        draw_shell(pen, view)
        draw_joints(pen, view)
        return _draw_names(pen, sheet, view)

    blocks = joint_blocks(view)
    return drawn_page(view, say("Joint plan, fields of screed"), blocks, draw, draw_joint_sign, date=date)


def _draw_names(pen: Pen, sheet: Sheet, view: StoreyView) -> tuple[Label, ...]:
    """Names of fields first, then numbers of joints, none over a joint or another name."""
    west, south = sheet.at(sheet.plan[0], sheet.plan[1])
    east, north = sheet.at(sheet.plan[2], sheet.plan[3])
    bounds = (west, south, east, north)
    ink = [joint.line for joint in view.result.joints.joints]
    ink += [wall.outline.boundary for wall in view.storey.walls]
    ink += [obstacle.outline.boundary for obstacle in view.storey.obstacles]
    placer = Placer(bounds, pen.mm(1.0), InkMap(bounds, pen.mm(0.3), ink))
    for joint in view.result.joints.joints:
        placer.reserve(joint.line.buffer(pen.mm(0.6)).bounds)
    pours = [pour for pour in view.design.pours if pour.storey == view.result.storey]
    wishes = [_field_wish(view, pour) for pour in sorted(pours, key=lambda pour: pour.area_m2)]
    wishes += [_joint_wish(pen, k, joint) for k, joint in enumerate(view.result.joints.joints, 1)]
    labels = tuple(label for label in map(placer.place, wishes) if label is not None)
    for label in labels:
        draw_label(pen, label)
    return labels


def _field_wish(view: StoreyView, pour: Pour) -> Wish:
    """A field's number, rooms, area, screed and day; fewer words where it is small."""
    field = view.result.joints.fields[pour.field]
    stands = shapely.union_all([o.outline for o in view.storey.obstacles if not o.movable])
    free = max(polygons(shapely.difference(field.outline, stands)), key=lambda part: part.area, default=field.outline)
    head = Line(text=pour.name, height=NAME_MM, bold=True)
    rooms = Line(text=", ".join(clean(view.label_of(room)) for room in field.rooms), height=SMALL_MM)
    size = Line(text=f"{number(pour.area_m2, 1)} m² · {number(pour.screed_m3, 2)} m³", height=SMALL_MM)
    when = Line(text=say("day {day}, pour {number}", day=pour.day, number=pour.number), height=SMALL_MM, bold=True)
    return Wish(
        key=pour.name,
        area=free,
        wordings=(
            Wording(lines=(head, rooms, size, when), step=STEP_MM),
            Wording(lines=(head, size, when), step=STEP_MM, penalty=0.4),
            Wording(lines=(head, when), step=STEP_MM, penalty=0.8),
            Wording(lines=(head,), step=STEP_MM, penalty=1.2),
        ),
        framed=True,
    )


def _joint_wish(pen: Pen, number: int, joint: Joint) -> Wish:
    """A joint's number beside its line."""
    line = Line(text=f"J{number}", height=SMALL_MM, bold=True)
    around = joint.line.buffer(pen.mm(7.0))
    return Wish(key=f"J{number}", area=around, wordings=(Wording(lines=(line,), step=STEP_MM),), framed=True)


def draw_joint_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    left, right = sheet.at(x + 1, middle), sheet.at(x + 16, middle)
    box = shapely.box(*sheet.at(x + 1, middle - 1.5), *sheet.at(x + 16, middle + 1.5))
    if sign == "field":
        pen.fill(box, "FIELD", FIELD_TINT)
        pen.hatch(box, "FIELD", angles_deg=ANGLES[:1], gap_mm=HATCH_MM / 2)
        pen.outline(box, "FIELD", linetype="CONTINUOUS", weight_mm=0.18)
    elif sign == "joint":
        draw_joint_line(pen, [left, right])
    else:
        pen.line([left, right], "ROOM", colour=PIPE_GREY)
        if sign == "sleeve":
            draw_joint_sleeve(pen, shapely.LineString([sheet.at(x + 3.5, middle), sheet.at(x + 13.5, middle)]))
