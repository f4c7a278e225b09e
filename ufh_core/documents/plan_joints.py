"""Movement joints on the plan, and the sleeves on pipes that cross them."""

from __future__ import annotations

from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import Point
from ufh_core.documents.pen import Pen
from ufh_core.documents.storey_view import StoreyView

SLEEVE_WIDE_MM = 0.9


def draw_joints(pen: Pen, view: StoreyView) -> None:
    """Each joint as a heavy chain line over the pipes, each sleeve as a box along its pipe."""
    joints = view.result.joints
    for crossing in joints.crossings:
        draw_joint_sleeve(pen, crossing.sleeve)
    for joint in joints.joints:
        draw_joint_line(pen, [(x, y) for x, y in joint.line.coords])


def draw_joint_line(pen: Pen, points: list[Point]) -> None:
    """The line of a joint [m]."""
    pen.line(points, "JOINT")


def draw_joint_sleeve(pen: Pen, stretch: LineString) -> None:
    """A box round the stretch of a pipe that is sleeved [m]."""
    pen.outline(
        stretch.buffer(pen.mm(SLEEVE_WIDE_MM / 2), cap_style="flat"), "JOINT", linetype="CONTINUOUS", weight_mm=0.13
    )
