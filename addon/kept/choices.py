"""The designer's choices between the scene's properties and the core's `Settings`."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ufh_core.basis.errors import SettingsError
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.cross_checks import conflict
from ufh_core.settings.reading import settings_from_text
from ufh_core.settings.steering import ManifoldPlace

from .areas import rings_of
from .carried import further_answers, with_carried
from .from_settings import figure, optional, same
from .properties import BASIS, OWN, given


def settings_of(record: Any) -> Settings:
    """The settings of a scene: its settings file, the basis of design over it, rooms' own answers, given places.

    Raises: SettingsError, one line, where they contradict each other.
    """
    settings = file_settings(record)
    for section, key, _, _ in BASIS:
        settings = _with(settings, section, key, _shown(record.basis, section, key))
    rooms, manifold = settings.rooms, settings.manifold
    if record.carried:  # the rows hold what the model carries; what was changed in them must not come back
        rooms = replace(rooms, model_choices=False)
    own = tuple(o for row in record.rooms if (o := _override(row)) is not None)
    settings = replace(
        settings,
        rooms=replace(rooms, overrides=rooms.overrides + own),
        manifold=replace(manifold, places=_places(record, with_carried(record, manifold.places))),
    )
    if trouble := conflict(settings):
        raise SettingsError(f"basis of design: {trouble}")
    return settings


def file_settings(record: Any) -> Settings:
    """The settings of the scene's settings file alone, defaults where there is none."""
    if not record.settings_text:
        return Settings()
    return settings_from_text(record.settings_text, record.settings_path or "settings")


def show_settings(record: Any, settings: Settings) -> None:
    """Put settings into the panel."""
    for section, key, _, _ in BASIS:
        value = getattr(getattr(settings, section), key)
        if optional(section, key):
            setattr(record.basis, given(key), value is not None)
        if value is not None:
            setattr(record.basis, key, value)


def _shown(basis: Any, section: str, key: str) -> Any:
    """What the panel says of a setting."""
    if optional(section, key) and not getattr(basis, given(key)):
        return None
    return getattr(basis, key)


def _with(settings: Settings, section: str, key: str, value: Any) -> Settings:
    """Settings with one value changed, as far as the panel really says something else."""
    part = getattr(settings, section)
    there = getattr(part, key)
    if isinstance(value, float):
        if isinstance(there, float) and same(value, there):
            return settings
        value = figure(value)
    return settings if value == there else replace(settings, **{section: replace(part, **{key: value})})


def _override(row: Any) -> RoomOverride | None:
    """A room's own answers, None where there are none."""
    own = further_answers(row)
    own |= {key: _exact(getattr(row, key)) for key, _, _ in OWN if getattr(row, given(key))}
    if row.heat != "rule":
        own["heat"] = row.heat == "yes"
    if row.leave_out:
        own["leave_out"] = rings_of(row.leave_out)
    return RoomOverride(match=row.guid, **own) if own else None


def _exact(shown: Any) -> Any:
    return figure(shown) if isinstance(shown, float) else shown


def place_of(words: str) -> tuple[float, float]:
    """A plan point [m] from its words `x y`."""
    x, y = words.split()
    return float(x), float(y)


def place_words(point: tuple[float, float]) -> str:
    """A plan point [m] in words, to the millimetre."""
    return f"{point[0]:.3f} {point[1]:.3f}"


def _places(record: Any, of_file: tuple[ManifoldPlace, ...]) -> tuple[ManifoldPlace, ...]:
    """Places of manifolds: those that stay where they stand, in place of the file's of the same name."""
    files = {place.name: place for place in of_file}
    kept = [_place(row, files.get(row.place or row.label)) for row in record.manifolds if row.fixed and row.at]
    names = {place.name for place in kept}
    return (*(place for place in of_file if place.name not in names), *kept)


def _place(row: Any, of_file: ManifoldPlace | None) -> ManifoldPlace:
    """Where a manifold stays; which rooms it serves is as the file says."""
    serves = of_file.serves if of_file is not None else None
    return ManifoldPlace(name=row.place or row.label, at=place_of(row.at), storey=row.storey, serves=serves)
