"""Movement joints in design.json and heating.ifc, as another trade reads them."""

from dataclasses import replace
from pathlib import Path

import ifcopenshell
import ifcopenshell.validate
import made_up_house as house
import made_up_pair as pair
import pytest
from ifcopenshell.util import element as ifc_element
from shapely.geometry import LineString

from ufh_core.design_result import Design
from ufh_core.exchange.design_json import design_to_json
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.joints.types import Crossing, Joint, JointReason, StoreyJoints


def with_joints(design: Design) -> Design:
    """The made-up design with one joint in a doorway that two tails cross."""
    first = design.storeys[0]
    rooms = tuple(room.room for room in first.rooms if room.build_up is not None)[:2]
    (x, y), *_ = first.circuits[0].laid.axis.line().coords
    line = LineString([(x - 0.45, y), (x + 0.45, y)])
    joint = Joint(line=line, reason=JointReason.DOOR, rooms=rooms)
    sleeve = LineString([(x, y - 0.3), (x, y + 0.3)])
    crossing = Crossing(circuit="M1.01", joint=0, at=(x, y), in_field=False, sleeve=sleeve)
    joints = StoreyJoints(joints=(joint,), crossings=(crossing, crossing))
    return replace(design, storeys=(replace(first, joints=joints), *design.storeys[1:]))


@pytest.mark.parametrize("place", house.PLACES.values(), ids=str)
def test_joints_are_accessories_of_the_storey(place: house.Place, tmp_path: Path) -> None:
    architect, made = pair.make_pair(place, tmp_path)
    path = tmp_path / "heating.ifc"
    write_heating_model(with_joints(made), architect, path)
    model = ifcopenshell.open(str(path))
    (joint,) = model.by_type("IfcDiscreteAccessory")
    assert (joint.PredefinedType, joint.ObjectType) == ("USERDEFINED", "MOVEMENT JOINT")
    assert ifc_element.get_container(joint).is_a("IfcBuildingStorey")
    values = ifc_element.get_psets(joint)["UFH_MovementJoint"]
    assert values["Reason"] == "the doorway" and values["PipeSleeves"] == 2
    (solid,) = joint.Representation.Representations[0].Items
    assert solid.is_a("IfcExtrudedAreaSolid") and solid.Depth > 0
    log = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(model, log)
    assert [s for s in log.statements if "DiscreteAccessory" in str(s)] == []


def test_joints_are_rows_of_the_storey(tmp_path: Path) -> None:
    _, made = pair.make_pair(next(iter(house.PLACES.values())), tmp_path)
    rows = design_to_json(with_joints(made))["storeys"][0]["joints"]
    (line,) = rows["lines"]
    assert line["number"] == 1 and line["reason"] == "the doorway" and line["length_m"] == 0.9
    assert [(s["circuit"], s["joint"], s["length_m"], s["in_field"]) for s in rows["sleeves"]] == [
        ("M1.01", 1, 0.6, False)
    ] * 2
    assert rows["pour_fields"] == []
