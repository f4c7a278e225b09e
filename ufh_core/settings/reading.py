"""Read a settings file (TOML) and check every value of it.

The checks are made from the metadata of `settings.types`; each mistake is one line that names the
file, the key, what is allowed there and, for a misspelt word, the nearest one. Tables by kind of
room change the kinds they name and leave the other kinds at their defaults.
"""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from pathlib import Path
from types import NoneType
from typing import Any, cast, get_args, get_origin, get_type_hints

from ufh_core.basis.errors import SettingsError
from ufh_core.settings.cross_checks import conflict
from ufh_core.settings.steering import ManifoldPlace, RoomOverride
from ufh_core.settings.types import Settings

_NAMES = {bool: "true or false", int: "a whole number", float: "a number", str: "text in quotes"}


def read_settings(path: Path) -> Settings:
    """Read the settings of a file, defaults where it is silent.

    Raises: SettingsError, one line, for a file that cannot be read and for any mistake in it.
    """
    return settings_from_text(_text(path), str(path))


def settings_from_text(text: str, file: str = "settings") -> Settings:
    """Read the settings of a TOML text; `file` names it in messages.

    Raises: SettingsError.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{file}: not valid TOML: {error}") from None
    except RecursionError:
        raise SettingsError(f"{file}: not valid TOML: nested too deep") from None
    try:
        settings = Settings(**_sections(table))
    except _Mistake as mistake:
        raise SettingsError(f"{file}: {mistake}") from None
    if trouble := conflict(settings):
        raise SettingsError(f"{file}: {trouble}")
    return settings


def settings_from_table(table: Mapping[str, Any], file: str) -> Settings:
    """Settings from sections as design.json holds them, where null is a value that was not given.

    Raises: SettingsError.
    """
    try:
        return Settings(**_sections(_without_nulls(table)))
    except _Mistake as mistake:
        raise SettingsError(f"{file}: {mistake}") from None


def _without_nulls(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _without_nulls(item) for key, item in value.items() if item is not None}
    return value


class _Mistake(Exception):
    """A mistake in words, without the file's name."""


def checked_answer(key: str, value: Any, where: str) -> Any:
    """One answer of a room (`RoomOverride`), checked as in a settings file; `where` names it in the message.

    Raises: SettingsError, one line, for a value that no settings file may have.
    """
    spec = next(f for f in fields(RoomOverride) if f.name == key)
    try:
        checked = _value(get_type_hints(RoomOverride)[key], spec, value, where)
    except _Mistake as mistake:
        raise SettingsError(str(mistake)) from None
    if lack := RoomOverride(match="any", **{key: checked}).lack():
        raise SettingsError(f"{where}: {lack}")
    return checked


def place_from_text(text: str, where: str) -> ManifoldPlace:
    """A manifold's place from the lines of its table in a settings file; `where` names it in the message.

    Raises: SettingsError, one line.
    """
    try:
        return cast(ManifoldPlace, _row(ManifoldPlace, tomllib.loads(text), where))
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{where}: not valid TOML: {error}") from None
    except _Mistake as mistake:
        raise SettingsError(str(mistake)) from None


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SettingsError(f"{path}: not UTF-8 text (byte {error.start}); save the file as UTF-8") from None
    except IsADirectoryError:
        raise SettingsError(f"{path}: a folder, not a settings file") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise SettingsError(f"{path}: cannot be read: {reason}") from None


def _sections(table: Mapping[str, Any]) -> dict[str, Any]:
    """Read each section of the file as its dataclass."""
    types = get_type_hints(Settings)
    for name in table:
        _known(name, types, "section", "")
    return {name: _dataclass(types[name], value, name) for name, value in table.items()}


def _dataclass(kind: type[Any], table: Any, where: str) -> Any:
    """Read one table of the file as an instance of `kind`."""
    if not isinstance(table, dict):
        raise _Mistake(f"{where}: {_shown(table)} is not a section; write [{where}] on a line of its own")
    known = {f.name: f for f in fields(kind)}
    types = get_type_hints(kind)
    for name in table:
        _known(name, known, "key", where)
    return kind(**{name: _value(types[name], known[name], value, f"{where}.{name}") for name, value in table.items()})


def _known(name: str, allowed: Iterable[str], what: str, where: str) -> None:
    """Raise a mistake with the nearest name unless `name` is allowed."""
    names = list(allowed)
    if name in names:
        return
    path = f"{where}.{name}" if where else name
    raise _Mistake(f"{path}: no such {what}; {_near(name, names)}")


