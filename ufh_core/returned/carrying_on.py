"""Settings and circuits for a design that goes on from an edited heating model."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.pipe_axis import PipeAxis
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.exchange.plan_points import moved, path_of, turned
from ufh_core.returned.types import Returned, ReturnedCircuit, ReturnedManifold, State
from ufh_core.revision.carrying import CIRCUIT_KEYS, DIGITS, MANIFOLD_KEYS
from ufh_core.settings.changed import changed_settings
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.settings.types import Settings

HEAD = """\
# Settings of the design, and the circuits of it that stay after its heating model was edited.
# Take a table [[circuits.keep]] out to have its circuits laid anew.
"""
Turn = NDArray[np.float64]


def keep_text(returned: Returned, file: str) -> str:
    """A settings file that takes over what was edited; `file` is where the circuits are written."""
    tables = [f"[[circuits.keep]]\nfile = {_quoted(file)}\n{key} = {_quoted(name)}\n" for key, name in _kept(returned)]
    return "\n".join([changed_settings(settings_now(returned), HEAD), *tables])


def settings_now(returned: Returned) -> Settings:
    """The design's settings with a place for every manifold that was moved away from its circuits."""
    settings = returned.earlier.settings
    homes = {c.manifold for c in returned.staying}
    places = {p.name: p for p in settings.manifold.places}
    for manifold in returned.moved:
        if manifold.name not in homes:
            given = _place(manifold, returned, places)
            places[given.name] = given
    return replace(
        settings,
        manifold=replace(settings.manifold, places=tuple(places.values())),
        circuits=replace(settings.circuits, keep=()),
    )


def _place(manifold: ReturnedManifold, returned: Returned, places: Mapping[str, ManifoldPlace]) -> ManifoldPlace:
    """The place where a manifold was moved to: the designer's own for it if there is one, else a new one."""
    mine = [c for c in returned.earlier.circuits if c.manifold.name == manifold.name]
    own = places.get(mine[0].manifold.place)
    storey = next(s.name for s in returned.building.storeys if s.ifc_guid == manifold.storey)
    x, y = returned.building.frame.to_world(np.array([manifold.position], dtype=float))[0]
    at = (round(float(x), DIGITS), round(float(y), DIGITS))
    if own is not None:
        return replace(own, at=at, wall=None, room=None, element=None, storey=storey)
    others = {c.rooms[0] for c in returned.earlier.circuits if c.manifold.name != manifold.name}
    serves = tuple(r for r in dict.fromkeys(c.rooms[0] for c in mine) if r not in others)
    return ManifoldPlace(name=f"{manifold.name} as moved", at=at, storey=storey, serves=serves or None)


def _kept(returned: Returned) -> list[tuple[str, str]]:
    """Whole manifolds where all of their circuits stay as they were, else circuits."""
    found: dict[tuple[str, str], None] = {}
    for circuit in returned.staying:
        mine = [c.state for c in returned.circuits if c.manifold == circuit.manifold]
        whole = set(mine) == {State.AS_IT_WAS}
        found["manifold" if whole else "circuit", circuit.manifold if whole else circuit.number] = None
    return list(found)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def circuits_now(returned: Returned) -> str:
    """The design's circuits as design.json has them, with the ways and places that were changed."""
    frame = returned.earlier.frame
    where = {} if frame is None else {"plan_frame": {"origin_m": frame.origin, "rotation_rad": frame.rotation}}
    storeys = [_storey(row, returned) for row in returned.earlier.results["storeys"]]
    return json.dumps({**where, "storeys": storeys}, indent=1, ensure_ascii=False) + "\n"


def _storey(storey: Mapping[str, Any], returned: Returned) -> dict[str, Any]:
    own = next((s for s in returned.building.storeys if s.ifc_guid == storey["ifc_guid"]), None)
    turn = np.eye(3) if own is None else plan_to_storey(returned.building, own)
    places = {m.name: m for m in returned.moved if m.storey == storey["ifc_guid"]}
    ways = {c.number: c for c in returned.circuits if c.state is State.CHANGED}
    manifolds = [{key: row.get(key) for key in MANIFOLD_KEYS} for row in storey["manifolds"]]
    circuits = [{key: row.get(key) for key in CIRCUIT_KEYS} for row in storey["circuits"]]
    return {
        "ifc_guid": storey["ifc_guid"],
        "manifolds": [row | _place_row(places.get(row["name"]), turn) for row in manifolds],
        "circuits": [row | _way_row(ways.get(row["number"]), turn) for row in circuits],
    }


def _place_row(manifold: ReturnedManifold | None, turn: Turn) -> dict[str, Any]:
    if manifold is None:
        return {}
    return {
        "position": rounded_point(moved(turn, manifold.position)),
        "normal": rounded_point(turned(turn, manifold.normal)),
    }


def _way_row(circuit: ReturnedCircuit | None, turn: Turn) -> dict[str, Any]:
    if circuit is None or circuit.axis is None:
        return {}
    return way_row(circuit.axis, circuit.fields, turn)


def way_row(axis: PipeAxis, fields: Sequence[tuple[str, Polygon]], turn: Turn) -> dict[str, Any]:
    """A way and the floors that it heats as design.json has them; `turn` leads into the storey's frame."""
    floors = [
        {
            "room": room,
            "outline": [rounded_point(moved(turn, p)) for p in outline.exterior.coords[:-1]],
            "holes": [[rounded_point(moved(turn, p)) for p in hole.coords[:-1]] for hole in outline.interiors],
        }
        for room, outline in fields
    ]
    path = [
        {"arc": [rounded_point(p) for p in row["arc"]]} if isinstance(row, dict) else rounded_point(row)
        for row in path_of(axis, turn)
    ]
    return {"path": path, "fields": floors}


def rounded_point(point: Sequence[float]) -> list[float]:
    """A point as design.json has it [m], to the micrometre."""
    return [round(float(v), DIGITS) + 0.0 for v in point]
