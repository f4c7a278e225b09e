"""Floors that come out too high: what they meet, and what would make them fit."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import plan_sketch
import pytest
from building_sketch import two_rooms
from shapely.geometry import box

from ufh_core.building.read import read_building
from ufh_core.building.types import Obstacle, Opening, Passage, Room, Storey
from ufh_core.design import design_building
from ufh_core.floor import BuildUp, design_build_up, floor_findings, pipe_levels
from ufh_core.floor.remedies import height_remedy, with_changes
from ufh_core.settings.floor_types import FloorSettings
from ufh_core.settings.types import Settings

SETTINGS = Settings()
NEEDED = 0.001 + 0.035 + 0.0002 + 0.011 + 0.016 + 0.045 + 0.015  # on ground, by hand from the defaults


def the_house(slab: float, hall_slab: float | None = None, threshold: float = 0.0) -> Storey:
    """A living room with a terrace door and a stair, a hall beside it, a store that is not heated."""
    living = plan_sketch.room("living", box(0, 0, 5, 4), slab_top_m=slab)
    hall = plan_sketch.room("hall", box(5.12, 0, 7, 4), slab_top_m=slab if hall_slab is None else hall_slab)
    store = plan_sketch.room("store", box(7.12, 0, 9, 4), slab_top_m=slab)
    inside = plan_sketch.door(box(4.98, 1, 5.14, 2), (1.0, 0.0), "living", "hall")
    beside = plan_sketch.door(box(6.98, 1, 7.14, 2), (1.0, 0.0), "hall", "store", kind="open")
    terrace = replace(plan_sketch.door(box(1, -0.3, 2, 0.02), (0.0, 1.0), "living"), bottom_m=threshold)
    stair = Obstacle(ifc_guid="stair", name="Stair 1", kind="stair", outline=box(3, 3, 4, 4), bottom_m=0.0, top_m=2.7)
    named = Opening(
        ifc_guid=terrace.ifc_guid, name="Terrace door", kind="door", outline=terrace.outline, bottom_m=threshold,
        top_m=2.1, width_m=1.0,
    )  # fmt: skip
    return plan_sketch.storey([living, hall, store], [inside, beside, terrace], [named], [stair])


def floors(storey: Storey, settings: Settings = SETTINGS) -> list[BuildUp]:
    heated = [r for r in storey.rooms if r.ifc_guid != "store"]
    levels = pipe_levels(heated, {}, settings)
    return [design_build_up(r, "ground", settings, 0.1, pipe_axis_m=levels[r.ifc_guid]) for r in heated]


def messages(storey: Storey) -> dict[str, str]:
    return {f.code: f.message for f in floor_findings(floors(storey), storey, 40.0, SETTINGS)}


def codes(storey: Storey, settings: Settings = SETTINGS) -> dict[str, tuple[str, ...]]:
    return {f.code: f.ifc_guids for f in floor_findings(floors(storey, settings), storey, 40.0, settings)}


def test_a_floor_that_fits_meets_nothing() -> None:
    assert codes(the_house(-NEEDED)) == {}


def test_a_floor_too_high_meets_its_doors_its_stair_and_the_room_beside() -> None:
    found = codes(the_house(-NEEDED + 0.018))
    assert found == {
        "floor.height-missing": ("living", "hall"),
        "floor.door-buried": ("door-living", "door-living-hall"),
        "floor.step": ("hall",),
        "floor.stair-riser": ("stair",),
    }


@pytest.mark.parametrize(("over_mm", "met"), [(2, 0), (3.5, 1), (4.5, 2), (5.5, 3)])
def test_each_thing_met_has_a_measure_of_its_own(over_mm: float, met: int) -> None:
    """Common practice: 3 mm under a leaf, 4 mm to stumble over, 5 mm between risers (DIN 18065, from memory)."""
    kinds = {"floor.door-buried", "floor.step", "floor.stair-riser"}
    assert len(kinds & set(codes(the_house(-NEEDED + over_mm / 1000)))) == met


def test_a_threshold_above_the_floor_is_not_buried() -> None:
    assert "Terrace door" not in messages(the_house(-NEEDED + 0.018, threshold=0.02))["floor.door-buried"]
    found = messages(the_house(-NEEDED + 0.018))
    assert found["floor.door-buried"].startswith("door Terrace door, door-living-hall: the finished floor comes 18 mm")


def test_the_proposal_makes_the_floor_fit() -> None:
    """By hand: 18 mm are missing; 35 mm of 0.035 W/(m K) over the panel become 25 mm of 0.025: 10 mm, and a
    flowing screed needs 35 mm over the pipe instead of 45: 10 mm more."""
    storey = the_house(-NEEDED + 0.018)
    remedy = height_remedy(floors(storey), SETTINGS)
    assert remedy is not None
    assert [key for change in remedy.changes for key, _ in change.floor] == [
        "insulation_conductivity",
        "screed",
        "screed_cover_m",
    ]
    assert remedy.saves_m == pytest.approx(0.020)
    assert remedy.left_m == 0.0
    assert codes(storey, with_changes(SETTINGS, remedy.changes)) == {}
    found = messages(storey)
    assert "floor.insulation_conductivity = 0.025" in found["floor.height-missing"]
    assert 'floor.screed = "flowing calcium sulphate", floor.screed_cover_m = 0.035' in found["floor.height-missing"]


@pytest.mark.parametrize(
    ("missing_mm", "changes"),
    [(4, ["insulation_conductivity"]), (10, ["insulation_conductivity"]), (14, 2), (20, 2)],
)
def test_the_fewest_changes_win(missing_mm: float, changes: list[str] | int) -> None:
    remedy = height_remedy(floors(the_house(-NEEDED + missing_mm / 1000)), SETTINGS)
    assert remedy is not None
    if isinstance(changes, int):
        assert len(remedy.changes) == changes
    else:
        assert [key for change in remedy.changes for key, _ in change.floor] == changes
    assert remedy.left_m == 0.0


def test_what_is_missing_in_spite_of_all_changes_is_told() -> None:
    storey = the_house(-NEEDED + 0.050)
    remedy = height_remedy(floors(storey), SETTINGS)
    assert remedy is not None
    assert remedy.left_m == pytest.approx(0.030)
    assert "30 mm are still missing" in messages(storey)["floor.height-missing"]


def test_no_change_is_proposed_that_its_load_forbids() -> None:
    """A cover thicker than the load asks for may shrink to what it asks for, and no further."""
    floor = FloorSettings(load_kn_m2=3.0, screed_cover_m=0.075, insulation_conductivity=0.02)
    settings = replace(SETTINGS, floor=floor)
    storey = the_house(-0.10)
    build_ups = floors(storey, settings)
    remedy = height_remedy(build_ups, settings)
    assert remedy is not None
    changed = with_changes(settings, remedy.changes).floor
    assert changed.screed_cover_m == pytest.approx(0.050)
    assert changed.insulation_conductivity == 0.02
    assert height_remedy([replace(b, missing_height_m=0.0) for b in build_ups], settings) is None


def test_every_remedy_saves_what_it_says() -> None:
    """The saving is what the floors' own heights differ by, for every kind of floor below."""
    rooms = list[Room](the_house(-0.05).rooms[:1])
    for below, load in itertools.product(("heated", "unheated", "ground", "outside"), (2.0, 5.0)):
        settings = replace(SETTINGS, floor=replace(SETTINGS.floor, load_kn_m2=load, screed_cover_m=0.08))
        before = [design_build_up(r, below, settings, 0.1) for r in rooms]
        remedy = height_remedy(before, settings)
        assert remedy is not None
        after = [design_build_up(r, below, with_changes(settings, remedy.changes), 0.1) for r in rooms]
        assert before[0].missing_height_m - after[0].missing_height_m == pytest.approx(remedy.saves_m, abs=1e-6)
        assert after[0].missing_height_m == pytest.approx(remedy.left_m, abs=1e-6)


