"""Manifolds and circuits with their names, ports in order from left to right as seen from the room."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, polygons
from ufh_core.basis.pipe_axis import PipeAxis
from ufh_core.circuits.choice_limits import choice_of
from ufh_core.circuits.joining import side_line
from ufh_core.circuits.manifold_names import free_names
from ufh_core.circuits.rules import pair_faults
from ufh_core.circuits.territory_fields import Joined
from ufh_core.circuits.types import FailedRoom, HeatedField, LaidCircuit, LevelLayout, Manifold, Port
from ufh_core.lanes.siting import Site
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level

LEAST_FIELD_M2 = 0.01


def numbered(
    level: Level,
    lanes: LevelLanes,
    joined: Sequence[Joined],
    failed: list[FailedRoom],
    settings: Settings,
    first: int,
    taken: Collection[str] = (),
) -> LevelLayout:
    """Give manifolds and circuits their names; circuits that break a rule are left out as failed.

    Manifolds are numbered from `first` on, past the names that are `taken`.
    """
    faults = _faults(joined, settings)
    failed = [*failed, *(_refused(joined[k], why) for k, why in faults.items())]
    kept = [one for k, one in enumerate(joined) if k not in faults]
    manifolds: list[Manifold] = []
    circuits: list[LaidCircuit] = []
    names = free_names(first, taken)
    for m, site in enumerate(lanes.sites):
        mine = sorted((j for j in kept if j.lane.manifold == m), key=lambda j: _place(site, j.lane))
        if mine:
            name = next(names)
            ports = [_port(k + 1, j, settings) for k, j in enumerate(mine)]
            manifolds.append(_manifold(name, level, site, ports, settings))
            circuits += [_circuit(name, k + 1, j, level, settings) for k, j in enumerate(mine)]
    return LevelLayout(
        level=level,
        manifolds=tuple(manifolds),
        circuits=tuple(circuits),
        failed=tuple(failed),
        notes=lanes.notes,
        bottlenecks=lanes.bottlenecks,
    )


def _refused(joined: Joined, why: str) -> FailedRoom:
    return FailedRoom(room=joined.territory.room, reason=why, best_attempt=joined.axis)


def _faults(joined: Sequence[Joined], settings: Settings) -> dict[int, str]:
    """What is wrong with circuits among the others, or with their lengths, by index."""
    limit = settings.pipe.greatest_circuit_length_m
    faults = {int(k): why for k, why in pair_faults({str(k): j.axis for k, j in enumerate(joined)}, settings).items()}
    for k, one in enumerate(joined):
        length = one.axis.length_m + riser_length(settings)
        if length > limit:
            faults[k] = f"{length:.1f} m of pipe, over {limit:g} m"
    return faults


def _place(site: Site, lane: Lane) -> float:
    """Order of a port from left to right as seen from the room."""
    along = site.stretch.along
    normal = site.stretch.normal
    right = (-normal[1], normal[0])
    return lane.corners[0][along] * right[along]


def _port(number: int, joined: Joined, settings: Settings) -> Port:
    half = settings.layout.tail_spacing_m / 2
    return Port(number=number, flow=side_line(joined.kept, half)[0], return_=side_line(joined.kept, -half)[0])


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
        place=site.place,
    )


def _front(site: Site, near: float, far: float) -> Polygon:
    s = site.stretch
    return Polygon([s.point(site.low, near), s.point(site.high, near), s.point(site.high, far), s.point(site.low, far)])


def _circuit(name: str, number: int, joined: Joined, level: Level, settings: Settings) -> LaidCircuit:
    full = f"{name}.{number:02d}"
    fields = tuple(
        HeatedField(room=guid, circuit=full, outline=p, edge=edge, pitch_m=pitch)
        for guid in (sorted(level.heated) if level.rooms_unknown else [joined.territory.room])
        for part, edge, pitch in _parts(joined)
        for p in polygons(shapely.intersection(part, level.floors[guid]))
        if p.area > LEAST_FIELD_M2
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
        riser_length_m=riser_length(settings),
        sleeves=sleeves_of(joined.axis, level),
        choice=choice_of(joined),
    )


def _parts(joined: Joined) -> list[tuple[Area, bool, float | None]]:
    """(floor, whether it is edge zone, pitch where it is not the circuit's) of what a circuit heats."""
    if joined.edge.is_empty:
        return [(joined.heated, False, None)]
    inner = areas_only(shapely.difference(joined.heated, joined.edge))
    return [(inner, False, None), (joined.edge, True, joined.edge_pitch_m)]


def riser_length(settings: Settings) -> float:
    """Pipe [m] that stands upright at the manifold: from the axis in the screed to both bars."""
    floor, manifold = settings.floor, settings.manifold
    under_floor = settings.pipe.outside_diameter_m / 2 + floor.screed_cover_m + floor.finish_thickness_m
    return manifold.flow_bar_height_m + manifold.return_bar_height_m + 2 * under_floor


def sleeves_of(axis: PipeAxis, level: Level) -> int:
    """Straight crossings of walls outside passages."""
    line = axis.line()
    return sum(
        len(getattr(line.intersection(p.outline), "geoms", [1]))
        for p in level.sleeve_ways
        if line.intersects(p.outline)
    )
