"""All circuits of a level: territories, lanes, fields, joined and checked.

A circuit that comes out longer than its limit gives its room one more circuit and the level is
laid again; a territory that cannot be laid at its pitch is tried at the others. What is still not
legal is reported as failed with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.pipe_axis import PipeAxis, Point, rounded
from ufh_core.building.types import Area
from ufh_core.circuits.field import lay_field
from ufh_core.circuits.field_types import Approach, FieldFailure, FieldRequest, FieldResult
from ufh_core.circuits.joining import STRIP_EDGE_M, approaches, side_line, strips, whole_pipe
from ufh_core.circuits.level_lanes import Lane, LevelLanes, route_lanes
from ufh_core.circuits.rules import faults_of, pair_faults
from ufh_core.circuits.siting import PORT_OUT_M, Site
from ufh_core.circuits.types import FailedRoom, HeatedField, LaidCircuit, Manifold, Port
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level, areas_only, pipe_area, polygons
from ufh_core.zones.territories import Territory, territories

FIRST_FILL = 0.92
MOST_ROUNDS = 5
FEWEST_M2 = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelLayout:
    """What was laid on a level."""

    level: Level
    manifolds: tuple[Manifold, ...]
    circuits: tuple[LaidCircuit, ...]
    failed: tuple[FailedRoom, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Joined:
    """One circuit before it has its number."""

    lane: Lane
    territory: Territory
    kept: tuple[Point, ...]
    axis: PipeAxis
    heated: Area
    pitch_m: float


def lay_level(
    level: Level, pitches: Mapping[str, float], settings: Settings, first_manifold: int, tell: Callable[[str], None]
) -> LevelLayout:
    """Lay all circuits of a level with the pitch [m] of each room; manifolds are numbered on from `first_manifold`."""
    counts = {guid: _first_count(level, guid, pitches[guid], settings) for guid in level.heated}
    for _ in range(MOST_ROUNDS):
        tell(f"{level.storey.name}: {sum(counts.values())} circuits")
        parts, lanes = _led(level, counts, pitches, settings)
        joined, failed = _fields(level, parts, lanes, settings)
        longer = _too_long(joined, settings)
        if not longer:
            break
        for guid in longer:
            counts[guid] += 1
    return _numbered(level, lanes, joined, failed, settings, first_manifold)


def _led(
    level: Level, counts: dict[str, int], pitches: Mapping[str, float], settings: Settings
) -> tuple[tuple[Territory, ...], LevelLanes]:
    """Territories and lanes; a room whose circuits would plainly be too long gets one more at once."""
    limit = settings.pipe.greatest_circuit_length_m - _riser_length(settings)
    for _ in range(MOST_ROUNDS):
        parts = territories(level, counts, pitches, settings)
        lanes = route_lanes(level, parts, settings)
        longer = set()
        for lane in lanes.lanes:
            part = parts[lane.territory]
            length = part.axis.area / part.pitch_m + 2 * shapely.LineString(lane.corners).length
            if length > limit:
                longer.add(part.room)
        if not longer:
            break
        for guid in longer:
            counts[guid] += 1
    return parts, lanes


def _first_count(level: Level, guid: str, pitch: float, settings: Settings) -> int:
    """Circuits that a room needs if its tails are about as long as its floor is wide."""
    area = level.floors[guid].area
    limit = settings.pipe.greatest_circuit_length_m * FIRST_FILL
    return max(1, math.ceil(area / pitch / limit))


def _too_long(joined: Sequence[_Joined], settings: Settings) -> list[str]:
    limit = settings.pipe.greatest_circuit_length_m
    bars = _riser_length(settings)
    return sorted({j.territory.room for j in joined if j.axis.length_m + bars > limit})


def _fields(
    level: Level, parts: Sequence[Territory], lanes: LevelLanes, settings: Settings
) -> tuple[list[_Joined], list[FailedRoom]]:
    """The field of every lane, and the rooms for which there is none."""
    failed = [FailedRoom(room=parts[t].room, reason=why) for t, why in lanes.unreached.items()]
    way = pipe_area(level, settings)
    joined = []
    for lane in lanes.lanes:
        foreign = [other.corners for other in lanes.lanes if other is not lane]
        made = _join(level, parts[lane.territory], lane, foreign, way, settings)
        if isinstance(made, FailedRoom):
            failed.append(made)
        else:
            joined.append(made)
    return joined, failed


def _join(
    level: Level,
    territory: Territory,
    lane: Lane,
    foreign: Sequence[Sequence[Point]],
    way: Area,
    settings: Settings,
) -> _Joined | FailedRoom:
    """Try the territory's pitch, then tighter ones, then wider ones."""
    pitches = sorted(settings.layout.pitches_m, key=lambda p: (p > territory.pitch_m, abs(p - territory.pitch_m)))
    reason = "no pitch to lay it at"
    for pitch in [territory.pitch_m, *(p for p in pitches if p != territory.pitch_m)]:
        made = _join_at(level, replace(territory, pitch_m=pitch), lane, foreign, way, settings)
        if isinstance(made, _Joined):
            return made
        reason = made if pitch == territory.pitch_m else reason
    return FailedRoom(room=territory.room, reason=reason)


