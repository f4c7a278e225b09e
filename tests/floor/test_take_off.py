"""The order: net, spare and packs of every line, and what of it goes to which storey."""

import dataclasses
import math

import pytest
from shapely.geometry import box

from ufh_core.building.types import Room, RoomKind
from ufh_core.floor import coil_plan, deliveries, design_build_up, take_off
from ufh_core.floor.fixing import PANELS, RAILS, STAPLES, fixing_of
from ufh_core.floor.types import FloorPart, PanelCount, TakeOffLine
from ufh_core.settings import Settings
from ufh_core.settings.floor_types import PIPE_HOLDERS
from ufh_core.settings.reading import read_settings

SETTINGS = Settings()


def off_studs(holder: str) -> Settings:
    return dataclasses.replace(
        SETTINGS,
        layout=dataclasses.replace(SETTINGS.layout, stud_grid=False),
        floor=dataclasses.replace(SETTINGS.floor, pipe_holder=holder),
    )


def a_part(storey: str = "g", settings: Settings = SETTINGS, panels: int = 19) -> FloorPart:
    room = Room(
        ifc_guid=f"room {storey}", name="", long_name="", kind=RoomKind.LIVING, outline=box(0, 0, 5, 4), floor_m=0.0,
        height_m=2.5, slab_top_m=None,
    )  # fmt: skip
    return FloorPart(
        storey=storey,
        build_ups=(design_build_up(room, "ground", settings, 0.1, pipe_length_m=95.0),),
        areas_m2={room.ifc_guid: 20.0},
        pipe_m=100.0,
        heated_m2=18.0,
        ports={"M1": 2},
        panels=PanelCount(panels=panels, whole=11, covered_m2=20.0) if settings.layout.stud_grid else None,
    )


def by_item(lines: tuple[TakeOffLine, ...]) -> dict[str, TakeOffLine]:
    assert len({line.item for line in lines}) == len(lines)
    return {line.item: line for line in lines}


def test_every_line_states_net_spare_and_packs() -> None:
    """By hand: 19 panels + 2 % are 19.38, so two packs of 10; 18 m of strip + 5 % a roll of 25."""
    lines = by_item(take_off([a_part()], {"M1.01": 60.0, "M1.02": 40.0}, SETTINGS))
    panels = lines["castellated panel 1400 x 800 mm"]
    assert (panels.net, panels.quantity, panels.packs) == (19, 20, 2)
    assert panels.note.startswith("19 pcs, 2 % spare for damage; 2 packs of 10 pcs; 20.0 m² covered, 11 laid whole")
    assert "6 % in off-cuts" in panels.note
    assert (lines["pipe 16 x 2 mm"].quantity, lines["pipe 16 x 2 mm"].net) == (103, 100.0)
    board = lines["insulation board 35 mm"]
    assert (board.net, board.quantity, board.packs) == (20.0, 25.0, 5)
    assert "20.00 m², 5 % spare for cutting; 5 packs of 5 m²" in board.note
    assert lines["polyethylene foil"].quantity == 100
    assert lines["damp-proof membrane"].quantity == 50
    assert (lines["edge strip"].net, lines["edge strip"].quantity) == (pytest.approx(18.0), 25)
    assert lines["pipe connector"].quantity == 4
    volume = a_part().build_ups[0].screed_volume_m3
    screed = lines["cement screed, ready-mixed"]
    assert screed.net == pytest.approx(volume) and screed.unit == "m³"
    assert screed.quantity == pytest.approx(math.ceil(volume * 1.05 / 0.25) * 0.25)
    assert f"{volume * 2000:.0f} kg as laid" in screed.note
    additive = lines["screed additive"]
    assert (additive.quantity, additive.unit) == (10, "kg") and additive.net == pytest.approx(volume * 1.05 * 2)
    assert not any("fibre" in item or "staple" in item or "rail" in item for item in lines)


def test_nothing_is_ordered_for_nothing() -> None:
    assert take_off([], {}, SETTINGS) == () and deliveries([], SETTINGS) == ()
    assert take_off([FloorPart(storey="g")], {}, SETTINGS) == ()


def test_bags_are_ordered_by_dry_mass() -> None:
    """By hand: 1850 kg/m³ dry and 5 % in bags of 40 kg; 0.9 kg/m³ of fibres; calcium sulphate needs no additive."""
    order = dataclasses.replace(SETTINGS.order, screed_supply="bags", fibre_kg_m3=0.9)
    floor = dataclasses.replace(SETTINGS.floor, screed="calcium sulphate")
    settings = dataclasses.replace(SETTINGS, order=order, floor=floor)
    part = a_part(settings=settings)
    lines = by_item(take_off([part], {}, settings))
    volume = part.build_ups[0].screed_volume_m3
    bags = lines["calcium sulphate screed, bag of 40 kg"]
    assert bags.packs == math.ceil(volume * 1850 * 1.05 / 40) and bags.quantity == 40 * bags.packs
    assert lines["screed fibres"].packs == math.ceil(volume * 1.05)
    assert "screed additive" not in lines


def test_the_order_names_coils_where_they_are_known() -> None:
    lengths = {"M1.01": 60.0, "M1.02": 40.0, "M1.03": 90.0}
    coils = coil_plan(lengths, (120.0, 100.0), 0.0)
    pipe = [line for line in take_off([], lengths, SETTINGS, coils) if line.item.startswith("pipe 16")]
    assert [(line.item, line.quantity, line.unit) for line in pipe] == [("pipe 16 x 2 mm, coil of 100 m", 2, "pcs")]
    assert pipe[0].note.startswith("190.0 m laid") and pipe[0].note.endswith("10 m are left over")


