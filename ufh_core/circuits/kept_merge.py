"""Circuits that stay and new ones put together: one manifold a place.

What stays keeps its name, so that drawings and labels of an earlier run still hold: manifolds of an earlier run theirs,
and their circuits their ports' numbers. New circuits get the numbers that are free, from left to right.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.circuits.manifold_names import free_names
from ufh_core.circuits.numbering import LEAST_FIELD_M2, riser_length, sleeves_of
from ufh_core.circuits.rules import pair_faults
from ufh_core.circuits.types import FailedRoom, HeatedField, LaidCircuit, LevelLayout, Manifold, Port
from ufh_core.lanes.kept_places import KeptPlace
from ufh_core.settings.types import Settings
from ufh_core.zones.kept_pipes import KeptPipe
from ufh_core.zones.level_plan import Level


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A pipe that stays, on its manifold, with the floors that it heats by room."""

    pipe: KeptPipe
    place: KeptPlace
    pitch_m: float
    fields: tuple[tuple[str, Polygon], ...]


def put_together(
    laid: LevelLayout, level: Level, kept: Sequence[Kept], settings: Settings, first: int, taken: Collection[str] = ()
) -> LevelLayout:
    """The whole layout of a level; new circuits that come too near to one that stays are left out as failed.

    New manifolds are numbered from `first` on, past the names that are `taken` by those that stay anywhere.
    """
    level = replace(level, sleeve_ways=laid.level.sleeve_ways)
    stay = {k.pipe.label: k.pipe.axis for k in kept}
    faults = pair_faults(stay | {c.number: c.axis for c in laid.circuits}, settings)
    new = [c for c in laid.circuits if c.number not in faults]
    failed = [
        FailedRoom(room=c.rooms[0], reason=faults[c.number], best_attempt=c.axis)
        for c in laid.circuits
        if c.number in faults
    ]
    old = [_circuit(k, level, settings) for k in kept]
    places = {k.place.name: k.place for k in kept}
    homes = {k.pipe.label: k.place.name for k in kept}
    made = {m.place: m for m in laid.manifolds if m.place in places}
    manifolds: list[Manifold] = []
    circuits: list[LaidCircuit] = []
    ports = {k.pipe.label: k.pipe.port for k in kept}
    names = free_names(first, {*taken, *(p.manifold.name for p in places.values())})
    for place in sorted(places.values(), key=_in_order):
        body = made.get(place.name) or _manifold(place, level, settings)
        mine = [c for c in old if homes[c.kept] == place.name] + [c for c in new if c.manifold == body.name]
        used = {m.name for m in manifolds}
        name = place.manifold.name if place.manifold.name not in {"", *used} else next(names)
        _add(replace(body, place=place.manifold.place), mine, name, ports, manifolds, circuits)
    for body in laid.manifolds:
        mine = [c for c in new if c.manifold == body.name]
        if body.place not in places and mine:
            _add(body, mine, next(names), ports, manifolds, circuits)
    return replace(
        laid, level=level, manifolds=tuple(manifolds), circuits=tuple(circuits), failed=(*laid.failed, *failed)
    )


def _in_order(place: KeptPlace) -> tuple[bool, int, str, str]:
    """Manifolds of an earlier run by their numbers, then those of drawn pipes."""
    return (place.manifold.name == "", len(place.manifold.name), place.manifold.name, place.name)


def _add(
    body: Manifold,
    mine: Sequence[LaidCircuit],
    name: str,
    earlier: Mapping[str, int],
    manifolds: list[Manifold],
    circuits: list[LaidCircuit],
) -> None:
    """Add a manifold with its circuits, counted from left to right as seen from the room.

    Those that stay keep the numbers of their `earlier` ports, by label.
    """
    right = (-body.normal[1], body.normal[0])
    ordered = sorted(
        mine, key=lambda c: sum(r * (a + b) for r, a, b in zip(right, c.axis.start, c.axis.end, strict=True))
    )
    ports = []
    for k, circuit in sorted(zip(_numbers(ordered, earlier), ordered, strict=True), key=lambda pair: pair[0]):
        number = f"{name}.{k:02d}"
        fields = tuple(replace(f, circuit=number) for f in circuit.fields)
        circuits.append(replace(circuit, number=number, manifold=name, port=k, fields=fields))
        ports.append(Port(number=k, flow=circuit.axis.start, return_=circuit.axis.end))
    manifolds.append(replace(body, name=name, ports=tuple(ports)))


def _numbers(ordered: Sequence[LaidCircuit], earlier: Mapping[str, int]) -> list[int]:
    """The numbers of circuits in the order of their ports: of an earlier run, each once, or the next that is free."""
    held: list[int] = []
    for circuit in ordered:
        port = earlier.get(circuit.kept, 0)
        held.append(0 if port in held else port)
    free = (k for k in count(1) if k not in held)
    return [port or next(free) for port in held]


def _circuit(kept: Kept, level: Level, settings: Settings) -> LaidCircuit:
    """A pipe that stays as a laid circuit, not yet numbered."""
    axis, label = kept.pipe.axis, kept.pipe.label
    fields = tuple(
        HeatedField(room=guid, circuit=label, outline=outline)
        for guid, outline in kept.fields
        if outline.area > LEAST_FIELD_M2
    )
    inside = axis.line().intersection(unary_union([f.outline for f in fields])).length
    return LaidCircuit(
        number=label,
        manifold="",
        port=0,
        rooms=tuple(dict.fromkeys((kept.pipe.room, *(f.room for f in fields)))),
        axis=axis,
        pitch_m=kept.pitch_m,
        fields=fields,
        tail_length_m=axis.length_m - inside,
        riser_length_m=riser_length(settings),
        sleeves=sleeves_of(axis, level),
        kept=label,
    )


def _manifold(place: KeptPlace, level: Level, settings: Settings) -> Manifold:
    """The manifold of a place to which no new circuit came."""
    stretch, kept = place.stretch, place.manifold
    return Manifold(
        name="",
        storey=level.storey.ifc_guid,
        room=stretch.room,
        position=stretch.point((place.low + place.high) / 2, 0.0),
        normal=(float(stretch.normal[0]), float(stretch.normal[1])),
        width_m=round(place.high - place.low, 4),
        depth_m=settings.manifold.cabinet_depth_m,
        ports=(),
        cabinet=place.cabinet(settings),
        service_space=place.front(settings.manifold.cabinet_depth_m, settings.manifold.service_depth_m),
        station_side=kept.station_side,
    )
