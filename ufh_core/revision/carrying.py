"""An earlier design carried over to the new state: its settings, and its circuits as a file that a design keeps.

GlobalIds become those of the new state, coordinates follow a model that was moved.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.revision.earlier_design import EarlierDesign
from ufh_core.revision.types import Revision
from ufh_core.settings.changed import changed_settings
from ufh_core.settings.types import Settings

DIGITS = 6
STILL = 1e-7
POINTS = frozenset({"at", "leave_out", "take_in"})
CIRCUIT_KEYS = ("number", "port", "manifold", "rooms", "pitch_m", "wall_sleeves", "path", "fields")
MANIFOLD_KEYS = ("name", "place", "room", "position", "normal", "width_m", "station_side")
HEAD = """\
# Settings of the earlier design, and the circuits of it that stay in the new model.
# Take a table [[circuits.keep]] out to have its circuits laid anew.
"""


def carried_settings(settings: Settings, revision: Revision) -> Settings:
    """The settings of the earlier design for the new state, without the circuits that it had been told to keep."""
    ids = revision.same_ids

    def carried(row: Any) -> Any:
        return replace(row, **{f.name: _value(f.name, getattr(row, f.name), revision, ids) for f in fields(row)})

    return replace(
        settings,
        rooms=replace(settings.rooms, overrides=tuple(carried(row) for row in settings.rooms.overrides)),
        manifold=replace(settings.manifold, places=tuple(carried(row) for row in settings.manifold.places)),
        circuits=replace(settings.circuits, keep=()),
    )


def _value(key: str, value: Any, revision: Revision, ids: Mapping[str, str]) -> Any:
    if isinstance(value, str):
        return ids.get(value, value)
    if key in POINTS and value is not None:
        return _point(value, revision)
    if isinstance(value, tuple):
        return tuple(_value(key, item, revision, ids) for item in value)
    return value


def _point(value: Any, revision: Revision) -> Any:
    """World coordinates [m], or lists of them, in the new state's world."""
    if value and isinstance(value[0], float):
        there = revision.new.frame.to_world(revision.old.frame.to_local(np.array([value])))[0]
        moved = tuple(round(float(v), DIGITS) for v in there)
        return value if np.abs(there - value).max() < STILL else moved
    return tuple(_point(item, revision) for item in value)


def keep_text(revision: Revision, earlier: EarlierDesign, file: str) -> str:
    """A settings file that keeps every circuit whose way stays; `file` is where their circuits are written."""
    tables = [f"[[circuits.keep]]\nfile = {_quoted(file)}\n{key} = {_quoted(name)}\n" for key, name in _kept(revision)]
    return "\n".join([changed_settings(carried_settings(earlier.settings, revision), HEAD), *tables])


def _kept(revision: Revision) -> list[tuple[str, str]]:
    """Whole manifolds where all of their circuits stay, else circuits."""
    found: list[tuple[str, str]] = []
    for name in dict.fromkeys(c.manifold for c in revision.circuits):
        mine = [c.number for c in revision.circuits if c.manifold == name]
        stay = [number for number in mine if number not in revision.laid_anew]
        found += [("manifold", name)] if stay == mine else [("circuit", number) for number in stay]
    return found


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def carried_circuits(revision: Revision, earlier: EarlierDesign) -> str:
    """The earlier circuits with the GlobalIds and in the storeys' frames of the new state, as design.json has them."""
    storeys = [row for s in earlier.results["storeys"] if (row := _storey(s, revision)) is not None]
    frame = None if earlier.frame is None else revision.shift.frame_after(earlier.frame)
    where = {} if frame is None else {"plan_frame": {"origin_m": frame.origin, "rotation_rad": frame.rotation}}
    return json.dumps({**where, "storeys": storeys}, indent=1, ensure_ascii=False) + "\n"


def _storey(storey: Mapping[str, Any], revision: Revision) -> dict[str, Any] | None:
    guid = revision.same_ids.get(storey["ifc_guid"])
    before = next((s for s in revision.old.storeys if s.ifc_guid == storey["ifc_guid"]), None)
    after = next((s for s in revision.new.storeys if s.ifc_guid == guid), None)
    if before is None or after is None:
        return None
    turn = plan_to_storey(revision.new, after) @ np.linalg.inv(plan_to_storey(revision.old, before))
    turn = np.eye(3) if np.abs(turn - np.eye(3)).max() < STILL else turn
    kept = [
        {key: _row(key, row.get(key), turn, revision.same_ids) for key in keys}
        for group, keys in (("manifolds", MANIFOLD_KEYS), ("circuits", CIRCUIT_KEYS))
        for row in storey[group]
    ]
    count = len(storey["manifolds"])
    return {"ifc_guid": guid, "manifolds": kept[:count], "circuits": kept[count:]}


def _row(key: str, value: Any, turn: NDArray[np.float64], ids: Mapping[str, str]) -> Any:
    """One value of a manifold, a circuit or a field."""
    if key in ("room", "rooms"):
        return ids.get(value, value) if isinstance(value, str) else [ids.get(v, v) for v in value]
    if key == "fields":
        rows = [{k: _row(k, field[k], turn, ids) for k in ("room", "outline", "holes")} for field in value]
        return rows
    if key == "normal":
        return _turned(value, turn, 0.0)
    return _turned(value, turn, 1.0) if key in ("position", "path", "outline", "holes") else value


def _turned(value: Any, turn: NDArray[np.float64], place: float) -> Any:
    """A point, or whatever holds points, moved; a direction (`place` 0) only turned."""
    if isinstance(value, Mapping):
        return {key: _turned(item, turn, place) for key, item in value.items()}
    if _is_point(value):
        x, y, _ = turn @ np.array([value[0], value[1], place])
        return [round(float(x), DIGITS) + 0.0, round(float(y), DIGITS) + 0.0]
    return [_turned(item, turn, place) for item in value]


def _is_point(value: Sequence[Any]) -> bool:
    return len(value) == 2 and all(isinstance(v, int | float) for v in value)
