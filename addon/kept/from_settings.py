"""Properties made from the core's own settings: default, range, choices and the text that teaches come from there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, fields
from functools import cache
from typing import Any, get_args, get_type_hints

import bpy

from ufh_core.settings import RoomOverride, Settings

Changed = Callable[[Any, Any], None]

FLOAT_LIMIT = 1e30


@cache
def field_of(section: str, key: str) -> Field[Any]:
    """The declaration of a setting."""
    return next(f for f in fields(type(getattr(Settings(), section))) if f.name == key)


@cache
def override_field(key: str) -> Field[Any]:
    """The declaration of a room's own answer."""
    return next(f for f in fields(RoomOverride) if f.name == key)


@cache
def optional(section: str, key: str) -> bool:
    """Whether a setting may be left open."""
    return type(None) in get_args(get_type_hints(type(getattr(Settings(), section)))[key])


def lesson(spec: Field[Any]) -> str:
    """What a setting is, its unit, range and source, as one tooltip; the host adds the full stop."""
    meta = spec.metadata
    text = str(meta["doc"])[:1].upper() + str(meta["doc"])[1:]
    unit = f" {meta['unit']}" if meta["unit"] else ""
    if meta["low"] is not None and meta["high"] is not None:
        text += f". From {meta['low']:g} to {meta['high']:g}{unit}"
    return text + (f". Source: {meta['source']}" if meta["source"] else "")


def number_or_choice(spec: Field[Any], label: str, changed: Changed, start: Any = None) -> Any:
    """A property for a setting; `start` is its value where the setting has no default."""
    value = start if start is not None else (spec.default if spec.default is not MISSING else None)
    common = {"name": label, "description": lesson(spec), "update": changed}
    if isinstance(value, bool):
        return bpy.props.BoolProperty(default=value, **common)
    if spec.metadata["choices"] and isinstance(value, str):
        items = [(word, word[:1].upper() + word[1:], lesson(spec)) for word in spec.metadata["choices"]]
        return bpy.props.EnumProperty(items=items, default=value, **common)
    if isinstance(value, int):
        return bpy.props.IntProperty(default=value, **_range(spec, int), **common)
    return bpy.props.FloatProperty(default=float(value), precision=_decimals(spec), **_range(spec, float), **common)


def _range(spec: Field[Any], kind: type) -> dict[str, Any]:
    low, high = spec.metadata["low"], spec.metadata["high"]
    return ({} if low is None else {"min": kind(low)}) | ({} if high is None else {"max": kind(high)})


def _decimals(spec: Field[Any]) -> int:
    high = spec.metadata["high"] or FLOAT_LIMIT
    return 3 if high <= 1 else (2 if high <= 10 else 1)


def same(shown: float, exact: float) -> bool:
    """Whether a property of single precision still holds a value."""
    return abs(shown - exact) <= 1e-6 * max(1.0, abs(exact))


def figure(shown: float) -> float:
    """A figure as it was typed: single precision has seven digits, of which the last is noise."""
    return float(f"{shown:.6g}")
