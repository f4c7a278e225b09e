"""Heat demand against figures calculated by hand."""

import math
import os
from dataclasses import replace
from pathlib import Path

import pytest
from made_up import building, roof, room, shell, storey, wall, window
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon, box

from ufh_core.building.types import Building, Construction, MaterialLayer, Opening, Passage, RoomKind, Slab, Wall
from ufh_core.heat_demand import DemandBasis, RoomCondition, RoomDemand, heat_demand
from ufh_core.heat_demand.u_values import layers_r, load_bearing_r, u_value
from ufh_core.settings import Settings

SETTINGS = Settings()
WARM = RoomCondition(indoor_c=20.0)
COLD = RoomCondition(indoor_c=20.0, heated=False)


def losses(demand: RoomDemand) -> dict[str, float]:
    """Loss by kind of term [W]."""
    found: dict[str, float] = {}
    for term in demand.terms:
        found[term.kind] = found.get(term.kind, 0.0) + term.loss_w
    return found


def box_house() -> Building:
    rooms = [room("a", (0, 0, 4, 4)), room("b", (4.1, 0, 8.1, 4), RoomKind.BATH)]
    walls = [*shell(8.1, 4.0), wall("middle", (4.0, 0.0, 4.1, 4.0), 2.0)]
    return building(storey("ground", rooms, walls, [window("window", (1.0, -0.3, 2.5, 0.0), 0.8, 2.0)]))


def test_a_box_room_by_hand() -> None:
    """By hand, EN 12831-1 simplified; factors of DIN/TS 12831-1 (ground 0.3, ΔU_TB 0.05) and 0.34 n V.

    20 °C inside, -12 outside, walls 0.2, window 1.5 x 1.2 m at 1.3, roof 0.2; bath next door at 24 °C.
    """
    demand = heat_demand(box_house(), {"a": WARM, "b": RoomCondition(indoor_c=24.0)}, SETTINGS).rooms["a"]
    found = losses(demand)
    assert found["wall"] == pytest.approx((3 * 10 - 1.8) * 0.2 * 32)
    assert found["window"] == pytest.approx(1.8 * 1.3 * 32)
    assert found["roof"] == pytest.approx(16 * 0.2 * 32)
    assert found["bridge"] == pytest.approx((30 + 16) * 0.05 * 32)
    assert found["inner"] == pytest.approx(10 * 2.0 * (20 - 24))
    assert found["ventilation"] == pytest.approx(0.34 * 0.5 * 40 * 32)
    assert demand.demand_w == pytest.approx(568.96)
    assert demand.basis is DemandBasis.CALCULATED
    assert (demand.below, demand.below_c) == ("ground", pytest.approx(20 - 0.3 * 32))
    assert demand.floor_loss_w == pytest.approx(16 * 0.35 * 0.3 * 32)
    assert sum(term.loss_w for term in demand.terms) == pytest.approx(demand.demand_w)


def test_heat_between_heated_rooms_is_counted_both_ways() -> None:
    found = heat_demand(box_house(), {"a": WARM, "b": RoomCondition(indoor_c=24.0)}, SETTINGS).rooms
    assert losses(found["a"])["inner"] == pytest.approx(-losses(found["b"])["inner"])


def test_an_unheated_neighbour_takes_the_simple_factor() -> None:
    found = heat_demand(box_house(), {"a": WARM, "b": COLD}, SETTINGS)
    assert losses(found.rooms["a"])["inner"] == pytest.approx(10 * 2.0 * 0.5 * 32)
    assert set(found.rooms) == {"a"}


def test_a_room_that_is_not_named_is_a_neighbour_without_heating() -> None:
    named = heat_demand(box_house(), {"a": WARM, "b": COLD}, SETTINGS).rooms["a"]
    assert heat_demand(box_house(), {"a": WARM}, SETTINGS).rooms["a"] == named


def test_an_outside_space_is_open_air() -> None:
    house = box_house()
    ground = house.storeys[0]
    terrace = replace(ground.rooms[1], external=True)
    house = replace(house, storeys=(replace(ground, rooms=(ground.rooms[0], terrace)),))
    demand = heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"]
    assert "inner" not in losses(demand)
    assert sum(t.area_m2 for t in demand.terms if t.kind == "wall") == pytest.approx(40 - 1.8)