def test_a_passage_to_nowhere_has_no_step() -> None:
    storey = the_house(-NEEDED + 0.018)
    outside = [p for p in storey.passages if len(p.rooms) == 1]
    assert all(isinstance(p, Passage) for p in outside)
    alone = replace(storey, rooms=storey.rooms[:1], passages=tuple(outside), obstacles=())
    assert set(codes(alone)) == {"floor.height-missing", "floor.door-buried"}


def test_where_the_model_draws_no_floor_what_follows_are_notes() -> None:
    """A slab right under the rooms' floor: the missing height is the warning, the rest follows from it."""
    storey = the_house(0.0)
    severity = {f.code: f.severity for f in floor_findings(floors(storey), storey, 40.0, SETTINGS)}
    assert severity.pop("floor.height-missing") == "warning"
    assert set(severity.values()) == {"note"}
    drawn = the_house(-NEEDED + 0.018)
    assert {f.severity for f in floor_findings(floors(drawn), drawn, 40.0, SETTINGS)} == {"warning"}


def test_a_low_threshold_and_a_stair_of_a_model_are_met_and_the_proposal_spares_them(tmp_path: Path) -> None:
    """From the file on: slab 105 mm under the floor, doors down to the floor, a stair that begins on it."""
    sketch, parts = two_rooms()
    sketch.file.remove(parts["slab"])
    sketch.box("IfcSlab", -0.2, -0.2, 8.4, 4.2, -0.305, 0.2, storey=parts["storey"], PredefinedType="BASESLAB")
    sketch.box("IfcStairFlight", 0.0, 2.9, 2.5, 3.9, 0.0, 2.8, storey=parts["storey"], name="Stair")
    building = read_building(sketch.save(tmp_path), SETTINGS)
    found = {f.code: f for f in design_building(building, SETTINGS).findings if f.code.startswith("floor.")}
    assert set(found) == {"floor.height-missing", "floor.door-buried", "floor.stair-riser"}
    assert set(found["floor.door-buried"].ifc_guids) == {parts["door"].GlobalId, parts["out"].GlobalId}
    remedy = height_remedy(floors(building.storeys[0]), SETTINGS)
    assert remedy is not None
    mended = with_changes(SETTINGS, remedy.changes)
    assert [f.code for f in design_building(building, mended).findings if f.code.startswith("floor.")] == []
