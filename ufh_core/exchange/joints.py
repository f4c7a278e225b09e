"""Movement joints of the screed in heating.ifc."""

from __future__ import annotations

from ufh_core.exchange import shapes
from ufh_core.exchange.pipes import StoreyScope
from ufh_core.exchange.properties import own_set
from ufh_core.exchange.trade_model import TradeModel
from ufh_core.floor.types import BuildUp
from ufh_core.joints.types import Joint

LAYER = "Floor heating - movement joints"


def write_joints(model: TradeModel, scope: StoreyScope) -> None:
    """Every joint of a storey as a strip as thick as the edge strip, through panel, screed and finish."""
    floors = {room.room: room.build_up for room in scope.storey.rooms if room.build_up is not None}
    crossed = [crossing.joint for crossing in scope.storey.joints.crossings]
    for number, joint in enumerate(scope.storey.joints.joints):
        beside = [floors[room] for room in joint.rooms if room in floors]
        if beside:
            _joint(model, scope, joint, (number + 1, crossed.count(number)), beside[0])


def _joint(model: TradeModel, scope: StoreyScope, joint: Joint, counts: tuple[int, int], floor: BuildUp) -> None:
    number, sleeves = counts
    parted = [layer for layer in floor.layers if layer.role in ("panel", "screed", "finish")]
    thickness = scope.design.settings.floor.edge_strip_thickness_m
    low, high = (parted or list(floor.layers))[0].bottom_m, floor.layers[-1].top_m
    at = (*joint.line.interpolate(0.5, normalized=True).coords[0], low)
    solids = shapes.upright(model, joint.line.buffer(thickness / 2, cap_style="flat"), (low, high), at)
    made = model.product(
        "IfcDiscreteAccessory",
        (scope.storey.storey, "movement joint", str(number)),
        scope.entity,
        at,
        [model.shape("Body", "SweptSolid", solids, LAYER, "Movement joint")],
        Name=f"Movement joint {number}",
        ObjectType="MOVEMENT JOINT",
        PredefinedType="USERDEFINED",
    )
    model.gather("IfcRelContainedInSpatialStructure", scope.entity, [made])
    rows = [
        ("Reason", "IfcLabel", str(joint.reason)),
        ("Rooms", "IfcText", ", ".join(scope.labels[room] for room in joint.rooms if room in scope.labels)),
        ("Length", "IfcLengthMeasure", joint.line.length),
        ("PipeSleeves", "IfcInteger", sleeves),
    ]
    own_set(model, made, "UFH_MovementJoint", rows)
