"""The choice of flow temperature and pitch, and what is told of rooms that are short."""

from dataclasses import replace

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import characteristic, design_outputs, laid_flow_temperature, laid_outputs
from ufh_core.thermal_output.rooms import floor_section
from ufh_core.thermal_output.types import AsLaid, LaidField, RoomRequest

SETTINGS = Settings()


def room(name: str, kind: RoomKind = RoomKind.LIVING, **changes: object) -> RoomRequest:
    base = {
        "room": name,
        "kind": kind,
        "indoor_c": 20.0,
        "demand_w": 1000.0,
        "heatable_area_m2": 20.0,
        "finish_r": 0.10,
        "r_below": 1.42,
        "below_c": 10.0,
    }
    return RoomRequest(**{**base, **changes})  # type: ignore[arg-type]


def given_flow(flow_c: float) -> Settings:
    return replace(SETTINGS, output=replace(SETTINGS.output, flow_c=flow_c))


def hot(flow_c: float) -> Settings:
    """A given flow, however warm."""
    return replace(SETTINGS, output=replace(SETTINGS.output, flow_c=flow_c, greatest_flow_c=60.0))


LIVING = room("living", demand_w=1500, heatable_area_m2=30)
KITCHEN = room("kitchen", RoomKind.KITCHEN, demand_w=900, heatable_area_m2=15, finish_r=0.05)
BATH = room("bath", RoomKind.BATH, indoor_c=24, demand_w=420, heatable_area_m2=6, finish_r=0.02)


def test_room_that_needs_the_warmest_water_governs_not_the_highest_flux() -> None:
    """Kitchen 60 W/m² on a thin finish, living room 50 W/m² on a thick one: the living room needs 0.44 K more."""
    storey = design_outputs([LIVING, KITCHEN, BATH], SETTINGS)
    assert storey.governing_room == "living"
    assert storey.rooms["kitchen"].heat_flux > storey.rooms["living"].heat_flux
    assert storey.flow_c == pytest.approx(37.485, abs=0.001)
    assert storey.rooms["living"].spread_k == pytest.approx(5.0)
    assert storey.rooms["living"].output_w == pytest.approx(1500)
    note = next(f for f in storey.findings if f.code == "output.governing-room")
    assert "37.5 °C" in note.message
    assert "37.0 °C would do" in note.message


def test_bathroom_does_not_govern_unless_alone() -> None:
    hot_bath = replace(BATH, demand_w=600)
    assert design_outputs([LIVING, hot_bath], SETTINGS).governing_room == "living"
    assert design_outputs([hot_bath], SETTINGS).governing_room == "bath"


def test_least_pipe_first() -> None:
    """At a given flow temperature a room takes the widest pitch that carries it."""
    chosen = [
        design_outputs([room("r", demand_w=w)], given_flow(40.0)).rooms["r"].pitch_m for w in (500, 900, 1000, 1200)
    ]
    assert chosen == sorted(chosen, reverse=True)
    assert chosen[0] == 0.30
    assert chosen[-1] == 0.15


def test_pitch_that_carries_only_with_much_water_is_not_taken() -> None:
    """0.30 m would carry the room with σ of 3 to 5 K; the next closer pitch does with 5 K or more."""
    tight = room("r", demand_w=820)
    at_widest = design_outputs([replace(tight, fixed_pitch_m=0.30)], given_flow(39.0)).rooms["r"]
    assert at_widest.shortfall_w == 0
    assert at_widest.spread_k < 5.0
    chosen = design_outputs([tight], given_flow(39.0)).rooms["r"]
    assert chosen.pitch_m == 0.25
    assert chosen.spread_k >= 5.0


def test_wet_rooms_and_even_surfaces_keep_pipes_close() -> None:
    tiled = room("tiled", demand_w=900, finish_r=0.0)
    wet = room("wc", RoomKind.WC, demand_w=100, heatable_area_m2=4, finish_r=0.02)
    storey = design_outputs([tiled, wet], given_flow(45.0))
    assert storey.rooms["wc"].pitch_m == 0.20
    assert storey.rooms["tiled"].pitch_m == 0.20
    assert design_outputs([replace(tiled, finish_r=0.10)], given_flow(45.0)).rooms["tiled"].pitch_m == 0.30


