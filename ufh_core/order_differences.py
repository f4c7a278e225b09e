"""What changed in the order from one design to another: read from two design.json, by line, room, coil and setting."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from ufh_core.basis.errors import UfhError

RESULTS = "design.json"
SCHEMA = 1
NO_CHANGE = 5e-3
"""Quantities that differ by no more are the same: the last figure that is written of them."""
ROOM_QUANTITIES = {
    "pipe_m": ("pipe", "m"),
    "panel_m2": ("panels", "m²"),
    "insulation_m2": ("insulation", "m²"),
    "edge_strip_m": ("edge strip", "m"),
    "screed_m3": ("screed", "m³"),
    "staples": ("staples", "pcs"),
    "clip_rail_m": ("clip rail", "m"),
}
"""What is compared of each room and in sum: key in design.json, word, unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One quantity before and after, in `unit`; None where one of the designs has no such thing."""

    what: str
    unit: str
    before: float | None
    after: float | None

    @property
    def more(self) -> float:
        """What is needed more [unit]; negative for less."""
        return (self.after or 0.0) - (self.before or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomChanges:
    """What changed in one room; `status` is "new", "gone" or "changed"."""

    ifc_guid: str
    name: str
    status: str
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderDifferences:
    """All differences: sums over the rooms, lines of the order, coils by length [m], rooms, settings by key."""

    same_model: bool
    sums: tuple[Change, ...]
    lines: tuple[Change, ...]
    coils: tuple[Change, ...]
    rooms: tuple[RoomChanges, ...]
    settings: tuple[tuple[str, str, str], ...]

    def to_json(self) -> dict[str, Any]:
        """All of it as plain values."""
        return {
            "same_model": self.same_model,
            "sums": [_row(change) for change in self.sums],
            "lines": [_row(change) for change in self.lines],
            "coils": [_row(change) for change in self.coils],
            "rooms": [asdict(room) | {"changes": [_row(c) for c in room.changes]} for room in self.rooms],
            "settings": [{"key": k, "before": b, "after": a} for k, b, a in self.settings],
        }

    def text(self) -> list[str]:
        """All of it in lines for people."""
        if not (self.sums or self.lines or self.coils or self.rooms):
            return ["nothing changes in the order", *self._settings_text()]
        found = [] if self.same_model else ["the two designs are of different models, or states of a model"]
        found += self._settings_text()
        for title, changes in (("in sum, net", self.sums), ("to order", self.lines), ("coils", self.coils)):
            found += [f"{title}:", *(f"  {_said(change)}" for change in changes)] if changes else []
        for room in self.rooms:
            said = "; ".join(_said(change) for change in room.changes)
            found.append(f"{room.name} ({room.status}): {said or 'no quantity'}")
        return found

    def _settings_text(self) -> list[str]:
        return [f"setting {key}: {before} -> {after}" for key, before, after in self.settings]


def read_results(where: Path) -> dict[str, Any]:
    """The results of a design: `where` is its folder, or design.json itself.

    Raises: UfhError, in one line, where there are none or they cannot be compared.
    """
    path = where / RESULTS if where.is_dir() else where
    if not path.exists():
        raise UfhError(f"{where}: there is no {RESULTS}; name the folder that `warmloom design --out` wrote")
    try:
        found: Any = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, OSError) as error:
        raise UfhError(f"{path}: cannot be read as JSON ({error}); design again to write it anew") from error
    results: dict[str, Any] = found if isinstance(found, dict) else {}
    order = results.get("take_off")
    if not isinstance(order, dict) or not {"lines", "rooms", "coils"} <= order.keys():
        raise UfhError(f"{path}: holds no order (take_off); it is no {RESULTS} of this tool, design again")
    if results.get("schema") != SCHEMA:
        raise UfhError(f"{path}: has schema {results.get('schema')}, this version reads {SCHEMA}; design again")
    return results


def order_differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> OrderDifferences:
    """What changed from one design's results to the other's. Raises: UfhError for results that lack a value."""
    try:
        return OrderDifferences(
            same_model=before["model"]["file_digest"] == after["model"]["file_digest"],
            sums=tuple(_changes(_sums(before), _sums(after))),
            lines=tuple(_changes(_lines(before), _lines(after))),
            coils=tuple(_changes(_coils(before), _coils(after))),
            rooms=tuple(_rooms(before, after)),
            settings=tuple(_settings(before["settings"], after["settings"])),
        )
    except (KeyError, TypeError, AttributeError) as error:
        raise UfhError(f"{RESULTS} lacks a value of the order ({error}): design both again with one version") from error


Quantities = dict[tuple[str, str], float]
"""Quantity by what it is and its unit."""


def _changes(before: Quantities, after: Quantities) -> Iterator[Change]:
    """Quantities that differ, in the order of the first design; what only one has, with None for the other."""
    for key in [*before, *(key for key in after if key not in before)]:
        old, new = before.get(key), after.get(key)
        if abs((new or 0.0) - (old or 0.0)) > NO_CHANGE:
            yield Change(what=key[0], unit=key[1], before=old, after=new)


def _lines(results: Mapping[str, Any]) -> Quantities:
    found: Quantities = {}
    for line in results["take_off"]["lines"]:
        key = (line["item"], line["unit"])
        found[key] = found.get(key, 0.0) + float(line["quantity"])
    return found


def _coils(results: Mapping[str, Any]) -> Quantities:
    counts = Counter(float(coil["length_m"]) for coil in results["take_off"]["coils"] or ())
    return {(f"coil of {length:g} m", "pcs"): float(count) for length, count in sorted(counts.items(), reverse=True)}


def _sums(results: Mapping[str, Any]) -> Quantities:
    """Sums over the rooms, circuits and all their pipe, and panels counted on the laying plans."""
    circuits = [circuit for storey in results["storeys"] for circuit in storey["circuits"]]
    found: Quantities = {
        ("circuits", "pcs"): float(len(circuits)),
        ("pipe", "m"): sum(float(circuit["length_m"]) for circuit in circuits),
        ("panels", "pcs"): float(sum(storey["panels"].get("count", 0) for storey in results["storeys"])),
    }
    for key, (word, unit) in ROOM_QUANTITIES.items():
        if key != "pipe_m":
            found[word, unit] = sum(float(room.get(key, 0.0)) for room in results["take_off"]["rooms"])
    return found


def _rooms(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[RoomChanges]:
    old, new = ({room["ifc_guid"]: room for room in results["take_off"]["rooms"]} for results in (before, after))
    names = {
        room["ifc_guid"]: room["name"] for results in (before, after) for s in results["storeys"] for room in s["rooms"]
    }
    for guid in [*old, *(guid for guid in new if guid not in old)]:
        changes = tuple(_changes(_of_room(old.get(guid)), _of_room(new.get(guid))))
        status = "new" if guid not in old else "gone" if guid not in new else "changed"
        if changes or status != "changed":
            yield RoomChanges(ifc_guid=guid, name=names.get(guid, guid), status=status, changes=changes)


def _of_room(room: Mapping[str, Any] | None) -> Quantities:
    return {} if room is None else {unit: float(room.get(key, 0.0)) for key, unit in ROOM_QUANTITIES.items()}


def _settings(before: Any, after: Any, key: str = "") -> Iterator[tuple[str, str, str]]:
    """(key, before, after) of each setting that differs; the digest differs by itself."""
    if isinstance(before, dict) and isinstance(after, dict):
        for name in [*before, *(name for name in after if name not in before)]:
            if key or name != "digest":
                yield from _settings(before.get(name), after.get(name), f"{key}.{name}".lstrip("."))
    elif isinstance(before, dict) or isinstance(after, dict):
        words = ("stated", "not stated")
        yield key, words[before is None], words[after is None]
    elif before != after:
        yield key, json.dumps(before, ensure_ascii=False), json.dumps(after, ensure_ascii=False)


def _row(change: Change) -> dict[str, Any]:
    return asdict(change) | {"more": round(change.more, 6)}


def _said(change: Change) -> str:
    def number(value: float | None) -> str:
        return "none" if value is None else f"{value:.2f}".rstrip("0").rstrip(".")

    more = f"{change.more:+.2f}".rstrip("0").rstrip(".")
    return f"{change.what} {number(change.before)} -> {number(change.after)} {change.unit} ({more})"
