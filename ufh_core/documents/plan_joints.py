"""Movement joints on the plan, and the sleeves on pipes that cross them."""

from __future__ import annotations

import shapely
from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import Point
from ufh_core.documents.labels import Line, Wish, Wording
from ufh_core.documents.pen import Pen
from ufh_core.documents.storey_view import StoreyView

SLEEVE_WIDE_MM = 0.9
NUMBER_MM = 1.8


def draw_joints(pen: Pen, view: StoreyView) -> None:
    """Each joint as a heavy chain line over the pipes, each sleeve as a box along its pipe."""
    joints = view.result.joints
    for crossing in joints.crossings:
        draw_joint_sleeve(pen, crossing.sleeve)
    for joint in joints.joints:
        draw_joint_line(pen, [(x, y) for x, y in joint.line.coords])


def pour_wishes(view: StoreyView) -> list[Wish]:
    """The name of each field of screed, small and within it or not at all."""
    fields = view.result.joints.fields
    stands = shapely.union_all([o.outline for o in view.storey.obstacles if not o.movable])
    return [
        Wish(
            key=f"pour {pour.number}",
            area=shapely.difference(fields[pour.field].outline, stands),
            wordings=(Wording(lines=(Line(text=pour.name, height=NUMBER_MM, pale=True),), step=2.6),),
            inside_only=True,
        )
        for pour in view.design.pours
        if pour.storey == view.result.storey
    ]


def draw_joint_line(pen: Pen, points: list[Point]) -> None:
    """The line of a joint [m]."""
    pen.line(points, "JOINT")


def draw_joint_sleeve(pen: Pen, stretch: LineString) -> None:
    """A box round the stretch of a pipe that is sleeved [m]."""
    pen.outline(
        stretch.buffer(pen.mm(SLEEVE_WIDE_MM / 2), cap_style="flat"), "JOINT", linetype="CONTINUOUS", weight_mm=0.13
    )
