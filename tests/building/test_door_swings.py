"""Where doors swing, against the drawings of IfcDoorTypeOperationEnum (ISO 16739, from the specification's text)."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from building_sketch import Sketch, two_rooms
from shapely.geometry import Point

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.door_swings import DoorSwing, door_swings
from ufh_core.building.model_file import open_model
from ufh_core.building.read import read_building
from ufh_core.building.reframing import in_frame
from ufh_core.settings.types import Settings

# the middle wall's door: opening from (4.0, 1.0) to (4.2, 1.9); x axis along +y, so that y points to the first room
EAST_FACE, WEST_FACE, LOW, HIGH = 4.2, 4.0, 1.0, 1.9


def swing_of(folder: Path, kind: str | None, turn: float, **options: object) -> tuple[DoorSwing | None, Sketch]:
    sketch, parts = two_rooms(**options)
    door = parts["door"]
    door.ObjectPlacement = sketch._placement(sketch.building.ObjectPlacement, (4.1, 1.0, 0.0), turn)
    if kind is not None:
        door.OperationType = kind
    path = sketch.save(folder)
    building = read_building(path, Settings())
    return door_swings(open_model(path), building.frame, building.storeys).get(door.GlobalId), sketch


@pytest.mark.parametrize(
    ("kind", "turn", "swept", "free"),
    [
        # x along +y, so y points to -x: the leaf opens into the first room
        ("SINGLE_SWING_LEFT", math.pi / 2, (3.3, 1.1), (3.3, 1.8)),
        ("SINGLE_SWING_RIGHT", math.pi / 2, (3.3, 1.8), (3.3, 1.1)),
        # x along -y: the leaf opens into the second room
        ("SINGLE_SWING_LEFT", -math.pi / 2, (4.9, 1.8), (4.9, 1.1)),
        ("DOUBLE_DOOR_SINGLE_SWING", math.pi / 2, (3.7, 1.1), (3.4, 1.45)),
        ("DOUBLE_SWING_LEFT", math.pi / 2, (4.9, 1.1), (4.9, 1.8)),
        ("SWING_FIXED_LEFT", math.pi / 2, (3.7, 1.1), (3.7, 1.8)),
    ],
)
def test_leaf_sweeps_its_side(
    tmp_path: Path, kind: str, turn: float, swept: tuple[float, float], free: tuple[float, float]
) -> None:
    swing, _ = swing_of(tmp_path, kind, turn)
    assert swing is not None and swing.known
    assert swing.ways[0].covers(Point(swept)) and not swing.ways[0].intersects(Point(free))


def test_a_single_leaf_sweeps_a_quarter_circle_of_its_width(tmp_path: Path) -> None:
    swing, _ = swing_of(tmp_path, "SINGLE_SWING_LEFT", math.pi / 2)
    assert swing is not None
    assert swing.ways[0].area == pytest.approx(math.pi * 0.9**2 / 4, rel=0.01)
    assert swing.stops == (pytest.approx((WEST_FACE - 0.8, LOW)),)


@pytest.mark.parametrize("kind", [None, "NOTDEFINED", "USERDEFINED"])
def test_unknown_doors_have_four_ways(tmp_path: Path, kind: str | None) -> None:
    swing, _ = swing_of(tmp_path, kind, math.pi / 2)
    assert swing is not None and not swing.known and len(swing.ways) == 4 and not swing.stops
    assert any(way.covers(Point(EAST_FACE + 0.7, HIGH - 0.1)) for way in swing.ways)


def test_a_placement_that_does_not_fit_the_wall_counts_as_unknown(tmp_path: Path) -> None:
    swing, _ = swing_of(tmp_path, "SINGLE_SWING_LEFT", 0.0)
    assert swing is not None and not swing.known


def test_sliding_doors_sweep_nothing(tmp_path: Path) -> None:
    assert swing_of(tmp_path, "SLIDING_TO_LEFT", math.pi / 2)[0] is None
    assert swing_of(tmp_path, "DOUBLE_DOOR_SLIDING", math.pi / 2)[0] is None


def test_in_ifc2x3_the_style_tells(tmp_path: Path) -> None:
    sketch, parts = two_rooms(schema="IFC2X3")
    door = parts["door"]
    door.ObjectPlacement = sketch._placement(sketch.building.ObjectPlacement, (4.1, 1.0, 0.0), math.pi / 2)
    style = sketch.make(
        "IfcDoorStyle",
        OperationType="SINGLE_SWING_RIGHT",
        ConstructionType="NOTDEFINED",
        ParameterTakesPrecedence=False,
        Sizeable=False,
    )
    sketch.make("IfcRelDefinesByType", RelatedObjects=[door], RelatingType=style)
    path = sketch.save(tmp_path)
    building = read_building(path, Settings())
    swing = door_swings(open_model(path), building.frame, building.storeys)[door.GlobalId]
    assert swing.known and swing.ways[0].covers(Point(3.3, 1.8))


def test_a_building_knows_how_its_doors_swing_in_whatever_frame(tmp_path: Path) -> None:
    sketch, parts = two_rooms()
    door = parts["door"]
    door.ObjectPlacement = sketch._placement(sketch.building.ObjectPlacement, (4.1, 1.0, 0.0), math.pi / 2)
    door.OperationType = "SINGLE_SWING_LEFT"
    building = read_building(sketch.save(tmp_path), Settings())
    (swing,) = building.storeys[0].swings
    assert swing.ifc_guid == door.GlobalId and swing.outline.covers(Point(3.3, 1.1))
    turned = in_frame(building, LocalFrame(origin=(10.0, 5.0, 0.0), rotation=math.pi / 2))
    (there,) = turned.storeys[0].swings
    x, y = turned.frame.to_local(np.array([[3.3, 1.1]]))[0]
    assert there.outline.covers(Point(x, y))


def test_a_door_of_unknown_way_sweeps_nothing_for_the_layout(tmp_path: Path) -> None:
    sketch, parts = two_rooms()
    parts["door"].OperationType = "NOTDEFINED"
    assert read_building(sketch.save(tmp_path), Settings()).storeys[0].swings == ()
