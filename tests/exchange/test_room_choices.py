"""Answers for rooms and places of manifolds: written into a model, read back from it, and under the settings.

The figures are regressions of our own; that a model stays valid is asked of the IFC library's validator.
"""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.util.element as ifc_element
import made_up_house as house
import made_up_pair as pair
import numpy as np
import pytest
from test_coordinated_model import complaints

from ufh_core.building.earlier_additions import ADDED
from ufh_core.building.read import read_building
from ufh_core.building.types import Building
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.exchange.coordinated_model import write_coordinated_model
from ufh_core.exchange.design_json import design_to_json
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.samples import sample_model
from ufh_core.settings import RoomOverride, Settings, read_settings
from ufh_core.settings.room_choices import CHOICES, PLACES_SET, ROOM_SET
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.settings.types import ManifoldSettings, RoomSettings
from ufh_core.zones.given_places import given_places
from ufh_core.zones.selection import merged_override, override_findings, select_rooms

RING = ((1.0, 2.0), (2.25, 2.0), (2.25, 3.125), (1.0, 3.125))
EVERYTHING = RoomOverride(
    match="",
    heat=True,
    kind="bath",
    indoor_c=23.5,
    demand_w=612.5,
    pitch_m=0.15,
    finish_r=0.0123,
    dwelling="Flat 1",
    entry="Hall",
    manifold="by the stairs",
    circuits=2,
    shares_with="none",
    pattern="meander",
    edge_zone="own circuit",
    leave_out=(RING, RING[:3]),
    take_in=(RING,),
)


def settings(*rows: RoomOverride, places: tuple[ManifoldPlace, ...] = ()) -> Settings:
    return Settings(rooms=RoomSettings(overrides=rows), manifold=ManifoldSettings(places=places))


