"""Regression: what a designer changed is written, and reads back to the same settings."""

from dataclasses import replace

from ufh_core.settings import RoomOverride, Settings, changed_settings
from ufh_core.settings.reading import settings_from_text
from ufh_core.settings.steering import KeptCircuits, ManifoldPlace


def changed() -> Settings:
    """Settings with a change of every sort: number, choice, list, table by kind, rows."""
    plain = Settings()
    rows = (
        RoomOverride(
            match='Bad "gross" * \\ ö', heat=False, pitch_m=0.1, leave_out=(((0.0, 0.0), (1.0, 0.0), (1.0, 2.0)),)
        ),
        RoomOverride(match="2 Flur", indoor_c=19.5),
    )
    rooms = replace(plain.rooms, overrides=rows, indoor_c={**plain.rooms.indoor_c, "bath": 25.0, "office": 21.0})
    place = ManifoldPlace(name="M1", at=(1.25, -3.5), storey="Ground floor", serves=("A*", "B"))
    return replace(
        plain,
        rooms=rooms,
        output=replace(plain.output, flow_c=38.5),
        layout=replace(plain.layout, pitches_m=(0.1, 0.2), pattern="meander", stud_grid=False),
        manifold=replace(plain.manifold, places=(place,)),
        circuits=replace(plain.circuits, keep=(KeptCircuits(file="a/design.json", manifold="M1"),)),
    )


def test_changed_settings_read_back_to_the_same() -> None:
    assert settings_from_text(changed_settings(changed())) == changed()


def test_only_what_differs_is_written() -> None:
    text = changed_settings(changed())
    assert "outdoor_c" not in text and "hall" not in text
    assert [line for line in text.splitlines() if line.startswith("[output]")] == ["[output]"]


def test_defaults_write_no_section() -> None:
    text = changed_settings(Settings())
    assert settings_from_text(text) == Settings()
    assert not [line for line in text.splitlines() if line and not line.startswith("#")]
