"""Write a designer's own settings: only what differs from the defaults, as the file that reads back to them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, fields
from typing import Any

from ufh_core.settings.types import Settings
from ufh_core.settings.writing import rows_of, toml_value

HEAD = "# Settings of warmloom that differ from their defaults; `warmloom settings` writes all of them.\n"


def changed_settings(settings: Settings, head: str = HEAD) -> str:
    """Give the TOML text of what is not at its default, under a comment; it reads back to exactly `settings`."""
    parts = ["\n".join(_section(spec.name, getattr(settings, spec.name))) for spec in fields(Settings)]
    return "\n".join([head, *(part for part in parts if part)])


def _section(name: str, section: Any) -> Iterator[str]:
    """Lines of one section: plain keys first, tables after them, as TOML wants it; none where nothing differs."""
    changed = [spec for spec in fields(section) if getattr(section, spec.name) != _default(spec)]
    tables = [spec for spec in changed if _is_table(section, spec)]
    plain = [spec for spec in changed if spec not in tables]
    if plain:
        yield f"[{name}]"
        yield from (f"{spec.name} = {toml_value(getattr(section, spec.name))}" for spec in plain)
        yield ""
    for spec in tables:
        value = getattr(section, spec.name)
        header = f"{name}.{spec.name}"
        yield from _by_kind(header, value, _default(spec)) if isinstance(value, Mapping) else _rows(header, value)


def _default(spec: Field[Any]) -> Any:
    return spec.default if spec.default_factory is MISSING else spec.default_factory()


def _is_table(section: Any, spec: Field[Any]) -> bool:
    return isinstance(getattr(section, spec.name), Mapping) or rows_of(type(section), spec.name) is not None


def _by_kind(header: str, values: Mapping[str, float], default: Mapping[str, float]) -> Iterator[str]:
    """A table by kind of room: the kinds that differ; a kind cannot be taken away."""
    yield f"[{header}]"
    yield from (f"{kind} = {toml_value(value)}" for kind, value in values.items() if default.get(kind) != value)
    yield ""


def _rows(header: str, rows: tuple[Any, ...]) -> Iterator[str]:
    """An array of tables, each with what it says."""
    for row in rows:
        yield f"[[{header}]]"
        yield from said_lines(row)
        yield ""


def said_lines(row: Any) -> Iterator[str]:
    """The lines of one table of a list: what it says, no more."""
    said = ((spec.name, getattr(row, spec.name)) for spec in fields(row))
    yield from (f"{key} = {toml_value(value)}" for key, value in said if value is not None)
