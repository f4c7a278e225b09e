"""The heat of a solved floor, booked to rooms and circuits.

All is linear: heat that a pipe leaves in a floor goes up and down in the proportion G_o : G_u, wherever it lies, and
besides the floor carries heat from the warmer to the colder side even without pipes. The latter, the floor's own
loss, is booked to the field that covers the place, as EN 1264-2 does, or to nobody where there is none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ufh_core.surface_field.cells import Cells, Floats, Ints
from ufh_core.surface_field.stations import Stations
from ufh_core.surface_field.types import FloorPipe, PipeWater, RoomFloor, RoomHeat


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the solution needs of each cell: conductances [W/(m² K)], temperatures and limits [°C], ℓ [m].

    `owner` is the place of the circuit whose field covers it, -1 for none.
    """

    up: Floats
    down: Floats
    plane: Floats
    indoor_c: Floats
    below_c: Floats
    limit_c: Floats
    spread_m: Floats
    owner: Ints

    @property
    def own_loss(self) -> Floats:
        """Heat [W/m²] that the floor takes from the room and gives to what is below, without any pipe."""
        through = self.up * self.down / (self.up + self.down)
        return np.asarray(through * (self.indoor_c - self.below_c), dtype=np.float64)

    @property
    def up_share(self) -> Floats:
        """Share of a pipe's heat that goes upward [-]."""
        return np.asarray(self.up / (self.up + self.down), dtype=np.float64)


def room_heats(
    floors: Sequence[RoomFloor], cells: Cells, ground: Ground, stations: Stations, plane_c: Floats, given_w: Floats
) -> tuple[RoomHeat, ...]:
    """The heat of every floor that has cells. `plane_c` [°C] of the cells, `given_w` [W] of the stations."""
    count = len(floors)
    up_w = _sums(cells.room, ground.up * (plane_c - ground.indoor_c) * cells.area, count)
    down_w = _sums(cells.room, ground.down * (plane_c - ground.below_c) * cells.area, count)
    bare_w = _sums(cells.room, np.where(ground.owner < 0, ground.own_loss * cells.area, 0.0), count)
    there = (stations.cell >= 0) & ~stations.in_field
    at = stations.cell[there]
    tails_w = _sums(cells.room[at], given_w[there] * ground.up_share[at], count)
    covered = np.bincount(cells.room, minlength=count) > 0
    return tuple(
        RoomHeat(
            room=floor.room,
            upward_w=float(up_w[k]),
            downward_w=float(down_w[k]),
            tails_w=float(tails_w[k]),
            bare_loss_w=float(bare_w[k]),
        )
        for k, floor in enumerate(floors)
        if covered[k]
    )


def pipe_waters(
    pipes: Sequence[FloorPipe], cells: Cells, ground: Ground, stations: Stations, capacity: Floats, given_w: Floats
) -> tuple[PipeWater, ...]:
    """What became of each pipe's water. `capacity` [W/K] of the pipes, `given_w` [W] of the stations."""
    count, there = len(pipes), stations.cell >= 0
    heat = _sums(stations.pipe, given_w, count)
    up = _sums(stations.pipe[there], given_w[there] * ground.up_share[stations.cell[there]], count)
    owned = ground.owner >= 0
    up -= _sums(ground.owner[owned], (ground.own_loss * cells.area)[owned], count)
    tails = _sums(stations.pipe, np.where(stations.in_field, 0.0, given_w), count)
    bare = _sums(stations.pipe, np.where(stations.conductance > 0, 0.0, stations.length), count)
    return tuple(
        PipeWater(
            number=pipe.number,
            heat_w=float(heat[k]),
            upward_w=float(up[k]),
            tail_w=float(tails[k]),
            return_c=pipe.flow_c - float(heat[k] / capacity[k]) if capacity[k] > 0 else pipe.flow_c,
            uncovered_m=float(bare[k]),
        )
        for k, pipe in enumerate(pipes)
    )


def _sums(of: Ints, values: Floats, count: int) -> Floats:
    return np.asarray(np.bincount(of, values, minlength=count), dtype=np.float64)