def test_fixed_and_own_pitches_are_kept() -> None:
    assert design_outputs([room("r", fixed_pitch_m=0.25)], given_flow(50.0)).rooms["r"].pitch_m == 0.25
    assert design_outputs([room("r", pitches_m=(0.10, 0.20))], given_flow(30.0)).rooms["r"].pitch_m == 0.10


def test_short_by_flow_temperature_says_what_would_carry_it() -> None:
    asked = room("r", demand_w=700, fixed_pitch_m=0.30)
    output = design_outputs([asked], given_flow(35.0)).rooms["r"]
    assert output.limited_by == "flow temperature"
    assert output.shortfall_w == pytest.approx(700 - output.output_w)
    assert "a pitch of 250 mm, or a finish of at most 0.05" in output.advice
    for remedy in (replace(asked, fixed_pitch_m=0.25), replace(asked, finish_r=0.05)):
        assert design_outputs([remedy], given_flow(35.0)).rooms["r"].shortfall_w == 0
    flow_c = float(output.advice.split("flow temperature of ")[1].split()[0])
    again = design_outputs([asked], given_flow(flow_c)).rooms["r"]
    assert again.shortfall_w == 0
    assert again.spread_k >= 5.0


def test_every_remedy_gives_what_it_says() -> None:
    """Each alone, against the room designed with it: where none carries it, so much more and so much missing."""
    asked = room("r", demand_w=1100, fixed_pitch_m=0.30)
    output = design_outputs([asked], given_flow(35.0)).rooms["r"]
    remedies = {remedy.setting: remedy for remedy in output.remedies}
    (warmer,) = [setting for setting in remedies if setting.startswith("output.flow_c = ")]
    assert set(remedies) == {"pitch_m = 0.15", "finish_r = 0.02", warmer, ""}
    flow_c = float(warmer.removeprefix("output.flow_c = "))
    hotter, cooler = (design_outputs([asked], hot(t)).rooms["r"] for t in (flow_c, flow_c - 0.2))
    assert hotter.shortfall_w == 0 and hotter.spread_k >= 5.0 > cooler.spread_k
    for setting, changed in {
        "pitch_m = 0.15": replace(asked, fixed_pitch_m=0.15),
        "finish_r = 0.02": replace(asked, finish_r=0.02),
    }.items():
        again = design_outputs([changed], given_flow(35.0)).rooms["r"]
        assert remedies[setting].more_w == pytest.approx(again.output_w - output.output_w, abs=0.1)
        assert remedies[setting].left_w == pytest.approx(again.shortfall_w, abs=0.1)
        assert remedies[setting].left_w > 50
    assert remedies[""].more_w == pytest.approx(output.shortfall_w)
    assert output.advice.startswith(f"carried with a flow temperature of {flow_c} °C, or ")
    left = remedies["pitch_m = 0.15"]
    said = f"a pitch of 150 mm would give {left.more_w:.0f} W more and leave {left.left_w:.0f} W missing"
    assert said in output.advice


def test_an_edge_zone_is_named_where_there_is_floor_for_it() -> None:
    """By hand: 6 m² at 150 mm instead of 300, at the room's own Δθ_H, K_H by EN 1264-2."""
    asked = room("r", demand_w=1100, fixed_pitch_m=0.30, edge_m2=6.0)
    output = design_outputs([asked], given_flow(35.0)).rooms["r"]
    (edge,) = [r for r in output.remedies if r.setting.startswith("edge_zone")]
    k_edge = characteristic(floor_section(asked, 0.15, SETTINGS))
    by_hand = (k_edge - output.characteristic) * output.overtemperature_k * 6.0
    assert edge.more_w == pytest.approx(by_hand)
    assert edge.left_w == pytest.approx(output.shortfall_w - by_hand)
    assert edge.words == "an edge zone of 6.0 m² at 150 mm"
    close = design_outputs([replace(asked, fixed_pitch_m=0.15, demand_w=2000)], given_flow(35.0)).rooms["r"]
    assert not [r for r in close.remedies if r.setting.startswith("edge_zone")]