def turned_house(angle: float) -> Building:
    def turn(thing: object) -> object:
        return replace(thing, outline=rotate(thing.outline, angle, origin=(0, 0)))  # type: ignore[type-var,attr-defined]

    ground = box_house().storeys[0]
    parts = {name: tuple(turn(t) for t in getattr(ground, name)) for name in ("rooms", "walls", "openings")}
    return building(replace(ground, **parts))


@pytest.mark.parametrize("angle", [17.0, 90.0, 211.0])
def test_turning_the_house_changes_nothing(angle: float) -> None:
    conditions = {"a": WARM, "b": RoomCondition(indoor_c=24.0)}
    straight = heat_demand(box_house(), conditions, SETTINGS).rooms
    turned = heat_demand(turned_house(angle), conditions, SETTINGS).rooms
    for guid in "ab":
        assert turned[guid].demand_w == pytest.approx(straight[guid].demand_w, rel=1e-3)


def test_the_order_of_basis() -> None:
    house = building(storey("ground", [room("a", (0, 0, 4, 4), load=700.0)], shell(4, 4)))
    by_hand = heat_demand(house, {"a": replace(WARM, stated_demand_w=500.0)}, SETTINGS).rooms["a"]
    assert (by_hand.demand_w, by_hand.basis) == (500.0, DemandBasis.SETTINGS)
    by_model = heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"]
    assert (by_model.demand_w, by_model.basis) == (700.0, DemandBasis.MODEL)
    absurd = building(storey("ground", [room("a", (0, 0, 4, 4), load=1e9)], shell(4, 4)))
    assert heat_demand(absurd, {"a": WARM}, SETTINGS).rooms["a"].basis is DemandBasis.CALCULATED
    bare = heat_demand(building(storey("ground", [room("a", (0, 0, 4, 4))])), {"a": WARM}, SETTINGS)
    assert bare.rooms["a"].demand_w == pytest.approx(16 * 60)
    assert bare.rooms["a"].basis is DemandBasis.SETTINGS
    assert [f.code for f in bare.findings] == ["heat_demand.stated-default"]
    assert all(demand.note for demand in (by_hand, by_model, bare.rooms["a"]))


def test_no_demand_is_below_zero() -> None:
    """A small cool room inside a hot one gains more than it loses."""
    ring = box(0, 0, 6, 6).difference(box(2.0, 2.0, 4.0, 4.0))
    inner_walls = [
        wall("i1", (2.0, 2.0, 4.0, 2.1), 3.0),
        wall("i2", (2.0, 3.9, 4.0, 4.0), 3.0),
        wall("i3", (2.0, 2.1, 2.1, 3.9), 3.0),
        wall("i4", (3.9, 2.1, 4.0, 3.9), 3.0),
    ]
    rooms = [room("in", (2.1, 2.1, 3.9, 3.9)), room("round", Polygon(ring.exterior, ring.interiors))]
    house = building(storey("ground", rooms, [*shell(6, 6), *inner_walls]))
    found = heat_demand(house, {"in": RoomCondition(indoor_c=15.0), "round": RoomCondition(indoor_c=24.0)}, SETTINGS)
    assert found.rooms["in"].demand_w == 0.0
    assert "heat_demand.none" in [f.code for f in found.findings]
    assert "gains" in found.rooms["in"].note


def test_rooms_that_lie_open_to_each_other_exchange_nothing() -> None:
    house = building(storey("ground", [room("a", (0, 0, 4, 4)), room("b", (4, 0, 8, 4))], shell(8, 4)))
    found = heat_demand(house, {"a": WARM, "b": RoomCondition(indoor_c=24.0)}, SETTINGS).rooms
    assert losses(found["a"])["inner"] == 0.0


def test_a_free_column_and_a_wall_end_are_no_outer_walls() -> None:
    outline = box(0, 0, 6, 4).difference(box(2.0, 1.5, 2.3, 1.8))
    rooms = [
        room("a", Polygon(outline.exterior, outline.interiors)),
        room("b", (0, 4.1, 2.9, 8)),
        room("c", (3.0, 4.1, 6, 8)),
    ]
    inner = [wall("long", (0, 4, 6, 4.1)), wall("end-on", (2.9, 4.1, 3.0, 8)), wall("stub", (2.0, 1.5, 2.3, 1.8))]
    house = building(storey("ground", rooms, [*shell(6, 8), *inner]))
    demand = heat_demand(house, {"a": WARM, "b": WARM, "c": WARM}, SETTINGS).rooms["a"]
    assert sum(t.area_m2 for t in demand.terms if t.kind == "wall") == pytest.approx((6 + 4 + 4) * 2.5)


