"""Ways through walls: which walls may be drilled, where, and for whom."""

from __future__ import annotations

from dataclasses import replace

import plan_sketch as sketch
import pytest
from shapely.geometry import LineString, Polygon, box

from ufh_core.building.types import Column, Construction, RoomKind, Wall
from ufh_core.settings.types import LayoutSettings, Settings
from ufh_core.zones.drilled_walls import DrilledWalls
from ufh_core.zones.laid_ways import laid_ways
from ufh_core.zones.level_plan import Level
from ufh_core.zones.relief_ways import APART_M, ways_past

PLAIN = Settings()
HALL, ROOM, STORE = box(0.0, 0.0, 6.0, 2.0), box(0.0, 2.12, 6.0, 6.0), box(6.24, 0.0, 9.0, 6.0)
THIN, THICK = box(-0.3, 2.0, 6.0, 2.12), box(6.0, -0.3, 6.24, 6.3)


def wall(outline: Polygon, name: str = "W", **said: object) -> Wall:
    construction = Construction(**said)  # type: ignore[arg-type]
    return Wall(ifc_guid=name, name=name, outline=outline, bottom_m=0.0, top_m=2.5, construction=construction)


def plan(*walls: Wall, settings: Settings = PLAIN, **more: object) -> Level:
    """A hall, a room behind a thin wall, and a store beside both behind a thick one; no door anywhere."""
    rooms = [sketch.room("H", HALL, RoomKind.HALL), sketch.room("R", ROOM), sketch.room("S", STORE, RoomKind.STORE)]
    return sketch.level(replace(sketch.storey(rooms), walls=walls, **more), settings)


def test_each_part_without_a_door_gets_one_way_through_its_thinnest_wall() -> None:
    level = plan(wall(THIN, "thin"), wall(THICK, "thick"))
    thin, thick = level.sleeve_ways
    assert (thin.walls[0].name, thick.walls[0].name) == ("thin", "thick") and level.spared_walls == ()
    assert set(thin.rooms) == {"H", "R"} and thin.direction == (0.0, 1.0)
    assert thin.outline.bounds == pytest.approx((2.75, 2.0, 3.25, 2.12), abs=0.051)  # in the middle of the wall
    assert thin.reason == "no door leads to its room"


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"load_bearing": True}, 'the wall "thin" is load-bearing'),
        ({"load_bearing": False, "fire_rating": "EI 30"}, 'the wall "thin" resists fire (EI 30)'),
        ({"compartment": True}, 'the wall "thin" resists fire'),
    ],
)
def test_a_wall_that_bears_or_resists_fire_is_spared_for_a_thicker_one(said: dict[str, object], why: str) -> None:
    level = plan(wall(THIN, "thin", **said), wall(THICK, "thick"))
    assert [w.walls[0].name for w in level.sleeve_ways] == ["thick", "thick"]
    assert level.spared_walls == ()  # there is another way round
    alone = plan(wall(THIN, "thin", **said), wall(THICK, "thick", load_bearing=True))
    assert alone.sleeve_ways == ()
    assert why in {w.why for w in alone.spared_walls}


def test_a_wall_that_resists_fire_is_drilled_only_where_the_settings_say_so() -> None:
    told = Settings(layout=LayoutSettings(fire_wall_sleeves=True))
    level = plan(wall(THIN, "thin", fire_rating="EI 30"), settings=told)
    assert [w.walls[0].name for w in level.sleeve_ways] == ["thin"]
    bears = plan(wall(THIN, "thin", fire_rating="REI 30", load_bearing=True), settings=told)
    assert bears.sleeve_ways == ()


def test_a_wall_that_surely_does_not_bear_comes_before_a_thinner_one_of_which_nothing_is_known() -> None:
    level = plan(wall(THIN, "thin"), wall(THICK, "thick", load_bearing=False))
    assert [w.walls[0].name for w in level.sleeve_ways] == ["thick", "thick"]


def test_both_leaves_of_a_wall_count() -> None:
    leaves = wall(box(0, 2.0, 6, 2.06), "front", load_bearing=False), wall(box(0, 2.06, 6, 2.12), "back")
    (way,) = plan(*leaves).sleeve_ways
    assert [w.name for w in way.walls] == ["front", "back"]
    bearing = replace(leaves[1], construction=Construction(load_bearing=True))
    level = plan(leaves[0], bearing)
    assert level.sleeve_ways == () and {w.ifc_guid for w in level.spared_walls} == {"back"}


def test_a_way_keeps_clear_of_openings_and_columns() -> None:
    free = plan(wall(THIN))
    (way,) = free.sleeve_ways
    low, high = way.outline.bounds[0], way.outline.bounds[2]
    column = Column(ifc_guid="C", name="", outline=box(low + 0.2, 2.0, low + 0.3, 2.12), bottom_m=0, top_m=2.5)
    opening = sketch.window(box(low - 0.4, 2.0, low - 0.05, 2.12))
    for more in ({"columns": (column,)}, {"openings": (opening,)}):
        (moved,) = plan(wall(THIN), **more).sleeve_ways
        (thing,) = next(iter(more.values()))
        assert moved.outline.distance(thing.outline) > (0.1 if "openings" in more else 0.0)
        assert moved.outline.bounds[0] != low or moved.outline.bounds[2] != high