def test_short_by_surface_is_told_in_watts() -> None:
    storey = design_outputs([room("glass", demand_w=3000, finish_r=0.0)], SETTINGS)
    output = storey.rooms["glass"]
    assert output.limited_by == "surface"
    assert output.heat_flux == pytest.approx(output.limit_flux)
    assert output.shortfall_w == pytest.approx(3000 - output.limit_flux * 20)
    assert "flow temperature of" not in output.advice
    finding = next(f for f in storey.findings if f.code == "output.short")
    assert f"short by {output.shortfall_w:.0f} W (its floor would get too warm)" in finding.message
    assert finding.ifc_guids == ("glass",)


def test_greatest_flow_temperature_holds() -> None:
    storey = design_outputs([room("r", demand_w=1700, finish_r=0.15)], SETTINGS)
    assert storey.flow_c == SETTINGS.output.greatest_flow_c
    assert storey.rooms["r"].shortfall_w > 0


def test_room_that_asks_for_next_to_nothing_is_stated_with_what_it_gets() -> None:
    output = design_outputs([LIVING, room("inner", demand_w=0)], SETTINGS).rooms["inner"]
    assert output.limited_by == "spread"
    assert output.shortfall_w == 0
    assert output.spread_k == pytest.approx(0.8 * (output.flow_c - 20.0))


def test_room_without_floor_is_short_by_all() -> None:
    output = design_outputs([LIVING, room("full", heatable_area_m2=0)], SETTINGS).rooms["full"]
    assert (output.limited_by, output.shortfall_w, output.mass_flow) == ("area", 1000.0, 0.0)


def test_water_no_warmer_than_the_room_gives_nothing() -> None:
    output = design_outputs([room("r", indoor_c=30)], given_flow(28.0)).rooms["r"]
    assert output.shortfall_w == 1000.0
    assert "no warmer than the room" in output.advice


def test_finish_beyond_the_standard_is_told() -> None:
    codes = [f.code for f in design_outputs([room("r", finish_r=0.22)], SETTINGS).findings]
    assert "output.finish-beyond-standard" in codes
    assert "output.finish-beyond-standard" not in [f.code for f in design_outputs([LIVING], SETTINGS).findings]


def test_no_rooms_is_no_trouble() -> None:
    assert design_outputs([], SETTINGS).rooms == {}


def field(circuit: str, room_id: str, area: float, pitch: float = 0.15) -> LaidField:
    return LaidField(circuit=circuit, room=room_id, area_m2=area, pitch_m=pitch)


def test_laid_with_the_planned_area_gives_what_was_planned() -> None:
    storey = design_outputs([LIVING], SETTINGS)
    laid = laid_outputs([LIVING], [field("1", "living", 18.0), field("2", "living", 12.0)], storey.flow_c, SETTINGS)
    assert laid.rooms["living"] == storey.rooms["living"]
    share = laid.circuits["1"].mass_flow / laid.circuits["2"].mass_flow
    assert share == pytest.approx(18.0 / 12.0)


def test_flow_temperature_follows_the_laid_area() -> None:
    fields = [field("1", "living", 27.0)]
    flow_c, note = laid_flow_temperature([LIVING], fields, SETTINGS)
    assert flow_c > design_outputs([LIVING], SETTINGS).flow_c
    assert note is not None
    output = laid_outputs([LIVING], fields, flow_c, SETTINGS).rooms["living"]
    assert output.shortfall_w == 0
    assert output.spread_k == pytest.approx(5.0)
    assert laid_flow_temperature([LIVING], fields, given_flow(33.0)) == (33.0, None)


def test_circuit_through_two_rooms_carries_both() -> None:
    rooms = [LIVING, replace(KITCHEN, demand_w=300)]
    laid = laid_outputs(rooms, [field("1", "living", 30.0), field("1", "kitchen", 15.0)], 38.0, SETTINGS)
    assert laid.circuits["1"].output_w == pytest.approx(sum(r.output_w for r in laid.rooms.values()))
    returns = [laid.rooms["living"].return_c, laid.rooms["kitchen"].return_c]
    assert min(returns) < laid.circuits["1"].return_c < max(returns)


