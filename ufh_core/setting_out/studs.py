"""The studs of a room as a fitter counts them.

Pipes lie in the channels between studs, on whole stud pitches, so studs stand half a pitch off them along both axes
of a grid that is turned by the room's angle. What is counted: studs between two parallel runs, between a wall and a
run, and those inside a bend that the pipe lies against.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Arc, Point

SLACK_M = 0.003
SLACK_RAD = math.radians(2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudGrid:
    """Studs at odd halves of `stud_m` along axes turned by `angle_rad`; without studs `stud_m` is 0."""

    angle_rad: float
    stud_m: float

    def turned(self, at: Point) -> Point:
        """A plan point in the grid's own axes [m]."""
        c, s = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return c * at[0] + s * at[1], c * at[1] - s * at[0]

    def between(self, one_m: float, other_m: float) -> int | None:
        """How many studs stand between two places along an axis of the grid [m].

        >>> StudGrid(angle_rad=0.0, stud_m=0.05).between(0.10, 0.25)
        3
        """
        if self.stud_m <= 0:
            return None
        low, high = sorted((one_m / self.stud_m - 0.5, other_m / self.stud_m - 0.5))
        return max(0, math.ceil(high - 1e-6) - math.floor(low + 1e-6) - 1)

    def studs_at_bend(self, arcs: tuple[Arc, ...], pipe_m: float) -> tuple[frozenset[Point], frozenset[Point]]:
        """(studs inside a bend that the pipe lies against, studs whose centre lies under the pipe), in the grid's axes.

        It lies against a stud half a pitch off its axis, as in a channel. `pipe_m` is its outside diameter.
        """
        near = [pair for arc in arcs for pair in self._near(arc)] if self.stud_m > 0 else []
        under = frozenset(stud for stud, off in near if abs(off) < pipe_m / 2)
        against = frozenset(stud for stud, off in near if pipe_m / 2 <= off <= self.stud_m / 2 + SLACK_M)
        return against - under, under

    def inside_bend(self, arcs: tuple[Arc, ...], pipe_m: float) -> tuple[int, int] | None:
        """How many studs there are of both sorts of `studs_at_bend`; None without studs."""
        against, under = self.studs_at_bend(arcs, pipe_m)
        return (len(against), len(under)) if self.stud_m > 0 else None

    def nearest_to(self, arcs: tuple[Arc, ...]) -> float:
        """How far the axis of a bend passes from the centre of the nearest stud [m]."""
        return min((abs(off) for arc in arcs for _, off in self._near(arc)), default=float("inf"))

    def _near(self, arc: Arc) -> list[tuple[Point, float]]:
        """Studs within the angle of an arc, with how far inside its axis they stand [m]."""
        (x, y), stud = self.turned(arc.centre), self.stud_m
        reach = arc.radius_m + stud
        xs, ys = (
            (np.arange(math.floor((v - reach) / stud), math.ceil((v + reach) / stud) + 1) + 0.5) * stud for v in (x, y)
        )
        us, vs = (grid.ravel() for grid in np.meshgrid(xs, ys))
        first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0]) - self.angle_rad
        offs = arc.radius_m - np.hypot(us - x, vs - y)
        near = (np.abs(offs) <= stud) & _within(np.arctan2(vs - y, us - x), first, arc.sweep)
        places = zip(us[near].round(4).tolist(), vs[near].round(4).tolist(), strict=True)
        return list(zip(places, offs[near].tolist(), strict=True))


def _within(angles: NDArray[np.float64], first: float, sweep: float) -> NDArray[np.bool_]:
    """Which directions lie within a sweep from the first one [rad]."""
    ways = (angles - first) * (1 if sweep > 0 else -1)
    within: NDArray[np.bool_] = (ways + SLACK_RAD) % (2 * math.pi) <= abs(sweep) + 2 * SLACK_RAD
    return within
