"""Which rooms are heated: rules, overrides, and their order."""

from dataclasses import replace

import pytest
from shapely.geometry import Polygon, box

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, Obstacle, Room, RoomKind, Slab, Storey
from ufh_core.settings.types import RoomOverride, RoomSettings, Settings
from ufh_core.zones.selection import indoor_temperature, matches, override_findings, select_rooms

UNIT = tuple(tuple(float(i == j) for j in range(4)) for i in range(4))


def room(guid, shape=None, kind=RoomKind.LIVING, **more):
    values = {"name": guid, "long_name": "", "floor_m": 0.0, "height_m": 2.5, "slab_top_m": -0.1} | more
    return Room(ifc_guid=guid, kind=kind, outline=box(0, 0, 4, 4) if shape is None else shape, **values)


def building(*rooms, **more):
    storey = Storey(ifc_guid="S", name="Ground", elevation_m=0.0, placement=UNIT, rooms=rooms, **more)
    return Building(
        project_name="",
        building_name="",
        schema="IFC4",
        length_unit_m=1.0,
        frame=LocalFrame(),
        north_rad=None,
        storeys=(storey,),
    )


def with_overrides(*overrides):
    return Settings(rooms=RoomSettings(overrides=overrides))


def answer(one, settings=None, **more):
    return select_rooms(building(one, **more), settings or Settings())[one.ifc_guid]


LEFT_OUT = ["stair", "shaft", "attic", "roof", "garage", "cellar", "technical", "store", "outside", "area_scheme"]


@pytest.mark.parametrize("kind", list(RoomKind))
def test_each_kind_by_the_default_list(kind):
    got = answer(room("a", kind=kind))
    assert got.heat == (kind.value not in LEFT_OUT)
    assert bool(got.reason) == (not got.heat)
    assert got.kind == kind


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"external": True}, "external"),
        ({"height_m": 1.6}, "too low"),
        ({"outline": box(0, 0, 0.9, 1)}, "m²"),
        ({"outline": Polygon()}, "m²"),
    ],
)
def test_reasons_for_leaving_out(change, word):
    got = answer(replace(room("a"), **change))
    assert not got.heat
    assert word in got.reason


def test_unknown_height_and_a_nameless_derived_room_are_heated():
    assert answer(replace(room("a"), height_m=0.0)).heat
    assert answer(room("a", kind=RoomKind.OTHER, name="R01", derived=True)).heat
    assert not answer(room("a", kind=RoomKind.SHAFT, name="R01", derived=True)).heat


def test_settings_decide_which_kinds_are_left_out():
    settings = Settings(rooms=RoomSettings(not_heated_kinds=("bedroom",)))
    assert answer(room("a", kind=RoomKind.STORE), settings).heat
    assert not answer(room("a", kind=RoomKind.BEDROOM), settings).heat


def test_a_space_over_all_rooms_gives_way_to_them():
    gross = room("gross", box(0, 0, 10, 4), RoomKind.OTHER)
    got = select_rooms(building(gross, room("a"), room("b", box(4.2, 0, 10, 4))), Settings())
    assert {guid for guid, s in got.items() if s.heat} == {"a", "b"}
    assert got["gross"].reason == "its floor is that of b, a"


def test_a_closet_drawn_inside_a_room_does_not_take_it():
    got = select_rooms(building(room("big", box(0, 0, 6, 6)), room("wc", box(0, 0, 1.5, 1.5), RoomKind.WC)), Settings())
    assert got["big"].heat
    assert got["wc"].heat


def test_of_two_drawings_of_one_room_the_one_with_a_use_is_heated():
    plain = room("plain", box(0, 0, 4, 4.01), RoomKind.OTHER)
    got = select_rooms(building(plain, room("bath", box(0, 0, 4.01, 4.01), RoomKind.BATH)), Settings())
    assert got["bath"].heat
    assert not got["plain"].heat


def test_rooms_over_each_other_on_two_levels_are_both_heated():
    got = select_rooms(building(room("low"), room("high", floor_m=2.8)), Settings())
    assert got["low"].heat
    assert got["high"].heat


def test_no_floor_under_it():
    slab = Slab(ifc_guid="f", name="", kind="floor", outline=box(0, 0, 9, 4), bottom_m=-0.3, top_m=-0.1)
    rooms = [room(g, box(x, 0, x + 3, 4), slab_top_m=None) for g, x in (("a", 0), ("b", 3), ("c", 6), ("air", 9))]
    got = select_rooms(building(*rooms, slabs=(slab,)), Settings())
    assert got["air"].reason == "no floor under it"
    assert got["a"].heat
    assert got["b"].heat
    assert got["c"].heat
    assert all(s.heat for s in select_rooms(building(*rooms), Settings()).values())  # a model with no slabs at all