def test_a_small_walled_space_without_a_room_counts_as_unheated() -> None:
    walls = [*shell(5, 4), wall("duct", (4.0, 0, 4.1, 4), 1.0)]
    demand = heat_demand(building(storey("ground", [room("a", (0, 0, 4, 4))], walls)), {"a": WARM}, SETTINGS).rooms["a"]
    assert losses(demand)["inner"] == pytest.approx(10 * 1.0 * 0.5 * 32)
    assert sum(t.area_m2 for t in demand.terms if t.kind == "wall") == pytest.approx(30)


def two_storeys(lower: RoomKind = RoomKind.LIVING) -> Building:
    """An upper room of 6 x 4 m over a lower one of 4 x 4 m: 2 m stand out in the air."""
    below = storey("0", [room("low", (0, 0, 4, 4), lower)], shell(4, 4, tag="0"))
    upper_walls = shell(6, 4, bottom=2.8, top=5.5, tag="1")
    above = storey("1", [room("up", (0, 0, 6, 4), floor=2.8)], upper_walls)
    return building(below, above)


def test_what_lies_over_and_under() -> None:
    found = heat_demand(two_storeys(), {"low": WARM, "up": WARM}, SETTINGS).rooms
    assert "roof" not in losses(found["low"])
    assert found["low"].below == "ground"
    assert losses(found["up"])["roof"] == pytest.approx(24 * 0.2 * 32)
    assert found["up"].below == "outside"
    shares = {term.what: term.area_m2 for term in found["up"].floor_terms}
    assert shares["to outside"] == pytest.approx(1.7 * 4, rel=0.01)  # 2 m less the wall under it
    assert shares["to low"] == pytest.approx(4.3 * 4, rel=0.01)


def test_unheated_and_missing_rooms_below() -> None:
    cellar = heat_demand(two_storeys(RoomKind.CELLAR), {"up": WARM}, SETTINGS).rooms["up"]
    assert any(term.what == "to low" and term.factor == 0.5 for term in cellar.floor_terms)
    house = two_storeys()
    no_room = replace(house, storeys=(replace(house.storeys[0], rooms=()), house.storeys[1]))
    down = heat_demand(no_room, {"up": WARM}, SETTINGS).rooms["up"].floor_terms
    assert any(term.what == "to unheated" for term in down)


def test_a_cool_attic_takes_half() -> None:
    attic = storey("1", [room("attic", (0, 0, 4, 4), RoomKind.ATTIC, floor=2.8)])
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4)), attic)
    assert losses(heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"])["roof"] == pytest.approx(16 * 0.2 * 0.5 * 32)


def test_foundation_walls_do_not_make_a_cellar() -> None:
    foundation = storey("-1", [], shell(4, 4, bottom=-1.2, top=0.0, tag="f"))
    house = building(foundation, storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4)))
    assert heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"].below == "ground"


def test_a_cellar_wall_stands_against_soil() -> None:
    cellar = storey("-1", [room("deep", (0, 0, 4, 4), floor=-2.8)], shell(4, 4, bottom=-2.8, top=0.0, tag="c"))
    door = Passage(ifc_guid="d", kind="door", outline=box(1, -0.3, 2, 0), direction=(0, 1), width_m=1, rooms=("a",))
    ground = storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4), passages=[door])
    found = heat_demand(building(cellar, ground), {"a": WARM, "deep": WARM}, SETTINGS).rooms
    assert {term.factor for term in found["deep"].terms if term.kind == "wall"} == {0.3}
    assert {term.factor for term in found["a"].terms if term.kind == "wall"} == {1.0}


def test_a_knee_wall_ends_where_the_roof_begins() -> None:
    """By hand: a shed roof from 1.0 to 2.5 m over 4 m has a slope of √(4² + 1.5²) = 4.272 m, 17.09 m² over 16 m²;
    the gables are drawn up to the ridge."""
    low, *others = shell(4, 4)
    walls = [replace(low, top_m=1.0), *others]
    house = building(storey("0", [room("a", (0, 0, 4, 4))], walls, slabs=[roof(1.0, 2.9)]))
    demand = heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"]
    assert sum(t.area_m2 for t in demand.terms if t.kind == "wall") == pytest.approx(3 * 4 * 2.5 + 4 * 1.0)
    roofs = {t.what: t for t in demand.terms if t.kind == "roof"}
    assert roofs["to outside"].area_m2 == pytest.approx(16.0)
    slope = roofs["the roof's slope over its plan"]
    assert slope.area_m2 == pytest.approx(4 * math.hypot(4.0, 1.5) - 16.0)
    assert slope.loss_w == pytest.approx(slope.area_m2 * 0.25 * 32)
    assert demand.envelope is not None and demand.envelope.gap == pytest.approx(0.0, abs=1e-9)