def world(building: Building, *points: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """Points of the plan frame in the model's plan."""
    return tuple((round(float(x), 3), round(float(y), 3)) for x, y in building.frame.to_world(np.array(points)))


@pytest.fixture(params=sorted(house.PLACES))
def written(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Path, Design]:
    """A folder with both models of a made-up design whose first room has every answer, and its place."""
    architect, design = pair.make_pair(house.PLACES[request.param], tmp_path)
    room = design.storeys[0].rooms[0].room
    place = ManifoldPlace(name="by the stairs", room=room, serves=("?*",))
    chosen = replace(design, settings=settings(replace(EVERYTHING, match=room), places=(place,)))
    write_coordinated_model(chosen, architect, tmp_path / "coordinated.ifc")
    write_heating_model(chosen, architect, tmp_path / "heating.ifc")
    return tmp_path, chosen


def test_the_case_has_every_answer_that_a_room_can_have() -> None:
    assert {c.key for c in CHOICES} == {f.name for f in fields(RoomOverride)} - {"match"}
    assert all(getattr(EVERYTHING, c.key) is not None for c in CHOICES)
    assert len({c.name for c in CHOICES}) == len(CHOICES)


def test_every_answer_comes_back_from_every_schema_and_unit(written: tuple[Path, Design]) -> None:
    folder, design = written
    read = read_building(folder / "coordinated.ifc", Settings())
    assert read.choices == design.settings.rooms.overrides
    assert read.places == design.settings.manifold.places
    assert not [f for f in read.findings if "choice" in f.code]


def test_models_that_carry_answers_are_valid_and_take_them_out_again(written: tuple[Path, Design]) -> None:
    folder, _ = written
    for name in ("coordinated.ifc", "heating.ifc"):
        assert complaints(folder / name) == []
    model = ifcopenshell.open(str(folder / "coordinated.ifc"))
    ours = [s.GlobalId for s in model.by_type("IfcPropertySet") if s.Name in (ROOM_SET, PLACES_SET)]
    listed = ifc_element.get_psets(model.by_type("IfcProject")[0])["UFH_Provenance"][ADDED]
    assert len(ours) == 2
    assert set(ours) <= set(listed)


def test_measures_carry_their_type_and_lengths_the_files_unit(written: tuple[Path, Design]) -> None:
    folder, design = written
    model = ifcopenshell.open(str(folder / "coordinated.ifc"))
    space = model.by_guid(design.settings.rooms.overrides[0].match)
    sets = ifc_element.get_psets(space, verbose=True)
    pitch = sets[ROOM_SET]["Pitch"]
    assert pitch["value_type"] == "IfcLengthMeasure"
    assert pitch["value"] == pytest.approx(0.15 / design.building.length_unit_m)
    assert sets[ROOM_SET]["GivenIndoorTemperature"]["value_type"] == "IfcThermodynamicTemperatureMeasure"


def with_value(path: Path, name: str, value: Any, kind: str | None = None) -> Path:
    """The model with one answer changed, as by hand."""
    model = ifcopenshell.open(str(path))
    ours = [s for s in model.by_type("IfcPropertySet") if s.Name in (ROOM_SET, PLACES_SET)]
    prop = next(p for s in ours for p in s.HasProperties if p.Name == name)
    if prop.is_a("IfcPropertyListValue"):
        prop.ListValues = [model.create_entity(kind or "IfcLengthMeasure", v) for v in value]
    else:
        prop.NominalValue = model.create_entity(kind or prop.NominalValue.is_a(), value) if value is not None else None
    out = path.with_name("edited.ifc")
    model.write(str(out))
    return out


@pytest.mark.parametrize(
    ("name", "value", "kind", "says"),
    [
        ("Pattern", "spiral staircase", None, "Pattern"),
        ("Pitch", -3.0, None, "out of range"),
        ("Pitch", "wide", "IfcLabel", "does not fit"),
        ("Circuits", 99, None, "from 1 to 24"),
        ("Heated", None, None, "true or false"),
        ("ExcludedArea1", [1.0, 2.0, 3.0], None, "no list of corners"),
        ("ExcludedArea2", [1.0, 2.0, 3.0, 4.0], None, "needs three or more"),
        ("Place1", "name = ", None, "not valid TOML"),
        ("Place1", 'name = "x"', None, "needs one of at, wall, room and element"),
    ],
)
def test_a_bad_value_is_left_aside_in_one_line(tmp_path: Path, name: str, value: Any, kind: str, says: str) -> None:
    architect, design = pair.make_pair(house.PLACES[sorted(house.PLACES)[0]], tmp_path)
    room = design.storeys[0].rooms[0].room
    place = ManifoldPlace(name="by the stairs", room=room)
    chosen = replace(design, settings=settings(replace(EVERYTHING, match=room), places=(place,)))
    write_coordinated_model(chosen, architect, tmp_path / "coordinated.ifc")
    path = with_value(tmp_path / "coordinated.ifc", name, value, kind)
    read = read_building(path, Settings())
    (finding,) = [f for f in read.findings if "choice-not-usable" in f.code]
    key = next((c.key for c in CHOICES if name.startswith(c.name)), "manifold.places")
    assert says in finding.message and key in finding.message and "\n" not in finding.message
    assert finding.ifc_guids[0] in finding.message and "mend it in the model" in finding.message
    left = read.choices[0]
    if key != "manifold.places":
        assert left == replace(EVERYTHING, match=room, **{key: None})
    else:
        assert read.places == ()
    quiet = read_building(path, Settings(rooms=RoomSettings(model_choices=False)))
    assert not [f for f in quiet.findings if "choice" in f.code]


@pytest.fixture(scope="module")
def bungalow() -> Building:
    return read_building(sample_model("bungalow"), Settings())


def carrying(building: Building, *rows: RoomOverride, places: tuple[ManifoldPlace, ...] = ()) -> Building:
    return replace(building, choices=rows, places=places)


def named(building: Building, name: str) -> Any:
    return next(r for s in building.storeys for r in s.rooms if name in r.label)


def test_settings_go_before_the_model_and_the_model_before_the_defaults(bungalow: Building) -> None:
    living, store = named(bungalow, "Living"), named(bungalow, "Store")
    there = carrying(
        bungalow,
        RoomOverride(match=living.ifc_guid, pitch_m=0.3, pattern="meander"),
        RoomOverride(match=store.ifc_guid, heat=True),
    )
    own = settings(RoomOverride(match="Living*", pitch_m=0.2))
    answers = select_rooms(there, own)
    told = answers[living.ifc_guid].override
    assert told is not None and (told.pitch_m, told.pattern) == (0.2, "meander")
    assert answers[store.ifc_guid].heat and answers[store.ifc_guid].reason == f"{ROOM_SET} in the model"
    assert not select_rooms(bungalow, own)[store.ifc_guid].heat
    beaten = select_rooms(there, settings(RoomOverride(match="Store", heat=False)))[store.ifc_guid]
    assert not beaten.heat and "settings" in beaten.reason
    silent = select_rooms(there, replace(own, rooms=replace(own.rooms, model_choices=False)))
    assert not silent[store.ifc_guid].heat and silent[living.ifc_guid].override.pattern is None


def test_what_is_taken_from_the_model_is_told_room_by_room(bungalow: Building) -> None:
    living = named(bungalow, "Living")
    there = carrying(bungalow, RoomOverride(match=living.ifc_guid, pitch_m=0.3, pattern="meander", leave_out=(RING,)))
    (told,) = override_findings(there, settings(RoomOverride(match="Living*", pitch_m=0.2)))
    assert told.message == (
        f'{living.label}: pattern = "meander", leave_out = 1 area, from {ROOM_SET} in the model; '
        "the settings say otherwise on pitch_m"
    )
    assert told.ifc_guids == (living.ifc_guid,)
    assert override_findings(there, replace(Settings(), rooms=RoomSettings(model_choices=False))) == ()


def test_an_answer_that_the_settings_rule_out_is_left_aside(bungalow: Building) -> None:
    living = named(bungalow, "Living")
    there = carrying(bungalow, RoomOverride(match=living.ifc_guid, pitch_m=0.17, pattern="meander", manifold="attic"))
    answer = select_rooms(there, Settings())[living.ifc_guid].override
    assert answer == RoomOverride(match=living.ifc_guid, pattern="meander")
    lines = [f.message for f in override_findings(there, Settings()) if "not-usable" in f.code]
    assert len(lines) == 2
    assert all(living.label in line and living.ifc_guid in line and "mend it in the model" in line for line in lines)
    assert "0.17 m is not a multiple" in lines[0] and f"{ROOM_SET}.Pitch" in lines[0]
    assert 'no place "attic"' in lines[1]


def test_places_of_the_model_count_where_the_settings_give_none_of_that_name(bungalow: Building) -> None:
    hall, living = named(bungalow, "Hall"), named(bungalow, "Living")
    there = carrying(bungalow, places=(ManifoldPlace(name="A", room=hall.ifc_guid),))
    own = settings(places=(ManifoldPlace(name="A", room=living.ifc_guid),))
    answers = select_rooms(there, Settings())
    (found,) = given_places(there, answers, Settings())[bungalow.storeys[0].ifc_guid]
    assert found.room == hall.ifc_guid
    (found,) = given_places(there, answers, own)[bungalow.storeys[0].ifc_guid]
    assert found.room == living.ifc_guid
    gone = carrying(bungalow, places=(ManifoldPlace(name="A", room="no such room"),))
    with pytest.raises(Exception, match=f"{PLACES_SET} in the model: give a place of that name"):
        given_places(gone, answers, Settings())


TOML = """
[[rooms.overrides]]
match = "Bedroom*"
pattern = "meander"
pitch_m = 0.2
indoor_c = 19.5
[[rooms.overrides]]
match = "Bedroom 2"
pitch_m = 0.25
leave_out = [{ring}]
[[rooms.overrides]]
match = "Utility"
heat = false
"""


def test_a_fresh_run_without_the_settings_lays_the_same_pipes(bungalow: Building, tmp_path: Path) -> None:
    low, _, high, _ = named(bungalow, "Bedroom 2").outline.bounds
    top = named(bungalow, "Bedroom 2").outline.bounds[1] + 0.4
    ring = world(bungalow, (low, top - 0.4), (high, top - 0.4), (high, top), (low, top))
    file = tmp_path / "mine.toml"
    file.write_text(TOML.format(ring=[list(p) for p in ring]), encoding="utf-8")
    chosen, model = read_settings(file), sample_model("bungalow")
    first = design_building(read_building(model, chosen), chosen)
    write_coordinated_model(first, model, tmp_path / "coordinated.ifc")
    again = design_building(read_building(tmp_path / "coordinated.ifc", Settings()), Settings())
    assert design_to_json(again)["storeys"][0]["circuits"] == design_to_json(first)["storeys"][0]["circuits"]
    assert roots(again, tmp_path / "b") == roots(first, tmp_path / "a")
    told = [f for f in again.findings if f.code == "zones.choices-of-the-model"]
    assert len(told) == 3
    bedroom = named(bungalow, "Bedroom 2")
    assert merged_override(bedroom, chosen).pitch_m == 0.25
    assert [c.laid.pitch_m for c in again.storeys[0].circuits if bedroom.ifc_guid in c.laid.rooms] == [0.25]
    plain = design_building(bungalow, Settings())
    assert design_to_json(plain)["storeys"][0]["circuits"] != design_to_json(first)["storeys"][0]["circuits"]


def roots(design: Design, folder: Path) -> list[tuple[str, str]]:
    """Class and GlobalId of everything in the heating model of a design."""
    folder.mkdir()
    write_heating_model(design, sample_model("bungalow"), folder / "heating.ifc")
    return sorted((e.is_a(), e.GlobalId) for e in ifcopenshell.open(str(folder / "heating.ifc")).by_type("IfcRoot"))
