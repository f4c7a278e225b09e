"""Edge zones with circuits of their own: the strip along the outer walls is laid as if it were a room.

Where a strip, or what is left of the room, is too small for a circuit, or no pipe comes to the strip,
the room's own pipe lies closer there instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import shapely

from ufh_core.basis.areas import Area, areas_only, common, polygons
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.zones.level_plan import EDGE_PART, Level, room_of

LEAST_PIPE_M = 15.0  # less pipe makes no circuit worth its ports; own rule
LEAST_WHOLE = 0.9  # share of the rest of a room that must stay in one piece
LEAST_WIDE_M = 0.4  # a strip narrower than this holds no turn with its clearances


def lay_with_edges(brief: LevelBrief) -> LevelLayout:
    """Lay a level as `lay_level` does, edge zones by circuits of their own where the settings ask for it."""
    level, wishes = brief.level, brief.wishes
    strips = edge_strips(level, brief.pitches)
    while True:
        closer = {g + EDGE_PART: edge.pitch_m for g in strips if (edge := level.laying(g).edge)}
        served = {g + EDGE_PART: wishes.served_from[g] for g in strips if g in wishes.served_from}
        asked = replace(wishes, served_from={**wishes.served_from, **served})
        parted = replace(brief, level=_parted(level, strips), pitches={**brief.pitches, **closer}, wishes=asked)
        laid = lay_level(parted)
        failed = {room_of(f.room) for f in laid.failed} & set(strips)
        if not failed:
            return _as_rooms(laid, level)
        strips = {g: strip for g, strip in strips.items() if g not in failed}


def edge_strips(level: Level, pitches: Mapping[str, float]) -> dict[str, Area]:
    """The floors of edge zones that get circuits of their own, by room."""
    found = {}
    for guid in sorted(level.heated):
        laying, floor, pitch = level.laying(guid), level.floors[guid], pitches[guid]
        if laying.edge is None or not laying.edge.own_circuit or level.rooms_unknown or laying.edge.pitch_m >= pitch:
            continue
        least_m2 = LEAST_PIPE_M * laying.edge.pitch_m
        pieces = [p for part in polygons(floor) for p in polygons(_wide(laying.edge_floor(part)))]
        strip = areas_only(shapely.union_all([p for p in pieces if p.area >= least_m2]))
        rest = polygons(shapely.difference(floor, strip))
        whole = rest[0].area if rest else 0.0
        if not strip.is_empty and whole >= max(LEAST_PIPE_M * pitch, LEAST_WHOLE * sum(p.area for p in rest)):
            found[guid] = strip
    return found


def _wide(strip: shapely.Geometry) -> Area:
    half = LEAST_WIDE_M / 2
    return areas_only(common(strip.buffer(-half, join_style="mitre").buffer(half, join_style="mitre"), strip))


def _parted(level: Level, strips: Mapping[str, Area]) -> Level:
    """The level with strips as rooms of their own; other zones are left to the room's own pipe."""
    floors, layings = dict(level.floors), dict(level.layings)
    for guid, laying in level.layings.items():
        if laying.edge is not None and guid in strips:
            floors[guid] = areas_only(shapely.difference(level.floors[guid], strips[guid]))
            floors[guid + EDGE_PART] = strips[guid]
            layings[guid] = layings[guid + EDGE_PART] = replace(laying, edge=None)
        elif laying.edge is not None:
            layings[guid] = replace(laying, edge=replace(laying.edge, own_circuit=False))
    return replace(level, floors=floors, layings=layings, heated=level.heated | {g + EDGE_PART for g in strips})


def _as_rooms(laid: LevelLayout, level: Level) -> LevelLayout:
    """The layout in terms of whole rooms."""
    return replace(
        laid,
        level=level,
        manifolds=tuple(replace(m, room=room_of(m.room)) for m in laid.manifolds),
        circuits=tuple(_of_rooms(c) for c in laid.circuits),
        failed=tuple(replace(f, room=room_of(f.room)) for f in laid.failed),
    )


def _of_rooms(circuit: LaidCircuit) -> LaidCircuit:
    fields = (replace(f, room=room_of(f.room), edge=f.edge or f.room != room_of(f.room)) for f in circuit.fields)
    return replace(circuit, rooms=tuple(map(room_of, circuit.rooms)), fields=tuple(fields))