def _near(word: str, words: list[str]) -> str:
    """Name the nearest word, or all that is allowed where nothing is near."""
    close = difflib.get_close_matches(word.lower(), words, n=1, cutoff=0.5)
    return f'did you mean "{close[0]}"?' if close else "allowed: " + ", ".join(words)


def _value(kind: Any, spec: Field[Any], value: Any, where: str) -> Any:
    """Return a value checked by the type and the metadata of its field."""
    options = [option for option in get_args(kind) if option is not NoneType]
    if NoneType in get_args(kind):
        return _value(options[0], spec, value, where)
    if get_origin(kind) is tuple:
        return _list(get_args(kind), spec, value, where)
    if get_origin(kind) is dict:
        return _by_kind(spec, value, where)
    return _single(kind, spec, value, where)


def _list(kinds: tuple[Any, ...], spec: Field[Any], value: Any, where: str) -> tuple[Any, ...]:
    """Return a list, a point, or an array of tables, as a tuple."""
    kind = kinds[0]
    if is_dataclass(kind) and isinstance(kind, type):
        if not isinstance(value, list):
            raise _Mistake(f"{where}: write each as a table of its own under [[{where}]]")
        return tuple(_row(kind, item, f"{where} {k}") for k, item in enumerate(value, 1))
    if not isinstance(value, list):
        raise _Mistake(f"{where}: {_shown(value)} is not a list; write [ ... ] with {_allowed(kind, spec)}")
    if Ellipsis not in kinds:
        if len(value) != len(kinds):
            raise _Mistake(f"{where}: {_shown(value)} is not a point; write [x, y] in metres")
        return tuple(_single(kind, spec, item, where) for item in value)
    if get_origin(kind) is tuple:
        return tuple(_list(get_args(kind), spec, item, f"{where} {k}") for k, item in enumerate(value, 1))
    return tuple(_single(kind, spec, item, where) for item in value)


def _row(kind: type[Any], table: Any, where: str) -> Any:
    """One table of a list; it says itself what it lacks."""
    row = _dataclass(kind, table, where)
    if lack := row.lack():
        raise _Mistake(f"{where}: {lack}")
    return row


def _by_kind(spec: Field[Any], value: Any, where: str) -> dict[str, float]:
    """Read a table by kind of room: the defaults with the file's values over them."""
    if not isinstance(value, dict):
        raise _Mistake(f"{where}: {_shown(value)} is not a table; write [{where}] and a line for each kind of room")
    for name in value:
        _known(name, spec.metadata["choices"], "kind of room", where)
    given = {name: _single(float, spec, item, f"{where}.{name}") for name, item in value.items()}
    assert spec.default_factory is not MISSING
    return {**spec.default_factory(), **given}


def _single(kind: Any, spec: Field[Any], value: Any, where: str) -> Any:
    """Check one number, truth value or text within its range or choices."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    fits = number and (kind is float or isinstance(value, int)) if kind in (int, float) else isinstance(value, kind)
    if not fits:
        raise _Mistake(f"{where}: {_shown(value)} does not fit; allowed: {_allowed(kind, spec)}")
    if kind is str:
        return _word(spec, value, where)
    if kind is bool:
        return value
    low, high = _range(spec)
    if not low <= value <= high or math.isinf(value):  # refuses nan too
        raise _Mistake(f"{where}: {_shown(value)} is out of range; allowed: {_allowed(kind, spec)}")
    return kind(value)


def _word(spec: Field[Any], value: str, where: str) -> str:
    choices = list(spec.metadata["choices"])
    if choices and value not in choices:
        raise _Mistake(f"{where}: {_shown(value)} is not allowed; {_near(value, choices)}")
    return value


def _range(spec: Field[Any]) -> tuple[float, float]:
    low, high = spec.metadata["low"], spec.metadata["high"]
    return (-math.inf if low is None else low, math.inf if high is None else high)


def _allowed(kind: Any, spec: Field[Any]) -> str:
    """Say what a field takes, in words."""
    if kind is str and spec.metadata["choices"]:
        return ", ".join(f'"{word}"' for word in spec.metadata["choices"])
    low, high = _range(spec)
    unit = f" {spec.metadata['unit']}" if spec.metadata["unit"] else ""
    bounds = f" from {low:g} to {high:g}{unit}" if kind in (int, float) and math.isfinite(low + high) else ""
    return _NAMES.get(kind, "a value") + bounds


def _shown(value: Any) -> str:
    """Show a value as a short piece of one line."""
    text = str(value).lower() if isinstance(value, bool) else repr(value)
    return text if len(text) <= 40 else text[:37] + "..."
