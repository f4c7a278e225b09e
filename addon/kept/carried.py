"""Answers that the model itself carries from an earlier design: taken into the rooms' rows when it is read.

From then on the rows say what counts, so that an answer which is taken back here does not come again from the model.
What the panel has no field for is kept as lines of a settings file, places of manifolds too.
"""

from __future__ import annotations

import tomllib
from dataclasses import fields, replace
from typing import Any

from ufh_core.basis.errors import SettingsError
from ufh_core.building.types import Building
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.changed import said_lines
from ufh_core.settings.reading import checked_answer, settings_from_text
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.zones.model_choices import usable_choices
from ufh_core.zones.selection import merged_override

from .areas import words_of
from .properties import OWN, given

WHOSE = "answers of the model"


def asking_the_model(settings: Settings) -> Settings:
    """The settings for reading a model, whatever an earlier one carried."""
    return replace(settings, rooms=replace(settings.rooms, model_choices=True))


def take_choices(record: Any, building: Building, settings: Settings) -> None:
    """Take what the model carries into the rows, as far as the designer has said nothing else yet."""
    asking = asking_the_model(settings)
    rows = {row.guid: row for row in record.rooms}
    record.carried = bool(building.choices or building.places)
    record.carried_places = "\n".join(_place_lines(place) for place in building.places)
    for told in usable_choices(building, asking):
        if told.match in rows:
            _take(rows[told.match], _unsaid(told, merged_override(building.room(told.match), settings)))


def with_carried(record: Any, places: tuple[ManifoldPlace, ...]) -> tuple[ManifoldPlace, ...]:
    """Places of manifolds with the model's after them where none has its name."""
    names = {place.name for place in places}
    carried = settings_from_text(record.carried_places, WHOSE).manifold.places if record.carried_places else ()
    return (*places, *(place for place in carried if place.name not in names))


def further_answers(row: Any) -> dict[str, Any]:
    """A room's answers that the panel has no field for, by key.

    Raises: SettingsError, one line, where a script has written something else there.
    """
    try:
        told = tomllib.loads(row.also)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{row.label}: further answers: not valid TOML: {error}") from None
    for key in told:
        if key not in _keys():
            raise SettingsError(f"{row.label}: further answers: no such key {key}")
    return {key: checked_answer(key, value, f"{row.label}: {key}") for key, value in told.items()}


def also_words(row: Any) -> str:
    """The same in words."""
    return ", ".join(row.also.splitlines())


def _unsaid(told: RoomOverride, own: RoomOverride | None) -> RoomOverride:
    """The model's answers less those that the designer has given."""
    said: dict[str, Any] = {key: None for key in _keys() if own is not None and getattr(own, key) is not None}
    return replace(told, **said)


def _take(row: Any, told: RoomOverride) -> None:
    """Put a room's answers where the panel shows them, and the rest into words."""
    if told.heat is not None:
        row.heat = "yes" if told.heat else "no"
    if told.leave_out:
        row.leave_out = words_of(told.leave_out)
    for key, _, _ in OWN:
        if (value := getattr(told, key)) is not None:
            setattr(row, key, value)
            setattr(row, given(key), True)
    shown: dict[str, Any] = dict.fromkeys(("heat", "leave_out", *(key for key, _, _ in OWN)))
    lines = [line for line in said_lines(replace(told, **shown)) if not line.startswith("match ")]
    row.also = "\n".join(lines)


def _place_lines(place: ManifoldPlace) -> str:
    return "\n".join(("[[manifold.places]]", *said_lines(place)))


def _keys() -> list[str]:
    return [f.name for f in fields(RoomOverride) if f.name != "match"]
