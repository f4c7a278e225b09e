"""The designer's choices: from the panel to the core's settings and back, by file and by room."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.kept.choices import settings_of, show_settings
from addon.kept.properties import BASIS, given
from ufh_core.settings import RoomOverride, Settings, read_settings
from ufh_core.settings.steering import ManifoldPlace


def test_untouched_the_panel_says_the_defaults(host: Any) -> None:
    assert settings_of(host.context.scene.warmloom) == Settings()


def test_what_the_panel_shows_is_what_the_core_gets(host: Any) -> None:
    basis = host.context.scene.warmloom.basis
    basis.flow_c_given, basis.flow_c = True, 38.3
    basis.outdoor_c, basis.pattern, basis.stud_grid, basis.most_ports = -8.1, "meander", False, 9
    settings = settings_of(host.context.scene.warmloom)
    assert (settings.output.flow_c, settings.heat_demand.outdoor_c) == (38.3, -8.1)
    assert (settings.layout.pattern, settings.layout.stud_grid) == ("meander", False)
    assert settings.manifold.most_ports == 9
    basis.flow_c_given = False
    assert settings_of(host.context.scene.warmloom).output.flow_c is None


def test_every_setting_of_the_panel_shows_and_comes_back(host: Any) -> None:
    """Each one alone: shown from settings that differ, it reads back to them."""
    record, plain = host.context.scene.warmloom, Settings()
    for section, key, _, start in BASIS:
        part = getattr(plain, section)
        changed = replace(plain, **{section: replace(part, **{key: _other(part, key, start)})})
        show_settings(record, changed)
        assert settings_of(record) == changed, key
        show_settings(record, plain)
    assert settings_of(record) == plain


def _other(part: Any, key: str, start: float | None) -> Any:
    """Another value than the default."""
    from addon.kept.from_settings import field_of

    value = getattr(part, key)
    choices = next(f.metadata["choices"] for f in type(part).__dataclass_fields__.values() if f.name == key)
    if choices:
        return next(word for word in choices if word != value)
    assert field_of
    if isinstance(value, bool):
        return not value
    return start if value is None else type(value)(value + 1 if isinstance(value, int) else round(value * 1.05, 4))


def test_a_settings_file_goes_before_the_defaults_and_the_panel_before_the_file(host: Any, tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text("[output]\nflow_c = 36.0\n[pipe]\nspare = 0.08\n[floor]\nfinish_r = 0.12\n", encoding="utf-8")
    host.ops.warmloom.read_settings(filepath=str(mine))
    record = host.context.scene.warmloom
    assert settings_of(record) == read_settings(mine)
    assert record.basis.flow_c_given and record.basis.flow_c == 36.0
    record.basis.finish_r = 0.05
    settings = settings_of(record)
    assert (settings.floor.finish_r, settings.pipe.spare) == (0.05, 0.08)
    host.ops.warmloom.forget_settings()
    assert settings_of(record) == Settings()


def test_a_bad_settings_file_changes_nothing(host: Any, tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text("[output]\nflow = 36.0\n", encoding="utf-8")
    with pytest.raises(RuntimeError, match="no such key"):
        host.ops.warmloom.read_settings(filepath=str(mine))
    assert settings_of(host.context.scene.warmloom) == Settings()
    assert not host.context.scene.warmloom.settings_path


def test_rooms_answers_are_written_and_read_back(designed: Any, host: Any, tmp_path: Path) -> None:
    room = designed.rooms[1]
    room.heat, room.pitch_m_given, room.pitch_m = "yes", True, 0.1
    designed.rooms[0].indoor_c_given, designed.rooms[0].indoor_c = True, 21.5
    expected = (
        RoomOverride(match=designed.rooms[0].guid, indoor_c=21.5),
        RoomOverride(match=room.guid, heat=True, pitch_m=0.1),
    )
    assert settings_of(designed).rooms.overrides == expected
    file = tmp_path / "mine.toml"
    host.ops.warmloom.write_settings(filepath=str(file))
    assert read_settings(file) == settings_of(designed)


def test_a_file_and_the_panel_s_own_answers_stay_apart(designed: Any, host: Any, tmp_path: Path) -> None:
    """A file with an answer for a room, and the panel's answer over it: the later one wins, none is lost."""
    mine = tmp_path / "mine.toml"
    mine.write_text('[[rooms.overrides]]\nmatch = "2*"\nheat = false\n', encoding="utf-8")
    host.ops.warmloom.read_settings(filepath=str(mine))
    designed.rooms[1].heat = "yes"
    assert [o.heat for o in settings_of(designed).rooms.overrides] == [False, True]


def test_contradictions_are_said_before_anything_runs(designed: Any, host: Any) -> None:
    designed.basis.flow_c_given, designed.basis.flow_c, designed.basis.greatest_flow_c = True, 50.0, 40.0
    with pytest.raises(RuntimeError, match="basis of design: output"):
        host.ops.warmloom.design()


def test_a_change_marks_the_design_as_of_before(designed: Any) -> None:
    assert not designed.outdated
    designed.basis.finish_r = 0.05
    assert designed.outdated


def test_own_answers_stay_when_the_model_is_read_again(designed: Any, host: Any, small: Any) -> None:
    designed.rooms[0].finish_r_given, designed.rooms[0].finish_r = True, 0.02
    host.ops.warmloom.read_building(filepath=str(small.path), background=False)
    again = host.context.scene.warmloom.rooms[0]
    assert again.finish_r_given and again.finish_r == pytest.approx(0.02)
    assert again.label == "1 Living room"


def test_figures_of_single_precision_come_back_as_typed(host: Any) -> None:
    record = host.context.scene.warmloom
    record.basis.finish_r = 0.07
    assert settings_of(record).floor.finish_r == 0.07
    assert record.basis.finish_r != 0.07


def test_given_places_go_before_those_of_the_file(designed: Any) -> None:
    designed.settings_text = (
        '[[manifold.places]]\nname = "M1"\nroom = "1"\n[[manifold.places]]\nname = "X"\nroom = "2"\n'
    )
    designed.manifolds[0].fixed, designed.manifolds[0].at = True, "3456789.125 5654321.250"
    places = settings_of(designed).manifold.places
    assert [place.name for place in places] == ["X", "M1"]
    assert places[1] == ManifoldPlace(name="M1", at=(3456789.125, 5654321.25), storey="Ground floor")
    assert given("flow_c") == "flow_c_given"