def test_no_way_leads_where_units_stand_or_no_wall_is() -> None:
    for at_wall in (2.0, 1.9):  # against the wall, and with a slot behind in which no pipe can turn
        unit = sketch.unit_in(box(0.0, 1.4, 6.0, at_wall))
        assert plan(wall(THIN), obstacles=(unit,)).sleeve_ways == ()
    assert plan(wall(box(0.0, 2.0, 6.0, 2.05))).sleeve_ways == ()  # the rest of the gap is no wall


def test_through_names_walls_only_where_a_way_lies_in_them() -> None:
    walls = DrilledWalls(walls=(wall(THIN),))
    assert walls.through(box(1.0, 2.0, 1.5, 2.12)) == (walls.walls[0],)
    assert walls.through(box(1.0, 1.0, 1.5, 2.12)) == ()
    assert walls.through(box(8.0, 2.0, 8.5, 2.12)) == ()


# --- past a place where tails do not fit --------------------------------------------------------


def past(level: Level, count: int, at: tuple[float, float] = (1.0, 2.0)) -> tuple[tuple[object, ...], str]:
    return ways_past(level, {"H": HALL, "S": STORE}, {"R": ROOM}, at, count, "too narrow", PLAIN)


def test_ways_past_a_bottleneck_are_one_for_each_pair_apart_and_near_it() -> None:
    level = replace(plan(wall(THIN, "thin", load_bearing=False), wall(THICK, "thick")), sleeve_ways=())
    ways, refused = past(level, 3)
    assert len(ways) == 3 and refused == ""
    for k, way in enumerate(ways):
        x0, y0, x1, y1 = way.outline.bounds
        assert (y0, y1) == (2.0, 2.12) and abs((x0 + x1) / 2 - 1.0) < 1.0
        assert (x0 + x1) / 2 % 0.1 == pytest.approx(0.025)  # a line of the tails' lattice
        assert way.width_m == pytest.approx(0.15) and way.reason == "too narrow" and set(way.rooms) == {"H", "R"}
        assert all(way.outline.distance(other.outline) > APART_M for other in ways[:k])


def test_ways_past_a_bottleneck_keep_off_those_that_are_there() -> None:
    level = replace(plan(wall(THIN, load_bearing=False)), sleeve_ways=())
    first, _ = past(level, 1)
    second, _ = past(replace(level, sleeve_ways=first), 1)
    assert second[0].outline.distance(first[0].outline) > APART_M


def test_where_only_bearing_walls_part_both_sides_there_is_no_way_and_the_wall_is_named() -> None:
    level = plan(wall(THIN, "thin", load_bearing=True), wall(THICK, "thick", fire_rating="F90"))
    ways, refused = past(level, 2)
    assert ways == () and refused == 'the wall "thin" is load-bearing'
    assert past(plan(), 2) == ((), "")  # no wall is modelled


# --- for pipes that lie already -----------------------------------------------------------------


def through(x: float, low: float = 1.0, high: float = 3.0) -> LineString:
    return LineString([(x, low), (x, high)])


def laid_in(level: Level, *lines: LineString) -> list[tuple[float, ...]]:
    return [way.outline.bounds for way in laid_ways(lines, replace(level, sleeve_ways=()), PLAIN)]


def test_a_pair_that_lies_in_a_wall_has_one_way_and_a_pipe_alone_its_own() -> None:
    level = plan(wall(THIN))
    pair = laid_in(level, through(1.0), through(1.05))
    assert pair == [pytest.approx((0.95, 2.0, 1.1, 2.12))]
    both_ways = LineString([(1.0, 1.0), (1.0, 3.0), (1.05, 3.0), (1.05, 1.0)])  # there and back, as one pipe lies
    assert laid_in(level, both_ways) == pair
    assert laid_in(level, through(1.0), through(1.5)) == [
        pytest.approx((0.95, 2.0, 1.05, 2.12)),
        pytest.approx((1.45, 2.0, 1.55, 2.12)),
    ]
    (way,) = laid_ways([through(1.0)], level, PLAIN)
    assert set(way.rooms) == {"H", "R"} and [w.name for w in way.walls] == ["W"]


def test_a_pipe_lies_in_no_way_that_a_door_or_another_way_is_for_already() -> None:
    level = plan(wall(THIN))
    there = through(level.sleeve_ways[0].outline.centroid.x)
    assert laid_ways([there], level, PLAIN) == () and len(laid_in(level, there)) == 1
    door = sketch.door(box(0.8, 2.0, 1.7, 2.12), sketch.THROUGH_Y, "H", "R")
    assert laid_in(replace(level, passages=(door,)), through(1.0)) == []


def test_a_pipe_has_no_way_askew_or_along_a_wall_or_in_one_that_bears() -> None:
    askew, along = LineString([(1.0, 1.0), (1.4, 3.0)]), LineString([(1.0, 2.06), (4.0, 2.06)])
    assert laid_in(plan(wall(THIN)), askew) == laid_in(plan(wall(THIN)), along) == []
    assert laid_in(plan(wall(THIN, load_bearing=True)), through(1.0)) == []
    assert laid_in(plan(wall(THIN)), through(1.0, 1.0, 2.1)) == []  # it ends in the wall
    rooms = [sketch.room("H", HALL, RoomKind.HALL), sketch.room("R", box(0.0, 2.7, 6.0, 6.0))]
    massive = sketch.level(replace(sketch.storey(rooms), walls=(wall(box(-0.3, 2.0, 6.0, 2.7)),)))
    assert laid_in(massive, through(1.0, 1.0, 4.0)) == []