def _join_at(
    level: Level,
    territory: Territory,
    lane: Lane,
    foreign: Sequence[Sequence[Point]],
    way: Area,
    settings: Settings,
) -> _Joined | str:
    spacing = settings.layout.tail_spacing_m
    options = approaches(lane, territory.floor, 2 * spacing)
    reason = ""
    for approach, kept in options:
        request = _request(territory, approach, kept, foreign, way, settings)
        if request is None:
            reason = reason or "the tails of other circuits take its floor"
            continue
        result = lay_field(request)
        if isinstance(result, FieldFailure):
            reason = reason or result.reason
            continue
        axis = rounded(whole_pipe(kept, spacing, result.corners), settings.pipe.least_bend_radius_m)
        faults = faults_of(axis, level, settings)
        if faults:
            reason = reason or faults[0]
            continue
        heated = _heated(result, _with_run_in(kept, approach, result), foreign, territory.pitch_m, spacing)
        return _Joined(
            lane=lane, territory=territory, kept=kept, axis=axis, heated=heated, pitch_m=territory.pitch_m
        )
    return reason or "no field fits"


def _request(
    territory: Territory,
    approach: Approach,
    kept: Sequence[Point],
    foreign: Sequence[Sequence[Point]],
    way: Area,
    settings: Settings,
) -> FieldRequest | None:
    spacing = settings.layout.tail_spacing_m
    keep = spacing / 2 + max(territory.pitch_m / 2, 2 * spacing)
    near = [f for f in foreign if shapely.LineString(f).distance(territory.floor) < keep]
    axis = areas_only(shapely.difference(territory.axis, strips(near, keep - 1e-4)))
    if len(kept) > 2:
        axis = areas_only(shapely.difference(axis, strips([kept[:-1]], keep - 1e-4)))
    lane_room = areas_only(shapely.difference(way, strips(near, 1.5 * spacing - 1e-3)))
    reach = shapely.LineString([approach.at, _ahead(approach, 12.0)])
    beam = reach.buffer(spacing + 1e-3, cap_style="flat")
    parts = [p for p in polygons(axis) if p.intersects(beam) and p.area >= FEWEST_M2]
    if not parts:
        return None
    part = min(parts, key=lambda p: shapely.Point(approach.at).distance(p) - 0.3 * math.sqrt(p.area))
    ahead = shapely.intersection(reach.buffer(spacing / 2 + 1e-3, cap_style="flat"), territory.floor)
    part = _joined_to(part, shapely.intersection(ahead, lane_room))
    floor = areas_only(shapely.difference(territory.floor, strips(near, spacing / 2 + STRIP_EDGE_M)))
    whole = [p for p in polygons(floor) if p.intersects(part)]
    if not whole:
        return None
    return FieldRequest(
        floor=max(whole, key=lambda p: p.intersection(part).area),
        axis_area=part,
        lane_area=unary_union([lane_room, part]),
        approaches=(approach,),
        pitch_m=territory.pitch_m,
        stud_pitch_m=settings.layout.stud_pitch_m,
        least_radius_m=settings.pipe.least_bend_radius_m,
        tail_spacing_m=spacing,
    )


def _joined_to(part: Polygon, ahead: Area) -> Polygon:
    """A field's area with the strip straight ahead of its own tails, where these may run on as its edge."""
    return polygons(areas_only(unary_union([part, *(p for p in polygons(ahead) if p.distance(part) < 1e-6)])))[0]


def _ahead(approach: Approach, distance: float) -> Point:
    return (approach.at[0] + approach.heading[0] * distance, approach.at[1] + approach.heading[1] * distance)


def _with_run_in(kept: Sequence[Point], approach: Approach, result: FieldResult) -> tuple[Point, ...]:
    """The lane with the straight run of its pair from its end into the field, up to the first turn."""
    loop = result.corners
    run = min(math.dist(loop[0], loop[1]), math.dist(loop[-1], loop[-2]))
    return (*kept[:-1], _ahead(approach, run))


