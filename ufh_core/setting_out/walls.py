"""How far it is from a point of the pipe to the walls of its room, along the axes of the room's studs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.setting_out.studs import StudGrid
from ufh_core.setting_out.types import WallGap

SIDES = ("ahead", "left", "behind", "right")
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomWalls:
    """The clear floor of a room, its edges (n, 2, 2) in the axes of its grid [m], and the grid."""

    floor: Area
    edges: Floats
    grid: StudGrid

    def gaps(self, at: Point, heading: float) -> dict[str, WallGap]:
        """The wall on each of the four sides of a point, looking along `heading` [rad], turned to the grid."""
        here = np.array(self.grid.turned(at))
        quarter = round((heading - self.grid.angle_rad) / (math.pi / 2))
        found = {}
        for k, side in enumerate(SIDES):
            axis, sign = (quarter + k) % 2, (1.0 if (quarter + k) % 4 < 2 else -1.0)
            wall = self._first(here, axis, sign)
            if wall is not None:
                studs = self.grid.between(float(here[axis]), wall)
                found[side] = WallGap(side=side, gap_m=abs(wall - float(here[axis])), studs=studs)
        return found

    def nearest_two(self, at: Point, heading: float) -> tuple[WallGap, ...]:
        """The nearer of the walls left and right, and of those ahead and behind."""
        gaps = self.gaps(at, heading)
        pairs = ([gaps[s] for s in pair if s in gaps] for pair in (("left", "right"), ("ahead", "behind")))
        return tuple(min(pair, key=lambda gap: gap.gap_m) for pair in pairs if pair)

    def beside(self, at: Point, heading: float) -> tuple[WallGap, ...]:
        """The nearer of the walls left and right."""
        return tuple(gap for gap in self.nearest_two(at, heading) if gap.side in ("left", "right"))

    def _first(self, here: Floats, axis: int, sign: float) -> float | None:
        """Where the first edge is met from a point along an axis of the grid."""
        other = self.edges[:, :, 1 - axis] - here[1 - axis]
        crossed = self.edges[(other[:, 0] > 0) != (other[:, 1] > 0)]
        if not len(crossed):
            return None
        share = (here[1 - axis] - crossed[:, 0, 1 - axis]) / (crossed[:, 1, 1 - axis] - crossed[:, 0, 1 - axis])
        where = crossed[:, 0, axis] + share * (crossed[:, 1, axis] - crossed[:, 0, axis])
        ahead = where[(where - here[axis]) * sign > 0]
        return float(ahead[np.abs(ahead - here[axis]).argmin()]) if len(ahead) else None


def room_walls(floor: Area, grid: StudGrid) -> RoomWalls:
    """The walls round a floor."""
    shapely.prepare(floor)
    edges = []
    for part in shapely.get_parts(floor):
        for ring in (part.exterior, *part.interiors):
            corners = np.array([grid.turned((x, y)) for x, y, *_ in ring.coords])
            edges.append(np.stack([corners[:-1], corners[1:]], axis=1))
    return RoomWalls(floor=floor, edges=np.concatenate(edges), grid=grid)