@pytest.mark.parametrize("panels", [(19, 19, 4), (1, 1, 1), (10, 29, 50)])
def test_deliveries_make_up_the_order_and_no_storey_waits_for_the_next(panels: tuple[int, ...]) -> None:
    parts = [a_part(f"storey {k}", panels=count) for k, count in enumerate(panels)]
    brought = deliveries(parts, SETTINGS)
    assert [each.storey for each in brought] == [part.storey for part in parts]
    for item, whole in by_item(take_off(parts, {}, SETTINGS)).items():
        each = [by_item(delivery.lines)[item] for delivery in brought]
        assert sum(line.quantity for line in each) == pytest.approx(whole.quantity), item
        assert sum(line.net or 0 for line in each) == pytest.approx(whole.net), item
        for k in range(len(each)):
            there = sum(line.quantity for line in each[: k + 1])
            needed = sum((line.net or 0) * (1 + line.spare) for line in each[: k + 1])
            assert there >= needed - 1e-6, item
    first, second = (by_item(delivery.lines)["polyethylene foil"] for delivery in brought[:2])
    assert (first.packs, second.packs, second.note) == (1, 0, "from packs brought before")


def test_storeys_ordered_apart_are_rounded_up_each_for_itself() -> None:
    """By hand: 21 m² of foil and 10 % a storey fit one roll for both together, and are two rolls apart."""
    parts = [a_part("low"), a_part("high")]
    apart = dataclasses.replace(SETTINGS, order=dataclasses.replace(SETTINGS.order, storeys_apart=True))
    once, each = (by_item(take_off(parts, {}, settings))["polyethylene foil"] for settings in (SETTINGS, apart))
    assert (once.packs, each.packs) == (1, 2)
    assert "rounded up once for all storeys" in once.note and "each storey rounded up" in each.note
    alone = by_item(take_off(parts[:1], {}, apart))
    for item, line in by_item(take_off(parts, {}, apart)).items():
        if line.packs is not None:
            assert line.quantity == 2 * alone[item].quantity, item
    brought = deliveries(parts, apart)
    assert [by_item(delivery.lines)["polyethylene foil"].packs for delivery in brought] == [1, 1]


def test_ready_mixed_screed_comes_to_each_storey_by_itself() -> None:
    parts = [a_part("low"), a_part("high")]
    one = by_item(take_off(parts[:1], {}, SETTINGS))["cement screed, ready-mixed"].quantity
    both = by_item(take_off(parts, {}, SETTINGS))["cement screed, ready-mixed"]
    assert both.quantity == 2 * one and "each storey rounded up" in both.note


def test_off_studs_there_is_no_panel_but_what_holds_the_pipe() -> None:
    """By hand: 100 m at 400 mm are 250 staples, 5 % more 262.5, a box of 300; 18 m² at 1 m are 18 m of rail, 19 m of
    2 m pieces with 5 %.
    """
    staples = by_item(take_off([a_part(settings=off_studs(STAPLES))], {}, off_studs(STAPLES)))
    assert (staples["staple for pipe"].net, staples["staple for pipe"].quantity) == (250, 300)
    rails = by_item(take_off([a_part(settings=off_studs(RAILS))], {}, off_studs(RAILS)))
    assert (rails["clip rail of 2 m"].net, rails["clip rail of 2 m"].packs) == (18.0, 10)
    assert not any("castellated" in item for item in (*staples, *rails))
    assert "clip rail of 2 m" not in staples and "staple for pipe" not in rails


@pytest.mark.parametrize("holder", PIPE_HOLDERS)
def test_off_studs_the_floor_has_no_panel_and_more_screed(holder: str) -> None:
    """By hand: without a panel its 11 mm are board; screed starts at the foil, a rail's seat of 5 mm under the pipe."""
    settings = off_studs(holder)
    (build_up,) = a_part(settings=settings).build_ups
    assert build_up.fixing == holder == fixing_of(settings).name
    assert [layer.role for layer in build_up.layers] == ["membrane", "insulation", "foil", "screed", "finish"]
    screed = next(layer for layer in build_up.layers if layer.role == "screed")
    seat = 0.005 if holder == RAILS else 0.0
    assert build_up.pipe_axis_m - 0.008 - screed.bottom_m == pytest.approx(seat)
    assert screed.top_m - build_up.pipe_axis_m - 0.008 == pytest.approx(SETTINGS.floor.screed_cover_m)
    board = next(layer for layer in build_up.layers if layer.role == "insulation")
    assert 1.25 <= board.r_value < 1.25 + 0.005 / 0.035
    inner = (5 - 2 * 0.008) * (4 - 2 * 0.008)
    assert build_up.screed_volume_m3 == pytest.approx(inner * (0.061 + seat) - 95 * math.pi * 0.016**2 / 4)


def test_names_of_fixings_are_those_of_the_settings() -> None:
    assert {STAPLES, RAILS} == set(PIPE_HOLDERS) and fixing_of(SETTINGS).name == PANELS


def test_a_holder_that_is_none_is_answered_in_a_line(tmp_path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('[floor]\npipe_holder = "glue"\n')
    with pytest.raises(Exception, match=r"floor.pipe_holder: .*glue.*staples"):
        read_settings(file)
