"""A building moved and turned as a whole needs the same heat: nothing of it may hang on axes or on an origin."""

from __future__ import annotations

import math
from pathlib import Path

import ifcopenshell
import ifcopenshell.util.unit
import pytest

from ufh_core.building.read import read_building
from ufh_core.heat_demand import HeatDemand, RoomCondition, heat_demand
from ufh_core.samples import sample_model
from ufh_core.settings import Settings

NOT_WARM = {"garage", "storage", "technical"}
ELSEWHERE = [(37.0, (412_345.678, 1_512_345.25, 123.4)), (-71.3, (0.0, 0.0, 0.0)), (90.0, (-3.0e5, 40.0, 0.0))]


def moved(model: Path, turn_deg: float, to_m: tuple[float, float, float], folder: Path) -> Path:
    """The model with its site turned about the vertical and set down elsewhere [m]."""
    file = ifcopenshell.open(str(model))
    per_metre = 1 / ifcopenshell.util.unit.calculate_unit_scale(file)
    (site,) = file.by_type("IfcSite")
    place = site.ObjectPlacement.RelativePlacement
    at = [a + b * per_metre for a, b in zip(place.Location.Coordinates, to_m, strict=True)]
    place.Location = file.create_entity("IfcCartesianPoint", at)
    place.Axis = file.create_entity("IfcDirection", (0.0, 0.0, 1.0))
    turn = math.radians(turn_deg)
    place.RefDirection = file.create_entity("IfcDirection", (math.cos(turn), math.sin(turn), 0.0))
    file.write(str(folder / "moved.ifc"))
    return folder / "moved.ifc"


def demand(model: Path) -> HeatDemand:
    building = read_building(model, Settings())
    rooms = [room for storey in building.storeys for room in storey.rooms]
    cold = RoomCondition(indoor_c=20.0, heated=False)
    conditions = {r.ifc_guid: cold if r.kind.value in NOT_WARM else RoomCondition(indoor_c=20.0) for r in rooms}
    return heat_demand(building, conditions, Settings())


@pytest.mark.parametrize("name", ["bungalow", "bay-house"])
def test_demand_is_the_same_wherever_it_stands(name: str, tmp_path: Path) -> None:
    here = demand(sample_model(name)).rooms
    assert sum(room.demand_w for room in here.values()) > 1000
    for turn, to in ELSEWHERE:
        there = demand(moved(sample_model(name), turn, to, tmp_path)).rooms
        assert there.keys() == here.keys()
        for guid, room in here.items():
            assert there[guid].demand_w == pytest.approx(room.demand_w, rel=2e-3, abs=1.0), (turn, guid)
            assert there[guid].below == room.below
