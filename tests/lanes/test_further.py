"""Lanes led further into a territory: legal, from the same port, clear of the others, each end deeper."""

from __future__ import annotations

import plan_sketch as sketch
import shapely
from shapely.geometry import LineString, Point, box

from ufh_core.building.types import RoomKind
from ufh_core.lanes.level import lead_further, route_lanes
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.types import Lane
from ufh_core.settings.types import Settings
from ufh_core.zones.territories import territories

PLAIN = Settings()
ROOMS = [
    sketch.room("H", box(0.02, 0.03, 6.02, 2.0), RoomKind.HALL),
    sketch.room("R", box(0.02, 2.12, 6.02, 6.12)),
]
LEVEL = sketch.level(sketch.storey(ROOMS, [sketch.door(box(1, 2.0, 2.2, 2.12), sketch.THROUGH_Y, "H", "R")]))
PARTS = territories(LEVEL, {"H": 1, "R": 2}, {"H": 0.2, "R": 0.2}, PLAIN)
LANES = route_lanes(LEVEL, PARTS, PLAIN)


def further(lane: Lane) -> list[Lane]:
    others = [x.corners for x in LANES.lanes if x is not lane]
    return list(lead_further(LevelGround(LEVEL, PLAIN), PARTS[lane.territory], lane, others))


def test_ends_lie_ever_deeper_in_the_territory() -> None:
    (lane, *_) = (x for x in LANES.lanes if PARTS[x.territory].room == "R")
    part = PARTS[lane.territory]
    made = further(lane)
    assert len(made) >= 3
    depths = [part.floor.boundary.distance(Point(x.corners[-1])) for x in made]
    assert depths == sorted(depths) and depths[-1] > depths[0] + 0.3
    assert all(part.floor.contains(Point(x.corners[-1])) for x in made)


def test_each_keeps_its_port_and_its_distance_from_the_others() -> None:
    for lane in LANES.lanes:
        others = shapely.union_all([LineString(x.corners) for x in LANES.lanes if x is not lane])
        for one in further(lane):
            assert one.corners[0] == lane.corners[0] and one.port == lane.port and one.territory == lane.territory
            assert LineString(one.corners).distance(others) > 2 * PLAIN.layout.tail_spacing_m - 1e-6
            assert LineString(one.corners).is_simple


def test_a_territory_that_others_fill_offers_no_other_end() -> None:
    lane = LANES.lanes[0]
    wall_to_wall = [((0.0, y / 100), (6.1, y / 100)) for y in range(0, 620, 10)]
    assert list(lead_further(LevelGround(LEVEL, PLAIN), PARTS[lane.territory], lane, wall_to_wall)) == []
