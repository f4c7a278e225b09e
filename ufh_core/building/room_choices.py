"""Answers for rooms and places of manifolds that a model carries in our property sets, from an earlier design.

They are read from the file as it is, before our additions are taken out of it. A value that a settings file could
not have is left out, and a finding says which, and what to do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import ifcopenshell.util.unit as ifc_unit

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.settings.reading import checked_answer, place_from_text
from ufh_core.settings.room_choices import CHOICES, PLACE, PLACES_SET, ROOM_SET, Choice, left_aside, room_key
from ufh_core.settings.steering import ManifoldPlace, RoomOverride

KELVIN_FROM, ZERO_C = 200.0, 273.15
NO_LIST = "is no list of corners x, y, x, y ... in the file's length unit"


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelChoices:
    """What a model carries: rooms' answers by GlobalId, places of manifolds, and what of it cannot be used."""

    rooms: tuple[RoomOverride, ...] = ()
    places: tuple[ManifoldPlace, ...] = ()
    findings: tuple[Finding, ...] = ()


NO_CHOICES = ModelChoices()


def read_choices(model: Any, length_m: float) -> ModelChoices:
    """What a model carries; `length_m` is its length unit [m]."""
    found: list[Finding] = []
    rooms, numbered = [], []
    for owner, name, values in _sets(model):
        if name == ROOM_SET and owner.is_a("IfcSpace"):
            rooms.append(_room(owner, values, length_m, found))
        elif name == PLACES_SET:
            numbered += _places(owner, values, found)
    places = {place.name: place for _, place in sorted(numbered, key=lambda each: each[0])}
    told = [room for room in rooms if room is not None]
    return ModelChoices(rooms=tuple(told), places=tuple(places.values()), findings=tuple(found))


def _sets(model: Any) -> Iterator[tuple[Any, str, dict[str, Any]]]:
    """(owner, name, properties by name) of each set of ours, in file order."""
    for relation in model.by_type("IfcRelDefinesByProperties"):
        definition = relation.RelatingPropertyDefinition
        if getattr(definition, "Name", None) in (ROOM_SET, PLACES_SET) and definition.is_a("IfcPropertySet"):
            values = {p.Name: p for p in definition.HasProperties or ()}
            yield from ((owner, definition.Name, values) for owner in relation.RelatedObjects if owner.is_a("IfcRoot"))


def _room(space: Any, values: Mapping[str, Any], length_m: float, found: list[Finding]) -> RoomOverride | None:
    """A room's answers; None where none can be used."""
    given: dict[str, Any] = {}
    for choice in CHOICES:
        names = _area_names(choice, values) if choice.areas else [choice.name] if choice.name in values else []
        if not names:
            continue
        try:
            raw = [_value(choice, values[name], length_m) for name in names]
            given[choice.key] = checked_answer(choice.key, raw if choice.areas else raw[0], f"{ROOM_SET}.{choice.name}")
        except SettingsError as error:
            found.append(_unusable(space, choice.name, str(error), room_key(choice.key)))
    return RoomOverride(match=space.GlobalId, **given) if given else None


def _area_names(choice: Choice, values: Mapping[str, Any]) -> list[str]:
    """Names of a room's areas by their number."""
    numbers = (re.fullmatch(choice.name + r"([0-9]+)", name) for name in values)
    return [choice.name + n for n in sorted((m.group(1) for m in numbers if m), key=int)]


def _value(choice: Choice, prop: Any, length_m: float) -> Any:
    """A property's value as the settings have it: SI, °C, areas as lists of corners.

    Raises: SettingsError where it is none.
    """
    raw = _plain(prop)
    turn = _TURNS.get(choice.measure)
    if choice.areas:
        flat = [_metres(v, prop, length_m) for v in raw] if _numbers(raw) else []
        if len(flat) % 2 or not flat:
            raise SettingsError(f"{ROOM_SET}.{prop.Name}: {NO_LIST}")
        return [list(corner) for corner in zip(flat[::2], flat[1::2], strict=True)]
    if turn is None or not _numbers([raw]):
        return raw
    return _shortest(turn(raw, prop, length_m))


def _plain(prop: Any) -> Any:
    """The value of a single or list property without its type."""
    if prop.is_a("IfcPropertyListValue"):
        return [v.wrappedValue for v in prop.ListValues or ()]
    if prop.is_a("IfcPropertySingleValue") and prop.NominalValue is not None:
        return prop.NominalValue.wrappedValue
    return None


def _numbers(values: Any) -> bool:
    return isinstance(values, list) and all(isinstance(v, int | float) and not isinstance(v, bool) for v in values)


def _shortest(value: float) -> float:
    """A figure as it was before it went through the file's unit."""
    return float(f"{value:.12g}")


def _metres(value: float, prop: Any, length_m: float) -> float:
    """A length of the file [m], to the micrometre: what it was before it was written in feet."""
    return round(value * _unit(prop, length_m), 6)


def _unit(prop: Any, otherwise: float) -> float:
    """SI value of the unit that a property names; `otherwise` where it names none, or one that cannot be read."""
    try:
        return float(ifc_unit.get_unit_scale(prop.Unit)) if prop.Unit is not None else otherwise
    except Exception:  # derived units without names and the like
        return otherwise


def _celsius(value: float, _prop: Any, _length_m: float) -> float:
    """Kelvin is told by its size."""
    return value - ZERO_C if value > KELVIN_FROM else value


_TURNS: dict[str, Callable[[float, Any, float], float]] = {
    "IfcLengthMeasure": _metres,
    "IfcThermodynamicTemperatureMeasure": _celsius,
    "IfcPowerMeasure": lambda value, prop, _: value * _unit(prop, 1.0),
    "IfcThermalResistanceMeasure": lambda value, prop, _: value,
}
"""How a number of the file becomes one of the settings, by IFC measure."""


def _places(storey: Any, values: Mapping[str, Any], found: list[Finding]) -> list[tuple[int, ManifoldPlace]]:
    """The places of a storey with their numbers."""
    places = []
    for name, prop in values.items():
        number = re.fullmatch(PLACE + "([0-9]+)", name)
        if number is None:
            continue
        try:
            places.append((int(number.group(1)), place_from_text(str(_plain(prop) or ""), f"{PLACES_SET}.{name}")))
        except SettingsError as error:
            found.append(_unusable(storey, PLACE, str(error), Message("the place under [[manifold.places]]")))
    return places


def _unusable(owner: Any, what: str, why: str, key: Message) -> Finding:
    label = " ".join(part for part in (owner.Name, getattr(owner, "LongName", None)) if part) or "without a name"
    return Finding(
        code=f"building.choice-not-usable.{what}",
        severity=Severity.WARNING,
        message=left_aside(label, owner.GlobalId, why, key),
        ifc_guids=(owner.GlobalId,),
    )
