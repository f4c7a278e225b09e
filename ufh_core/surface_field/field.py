"""The surface field of a storey: cells, pipes, water, solution, surface."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from ufh_core.surface_field.cells import Cells, Floats, cells_of, conduction
from ufh_core.surface_field.heat import Ground, pipe_waters, room_heats
from ufh_core.surface_field.reading import hot_places, room_surface
from ufh_core.surface_field.section import PlaneSection, plane_section, with_pitch
from ufh_core.surface_field.solving import plane_temperature, smoothed
from ufh_core.surface_field.stations import Stations, stations_of
from ufh_core.surface_field.types import CELL_M, FloorPipe, PipeWater, RoomFloor, RoomHeat, SurfaceField
from ufh_core.surface_field.water import WaterRun, water_run


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorModel:
    """Floors and pipes as cells and stations, ready to be solved for any flows of water."""

    floors: tuple[RoomFloor, ...]
    cells: Cells
    ground: Ground
    stations: Stations
    passive: sp.csr_matrix
    sunk: Floats


def floor_model(floors: Sequence[RoomFloor], pipes: Sequence[FloorPipe], cell_m: float = CELL_M) -> FloorModel:
    """The model of floors and of where pipes lie; their water does not matter yet. There must be some of both.

    Raises: NoSolution where a floor is outside EN 1264-2's range.
    """
    cells = cells_of(floors, cell_m)
    planes = [_plane(floor, pipes, cell_m) for floor in floors]
    ground = _ground(cells, floors, pipes, planes)
    sinks = (ground.up + ground.down) * cells.area
    return FloorModel(
        floors=tuple(floors),
        cells=cells,
        ground=ground,
        stations=stations_of(pipes, floors, cells, [plane.plane_conductance for plane in planes]),
        passive=(conduction(cells, ground.plane) + sp.diags(sinks)).tocsr(),
        sunk=(ground.up * ground.indoor_c + ground.down * ground.below_c) * cells.area,
    )


def floor_heat(model: FloorModel, pipes: Sequence[FloorPipe]) -> tuple[tuple[RoomHeat, ...], tuple[PipeWater, ...]]:
    """Heat of every room's floor, and what becomes of every circuit's water; `pipes` as in the model, with any water.

    Raises: NoSolution where the iteration does not end.
    """
    water = water_run(pipes, model.stations)
    return _heats(model, pipes, water, _plane_c(model, water))


def surface_field(
    floors: Sequence[RoomFloor], pipes: Sequence[FloorPipe], cell_m: float = CELL_M
) -> SurfaceField | None:
    """Surface temperatures over the pipes as laid, steady, with the water at its design flow; None without floors.

    Raises: NoSolution where a floor is outside EN 1264-2's range.
    Source: own fin model, set to EN 1264-2's output and to the layered floor's swing (see `section`, `ripple`).
    Valid for: wet floors (type A); heat through walls, rugs, sun and the water's film are not in it.
    """
    if not floors or not pipes:
        return None
    model = floor_model(floors, pipes, cell_m)
    water = water_run(pipes, model.stations)
    plane_c = _plane_c(model, water)
    return _read(model, pipes, water, plane_c)


def _plane_c(model: FloorModel, water: WaterRun) -> Floats:
    return plane_temperature(model.passive, model.sunk, model.stations, water)


def _heats(
    model: FloorModel, pipes: Sequence[FloorPipe], water: WaterRun, plane_c: Floats
) -> tuple[tuple[RoomHeat, ...], tuple[PipeWater, ...]]:
    given = water.heat(model.stations.shares @ plane_c, water.flow_c)
    rooms = room_heats(model.floors, model.cells, model.ground, model.stations, plane_c, given)
    return rooms, pipe_waters(pipes, model.cells, model.ground, model.stations, water.capacity, given)


def _plane(floor: RoomFloor, pipes: Sequence[FloorPipe], cell_m: float) -> PlaneSection:
    """The fin of a floor at its main pitch, with the κ that all its pitches can live with."""
    pitches = {pitch for pipe in pipes for own, pitch in pipe.fields if own.room == floor.room}
    every = [with_pitch(floor.section, pitch) for pitch in sorted(pitches | {floor.tail_spacing_m})]
    least = max(plane_section(section, cell_m).plane_conductance for section in (floor.section, *every))
    return plane_section(floor.section, cell_m, least)


def _ground(
    cells: Cells, floors: Sequence[RoomFloor], pipes: Sequence[FloorPipe], planes: Sequence[PlaneSection]
) -> Ground:

    def of(values: Iterable[float]) -> Floats:
        return np.array(list(values))[cells.room]

    limit_c, spread_m = of(f.indoor_c + f.limit_k for f in floors), of(p.spread_m for p in planes)
    by_room = {floor.room: k for k, floor in enumerate(floors)}
    for own, pitch in (field for pipe in pipes for field in pipe.fields):
        k = by_room.get(own.room)
        if k is None or (not own.edge and abs(pitch - floors[k].section.pitch_m) < 1e-9):
            continue
        here = cells.inside(own.outline) & (cells.room == k)
        section = with_pitch(floors[k].section, pitch)
        spread_m[here] = plane_section(section, cells.cell_m, planes[k].plane_conductance).spread_m
        if own.edge:
            limit_c[here] = floors[k].indoor_c + floors[k].edge_limit_k
    owner = np.full(len(cells.room), -1)
    for number, pipe in enumerate(pipes):
        for own, _ in pipe.fields:
            owner[cells.inside(own.outline) & (owner < 0)] = number
    return Ground(
        up=of(p.up for p in planes),
        down=of(p.down for p in planes),
        plane=of(p.plane_conductance for p in planes),
        indoor_c=of(f.indoor_c for f in floors),
        below_c=of(f.below_c for f in floors),
        limit_c=limit_c,
        spread_m=spread_m,
        owner=owner,
    )


def _upward(cells: Cells, ground: Ground, plane_c: Floats) -> Floats:
    """Heat flux upward at the surface [W/m²]: the plane's, spread out on its way up."""
    flux = ground.up * (plane_c - ground.indoor_c)
    matrix = (sp.diags(cells.area) + conduction(cells, ground.spread_m**2)).tocsr()
    return smoothed(matrix, flux * cells.area, flux)