def test_the_slope_has_the_roof_s_own_u_value() -> None:
    """By hand from layers: 0.2 m of 0.04 W/(m K) with films of 0.10 and 0.04, U = 1/5.14, above and in the slope."""
    low, *others = shell(4, 4)
    wool = MaterialLayer(name="wool", thickness_m=0.2, conductivity=0.04)
    over = replace(roof(1.0, 2.9), construction=Construction(layers=(wool,)))
    house = building(storey("0", [room("a", (0, 0, 4, 4))], [replace(low, top_m=1.0), *others], slabs=[over]))
    roofs = [t for t in heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"].terms if t.kind == "roof"]
    assert [(t.u_value, t.u_basis) for t in roofs] == [(pytest.approx(1 / 5.14), "layers")] * 2


def test_without_a_sloping_roof_a_low_wall_counts_up_to_the_ceiling() -> None:
    """What stands over a wall that ends too low is not drawn; it is taken for more of the wall (safe side)."""
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4, top=1.0)))
    demand = heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"]
    assert sum(t.area_m2 for t in demand.terms if t.kind == "wall") == pytest.approx(16 * 2.5)
    assert not [t for t in demand.terms if "slope" in t.what]


def test_under_a_heated_room_no_slope_is_counted() -> None:
    """The sides over a wall are then no roof of this room: there is no ceiling to the open air."""
    above = storey("1", [room("up", (0, 0, 4, 4), floor=2.8)], shell(4, 4, bottom=2.8, top=5.5, tag="1"))
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4, top=1.0), slabs=[roof(2.6, 5.9)]), above)
    demand = heat_demand(house, {"a": WARM, "up": WARM}, SETTINGS).rooms["a"]
    assert not [t for t in demand.terms if t.kind == "roof"]


def test_a_space_drawn_off_the_wall_still_finds_it() -> None:
    """Spaces end up to 0.5 m before the wall's face in real models."""
    demand = heat_demand(
        building(storey("0", [room("a", (0.4, 0.4, 3.6, 3.6))], shell(4, 4))), {"a": WARM}, SETTINGS
    ).rooms["a"]
    assert {term.u_basis for term in demand.terms if term.kind == "wall"} == {"model"}


def test_an_absurd_height_gives_way_to_the_usual_one() -> None:
    house = building(storey("0", [room("a", (0, 0, 4, 4), height=0.0)], shell(4, 4)))
    demand = heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"]
    assert losses(demand)["ventilation"] == pytest.approx(0.34 * 0.5 * 16 * 2.5 * 32)


def test_the_outdoor_temperature_of_the_model_yields_to_a_changed_setting() -> None:
    house = replace(box_house(), outdoor_c=-16.0)
    assert heat_demand(house, {"a": WARM}, SETTINGS).outdoor_c == -16.0
    changed = replace(SETTINGS, heat_demand=replace(SETTINGS.heat_demand, outdoor_c=-8.0))
    assert heat_demand(house, {"a": WARM}, changed).outdoor_c == -8.0
    assert heat_demand(replace(house, outdoor_c=255.0), {"a": WARM}, SETTINGS).outdoor_c == -12.0


def test_u_values_by_layers() -> None:
    """By hand, EN ISO 6946: 0.365 m at 0.18 with films 0.13 and 0.04 gives 1/(2.0278 + 0.17)."""
    brick = MaterialLayer(name="brick", thickness_m=0.365, conductivity=0.18)
    assert u_value(Construction(layers=(brick,)), 0.17, 0.28).value == pytest.approx(1 / (0.365 / 0.18 + 0.17))
    assert u_value(Construction(u_value=0.5, layers=(brick,)), 0.17, 0.28).value == 0.5
    assert u_value(Construction(u_value=115.0), 0.17, 0.28) == u_value(Construction(), 0.17, 0.28)
    silent = MaterialLayer(name="?", thickness_m=0.1)
    assert layers_r(Construction(layers=(brick, silent))) is None
    concrete = MaterialLayer(name="concrete", thickness_m=0.2, conductivity=2.0)
    assert u_value(Construction(layers=(concrete,)), 0.14, 0.2, bare_u=1.5).basis == "default"
    assert load_bearing_r(Construction(layers=(brick, concrete, silent))) == pytest.approx(0.1)


