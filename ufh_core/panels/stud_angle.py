"""At which angle the studs of a room stand, from the pipes that were laid between them.

Every field lies on whole stud pitches in the level's frame, or in that frame turned about its origin by the angle of
the room's walls. The angle under which most pipe of a room lies so is the panels' angle; what lies otherwise is told.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import PipeAxis, Straight

SHORTEST_M = 0.1
OFF_M = 0.002

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Straights:
    """The straights of all pipes: starts and ends (n, 2) [m], headings modulo 90 degrees [rad], lengths [m]."""

    start: Floats
    end: Floats
    heading: Floats
    length: Floats

    def within(self, floor: Area) -> Straights:
        """Those whose middle lies on a floor."""
        shapely.prepare(floor)
        return self.only(shapely.contains_xy(floor, *((self.start + self.end) / 2).T))

    def only(self, mask: Bools) -> Straights:
        """Some of them."""
        return Straights(
            start=self.start[mask], end=self.end[mask], heading=self.heading[mask], length=self.length[mask]
        )


def straights(axes: Iterable[PipeAxis]) -> Straights:
    """All straights of some pipes that are long enough to have a direction."""
    found = [p for axis in axes for p in axis.pieces if isinstance(p, Straight) and p.length_m >= SHORTEST_M]
    start = np.array([p.start for p in found], dtype=float).reshape(-1, 2)
    end = np.array([p.end for p in found], dtype=float).reshape(-1, 2)
    way = end - start
    heading = np.mod(np.arctan2(way[:, 1], way[:, 0]), math.pi / 2)
    return Straights(start=start, end=end, heading=heading, length=np.hypot(way[:, 0], way[:, 1]))


def stud_angle(pipes: Straights, stud_m: float) -> float:
    """The angle of the studs under some pipes against the level's frame [rad, above -45 to 45 degrees]; 0 for none."""
    shares: dict[float, float] = defaultdict(float)
    for heading, length in zip(pipes.heading.tolist(), pipes.length.tolist(), strict=True):
        shares[_within_45(round(math.degrees(heading), 2))] += length
    best, angle = 0.0, 0.0
    for degrees in sorted(shares, key=lambda d: (-shares[d], d)):
        if shares[degrees] <= best:
            break
        held = float(pipes.length[between_studs(pipes, math.radians(degrees), stud_m)].sum())
        if held > best + 1e-9:
            best, angle = held, math.radians(degrees)
    return angle


def between_studs(pipes: Straights, angle_rad: float, stud_m: float) -> Bools:
    """Which straights run between the studs of a grid at an angle: along it, or under 45 degrees through crossings."""
    turn = np.array([[math.cos(angle_rad), math.sin(angle_rad)], [-math.sin(angle_rad), math.cos(angle_rad)]])
    start, end = pipes.start @ turn.T, pipes.end @ turn.T
    level, upright = np.abs(start[:, 1] - end[:, 1]) < OFF_M, np.abs(start[:, 0] - end[:, 0]) < OFF_M
    rising = np.abs((start[:, 0] - start[:, 1]) - (end[:, 0] - end[:, 1])) < OFF_M
    falling = np.abs(start.sum(axis=1) - end.sum(axis=1)) < OFF_M
    held: Bools = (level & _on(start[:, 1], stud_m)) | (upright & _on(start[:, 0], stud_m))
    held |= (rising & _on(start[:, 0] - start[:, 1], stud_m)) | (falling & _on(start.sum(axis=1), stud_m))
    return held


def _on(where: Floats, stud_m: float) -> Bools:
    """Which measures are whole stud pitches."""
    off: Bools = np.abs(where - stud_m * np.round(where / stud_m)) < OFF_M
    return off


def _within_45(degrees: float) -> float:
    return degrees - 90.0 if degrees > 45.0 else degrees
