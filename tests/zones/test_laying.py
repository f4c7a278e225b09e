"""How rooms are to be laid: the designer's word for one room goes before that for all; walls by part of the room."""

import plan_sketch
import pytest
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.heat_demand import DemandBasis, HeatDemand, RoomDemand
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.types import LayoutSettings
from ufh_core.zones.laying import EdgeZone, Laying, layings
from ufh_core.zones.selection import Selection

WEST, NORTH = ((0.0, 4.0), (0.0, 0.0)), ((6.0, 4.0), (0.0, 4.0))


def test_a_rooms_own_pattern_goes_before_that_of_all() -> None:
    rooms = [plan_sketch.room(guid, box(0, 0, 6, 4)) for guid in ("A", "B")]
    settings = Settings(layout=LayoutSettings(pattern="meander"))
    told = {"A": None, "B": RoomOverride(match="B", pattern="facade meander")}
    demand = HeatDemand(
        outdoor_c=-10.0,
        rooms={
            guid: RoomDemand(room=guid, indoor_c=20, demand_w=500, basis=DemandBasis.SETTINGS, outer_walls=(WEST,))
            for guid in ("A", "B")
        },
    )
    selection = {guid: Selection(heat=True, reason="", kind=RoomKind.BEDROOM, override=o) for guid, o in told.items()}
    found = layings(rooms, selection, demand, settings)
    assert (found["A"].pattern, found["B"].pattern) == ("meander", "facade meander")
    assert found["B"].cold_walls == (WEST,)


def test_a_part_has_its_own_walls_or_those_of_the_room() -> None:
    laying = Laying(cold_walls=(WEST, NORTH))
    assert laying.walls_of(box(0.05, 0, 2, 3)) == (WEST,)
    assert laying.walls_of(box(0.05, 0, 2, 4)) == (WEST, NORTH)
    assert laying.walls_of(box(3, 0, 6, 2)) == (WEST, NORTH)


def test_an_edge_zone_is_the_floor_beside_the_walls() -> None:
    """By hand: 1 m along a wall of 4 m and along one of 6 m, less the corner that both have."""
    laying = Laying(cold_walls=(WEST, NORTH), edge=EdgeZone(own_circuit=False, depth_m=1.0, pitch_m=0.15))
    assert laying.edge_floor(box(0, 0, 6, 4)).area == pytest.approx(4 + 6 - 1)
    assert laying.edge_floor(box(2, 0, 6, 2)).is_empty
    assert Laying(cold_walls=(WEST,)).edge_floor(box(0, 0, 6, 4)).is_empty


def test_a_zone_in_the_same_circuit_keeps_half_the_pitch_and_the_width_of_a_turn() -> None:
    def pitch(zone: float, room: float, own: bool = False) -> float:
        return Laying(edge=EdgeZone(own_circuit=own, depth_m=1.0, pitch_m=zone)).edge_pitch(room, Settings())

    assert pitch(0.10, 0.20) == pytest.approx(0.15)
    assert pitch(0.10, 0.40) == pytest.approx(0.20)
    assert pitch(0.20, 0.15) == pitch(0.10, 0.15) == pitch(0.10, 0.15, own=True) == 0.15
    assert Laying().edge_pitch(0.3, Settings()) == 0.3
