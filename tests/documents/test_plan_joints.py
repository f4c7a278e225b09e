"""Movement joints on the plan: a line for each, a box for each sleeve, both explained."""

from dataclasses import replace

import made_up_design as made_up
from shapely.geometry import LineString

from ufh_core.documents.plan_drawing import plan_drawing
from ufh_core.joints.types import Crossing, Joint, JointReason, StoreyJoints


def drawn(joints: StoreyJoints) -> tuple[list[tuple[float, str]], str]:
    """(length [m] and line type of all that is drawn on the layer of joints, all words of the plan)."""
    design = made_up.design()
    storey = replace(design.storeys[0], joints=joints)
    space = plan_drawing(replace(design, storeys=(storey,)), storey).modelspace()
    shapes = [e for e in space.query("LWPOLYLINE") if e.dxf.layer == "JOINT"]
    lines = [(LineString(e.get_points("xy")).length / 1000, e.dxf.linetype) for e in shapes]
    return lines, " ".join(e.dxf.text for e in space.query("TEXT"))


def test_joints_and_sleeves_are_drawn_and_explained() -> None:
    joint = Joint(line=LineString([(1.0, 1.0), (1.0, 3.5)]), reason=JointReason.SIZE, rooms=("living",))
    crossing = Crossing(
        circuit="M1.01", joint=0, at=(1.0, 2.0), in_field=False, sleeve=LineString([(0.7, 2.0), (1.3, 2.0)])
    )
    lines, words = drawn(StoreyJoints(joints=(joint,), crossings=(crossing,)))
    chains = [length for length, linetype in lines if linetype == "BYLAYER"]
    boxes = [length for length, linetype in lines if linetype == "CONTINUOUS"]
    assert len(chains) == 2 and 2.5 in chains, "the joint and its sign in the legend"
    assert len(boxes) == 2 and max(boxes) > 0.6
    assert "movement joint through all of the screed" in words and "sleeve on a pipe" in words


def test_a_plan_without_joints_says_nothing_of_them() -> None:
    lines, words = drawn(StoreyJoints())
    assert lines == [] and "movement joint" not in words
