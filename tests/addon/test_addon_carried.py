"""Answers that a model carries: the rooms' rows show them when it is read, and what is taken back stays taken back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.kept.carried import also_words
from addon.kept.choices import settings_of
from ufh_core.basis.errors import SettingsError
from ufh_core.exchange.coordinated_model import write_coordinated_model
from ufh_core.settings import RoomOverride, read_settings
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.zones.selection import merged_override


@pytest.fixture
def carrying(small: SimpleNamespace, tmp_path: Path) -> SimpleNamespace:
    """The small house as a coordinated model: what was decided for its first room, and a place."""
    first, second = small.building.storeys[0].rooms[:2]
    x, y = (round(float(c), 3) for c in small.building.frame.to_world(_corners(first))[0])
    told = RoomOverride(
        match=first.ifc_guid,
        heat=True,
        pitch_m=0.25,
        circuits=1,
        pattern="meander",
        manifold="by the door",
        shares_with="none",
        leave_out=(((x, y), (x + 0.5, y), (x + 0.5, y + 0.5)),),
    )
    place = ManifoldPlace(name="by the door", room=second.ifc_guid)
    settings = replace(
        small.design.settings,
        rooms=replace(small.design.settings.rooms, overrides=(told,)),
        manifold=replace(small.design.settings.manifold, places=(place,)),
    )
    path = tmp_path / "coordinated.ifc"
    write_coordinated_model(replace(small.design, settings=settings), small.path, path)
    return SimpleNamespace(path=path, told=told, place=place, room=first)


def _corners(room: Any) -> Any:
    import shapely

    return shapely.get_coordinates(room.outline)[:1]


def read(path: Path) -> Any:
    assert bpy.ops.warmloom.read_building(filepath=str(path), background=False) == {"FINISHED"}
    return bpy.context.scene.warmloom


def test_the_rows_show_what_the_model_carries(host: Any, carrying: SimpleNamespace) -> None:
    record = read(carrying.path)
    row = next(row for row in record.rooms if row.guid == carrying.told.match)
    assert (row.heat, row.pitch_m_given, row.circuits_given, row.pattern_given) == ("yes", True, True, True)
    assert (round(row.pitch_m, 6), row.circuits, row.pattern) == (0.25, 1, "meander")
    assert also_words(row) == 'manifold = "by the door", shares_with = "none"'
    settings = settings_of(record)
    assert merged_override(carrying.room, settings) == carrying.told
    assert settings.manifold.places == (carrying.place,)
    others = [row for row in record.rooms if row.guid != carrying.told.match]
    assert all(row.heat == "rule" and not row.also for row in others)
    assert any("UFH_RoomChoices" in row.message for row in record.findings)


def test_what_is_taken_back_does_not_come_again_from_the_model(host: Any, carrying: SimpleNamespace) -> None:
    record = read(carrying.path)
    row = next(row for row in record.rooms if row.guid == carrying.told.match)
    row.pitch_m_given, row.also = False, ""
    assert host.ops.warmloom.design(background=False) == {"FINISHED"}
    from addon.kept.memory import recall
    from ufh_core.zones.selection import select_rooms

    design = recall(record.design_id).design
    told = select_rooms(design.building, design.settings)[carrying.told.match].override
    assert told is not None and told.pitch_m is None and told.manifold is None and told.pattern == "meander"


def test_the_designers_own_answer_goes_before_the_models(host: Any, carrying: SimpleNamespace, tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text('[[rooms.overrides]]\nmatch = "*"\npitch_m = 0.2\n', encoding="utf-8")
    host.ops.warmloom.read_settings(filepath=str(mine))
    record = read(carrying.path)
    row = next(row for row in record.rooms if row.guid == carrying.told.match)
    assert not row.pitch_m_given and row.pattern_given
    assert merged_override(carrying.room, settings_of(record)).pitch_m == 0.2


def test_the_settings_file_holds_all_of_it(host: Any, carrying: SimpleNamespace, tmp_path: Path) -> None:
    record, file = read(carrying.path), tmp_path / "mine.toml"
    assert host.ops.warmloom.write_settings(filepath=str(file)) == {"FINISHED"}
    settings = read_settings(file)
    assert settings == settings_of(record)
    assert not settings.rooms.model_choices and settings.manifold.places == (carrying.place,)


def test_another_building_forgets_what_the_one_before_carried(
    host: Any, carrying: SimpleNamespace, small_model: Path
) -> None:
    read(carrying.path)
    host.ops.warmloom.remove_building()
    record = read(small_model)
    assert not record.carried and settings_of(record).manifold.places == ()
    assert all(row.heat == "rule" and not row.also for row in record.rooms)


def test_words_that_no_settings_file_may_have_are_told_in_one_line(designed: Any) -> None:
    designed.rooms[0].also = "entry = "
    with pytest.raises(SettingsError, match="not valid TOML"):
        settings_of(designed)
    designed.rooms[0].also = "colour = 3"
    with pytest.raises(SettingsError, match="no such key colour"):
        settings_of(designed)
