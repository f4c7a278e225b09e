"""Both sides of the limits: what is a roof, a knee wall, a courtyard, an outer wall, a believable figure."""

from dataclasses import replace

import pytest
from made_up import building, roof, room, shell, storey, wall, window
from shapely.geometry import LineString, box

from ufh_core.building.types import Building, Construction, MaterialLayer, Slab
from ufh_core.heat_demand import DemandTerm, RoomCondition, RoomDemand, heat_demand, slab_below
from ufh_core.heat_demand.surroundings import slab_above
from ufh_core.heat_demand.u_values import u_value
from ufh_core.settings import Settings

SETTINGS = Settings()
WARM = RoomCondition(indoor_c=20.0)


def demand_of(house: Building, guid: str = "a") -> RoomDemand:
    return heat_demand(house, {guid: WARM}, SETTINGS).rooms[guid]


def terms_of(house: Building, kind: str) -> list[DemandTerm]:
    return [term for term in demand_of(house).terms if term.kind == kind]


def slab(
    bottom: float, top: float, kind: str = "floor", share: float = 1.0, layers: tuple[MaterialLayer, ...] = ()
) -> Slab:
    made = Construction(layers=layers)
    shape = box(0, 0, 4, 4 * share)
    return Slab(ifc_guid="s", name="s", kind=kind, outline=shape, bottom_m=bottom, top_m=top, construction=made)


@pytest.mark.parametrize(("top", "carries"), [(3.12, False), (3.08, True), (2.45, True), (2.35, False)])
def test_the_slab_under_a_floor(top: float, carries: bool) -> None:
    """A room at 3.0 m: the slab's top lies up to 0.6 m below or 0.1 m above the floor."""
    assert (slab_below(room("a", (0, 0, 4, 4), floor=3.0), [slab(top - 0.2, top)]) is not None) is carries


@pytest.mark.parametrize(
    ("bottom", "kind", "covers"),
    [
        (5.5, "floor", True),
        (4.95, "floor", True),
        (4.85, "floor", False),
        (6.05, "floor", True),
        (6.15, "floor", False),
        (6.15, "roof", True),
        (2.0, "roof", False),
    ],
)
def test_the_slab_over_a_room(bottom: float, kind: str, covers: bool) -> None:
    """A ceiling at 5.5 m: the slab begins within 0.6 m of it, or is a roof higher up."""
    found = slab_above(room("a", (0, 0, 4, 4), floor=3.0), [slab(bottom, bottom + 0.2, kind)])
    assert (found is not None) is covers


def test_a_slab_over_less_than_a_fifth_of_a_room_is_not_its_own() -> None:
    assert slab_below(room("a", (0, 0, 4, 4)), [slab(-0.2, 0.0, share=0.15)]) is None
    assert slab_below(room("a", (0, 0, 4, 4)), [slab(-0.2, 0.0, share=0.25)]) is not None


def test_a_walled_space_over_a_part_of_the_ceiling_is_unheated() -> None:
    """By hand: walls round 0..2 m of 4 m; 0.3 m of wall and 0.1 m of reach beyond: 2.4 x 4 unheated, 1.6 x 4 open."""
    above = storey("1", [], shell(2, 4, bottom=2.8, top=5.5, tag="1"))
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4)), above)
    assert {t.what: (t.factor, pytest.approx(t.area_m2)) for t in terms_of(house, "roof")} == {
        "to unheated": (0.5, 9.6),
        "to outside": (1.0, 6.4),
    }


@pytest.mark.parametrize(("top", "area"), [(0.6, 16 * 0.6), (0.45, 40.0)])
def test_a_wall_under_half_a_metre_is_no_knee_wall(top: float, area: float) -> None:
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4, top=top), slabs=[roof(0.6, 3.9)]))
    assert sum(t.area_m2 for t in terms_of(house, "wall")) == pytest.approx(area)


@pytest.mark.parametrize(("high", "area"), [(3.35, 40.0), (3.45, 16.0)])
def test_only_a_roof_that_slopes_begins_over_a_knee_wall(high: float, area: float) -> None:
    """A roof 0.8 m and more high slopes; under a flatter one, or none, walls count up to the ceiling."""
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4, top=1.0), slabs=[roof(2.6, high)]))
    assert sum(t.area_m2 for t in terms_of(house, "wall")) == pytest.approx(area)


