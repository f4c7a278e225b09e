"""Only what differs from the defaults is written, and it reads back to the same settings."""

from __future__ import annotations

from dataclasses import replace

from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.reading import settings_from_text
from ufh_core.settings.steering import KeptCircuits, ManifoldPlace
from ufh_core.settings.types import CircuitSettings, LayoutSettings, ManifoldSettings, RoomSettings
from ufh_core.settings.writing import own_settings


def test_defaults_are_no_line() -> None:
    assert own_settings(Settings()) == ""


def test_what_differs_reads_back() -> None:
    rooms = RoomSettings()
    own = Settings(
        rooms=replace(
            rooms,
            least_area_m2=1.5,
            indoor_c=rooms.indoor_c | {"bath": 22.0},
            overrides=(
                RoomOverride(match='A "quoted" room', heat=False),
                RoomOverride(match="B*", leave_out=(((0.0, 0.0), (1.0, 0.0), (1.0, 2.5)),)),
            ),
        ),
        layout=replace(LayoutSettings(), pattern="meander", stud_grid=False),
        manifold=replace(ManifoldSettings(), places=(ManifoldPlace(name="hall", at=(1.25, -3.0), serves=("Bath*",)),)),
        circuits=replace(CircuitSettings(), keep=(KeptCircuits(file="a/design.json", circuit="M1.03"),)),
    )
    text = own_settings(own)
    assert settings_from_text(text) == own
    assert "[rooms.indoor_c]\nbath = 22.0\n" in text and "bedroom" not in text and "[hydraulics]" not in text
