"""Pipes that stay as they lie, brought into the plan of the present model: of an earlier run, or drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight, arc_through, rounded
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.building.types import Building, Room, Storey
from ufh_core.settings.earlier_run import EarlierCircuit, EarlierManifold, Piece, earlier_circuits
from ufh_core.settings.steering import KeptCircuits
from ufh_core.settings.types import Settings
from ufh_core.zones.selection import matches

LEAST_CHORD_M = 1e-6
ABOVE = 0.5  # of the pipe in another storey's room makes it doubtful which is meant


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptManifold:
    """A manifold that stays: the middle of its back on the wall, the wall's normal into the room [local frame, m].

    `name` is that of the earlier run, "" for one that only drawn pipes ask for; `place` the designer's.
    """

    name: str
    place: str
    room: str
    position: Point
    normal: tuple[int, int]
    width_m: float
    station_side: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPipe:
    """A pipe that stays, from flow port to return port in the local frame, and the floors that it heats.

    `in_room` is the number of circuits that its room had in all, 0 where nobody knows; `pitch_m` is None and
    `fields` empty for a drawn pipe; `manifold` is None where no upright wall of the plan is behind it; `port` is the
    number that its ports had on it, 0 for none; `sleeves` its crossings of walls in sleeves, None where unknown.
    """

    label: str
    room: str
    axis: PipeAxis
    pitch_m: float | None
    fields: tuple[tuple[str, Polygon], ...]
    manifold: KeptManifold | None
    in_room: int
    port: int = 0
    sleeves: int | None = None


def kept_pipes(
    building: Building, settings: Settings, stay: Sequence[EarlierCircuit] = ()
) -> dict[str, tuple[KeptPipe, ...]]:
    """The pipes to keep by storey (GlobalId): circuits that `stay`, then those of the settings, none of them twice.

    Raises: SettingsError where a file, a circuit, a manifold or a room is not there.
    """
    found: dict[str, dict[str, KeptPipe]] = {s.ifc_guid: {} for s in building.storeys}
    for storey in building.storeys:
        mine = [pipe_of(circuit, storey, building) for circuit in stay if circuit.storey == storey.ifc_guid]
        found[storey.ifc_guid] |= {pipe.label: pipe for pipe in mine}
    for k, keep in enumerate(settings.circuits.keep, 1):
        pipes = _of_file(keep, building) if keep.file is not None else [_drawn(keep, k, building, settings)]
        for storey, pipe in pipes:
            found[storey.ifc_guid].setdefault(pipe.label, pipe)
    return {guid: tuple(pipes.values()) for guid, pipes in found.items()}


def kept_names(kept: Mapping[str, Sequence[KeptPipe]]) -> frozenset[str]:
    """The names of the manifolds of all pipes that stay."""
    manifolds = [pipe.manifold for pipes in kept.values() for pipe in pipes]
    return frozenset(m.name for m in manifolds if m is not None and m.name)


def _of_file(keep: KeptCircuits, building: Building) -> list[tuple[Storey, KeptPipe]]:
    storeys = {s.ifc_guid: s for s in building.storeys}
    earlier = earlier_circuits(keep)
    if keep.room is not None:
        wanted = {r.ifc_guid for s in building.storeys for r in s.rooms if matches(keep.room, r)}
        earlier = [c for c in earlier if c.rooms[0] in wanted]
        if not earlier:
            raise SettingsError(f'circuits.keep: {keep.file} has no circuit in a room "{keep.room}" of the model')
    if earlier and not any(c.storey in storeys for c in earlier):
        raise SettingsError(f"circuits.keep: {keep.file} is of another model, none of its storeys is in this one")
    return [(storeys[c.storey], pipe_of(c, storeys[c.storey], building)) for c in earlier if c.storey in storeys]


def pipe_of(circuit: EarlierCircuit, storey: Storey, building: Building) -> KeptPipe:
    """A circuit of an earlier run on its storey, in the plan frame."""
    turn: NDArray[np.float64] = np.linalg.inv(plan_to_storey(building, storey)).astype(np.float64)
    fields = tuple(
        (f.room, Polygon([_at(p, turn) for p in f.outline], [[_at(p, turn) for p in hole] for hole in f.holes]))
        for f in circuit.fields
    )
    return KeptPipe(
        label=f"{circuit.number} of {circuit.file}",
        room=circuit.rooms[0],
        axis=_axis(circuit.path, turn),
        pitch_m=circuit.pitch_m,
        fields=fields,
        manifold=_manifold(circuit.manifold, turn),
        in_room=circuit.in_room,
        port=circuit.port,
        sleeves=circuit.sleeves,
    )


def _manifold(manifold: EarlierManifold, turn: NDArray[np.float64]) -> KeptManifold | None:
    """The manifold in the plan; None where its wall is askew in it."""
    x, y = turn[:2, :2] @ np.array(manifold.normal)
    normal = (round(x), round(y))
    if math.hypot(x - normal[0], y - normal[1]) > 0.01:
        return None
    return KeptManifold(
        name=manifold.name,
        place=manifold.place,
        room=manifold.room,
        position=_at(manifold.position, turn),
        normal=normal,
        width_m=manifold.width_m,
        station_side=manifold.station_side,
    )


def _axis(path: Sequence[Piece], turn: NDArray[np.float64]) -> PipeAxis:
    """The axis of a path as design.json has it: a point, then ends of straights and arcs by three points."""
    pieces: list[Straight | Arc] = []
    here: Point | None = None
    for piece in path:
        points = [_at(p, turn) for p in piece] if isinstance(piece[0], tuple) else [_at(piece, turn)]
        if here is not None and math.dist(here, points[0]) > LEAST_CHORD_M:
            pieces.append(Straight(here, points[0]))
        if len(points) == 3:
            pieces.append(arc_through(*points))
        here = points[-1]
    return PipeAxis(tuple(pieces))


def _at(point: Point, turn: NDArray[np.float64]) -> Point:
    x, y, _ = turn @ np.array([point[0], point[1], 1.0])
    return (float(x), float(y))


def _drawn(keep: KeptCircuits, number: int, building: Building, settings: Settings) -> tuple[Storey, KeptPipe]:
    """A drawn pipe with its corners rounded to the least radius, in the room where most of it lies."""
    assert keep.points is not None
    local = building.frame.to_local(np.array(keep.points, dtype=float))
    axis = rounded([(float(x), float(y)) for x, y in local], settings.pipe.least_bend_radius_m)
    line = axis.line()
    rooms = [(s, r) for s in building.storeys for r in s.rooms if keep.storey in (None, s.name) and not r.external]
    ranked = sorted(rooms, key=lambda pair: -_inside(line, pair[1]))
    label = f"drawn pipe {number}"
    if not ranked or _inside(line, ranked[0][1]) <= 0:
        raise SettingsError(f"circuits.keep {number}: points lie in no room; give model coordinates in metres")
    storey, room = ranked[0]
    others = [s for s, r in ranked if s is not storey and _inside(line, r) > ABOVE * _inside(line, room)]
    if others:
        names = f'"{storey.name}" and "{others[0].name}"'
        raise SettingsError(f"circuits.keep {number}: rooms of {names} are there; say which with storey")
    pipe = KeptPipe(label=label, room=room.ifc_guid, axis=axis, pitch_m=None, fields=(), manifold=None, in_room=0)
    return storey, pipe


def _inside(line: LineString, room: Room) -> float:
    return float(line.intersection(room.outline).length)