def _heated(
    result: FieldResult, own: Sequence[Point], foreign: Sequence[Sequence[Point]], pitch: float, spacing: float
) -> Area:
    """The heated floor less the strips of tails and the place where the own pair opens out to the pitch."""
    taken = strips([*foreign, own], spacing / 2 + STRIP_EDGE_M)
    opening = shapely.Point(own[-1]).buffer(max(0.0, pitch / 2 - spacing / 2) + 1e-3, cap_style="square")
    return areas_only(shapely.difference(result.heated, unary_union([taken, opening])))


def _numbered(
    level: Level,
    lanes: LevelLanes,
    joined: Sequence[_Joined],
    failed: list[FailedRoom],
    settings: Settings,
    first: int,
) -> LevelLayout:
    """Give manifolds and circuits their names, check circuits against one another."""
    manifolds, circuits = [], []
    for m, site in enumerate(lanes.sites):
        mine = sorted((j for j in joined if j.lane.manifold == m), key=lambda j: _place(site, j.lane))
        name = f"M{first + m}"
        ports = [_port(k + 1, j, settings) for k, j in enumerate(mine)]
        if mine:
            manifolds.append(_manifold(name, level, site, ports, settings))
        circuits += [_circuit(name, k + 1, j, level, settings) for k, j in enumerate(mine)]
    faults = pair_faults({c.number: c.axis for c in circuits}, settings)
    failed += [FailedRoom(room=c.rooms[0], reason=faults[c.number]) for c in circuits if c.number in faults]
    kept = tuple(c for c in circuits if c.number not in faults)
    return LevelLayout(level=level, manifolds=tuple(manifolds), circuits=kept, failed=tuple(failed))


def _place(site: Site, lane: Lane) -> float:
    """Order of a port from left to right as seen from the room."""
    along = site.stretch.along
    normal = site.stretch.normal
    right = (-normal[1], normal[0])
    return lane.corners[0][along] * right[along]


def _port(number: int, joined: _Joined, settings: Settings) -> Port:
    half = settings.layout.tail_spacing_m / 2
    return Port(
        number=number, flow=side_line(joined.kept, half)[0], return_=side_line(joined.kept, -half)[0]
    )


def _manifold(name: str, level: Level, site: Site, ports: Sequence[Port], settings: Settings) -> Manifold:
    stretch, depth = site.stretch, settings.manifold.cabinet_depth_m
    service = settings.manifold.service_depth_m
    right = (-stretch.normal[1], stretch.normal[0])[stretch.along]
    station_right = (right > 0) != site.station_first
    return Manifold(
        name=name,
        storey=level.storey.ifc_guid,
        room=stretch.room,
        position=stretch.point((site.low + site.high) / 2, 0.0),
        normal=(float(stretch.normal[0]), float(stretch.normal[1])),
        width_m=round(site.high - site.low, 4),
        depth_m=depth,
        ports=tuple(ports),
        cabinet=_front(site, 0.0, depth),
        service_space=_front(site, depth, service),
        station_side="right" if station_right else "left",
    )


def _front(site: Site, near: float, far: float) -> Polygon:
    s = site.stretch
    return Polygon([s.point(site.low, near), s.point(site.high, near), s.point(site.high, far), s.point(site.low, far)])


def _circuit(name: str, number: int, joined: _Joined, level: Level, settings: Settings) -> LaidCircuit:
    full = f"{name}.{number:02d}"
    fields = tuple(
        HeatedField(room=joined.territory.room, circuit=full, outline=p)
        for p in polygons(joined.heated)
        if p.area > 0.05
    )
    inside = joined.axis.line().intersection(unary_union([f.outline for f in fields])).length
    return LaidCircuit(
        number=full,
        manifold=name,
        port=number,
        rooms=(joined.territory.room,),
        axis=joined.axis,
        pitch_m=joined.pitch_m,
        fields=fields,
        tail_length_m=joined.axis.length_m - inside,
        riser_length_m=_riser_length(settings),
        sleeves=_sleeves(joined.axis, level),
    )


def _riser_length(settings: Settings) -> float:
    return settings.manifold.flow_bar_height_m + settings.manifold.return_bar_height_m


def _sleeves(axis: PipeAxis, level: Level) -> int:
    """Straight crossings of walls outside passages."""
    line = axis.line()
    return sum(
        len(getattr(line.intersection(p.outline), "geoms", [1])) for p in level.sleeve_ways if line.intersects(p.outline)
    )


__all__ = ["PORT_OUT_M", "LevelLayout", "lay_level"]
