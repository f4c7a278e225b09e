"""A settings file is read whole or refused in one line that helps."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from ufh_core.basis.errors import SettingsError
from ufh_core.building.types import RoomKind
from ufh_core.settings import RoomOverride, Settings, read_settings, settings_digest, settings_template
from ufh_core.settings.metadata import ROOM_KINDS
from ufh_core.settings.reading import settings_from_text

MISTAKES = [
    ("[rooms\n", ["not valid TOML", "line 1"]),
    ("[pipe]\nwall_m = 1\nwall_m = 2\n", ["not valid TOML", "line 3"]),
    ("[pipes]\n", ["pipes", 'did you mean "pipe"?']),
    ("zzzz = 1\n", ["zzzz", "no such section", "allowed: rooms, heat_demand"]),
    ("rooms = 3\n", ["rooms", "not a section"]),
    ("[pipe]\nwal_m = 0.002\n", ["pipe.wal_m", 'did you mean "wall_m"?']),
    ("[pipe]\nwall_m = true\n", ["pipe.wall_m", "true", "a number from 0.0008 to 0.005 m"]),
    ("[heat_demand]\nground_factor = true\n", ["heat_demand.ground_factor", "true does not fit"]),
    ("[pipe]\nwall_m = '2 mm'\n", ["pipe.wall_m", "a number from 0.0008 to 0.005 m"]),
    ("[pipe]\nwall_m = 2\n", ["pipe.wall_m", "2 is out of range", "0.0008 to 0.005 m"]),
    ("[pipe]\nwall_m = nan\n", ["pipe.wall_m", "out of range"]),
    ("[heat_demand]\noutdoor_c = -inf\n", ["heat_demand.outdoor_c", "-40 to 15 °C"]),
    ("[manifold]\nmost_ports = 3.0\n", ["manifold.most_ports", "a whole number from 2 to 24"]),
    ("[layout]\nwall_sleeves = 1\n", ["layout.wall_sleeves", "true or false"]),
    ("[floor]\nscreed = 'cemnt'\n", ["floor.screed", 'did you mean "cement"?']),
    ("[floor]\nscreed = 1\n", ["floor.screed", '"cement", "calcium sulphate", "flowing calcium sulphate"']),
    ("[rooms]\nnot_heated_kinds = ['stairs']\n", ["not_heated_kinds", 'did you mean "stair"?']),
    ("[rooms]\nnot_heated_kinds = 'stair'\n", ["not_heated_kinds", "not a list"]),
    ("[rooms.indoor_c]\nbaht = 24\n", ["rooms.indoor_c.baht", 'did you mean "bath"?']),
    ("[rooms.indoor_c]\nbath = 3\n", ["rooms.indoor_c.bath", "5 to 30 °C"]),
    ("[rooms]\nindoor_c = 21\n", ["rooms.indoor_c", "[rooms.indoor_c]"]),
    ("[rooms.overrides]\nmatch = 'a'\n", ["rooms.overrides", "[[rooms.overrides]]"]),
    ("[[rooms.overrides]]\nheat = true\n", ["rooms.overrides 1", "needs match"]),
    (
        "[[rooms.overrides]]\nmatch = 'a'\n[[rooms.overrides]]\nmatch = 'b'\nkind = 'bat'\n",
        ["overrides 2.kind", '"bath"'],
    ),
    ("[[rooms.overrides]]\nmatch = 'a'\ncircuits = 0\n", ["overrides 1.circuits", "a whole number from 1 to 24"]),
    ("[[rooms.overrides]]\nmatch = 'a'\ncircuits = 2.5\n", ["overrides 1.circuits", "a whole number"]),
    ("[[rooms.overrides]]\nmatch = 'a'\ncircuit = 2\n", ["overrides 1.circuit", 'did you mean "circuits"?']),
    ("[[rooms.overrides]]\nmatch = 'a'\nleave_out = [0, 1]\n", ["overrides 1.leave_out 1", "0 is not a list"]),
    ("[[rooms.overrides]]\nmatch = 'a'\nleave_out = [[[0, 1, 2]]]\n", ["leave_out 1 1", "not a point; write [x, y]"]),
    ("[[rooms.overrides]]\nmatch = 'a'\nleave_out = [[[0, 'b']]]\n", ["leave_out 1 1", "a number"]),
    ("[[rooms.overrides]]\nmatch = 'a'\nleave_out = [[[0, inf]]]\n", ["leave_out 1 1", "out of range"]),
    ("[[rooms.overrides]]\nmatch = 'a'\ntake_in = [[[0, 1], [1, 1]]]\n", ["overrides 1: take_in 1 has 2 corners"]),
    (
        "[[rooms.overrides]]\nmatch = 'a'\ntake_in = [[[0, 0], [1, 1], [1, 0], [0, 1]]]\n",
        ["overrides 1: take_in 1 crosses itself"],
    ),
    ("[[manifold.places]]\nroom = 'a'\n", ["manifold.places 1: needs a name"]),
    ("[[manifold.places]]\nname = 'a'\n", ["manifold.places 1: needs one of at, wall, room and element, and has none"]),
    ("[[manifold.places]]\nname = 'a'\nroom = 'r'\nwall = 'w'\n", ["needs one of", "has wall and room"]),
    ("[[manifold.places]]\nname = 'a'\nat = [1]\n", ["manifold.places 1.at", "not a point"]),
    ("[[manifold.places]]\nname = 'a'\nrom = 'r'\n", ["manifold.places 1.rom", 'did you mean "room"?']),
    ("[[manifold.places]]\nname = 'a'\nroom = 'r'\nserves = 'Bath'\n", ["manifold.places 1.serves", "not a list"]),
    ("[manifold.places]\nname = 'a'\n", ["manifold.places", "[[manifold.places]]"]),
    (
        "[[manifold.places]]\nname = 'a'\nroom = 'r'\n[[manifold.places]]\nname = 'a'\nroom = 'q'\n",
        ["manifold.places 2.name", '"a" is the name of place 1 too'],
    ),
    (
        "[[manifold.places]]\nname = 'hall'\nroom = 'r'\n[[rooms.overrides]]\nmatch = 'b'\nmanifold = 'hal'\n",
        ["rooms.overrides 1.manifold", 'no place "hal"', 'did you mean "hall"?'],
    ),
    ("[[rooms.overrides]]\nmatch = 'b'\nmanifold = 'hal'\n", ["rooms.overrides 1.manifold", "none given"]),
    ("[layout]\npattern = 'meandr'\n", ["layout.pattern", 'did you mean "meander"?']),
    ("[[rooms.overrides]]\nmatch = 'a'\npattern = 'facade'\n", ["1.pattern", 'did you mean "facade meander"?']),
    ("[[circuits.keep]]\n", ["circuits.keep 1: needs one of file and points"]),
    (
        "[[circuits.keep]]\nfile = 'a'\npoints = [[0, 0], [0, 1], [1, 1], [1, 0]]\n",
        ["circuits.keep 1: needs one of file and points"],
    ),
    ("[[circuits.keep]]\nfile = 'a'\nroom = 'b'\ncircuit = 'M1.01'\n", ["has circuit and room; give one of them"]),
    ("[[circuits.keep]]\npoints = [[0, 0], [1, 1]]\n", ["points takes 4 corners or more"]),
    ("[[circuits.keep]]\nfil = 'a'\n", ["circuits.keep 1.fil", 'did you mean "file"?']),
    ("[layout]\npitches_m = []\n", ["layout.pitches_m", "empty"]),
    ("[layout]\npitches_m = [0.15, 0.17]\n", ["layout.pitches_m", "0.17 m is not a multiple", "stud_pitch_m (0.05 m)"]),
    (
        "[pipe]\nleast_bend_radius_m = 0.09\n[layout]\npitches_m = [0.1]\n",
        ["0.1 m is too tight for a turn-round", "/ 1.5 (0.12 m)"],
    ),
    (
        "[pipe]\nleast_bend_radius_m = 0.08\n[[rooms.overrides]]\nmatch = 'a'\npitch_m = 0.1\n",
        ["rooms.overrides 1.pitch_m", "turn-round"],
    ),
    ("[layout]\ntail_spacing_m = 0.06\n", ["layout.tail_spacing_m", "multiple of layout.stud_pitch_m"]),
    ("[floor]\npanel_length_m = 1.42\n", ["floor.panel_length_m", "1.42", "multiple of layout.stud_pitch_m"]),
    ("[floor]\npanel_width_m = 0.83\n", ["floor.panel_width_m", "0.83", "multiple of layout.stud_pitch_m"]),
    ("[floor]\npanel_lap_m = 0.11\n", ["floor.panel_lap_m", "more than 2 studs", "up to 0.1 m"]),
    ("[floor]\npanel_least_piece_m = 0.3\n", ["floor.panel_least_piece_m", "a third of its shorter side"]),
    ("[pipe]\noutside_diameter_m = 0.01\nwall_m = 0.005\n", ["pipe.wall_m", "no bore"]),
    ("[output]\nflow_c = 50\n", ["output.flow_c", "greatest_flow_c (45 °C)"]),
    ("[output]\nspread_k = 10\ngreatest_spread_k = 6\n", ["output.spread_k", "greatest_spread_k"]),
    ("[output]\nedge_limit_k = 5\n", ["output.edge_limit_k", "occupied_limit_k"]),
    ("[heat_demand]\noutdoor_c = 15\n[rooms.indoor_c]\nstore = 10\n", ["rooms.indoor_c.store", "outdoor_c (15 °C)"]),
    ("[manifold]\nflow_bar_height_m = 0.9\n", ["manifold.flow_bar_height_m", "cabinet_height_m"]),
    ("[manifold]\nreturn_bar_height_m = 0.58\n", ["manifold.return_bar_height_m", "overlap"]),
    ("[hydraulics]\nantifreeze = 'glycol'\n", ["hydraulics.antifreeze", '"ethylene glycol"']),
    (
        "[hydraulics]\nantifreeze = 'ethylene glycol'\nantifreeze_share = 0.5\n",
        ["hydraulics.antifreeze_share", "52.7% of the mass", "50%"],
    ),
    ("[hydraulics]\nvalve_turns = [1, 2]\n", ["hydraulics.valve_turns_kv", "8 values for 2"]),
    ("[hydraulics]\nvalve_kv = 1.5\n", ["hydraulics.valve_turns_kv", "ends with 1.2 m³/h", "is 1.5 m³/h"]),
    (
        "[hydraulics]\nvalve_turns = [1, 2]\nvalve_turns_kv = [1.2, 0.6]\n",
        ["hydraulics.valve_turns", "greater than the one before"],
    ),
    (
        "[hydraulics]\nvalve_turns = [1.3, 1.4]\nvalve_turns_kv = [0.6, 1.2]\n",
        ["hydraulics.valve_turns", "no quarter turn"],
    ),
    ("[hydraulics]\npump = 'fixed'\n", ["hydraulics.pump", "allowed: constant pressure,"]),
    ("[hydraulics]\npump_curve_pa = [5000]\n", ["hydraulics.pump_curve_pa", "1 values for 7"]),
    (
        "[hydraulics]\npump_curve_m3_h = [0.1, 2]\npump_curve_pa = [5000, 0]\n",
        ["hydraulics.pump_curve_m3_h", "must begin with 0"],
    ),
    (
        "[hydraulics]\npump_curve_m3_h = [0, 2]\npump_curve_pa = [5000, 6000]\n",
        ["hydraulics.pump_curve_pa", "never rises"],
    ),
    (
        "[hydraulics]\npump_curve_m3_h = [0, 2]\npump_curve_pa = [0, 0]\n",
        ["hydraulics.pump_curve_pa", "moves nothing"],
    ),
    ("[hydraulics]\nstatic_height_m = 30\n", ["hydraulics.safety_valve_pa", "at least 424000 Pa"]),
    ("x = " + "[" * 100_000, ["not valid TOML"]),
]


@pytest.mark.parametrize(("text", "parts"), MISTAKES, ids=[text[:40] for text, _ in MISTAKES])
def test_a_mistake_gets_one_line_with_file_key_and_remedy(text: str, parts: list[str]) -> None:
    with pytest.raises(SettingsError) as caught:
        settings_from_text(text, "mine.toml")
    message = str(caught.value)
    assert message.startswith("mine.toml: ")
    assert "\n" not in message
    assert [part for part in parts if part not in message] == [], message


def test_without_a_stud_grid_any_pitch_may_be_laid() -> None:
    off_studs = "[layout]\npitches_m = [0.15, 0.17]\n"
    assert settings_from_text(off_studs + "stud_grid = false\n", "test").layout.pitches_m == (0.15, 0.17)


def test_the_template_reads_back_to_the_defaults() -> None:
    assert settings_from_text(settings_template()) == Settings()


def test_the_template_uncommented_reads_too() -> None:
    """The lines given as examples are valid as they stand."""
    lines = (re.sub(r"^# (?=\w+ = |\[\[)", "", line) for line in settings_template().splitlines())
    settings = settings_from_text("\n".join(lines))
    assert settings.output.flow_c == 38.0
    assert settings.rooms.overrides[0].match == "Bath*"
    assert None not in [getattr(settings.rooms.overrides[0], name) for name in RoomOverride.__slots__]
    assert settings.manifold.places[0].name == settings.rooms.overrides[0].manifold


def test_areas_are_read_as_corners() -> None:
    areas = "leave_out = [[[0, 0], [1, 0.5], [1, 2]], [[5, 5], [6, 5], [6, 6]]]"
    text = f"[[rooms.overrides]]\nmatch = 'a'\ncircuits = 3\n{areas}"
    (override,) = settings_from_text(text).rooms.overrides
    assert override.circuits == 3 and override.take_in is None
    assert override.leave_out == (((0.0, 0.0), (1.0, 0.5), (1.0, 2.0)), ((5.0, 5.0), (6.0, 5.0), (6.0, 6.0)))


def test_a_file_changes_what_it_names_and_nothing_else(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(
        "\ufeff[rooms.indoor_c]\nbath = 22\n[[rooms.overrides]]\nmatch = 'Büro*'\nheat = false\n[pipe]\nspare = 0\n",
        encoding="utf-8",
    )
    settings = read_settings(file)
    assert settings.rooms.indoor_c == {**Settings().rooms.indoor_c, "bath": 22.0}
    assert settings.rooms.overrides == (RoomOverride(match="Büro*", heat=False),)
    assert settings.pipe.spare == 0.0
    assert isinstance(settings.pipe.spare, float)
    assert settings.floor == Settings().floor


@pytest.mark.parametrize("make", ["missing", "folder", "bytes", "utf16"])
def test_a_file_that_cannot_be_read_is_refused(tmp_path: Path, make: str) -> None:
    file = tmp_path / "own.toml"
    if make == "folder":
        file.mkdir()
    elif make == "bytes":
        file.write_bytes(b"[rooms]\n\xff\xfe\x00")
    elif make == "utf16":
        file.write_text("[rooms]\n", encoding="utf-16")
    with pytest.raises(SettingsError) as caught:
        read_settings(file)
    assert str(caught.value).startswith(str(file))
    assert "\n" not in str(caught.value)


def test_kinds_of_room_are_the_building_s() -> None:
    assert list(ROOM_KINDS) == [kind.value for kind in RoomKind]


def test_every_number_has_a_range() -> None:
    for section in fields(Settings()):
        for spec in fields(getattr(Settings(), section.name)):
            if "float" in str(spec.type) or "int" in str(spec.type):
                assert spec.metadata["low"] < spec.metadata["high"], spec.name


def test_the_digest_follows_the_values() -> None:
    same, other = settings_from_text("[pipe]\nspare = 0.03\n"), settings_from_text("[pipe]\nspare = 0.04\n")
    assert settings_digest(same) == settings_digest(Settings())
    assert settings_digest(other) != settings_digest(Settings())
    assert re.fullmatch("[0-9a-f]{64}", settings_digest(other))
