"""How rooms are to be laid: the designer's word for one room goes before that for all; walls by part of the room."""

import plan_sketch
from shapely.geometry import box

from ufh_core.building.types import RoomKind
from ufh_core.heat_demand import DemandBasis, HeatDemand, RoomDemand
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.types import LayoutSettings
from ufh_core.zones.laying import Laying, layings
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
