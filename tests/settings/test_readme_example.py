"""The settings that the README shows are settings that the tool reads."""

from __future__ import annotations

from pathlib import Path

from ufh_core.settings.reading import read_settings

README = Path(__file__).resolve().parents[2] / "README.md"


def test_the_readmes_settings_are_read(tmp_path: Path) -> None:
    (block,) = [part.split("```")[0] for part in README.read_text(encoding="utf-8").split("```toml\n")[1:]]
    file = tmp_path / "mine.toml"
    file.write_text(block, encoding="utf-8")
    settings = read_settings(file)
    room, small = settings.rooms.overrides
    (place,) = settings.manifold.places
    assert room.manifold == place.name
    assert room.circuits == 2 and room.pitch_m == 0.1
    assert small.shares_with == "9 Utility" and settings.circuits.share_below_m2 == 3.0
    assert settings.layout.edge_zone == "same circuit"
    assert settings.circuits.keep[0].manifold == "M1"
