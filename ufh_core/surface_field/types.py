"""What the surface field of a storey takes and gives, in the local plan frame."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import PipeAxis, Point
from ufh_core.circuits.types import HeatedField
from ufh_core.floor.types import FloorSection
from ufh_core.thermal_output.water_side import WATER_HEAT

CELL_M = 0.025
"""Side of a cell [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomFloor:
    """The floor of one room: `outline` with the thresholds that belong to it, and what is over and under it.

    `section` is its build-up at its main pitch, `tail_spacing_m` the pitch of tails; temperatures [°C].
    `limit_k` and `edge_limit_k` are the greatest surface temperature over `indoor_c`, in the room and its edge zones.
    """

    room: str
    outline: Area
    section: FloorSection
    indoor_c: float
    below_c: float
    limit_k: float
    edge_limit_k: float
    tail_spacing_m: float
    threshold: Area | None = None  # floor in doors that belongs to it and is not counted as the room's


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorPipe:
    """A circuit with its water: `mass_flow` [kg/s] of `heat_capacity` [J/(kg K)] enters at `flow_c` [°C].

    Pitches stand with the fields.
    """

    number: str
    axis: PipeAxis
    flow_c: float
    mass_flow: float
    fields: tuple[tuple[HeatedField, float], ...]  # each with its pitch [m]
    heat_capacity: float = WATER_HEAT


@dataclass(frozen=True, slots=True, kw_only=True)
class HotPlace:
    """A place whose surface is over its limit: its hottest point, area [m²], temperatures [°C]."""

    room: str
    at: Point
    surface_c: float
    limit_c: float
    area_m2: float
    edge: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSurface:
    """The surface of one room's floor [°C], thresholds left aside.

    `peak_at` and `coldest_at` say where; `limit_c` is the limit away from edge zones; `over_m2` the area over limits.
    """

    room: str
    mean_c: float
    peak_c: float
    peak_at: Point
    coldest_c: float
    coldest_at: Point
    limit_c: float
    over_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomHeat:
    """Heat [W] of one room's floor with its thresholds: what comes up into the room, what is lost downward.

    `tails_w` is the part that comes up from pipes in no field, whosever they are; `bare_loss_w` what the floor
    that no field covers takes from the room, since what lies below is colder. What fields give is the rest:
    upward = fields + tails − bare loss.
    """

    room: str
    upward_w: float
    downward_w: float
    tails_w: float
    bare_loss_w: float

    @property
    def fields_w(self) -> float:
        """Heat that comes up from the fields in the room [W]."""
        return self.upward_w - self.tails_w + self.bare_loss_w


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeWater:
    """The water of one circuit in the field: heat [W] that it leaves in floors, `return_c` [°C].

    `upward_w` of it comes up into rooms, the rest is lost downward; `tail_w` of it is given in no field.
    `uncovered_m` is pipe that lies under no heated room's floor and is taken as insulated.
    """

    number: str
    heat_w: float
    upward_w: float
    tail_w: float
    return_c: float
    uncovered_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceField:
    """Surface temperatures of a storey [°C], NaN where there is no heated room's floor.

    `surface_c[row, column]` is the cell whose middle is `corner` + ((column, row) + 0.5) `cell_m`;
    `limit_c` is its limit there, `room_index` its place in `floors`, GlobalIds (-1: none, thresholds are their room's).
    """

    corner: Point
    cell_m: float
    floors: tuple[str, ...]
    rooms: tuple[RoomSurface, ...]
    heats: tuple[RoomHeat, ...]
    pipes: tuple[PipeWater, ...]
    hot_places: tuple[HotPlace, ...]
    surface_c: NDArray[np.float32] = field(compare=False, repr=False)
    limit_c: NDArray[np.float32] = field(compare=False, repr=False)
    room_index: NDArray[np.int32] = field(compare=False, repr=False)
