"""What may stand in a record: the fields of each kind with their help, unit, range and what they refer to.

One description serves the command line, the file, the checks and the empty lines of the page.
"""

from __future__ import annotations

import difflib
import math
import unicodedata
from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from datetime import date
from types import NoneType
from typing import Any, get_args, get_type_hints

from ufh_core.basis.errors import UfhError

LONGEST_TEXT = 2000
_NAMES = {float: "a number", int: "a whole number", bool: "yes or no", date: "a date as 2031-05-06", str: "text"}
_ENDINGS = {"m": "_m", "mm": "_mm", "bar": "_bar", "°C": "_c", "l/min": "_l_min"}
_YES, _NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")


class RecordError(UfhError):
    """A record that cannot be taken, or a file of records that cannot be read: its text is one clear line."""


def reading(
    help_: str,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    *,
    choices: tuple[str, ...] = (),
    refers: str = "",
    default: Any = MISSING,
    hidden: bool = False,
) -> Any:
    """A field of a record. `refers` names what must exist in the design: "manifold", "circuit", "field", "room".

    `hidden` fields are found by the tool and not asked for.
    """
    data = {"help": help_, "unit": unit, "low": low, "high": high, "choices": choices, "refers": refers}
    if default is MISSING:
        return field(metadata=data | {"hidden": hidden})
    return field(default=default, metadata=data | {"hidden": hidden})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One field as it is asked for: its type (float, int, bool, date or str), and whether it may be left out."""

    name: str
    kind: type
    needed: bool
    help: str
    unit: str
    low: float | None
    high: float | None
    choices: tuple[str, ...]
    refers: str
    hidden: bool

    @property
    def option(self) -> str:
        """Its option on the command line."""
        return "--" + self.name.replace("_", "-")

    @property
    def label(self) -> str:
        """A short heading, with its unit: "start bar", "first mark m"."""
        ending = _ENDINGS.get(self.unit, "")
        words = self.name.removesuffix(ending).replace("_", " ")
        return f"{words} {self.unit}" if ending else words

    @property
    def allowed(self) -> str:
        """What it takes, in words."""
        if self.choices:
            return " or ".join((", ".join(self.choices[:-1]), self.choices[-1]))
        bounds = "" if self.low is None else f" from {self.low:g} to {self.high:g}"
        return _NAMES[self.kind] + bounds + (f" {self.unit}" if self.unit and bounds else "")


def asked_of(kind: type[Any]) -> tuple[Asked, ...]:
    """The fields of a kind of record, in order."""
    types = get_type_hints(kind)
    return tuple(_asked(spec, types[spec.name]) for spec in fields(kind))


def _asked(spec: Field[Any], hint: Any) -> Asked:
    options = [option for option in get_args(hint) if option is not NoneType]
    return Asked(name=spec.name, kind=options[0] if options else hint, needed=spec.default is MISSING, **spec.metadata)


def checked(kind: type[Any], given: Mapping[str, Any]) -> Any:
    """A record of a kind from values as they were typed or read from a file.

    Raises: RecordError for a field that is unknown, missing, of another type or out of range.
    """
    known = {each.name: each for each in asked_of(kind)}
    for name in given:
        if name not in known:
            raise RecordError(f"{name}: no such field; there are: {', '.join(known)}")
    lack = [each for name, each in known.items() if each.needed and given.get(name) is None]
    if lack:
        raise RecordError("still to be given: " + "; ".join(f"{e.option} {e.help} ({e.allowed})" for e in lack))
    return kind(**{name: value_of(known[name], value) for name, value in given.items() if value is not None})


def value_of(asked: Asked, given: Any) -> Any:
    """One value, checked. Raises: RecordError."""
    try:
        value = _converted(asked.kind, given)
    except ValueError:
        raise RecordError(f"{asked.option} {_shown(given)}: not {asked.allowed}") from None
    if asked.choices and value not in asked.choices:
        near = difflib.get_close_matches(str(value).lower(), asked.choices, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"allowed: {asked.allowed}"
        raise RecordError(f"{asked.option} {_shown(given)}: unknown; {hint}")
    if asked.low is not None and asked.high is not None and not asked.low <= value <= asked.high:
        raise RecordError(f"{asked.option} {_shown(given)}: out of range; allowed: {asked.allowed}")
    return value


def _converted(kind: type, given: Any) -> Any:
    """The value in its type. Raises: ValueError."""
    if kind is str:
        return _text(given)
    if kind is bool:
        return _truth(given)
    if kind is date:
        return date.fromisoformat(given) if isinstance(given, str) else _same(date, given)
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise ValueError
    number = float(given.replace(",", ".") if isinstance(given, str) else given)  # 0,5 as much of the world writes it
    if not math.isfinite(number) or (kind is int and number != int(number)):
        raise ValueError
    return kind(number)


def _truth(given: Any) -> bool:
    word = str(given).strip().lower()
    if word not in _YES + _NO:
        raise ValueError
    return word in _YES


def _text(given: Any) -> str:
    if not isinstance(given, str):
        raise ValueError
    try:
        given.encode("utf-8")
    except UnicodeEncodeError:
        raise RecordError(f"{_shown(given)}: not text that can be kept; write it anew") from None
    if any(unicodedata.category(c) == "Cc" for c in given.strip()):
        raise RecordError(f"{_shown(given)}: holds a control character; write it in one line of plain text")
    if not given.strip():
        raise RecordError("an empty text says nothing: leave the option out or fill it")
    if len(given) > LONGEST_TEXT:
        raise RecordError(f"{_shown(given)}: {len(given)} characters, at most {LONGEST_TEXT} are kept")
    return given.strip()


def _same(kind: type, given: Any) -> Any:
    if not isinstance(given, kind):
        raise ValueError
    return given


def _shown(given: Any) -> str:
    text = repr(given)
    return text if len(text) <= 42 else text[:38] + "…'"
