"""Answers that the model carries from an earlier design, under those of the settings: these win, value by value."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import fields, replace
from typing import Any

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.building.types import Building
from ufh_core.settings.cross_checks import conflict
from ufh_core.settings.room_choices import CHOICES, PLACES_SET, ROOM_SET, left_aside, room_key
from ufh_core.settings.steering import ManifoldPlace, RoomOverride
from ufh_core.settings.types import Settings
from ufh_core.settings.writing import toml_value

CONTRADICTABLE = ("indoor_c", "pitch_m", "edge_zone", "manifold")
"""Answers that other settings may rule out."""


def with_model_choices(building: Building, settings: Settings) -> Settings:
    """The settings with what the model carries under them; the settings themselves where it carries nothing."""
    if not settings.rooms.model_choices or not (building.choices or building.places):
        return settings
    placed = _placed(building, settings)
    rows = usable_choices(building, settings)
    return replace(placed, rooms=replace(placed.rooms, overrides=(*rows, *placed.rooms.overrides)))


def usable_choices(building: Building, settings: Settings) -> tuple[RoomOverride, ...]:
    """The rooms' answers that the model carries, less what the settings rule out."""
    placed = _placed(building, settings)
    return tuple(_without(row, _contradicted(row, placed)) for row in building.choices)


def choice_findings(
    building: Building, settings: Settings, own: Mapping[str, RoomOverride | None]
) -> tuple[Finding, ...]:
    """What is taken from the model, room by room and place by place, and what the settings rule out.

    `own` are the settings' answers alone, by room (GlobalId).
    """
    if not settings.rooms.model_choices:
        return ()
    placed = _placed(building, settings)
    labels = {room.ifc_guid: room.label for storey in building.storeys for room in storey.rooms}
    found: list[Finding] = []
    for row in building.choices:
        if row.match in labels:
            found += _of_room(row, labels[row.match], _contradicted(row, placed), _given(own.get(row.match)))
    names = {place.name for place in settings.manifold.places}
    return (*found, *(_taken_place(place) for place in building.places if place.name not in names))


def _placed(building: Building, settings: Settings) -> Settings:
    """The settings with the model's places after their own of other names."""
    own = {place.name for place in settings.manifold.places}
    more = tuple(place for place in building.places if place.name not in own)
    return replace(settings, manifold=replace(settings.manifold, places=(*settings.manifold.places, *more)))


def _contradicted(row: RoomOverride, settings: Settings) -> dict[str, str]:
    """Why answers of a room cannot stand beside the settings, by key; the settings alone are without conflict."""
    given = {key: getattr(row, key) for key in CONTRADICTABLE if getattr(row, key) is not None}
    found = {}
    for key, value in given.items():
        alone = replace(settings.rooms, overrides=(RoomOverride(match=row.match, **{key: value}),))
        if trouble := conflict(replace(settings, rooms=alone)):
            found[key] = trouble.replace(f"rooms.overrides 1.{key}", f"{ROOM_SET}.{_property(key)}")
    return found


def _without(row: RoomOverride, keys: Iterable[str]) -> RoomOverride:
    nothing: dict[str, Any] = dict.fromkeys(keys)
    return replace(row, **nothing)


def _of_room(row: RoomOverride, label: str, refused: dict[str, str], own: Collection[str]) -> Iterator[Finding]:
    said = [key for key in _given(row) if key not in refused]
    taken = ", ".join(f"{key} = {_shown(key, getattr(row, key))}" for key in said if key not in own)
    beaten = ", ".join(key for key in said if key in own)
    if said:
        yield Finding(
            code="zones.choices-of-the-model",
            severity=Severity.NOTE,
            message=_told(label, taken, beaten),
            ifc_guids=(row.match,),
        )
    for key, why in refused.items():
        yield Finding(
            code=f"zones.choice-not-usable.{_property(key)}",
            severity=Severity.WARNING,
            message=left_aside(label, row.match, why, room_key(key)),
            ifc_guids=(row.match,),
        )


def _told(label: str, taken: str, beaten: str) -> Message:
    """Which answers are taken and on which the settings win, each as keys in a row; empty for none."""
    whole = Message("{set} in the model is not asked", set=ROOM_SET)
    if taken:
        whole = Message("{taken}, from {set} in the model", taken=taken, set=ROOM_SET)
    if not beaten:
        return Message("{label}: {whole}", label=label, whole=whole)
    less = Message("the settings say otherwise on {beaten}", beaten=beaten)
    return Message("{label}: {whole}; {less}", label=label, whole=whole, less=less)


def _given(row: RoomOverride | None) -> list[str]:
    """Keys of the answers that a row holds."""
    keys = [f.name for f in fields(RoomOverride) if f.name != "match"]
    return [key for key in keys if row is not None and getattr(row, key) is not None]


def _shown(key: str, value: Any) -> str:
    """A value in words; of areas their number, for their corners would hide the rest."""
    if key in ("leave_out", "take_in"):
        return f"{len(value)} area{'s' if len(value) != 1 else ''}"
    return toml_value(value)


def _property(key: str) -> str:
    return next(choice.name for choice in CHOICES if choice.key == key)


def _taken_place(place: ManifoldPlace) -> Finding:
    return Finding(
        code="zones.place-of-the-model",
        severity=Severity.NOTE,
        message=Message(
            'manifold.places "{place}": from {set} in the model; the settings give no such place',
            place=place.name,
            set=PLACES_SET,
        ),
    )