@pytest.mark.parametrize(("floor", "outer"), [(-1.0, False), (-1.4, True)])
def test_an_outer_wall_faces_the_air_with_half_its_height(floor: float, outer: bool) -> None:
    """The neighbour's ceiling is at 1.5 m of 2.5: 1.0 m is free; or at 1.1 m: 1.4 m is free."""
    rooms = [room("a", (0, 0, 4, 4)), room("b", (4.1, 0, 8.1, 4), floor=floor)]
    house = building(storey("0", rooms, [*shell(8.1, 4, bottom=-1.5), wall("m", (4, 0, 4.1, 4))]))
    lines = [LineString(line) for line in demand_of(house).outer_walls]
    assert any(line.centroid.x == pytest.approx(4.0, abs=0.01) for line in lines) is outer


@pytest.mark.parametrize(("far", "kind"), [(7.0, "inner"), (8.1, "wall")])
def test_a_large_hole_between_walls_is_a_courtyard(far: float, kind: str) -> None:
    """A space of 2.9 x 4 m without a room is unheated, one of 4.0 x 4 m is open air."""
    house = building(storey("0", [room("a", (0, 0, 4, 4))], [*shell(far, 4), wall("m", (4, 0, 4.1, 4))]))
    assert [t.kind for t in demand_of(house).terms if t.ifc_guid == "m"] == [kind]


@pytest.mark.parametrize(("floor", "below"), [(1.7, "outside"), (1.3, "ground")])
def test_a_floor_well_over_the_ground_stands_in_the_air(floor: float, below: str) -> None:
    high = storey("1", [room("a", (20, 0, 24, 4), floor=floor)], [wall("w", (19.7, 0, 20, 4), bottom=floor, top=5.0)])
    house = building(storey("0", [room("low", (0, 0, 4, 4))], shell(4, 4)), high)
    assert demand_of(house).below == below


@pytest.mark.parametrize(("width", "below"), [(5.0, "outside"), (5.2, "unheated")])
def test_a_tenth_of_the_floor_decides_the_insulation(width: float, below: str) -> None:
    """Of 6 m, less the room below and 0.3 m of wall: 0.7 m is 12 %, 0.5 m is 8 %."""
    low = storey("0", [room("low", (0, 0, width, 4))], shell(width, 4, tag="0"))
    up = storey("1", [room("a", (0, 0, 6, 4), floor=2.8)], shell(6, 4, bottom=2.8, top=5.5, tag="1"))
    assert demand_of(building(low, up)).below == below


def test_figures_that_are_believed() -> None:
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4)))
    assert heat_demand(replace(house, outdoor_c=16.0), {"a": WARM}, SETTINGS).outdoor_c == -12.0
    assert u_value(Construction(u_value=0.06), 0.17, 0.28).value == 0.06
    assert u_value(Construction(u_value=0.04), 0.17, 0.28).value == 0.28
    brick = MaterialLayer(name="brick", thickness_m=0.3, conductivity=0.6)
    assert u_value(Construction(layers=(brick,)), 0.17, 0.28, bare_u=2.5).value == pytest.approx(1 / 0.67)


def test_a_roof_of_bare_structure_takes_the_default() -> None:
    """0.9 m at 2.0 W/(m K) gives 1/(0.45 + 0.14) = 1.69, over 1.5: the insulation was left out."""
    bare = slab(2.5, 3.4, "roof", layers=(MaterialLayer(name="concrete", thickness_m=0.9, conductivity=2.0),))
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4), slabs=[bare]))
    assert {t.u_value for t in terms_of(house, "roof")} == {0.2}


def test_layers_of_a_door() -> None:
    """By hand, EN ISO 6946: 0.04 m at 0.1 W/(m K) with films 0.13 and 0.04 gives 1/0.57."""
    leaf = window("d", (1, -0.3, 2, 0), 0.0, 2.0, kind="door")
    wood = MaterialLayer(name="wood", thickness_m=0.04, conductivity=0.1)
    leaf = replace(leaf, construction=Construction(layers=(wood,)))
    (term,) = terms_of(building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4), [leaf])), "door")
    assert term.u_value == pytest.approx(1 / 0.57)


def test_air_tells_its_difference() -> None:
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4)))
    assert {t.difference_k for t in terms_of(house, "ventilation")} == {32.0}