def test_a_slab_s_layers_count_for_the_roof() -> None:
    foam = MaterialLayer(name="foam", thickness_m=0.2, conductivity=0.04)
    roof = Slab(
        ifc_guid="roof",
        name="roof",
        kind="roof",
        outline=box(-0.3, -0.3, 4.3, 4.3),
        bottom_m=2.6,
        top_m=2.8,
        construction=Construction(layers=(foam,)),
    )
    house = building(storey("0", [room("a", (0, 0, 4, 4))], shell(4, 4), slabs=[roof]))
    demand = heat_demand(house, {"a": WARM}, SETTINGS).rooms["a"]
    assert losses(demand)["roof"] == pytest.approx(16 * 32 / (5.0 + 0.14))


def test_assumed_u_values_are_told_once_for_each_kind() -> None:
    walls: list[Wall] = shell(4, 4, None)
    openings: list[Opening] = [
        window("glass", (1, -0.3, 2, 0), 0.8, 2.0),
        window("leaf", (2.5, -0.3, 3.4, 0), 0.0, 2.0, kind="door"),
    ]
    found = heat_demand(building(storey("0", [room("a", (0, 0, 4, 4))], walls, openings)), {"a": WARM}, SETTINGS)
    codes = [finding.code for finding in found.findings]
    assert codes == [f"heat_demand.u-assumed-{kind}" for kind in ("wall", "window", "door", "roof")]
    assert found.findings[0].ifc_guids == ("e", "n", "s", "w")


MODELS = Path(os.environ.get("WARMLOOM_MODELS", Path(__file__).parents[3] / "shared" / "models"))


@pytest.mark.parametrize("name", ["house-ifc4-m.ifc", "rooms-ifc2x3-mm.ifc", "raised-floor-ifc4-m.ifc"])
def test_real_rooms_have_sane_demands(name: str) -> None:
    """Regression: rooms of real models lie between 10 and 120 W/m²."""
    if not (MODELS / name).exists():
        pytest.skip(f"{name} is not here; set WARMLOOM_MODELS to the folder that holds it")
    from ufh_core.building.read import read_building

    house = read_building(MODELS / name, SETTINGS)
    rooms = [r for s in house.storeys for r in s.rooms if not r.external]
    found = heat_demand(house, {r.ifc_guid: WARM for r in rooms}, SETTINGS)
    assert len(found.rooms) == len(rooms) > 0
    for r in rooms:
        demand = found.rooms[r.ifc_guid]
        assert demand.basis in {DemandBasis.CALCULATED, DemandBasis.MODEL}
        assert 10 < demand.demand_w / r.outline.area < 120, r.label


def test_outer_walls_are_the_edges_to_the_open_air() -> None:
    """By hand: two rooms 4 m square with a wall between; each has three outer sides, the room on their left."""
    demands = heat_demand(box_house(), {"a": WARM, "b": RoomCondition(indoor_c=24.0)}, SETTINGS).rooms
    outline = Polygon(box(0, 0, 4, 4))
    for guid, inner_x, shift in (("a", 4.0, 0.0), ("b", 4.1, 4.1)):
        walls = [LineString(line) for line in demands[guid].outer_walls]
        assert sum(w.length for w in walls) == pytest.approx(12)
        assert not any(w.centroid.x == pytest.approx(inner_x, abs=0.01) for w in walls)
        room_outline = translate(outline, shift, 0)
        assert all(w.parallel_offset(0.1, "left").within(room_outline) for w in walls)


def test_walls_to_soil_and_to_other_rooms_are_no_outer_walls() -> None:
    cellar = room("a", (0, 0, 4, 4), floor=-2.6)
    above = storey("above", [room("u", (0, 0, 4, 4))], shell(4, 4))
    below = storey("below", [cellar], [wall("w", (-0.3, 0, 0, 4), bottom=-2.6, top=0)])
    door = Passage(
        ifc_guid="d", kind="door", outline=box(1, -0.3, 2, 0), direction=(0.0, 1.0), width_m=1.0, rooms=("u",)
    )
    house = building(below, replace(above, passages=(door,)))
    demands = heat_demand(house, {"a": WARM, "u": WARM}, SETTINGS).rooms
    assert demands["a"].outer_walls == ()
    assert sum(LineString(line).length for line in demands["u"].outer_walls) == pytest.approx(16)
