"""The floor of a storey as the cards see it: clear floors, passages, and the grid of studs in each room."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import PipeAxis
from ufh_core.building.types import Passage, Storey
from ufh_core.joints.types import Crossing
from ufh_core.panels.stud_angle import Straights, straights, stud_angle
from ufh_core.setting_out.studs import StudGrid
from ufh_core.setting_out.walls import RoomWalls, room_walls
from ufh_core.settings.types import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Floors by room GlobalId [m], passages, pipes, and where pipes cross movement joints, of a storey.

    `stud_m` is the stud pitch, 0 without studs, `pipe_m` the pipe's outside diameter [m]. What is asked of a room is
    remembered.
    """

    floors: Mapping[str, Area]
    passages: tuple[Passage, ...]
    pipes: Straights
    joints: tuple[Crossing, ...]
    stud_m: float
    pipe_m: float
    _walls: dict[str, RoomWalls] = field(default_factory=dict)

    def walls(self, room: str) -> RoomWalls:
        """The walls of a room, along the axes of its studs."""
        if room not in self._walls:
            grid = StudGrid(angle_rad=self._angle(room), stud_m=self.stud_m)
            self._walls[room] = room_walls(self.floors[room], grid)
        return self._walls[room]

    def grid(self, room: str) -> StudGrid:
        """The studs of a room; of a wall or doorway those of the level's frame."""
        return self.walls(room).grid if room else StudGrid(angle_rad=0.0, stud_m=self.stud_m)

    def _angle(self, room: str) -> float:
        here = self.pipes.within(self.floors[room])
        return stud_angle(here, self.stud_m) if self.stud_m > 0 else _main_heading(here)


def ground_of(
    storey: Storey, axes: Sequence[PipeAxis], rooms: Sequence[str], joints: Sequence[Crossing], settings: Settings
) -> Ground:
    """The ground of a storey with some pipes; `rooms` are those of its design."""
    return Ground(
        floors={r.ifc_guid: r.outline for r in storey.rooms if r.ifc_guid in set(rooms) and not r.external},
        passages=storey.passages,
        pipes=straights(axes),
        joints=tuple(joints),
        stud_m=settings.layout.stud_pitch_m if settings.layout.stud_grid else 0.0,
        pipe_m=settings.pipe.outside_diameter_m,
    )


def _main_heading(pipes: Straights) -> float:
    """The direction, modulo a quarter turn, of most length of some pipes [rad]; 0 for none."""
    lengths: dict[int, float] = defaultdict(float)
    for heading, length in zip(pipes.heading.tolist(), pipes.length.tolist(), strict=True):
        lengths[round(math.degrees(heading)) % 90] += length
    return math.radians(max(lengths, key=lambda degrees: (lengths[degrees], -degrees))) if lengths else 0.0