def _surface_c(indoor_c: Floats, upward: Floats) -> Floats:
    """Surface temperature [°C]. Source: EN 1264-2, basic characteristic q = 8.92 (θ_F − θ_i)^1.1, place by place."""
    return np.asarray(indoor_c + np.sign(upward) * (np.abs(upward) / 8.92) ** (1 / 1.1))


def _with_tops(surface_c: Floats, stations: Stations) -> Floats:
    """Each cell's surface at its middle, or over the pipe in it where that is hotter [°C]."""
    there = stations.cell >= 0
    highest = surface_c.copy()
    np.maximum.at(highest, stations.cell[there], (stations.tops @ surface_c)[there])
    return highest


def _read(model: FloorModel, pipes: Sequence[FloorPipe], water: WaterRun, plane_c: Floats) -> SurfaceField:
    cells, ground, floors = model.cells, model.ground, model.floors
    middle_c = _surface_c(ground.indoor_c, _upward(cells, ground, plane_c))
    highest_c = _with_tops(middle_c, model.stations)
    rooms = [room_surface(k, f, cells, middle_c, highest_c, ground.limit_c) for k, f in enumerate(floors)]
    heats, waters = _heats(model, pipes, water, plane_c)
    return SurfaceField(
        corner=cells.corner,
        cell_m=cells.cell_m,
        floors=tuple(floor.room for floor in floors),
        rooms=tuple(room for room in rooms if room is not None),
        heats=heats,
        pipes=waters,
        hot_places=hot_places(floors, cells, highest_c, ground.limit_c),
        surface_c=cells.spread_out(highest_c, np.nan).astype(np.float32),
        limit_c=cells.spread_out(ground.limit_c, np.nan).astype(np.float32),
        room_index=cells.spread_out(cells.room, -1).astype(np.int32),
    )