def test_room_of_which_nothing_was_laid_is_short_by_all() -> None:
    laid = laid_outputs([LIVING, KITCHEN], [field("1", "living", 30.0)], 38.0, SETTINGS)
    assert laid.rooms["kitchen"].shortfall_w == 900.0
    assert any(f.code == "output.short" for f in laid.findings)


def test_field_in_an_unknown_room_is_one_line() -> None:
    with pytest.raises(NoSolution, match="circuit 7 heats room cellar"):
        laid_outputs([LIVING], [field("7", "cellar", 5.0)], 38.0, SETTINGS)


def test_water_with_antifreeze_carries_less_so_more_of_it_runs() -> None:
    """Source: CoolProp, MPG 30 %: c_W is 3897 at 35 and 3910 J/(kg K) at 40 °C, against the 4190 of EN 1264."""
    own = replace(SETTINGS.hydraulics, antifreeze="propylene glycol", antifreeze_share=0.3, antifreeze_share_by="mass")
    fields = [LaidField(circuit="M1.01", room=r.room, area_m2=a, pitch_m=0.15) for r, a in ((LIVING, 25), (KITCHEN, 9))]
    with_water, mixed = (
        laid_outputs([LIVING, KITCHEN], fields, 40.0, settings)
        for settings in (SETTINGS, replace(SETTINGS, hydraulics=own))
    )
    for more, less in zip(mixed.rooms.values(), with_water.rooms.values(), strict=True):
        assert more.output_w == pytest.approx(less.output_w)
        mean_c = more.flow_c - more.spread_k / 2
        assert more.mass_flow == pytest.approx(less.mass_flow * 4190 / own.fluid.heat_capacity(mean_c))
    one, other = mixed.circuits["M1.01"], with_water.circuits["M1.01"]
    assert one.mass_flow == pytest.approx(other.mass_flow * 4190 / 3904, rel=2e-3)
    assert one.return_c == pytest.approx(other.return_c, abs=0.01)


def test_a_floor_that_gives_less_gets_more_and_tails_get_water_of_their_own() -> None:
    """100 W lost at the rims ask for 100 W more by the standard; tails of 50 W for so much more water."""
    living, fields = room("living"), [field("1", "living", 20.0)]
    plain = laid_outputs([living], fields, 40.0, SETTINGS)
    lost = laid_outputs([living], fields, 40.0, SETTINGS, AsLaid(lost_w={"living": 100.0}))
    more = laid_outputs([replace(living, demand_w=1100.0)], fields, 40.0, SETTINGS)
    assert lost.rooms["living"].output_w == pytest.approx(1000.0)
    assert lost.rooms["living"].overtemperature_k == pytest.approx(more.rooms["living"].overtemperature_k)
    assert lost.circuits["1"].mass_flow == pytest.approx(more.circuits["1"].mass_flow)
    tails = laid_outputs([living], fields, 40.0, SETTINGS, AsLaid(tails_w={"1": 50.0}))
    heat = plain.circuits["1"].output_w + plain.circuits["1"].downward_w
    assert tails.circuits["1"].mass_flow == pytest.approx(plain.circuits["1"].mass_flow * (1 + 50.0 / heat))
    assert tails.circuits["1"].return_c == pytest.approx(plain.circuits["1"].return_c)


def test_advice_counts_what_the_floor_loses() -> None:
    """A pitch that would just carry the room by the standard does not where 150 W are lost."""
    living, fields = room("living", demand_w=1000.0), [field("1", "living", 20.0, 0.30)]
    flow_c = given_flow(39.0)
    plain = laid_outputs([living], fields, 39.0, flow_c).rooms["living"].advice
    lost = laid_outputs([living], fields, 39.0, flow_c, AsLaid(lost_w={"living": 150.0})).rooms["living"].advice
    assert "a pitch of 200 mm" in plain
    assert "a pitch of 150 mm" in lost or "a pitch of" not in lost
