"""A pipe as a way: runs and bends in order, and what lies at each length along it."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight, sampled

HAIR_M = 1e-6
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A straight from one way to another along the pipe [m]."""

    start_m: float
    end_m: float
    start: Point
    end: Point

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return self.end_m - self.start_m

    @property
    def heading(self) -> float:
        """Its direction [rad]."""
        return math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """Arcs of one sense without a straight between them, from one way to another along the pipe [m]."""

    start_m: float
    end_m: float
    arcs: tuple[Arc, ...]

    @property
    def turn_deg(self) -> float:
        """Change of direction [degrees], left positive."""
        return math.degrees(sum(arc.sweep for arc in self.arcs))


@dataclass(frozen=True)
class PipeWay:
    """An axis with its lengths summed up."""

    axis: PipeAxis

    @cached_property
    def ways(self) -> tuple[float, ...]:
        """Way [m] to the start of each piece, and to the end of the last."""
        return (0.0, *accumulate(piece.length_m for piece in self.axis.pieces))

    @property
    def length_m(self) -> float:
        """Plan length [m]."""
        return self.ways[-1]

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """The straights; those in line with one another are one."""
        found: list[Run] = []
        for piece, start, end in zip(self.axis.pieces, self.ways, self.ways[1:], strict=False):
            if not isinstance(piece, Straight) or piece.length_m <= HAIR_M:
                continue
            run = Run(start_m=start, end_m=end, start=piece.start, end=piece.end)
            if found and start - found[-1].end_m <= HAIR_M and abs(turned(found[-1].heading, run.heading)) < 1e-4:
                last = found.pop()
                run = Run(start_m=last.start_m, end_m=end, start=last.start, end=piece.end)
            found.append(run)
        return tuple(found)

    @cached_property
    def bends(self) -> tuple[Bend, ...]:
        """The bends; arcs of one sense that follow each other are one."""
        found: list[Bend] = []
        for piece, start, end in zip(self.axis.pieces, self.ways, self.ways[1:], strict=False):
            if not isinstance(piece, Arc):
                continue
            last = found[-1] if found else None
            if last and start - last.end_m <= HAIR_M and last.arcs[-1].sweep * piece.sweep > 0:
                found[-1] = Bend(start_m=last.start_m, end_m=end, arcs=(*last.arcs, piece))
            else:
                found.append(Bend(start_m=start, end_m=end, arcs=(piece,)))
        return tuple(found)

    @cached_property
    def _corners(self) -> tuple[Floats, Floats, float]:
        """(points along the axis, arcs in chords; the way to each [m]; by how much chords are shorter than arcs)."""
        points = self.axis.points()
        chords = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        longer = self.length_m / float(chords[-1])
        return points, chords * longer, longer

    def at(self, way_m: float) -> Point:
        """The point at a way along the pipe [m]."""
        points, ways, _ = self._corners
        x, y = (float(np.interp(way_m, ways, points[:, k])) for k in (0, 1))
        return x, y

    def sampled(self, step_m: float) -> tuple[Floats, Floats]:
        """(ways (n,) [m], points (n, 2) [m]) every `step_m` or so along the pipe."""
        points, _, longer = self._corners
        chords, at = sampled(points, step_m)
        return chords * longer, at

    def heading(self, way_m: float) -> float:
        """The direction [rad] in which one comes to a way along the pipe: that of the straight there or before."""
        starts = [run.start_m for run in self.runs]
        if not starts:
            start, end = self.axis.start, self.axis.end
            return math.atan2(end[1] - start[1], end[0] - start[0])
        return self.runs[max(0, bisect_right(starts, way_m + HAIR_M) - 1)].heading


def turned(before: float, after: float) -> float:
    """The turn from one direction to another [rad, -pi to pi]."""
    return (after - before + math.pi) % (2 * math.pi) - math.pi