def test_a_room_that_is_mostly_void_is_left_out():
    hole = Obstacle(ifc_guid="v", name="", kind="void", outline=box(0, 0, 4, 3), bottom_m=-0.3, top_m=0.0)
    assert answer(room("a"), obstacles=(hole,)).reason == "no floor under it"
    assert answer(room("a"), obstacles=(replace(hole, outline=box(0, 0, 4, 1)),)).heat


def test_a_nameless_room_that_a_stair_fills_is_left_out():
    stair = Obstacle(ifc_guid="t", name="", kind="stair", outline=box(0, 0, 4, 3), bottom_m=0.0, top_m=2.8)
    assert answer(room("a", kind=RoomKind.OTHER), obstacles=(stair,)).reason == "a stair takes its floor"
    assert answer(room("a"), obstacles=(replace(stair, outline=box(0, 0, 4, 1)),)).heat
    assert answer(room("a"), obstacles=(replace(stair, bottom_m=2.4),)).heat  # overhead


@pytest.mark.parametrize(
    ("pattern", "hit"),
    [
        ("2XQ$n5SLP5MBLyL442paFx", True),
        ("2xq$n5slp5mblyl442pafx", False),  # GlobalIds differ by case
        ("2XQ$*", True),
        ("a102", True),
        ("A10?", True),
        ("A1", False),
        ("living*", True),
        ("LIVING [x]", True),
        ("living x", False),
        ("A102 Living [X]", True),
        ("*", True),
        ("", False),
    ],
)
def test_patterns(pattern, hit):
    assert matches(pattern, room("2XQ$n5SLP5MBLyL442paFx", name="A102", long_name="Living [X]")) is hit


def test_override_beats_every_rule_and_later_tables_win():
    attic = room("a", kind=RoomKind.ATTIC, height_m=1.5)
    assert answer(attic, with_overrides(RoomOverride(match="a", heat=True))).heat
    settings = with_overrides(
        RoomOverride(match="*", heat=False, indoor_c=18.0), RoomOverride(match="a", heat=True, pitch_m=0.1)
    )
    got = answer(attic, settings)
    assert got.heat
    assert (got.override.indoor_c, got.override.pitch_m) == (18.0, 0.1)
    got = answer(room("b"), settings)
    assert not got.heat
    assert '"*"' in got.reason


def test_override_of_kind_moves_the_room_between_the_lists():
    got = answer(room("a", kind=RoomKind.STORE), with_overrides(RoomOverride(match="a", kind="Bedroom")))
    assert got.heat
    assert got.kind == RoomKind.BEDROOM
    with pytest.raises(SettingsError, match='did you mean "bedroom"'):
        answer(room("a"), with_overrides(RoomOverride(match="a", kind="bedrom")))


def test_a_forced_room_keeps_its_floor():
    big = room("big", box(0, 0, 10, 4), RoomKind.AREA_SCHEME)
    got = select_rooms(building(room("a"), big), with_overrides(RoomOverride(match="big", heat=True)))
    assert got["big"].heat
    assert not got["a"].heat


def test_an_override_that_matches_nothing_is_found():
    one = building(room("g", name="12", long_name="Kitchen"))
    settings = with_overrides(RoomOverride(match="Kichen"), RoomOverride(match="kitchen"), RoomOverride(match="zzzzz"))
    found = override_findings(one, settings)
    assert [f.code for f in found] == ["zones.override-matches-nothing"] * 2
    assert '"Kitchen"' in found[0].message
    assert "nearest" not in found[1].message


def test_indoor_temperature_in_order():
    s = Settings()
    plain, stated = room("a"), room("a", indoor_c=21.5)
    override = RoomOverride(match="a", indoor_c=17.0)
    assert indoor_temperature(stated, RoomKind.BATH, s, override) == 17.0
    assert indoor_temperature(stated, RoomKind.BATH, s, RoomOverride(match="a")) == 21.5
    assert indoor_temperature(plain, RoomKind.BATH, s, None) == s.rooms.indoor_c["bath"] == 24.0
    assert indoor_temperature(plain, RoomKind.LIVING, s, None) == s.rooms.indoor_default_c == 20.0
