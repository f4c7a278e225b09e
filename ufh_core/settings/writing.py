"""Write settings: the commented file with every default, and the digest that names a set of them."""

from __future__ import annotations

import hashlib
import json
import textwrap
from collections.abc import Iterator
from dataclasses import MISSING, Field, asdict, fields, is_dataclass
from typing import Any, get_args, get_type_hints

from ufh_core.settings.metadata import ROOM_KINDS
from ufh_core.settings.steering import KeptCircuits
from ufh_core.settings.types import Settings

_HEAD = (
    """\
# Settings of warmloom, each with its default.
# Keep only the lines that you change: what is left out keeps its default, and in a table by
# kind of room the kinds left out keep theirs. Each comment gives the range, unit and source.
# Kinds of room: """
    + "\n#     ".join(textwrap.wrap(", ".join(ROOM_KINDS), 84))
    + "\n"
)

_EXAMPLES = {
    "match": '"Bath*"',
    "heat": "true",
    "kind": '"bath"',
    "indoor_c": "24.0",
    "demand_w": "600.0",
    "pitch_m": "0.15",
    "finish_r": "0.02",
    "circuits": "2",
    "dwelling": '"Flat 1"',
    "entry": '"Hall"',
    "manifold": '"by the stairs"',
    "shares_with": '"Utility"',
    "name": '"by the stairs"',
    "at": "[1.2, 3.4]",
    "storey": '"Ground floor"',
    "file": '"out/design.json"',
    "circuit": '"M1.03"',
    "serves": '["Bath*", "Hall"]',
    "pattern": '"meander"',
    "edge_zone": '"same circuit"',
    "leave_out": "[[[0.0, 0.0], [1.2, 0.0], [1.2, 0.6], [0.0, 0.6]]]",
    "take_in": "[[[2.0, 0.0], [3.2, 0.0], [3.2, 0.6], [2.0, 0.6]]]",
    "flow_c": "38.0",
    "water_c": "18.0",
    "flow_meter_kv": "1.5",
    "mixing_valve_kv": "4.0",
    "pump_pressure_pa": "20000.0",
}


_INSTEAD = {(KeptCircuits, "manifold")}  # given instead of another key of the same table


def settings_template() -> str:
    """Write a TOML text with every setting at its default, its unit, range and source.

    It reads back to exactly `Settings()`; a setting without a default stands as a comment.
    """
    parts = [_HEAD]
    for section in fields(Settings):
        parts.append("\n".join(_section(section.name, Settings())))
    return "\n".join(parts)


def settings_digest(settings: Settings) -> str:
    """Give the SHA-256 (hex) of the settings in canonical JSON: the same values give the same digest."""
    text = json.dumps(asdict(settings), sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _section(name: str, settings: Settings) -> Iterator[str]:
    """Write the lines of one section: plain keys first, tables after them, as TOML wants it."""
    section = getattr(settings, name)
    yield f"# ---- {(type(section).__doc__ or '').strip().rstrip('.')}"
    yield f"[{name}]"
    tables: list[Field[Any]] = []
    for spec in fields(section):
        if rows_of(type(section), spec.name) or isinstance(getattr(section, spec.name), dict):
            tables.append(spec)
        else:
            yield from _key(spec)
    for spec in tables:
        yield ""
        rows = rows_of(type(section), spec.name)
        yield from _rows(name, spec, rows) if rows else _table(name, spec, getattr(section, spec.name))
    yield ""


def _key(spec: Field[Any]) -> Iterator[str]:
    """Comment and line of one key; one without a default is a comment with an example."""
    yield f"# {_comment(spec)}"
    value = None if spec.default is MISSING else spec.default
    yield f"# {spec.name} = {_EXAMPLES[spec.name]}" if value is None else f"{spec.name} = {toml_value(value)}"


def _table(section: str, spec: Field[Any], values: dict[str, float]) -> Iterator[str]:
    yield f"# {_comment(spec)}"
    yield f"[{section}.{spec.name}]"
    for kind, value in values.items():
        yield f"{kind} = {toml_value(value)}"


def rows_of(section: type[Any], name: str) -> type[Any] | None:
    """The dataclass of a setting that is a list of tables, else None."""
    args = get_args(get_type_hints(section)[name])
    return args[0] if args and is_dataclass(args[0]) and isinstance(args[0], type) else None


def _rows(section: str, spec: Field[Any], row: type[Any]) -> Iterator[str]:
    """Write the commented example of one table of a list."""
    yield f"# {(row.__doc__ or '').strip().splitlines()[0]} Give one table for each; later ones win."
    yield f"# [[{section}.{spec.name}]]"
    for key in fields(row):
        if key.name in _EXAMPLES and (row, key.name) not in _INSTEAD:
            yield f"# {key.name} = {_EXAMPLES[key.name]}  # {_comment(key)}"
        else:
            yield f"#   or {key.name}: {_comment(key)}"


def _comment(spec: Field[Any]) -> str:
    """Say what a setting is, its unit, range or choices, and its source, in one line."""
    meta = spec.metadata
    low, high, unit = meta["low"], meta["high"], meta["unit"]
    inside = []
    if low is not None and high is not None:
        inside.append(f"{low:g} to {high:g}" + (f" {unit}" if unit else ""))
    elif unit:
        inside.append(str(unit))
    if meta["choices"] and meta["choices"] != ROOM_KINDS:
        inside.append("any of: " + ", ".join(meta["choices"]))
    if meta["source"]:
        inside.append(f"source: {meta['source']}")
    return str(meta["doc"]) + (f" ({'; '.join(inside)})" if inside else "")


def toml_value(value: Any) -> str:
    """Write a value as TOML does."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, tuple):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    return repr(value)
