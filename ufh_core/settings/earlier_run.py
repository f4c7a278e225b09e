"""Circuits of an earlier run, read from its design.json as far as they shall stay."""

from __future__ import annotations

import difflib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.frame import LocalFrame
from ufh_core.settings.steering import Corner, KeptCircuits

Piece = Corner | tuple[Corner, Corner, Corner]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierManifold:
    """A manifold as it stood; plan values in the storey's frame [m]."""

    name: str
    place: str
    room: str
    position: Corner
    normal: Corner
    width_m: float
    station_side: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierField:
    """A heated floor as it was: outline and holes in the storey's frame [m]."""

    room: str
    outline: tuple[Corner, ...]
    holes: tuple[tuple[Corner, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierCircuit:
    """A circuit as it lay. `path` is its first point, then the end of each straight or three points of an arc.

    `in_room` is the number of circuits that its first room had, `port` its number on the manifold, 0 for none,
    `sleeves` its crossings of walls in sleeves, None where the file does not say.
    """

    file: str
    storey: str
    number: str
    rooms: tuple[str, ...]
    pitch_m: float
    path: tuple[Piece, ...]
    fields: tuple[EarlierField, ...]
    manifold: EarlierManifold
    in_room: int
    port: int = 0
    sleeves: int | None = None


def earlier_circuits(keep: KeptCircuits) -> list[EarlierCircuit]:
    """All circuits of the file that a table of the settings names, but for its choice of rooms.

    Raises: SettingsError, one line, where the file cannot be read or has no such circuit or manifold.
    """
    assert keep.file is not None
    try:
        found = circuits_of(_content(keep.file), keep.file)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise SettingsError(f"{keep.file}: is not the design.json of an earlier run (circuits.keep)") from None
    for key, wanted, names in (
        ("circuit", keep.circuit, [c.number for c in found]),
        ("manifold", keep.manifold, [c.manifold.name for c in found]),
    ):
        if wanted is not None and wanted not in names:
            near = difflib.get_close_matches(wanted, names, n=1, cutoff=0.5)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            raise SettingsError(f'circuits.keep: {keep.file} has no {key} "{wanted}"{hint}')
    return [c for c in found if keep.circuit in (None, c.number) and keep.manifold in (None, c.manifold.name)]


def circuits_of(results: Mapping[str, Any], file: str) -> list[EarlierCircuit]:
    """All circuits of the content of a design.json, which `file` names.

    Raises: KeyError, TypeError, ValueError or AttributeError where it is none.
    """
    return [c for storey in results["storeys"] for c in _of_storey(storey, file)]


def earlier_frame(file: str) -> LocalFrame | None:
    """The plan frame of the run that a file is of, in the world of the present model; None where it does not say.

    Raises: SettingsError, one line, where the file cannot be read.
    """
    content = _content(file)
    try:
        row = content.get("plan_frame") or content["model"]["plan_frame"]
        x, y, z = row["origin_m"]
        return LocalFrame(origin=(float(x), float(y), float(z)), rotation=float(row["rotation_rad"]))
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def _content(file: str) -> Any:
    try:
        return json.loads(Path(file).read_text(encoding="utf-8"))
    except UnicodeDecodeError:
        raise SettingsError(f"{file}: is not the design.json of an earlier run (circuits.keep)") from None
    except json.JSONDecodeError as error:
        raise SettingsError(f"{file}: not valid JSON (circuits.keep): {error}") from None
    except OSError as error:
        raise SettingsError(f"{file}: cannot be read (circuits.keep): {error.strerror}") from None


def _of_storey(storey: Mapping[str, Any], file: str) -> list[EarlierCircuit]:
    manifolds = {row["name"]: _manifold(row) for row in storey["manifolds"]}
    first_rooms = [row["rooms"][0] for row in storey["circuits"]]
    return [
        EarlierCircuit(
            file=file,
            storey=str(storey["ifc_guid"]),
            number=str(row["number"]),
            rooms=tuple(str(guid) for guid in row["rooms"]),
            pitch_m=float(row["pitch_m"]),
            path=tuple(_piece(piece) for piece in row["path"]),
            fields=tuple(_field(f) for f in row.get("fields", ())),
            manifold=manifolds[row["manifold"]],
            in_room=first_rooms.count(row["rooms"][0]),
            port=int(row.get("port", 0)),
            sleeves=None if row.get("wall_sleeves") is None else int(row["wall_sleeves"]),
        )
        for row in storey["circuits"]
    ]


def _manifold(row: Mapping[str, Any]) -> EarlierManifold:
    return EarlierManifold(
        name=str(row["name"]),
        place=str(row.get("place") or ""),
        room=str(row["room"]),
        position=_corner(row["position"]),
        normal=_corner(row["normal"]),
        width_m=float(row["width_m"]),
        station_side=str(row["station_side"]),
    )


def _field(row: Mapping[str, Any]) -> EarlierField:
    holes = tuple(tuple(_corner(p) for p in hole) for hole in row["holes"])
    return EarlierField(room=str(row["room"]), outline=tuple(_corner(p) for p in row["outline"]), holes=holes)


def _piece(piece: Any) -> Piece:
    if isinstance(piece, Mapping):
        start, middle, end = piece["arc"]
        return (_corner(start), _corner(middle), _corner(end))
    return _corner(piece)


def _corner(point: Sequence[Any]) -> Corner:
    x, y = point
    return (float(x), float(y))
