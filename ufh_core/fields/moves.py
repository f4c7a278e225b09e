"""The runs of a loop along one axis, and how far each may move across it inside the area.

All from prefix sums over the stud grid. Cost: runs × places that one may move on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ufh_core.fields.grid import Bools, Floats, Ints, StudGrid


def areas_of(grid: StudGrid) -> Areas:
    """The grid as runs along y see it, and as runs along x do."""
    return Area.along_x(grid), Area.along_y(grid)


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """The stud grid as runs along the second index see it that move along the first one.

    `no_node` and `no_way` count what is missing along a run (prefix sums), `across` tells whether one may
    go on to the next place, `quarter` whether a turn fits.
    """

    origin: tuple[int, int]
    no_node: Ints
    no_way: Ints
    across: Bools
    quarter: Bools

    @staticmethod
    def along_x(grid: StudGrid) -> Area:
        """For runs along y."""
        return Area(
            origin=grid.origin,
            no_node=_sums(~grid.node),
            no_way=_sums(~grid.along_y),
            across=np.ascontiguousarray(grid.along_x),
            quarter=np.ascontiguousarray(grid.quarter),
        )

    @staticmethod
    def along_y(grid: StudGrid) -> Area:
        """For runs along x."""
        return Area(
            origin=(grid.origin[1], grid.origin[0]),
            no_node=_sums(~grid.node.T),
            no_way=_sums(~grid.along_x.T),
            across=np.ascontiguousarray(grid.along_y.T),
            quarter=np.ascontiguousarray(grid.quarter.transpose(1, 0, 3, 2)),
        )


Areas = tuple[Area, Area]


def _sums(missing: Bools) -> Ints:
    return np.ascontiguousarray(np.pad(np.cumsum(missing, axis=1, dtype=np.int32), ((0, 0), (1, 0))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """The legs along y of a loop: number in the loop, place in x, ends in y as walked [studs]."""

    leg: Ints
    at: Floats
    start: Floats
    end: Floats

    @property
    def low(self) -> Floats:
        """The southern ends."""
        return np.minimum(self.start, self.end)

    @property
    def high(self) -> Floats:
        """The northern ends."""
        return np.maximum(self.start, self.end)

    @property
    def turns_round(self) -> Bools:
        """Whether the next run goes back beside this one."""
        way = self.end - self.start
        return np.append(way[:-1] * way[1:] < 0, False)


def runs_of(points: Floats) -> Runs:
    """The runs along y of a loop by its corners."""
    leg = np.flatnonzero(np.abs(np.diff(points[:, 0])) < 1e-9)
    return Runs(leg=leg, at=points[leg, 0], start=points[leg, 1], end=points[leg + 1, 1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How far each run may move down and up in x, and how many studs of wall then stop it."""

    down: Ints
    up: Ints
    wall_down: Floats
    wall_up: Floats


def room_of(points: Floats, runs: Runs, area: Area, most: int, end_leg: float) -> Room:
    """The room to move inside the area; none for the tails."""
    tail = (runs.leg == 0) | (runs.leg == len(points) - 2)
    (down, wall_down), (up, wall_up) = _ways(points, runs, area, most, tail)
    for leg, end in ((1, points[0, 0]), (len(points) - 3, points[-1, 0])):
        for n in np.flatnonzero((runs.leg == leg) & ~tail):
            spare = max(0, math.floor(abs(runs.at[n] - end) - end_leg + 1e-9))
            way = down if runs.at[n] > end else up
            way[n] = min(way[n], spare)
    return Room(down=down, up=up, wall_down=wall_down, wall_up=wall_up)


def _ways(points: Floats, runs: Runs, area: Area, most: int, tail: Bools) -> list[tuple[Ints, Floats]]:
    """Down and up: (places that each run may move on, studs outside at the place after that; 0 where that is none)."""
    rows, columns = area.across.shape
    here = np.rint(runs.at).astype(int) - area.origin[0]
    low, high = (
        _within(np.rint(ends).astype(int) - area.origin[1], columns)[:, None] for ends in (runs.low, runs.high)
    )
    at = here[:, None] + np.arange(-most - 1, most + 2)
    inside = (at >= 0) & (at < rows)
    at = _within(at, rows)
    outside = area.no_node[at, high + 1] - area.no_node[at, low]
    free = inside & (outside == 0) & (area.no_way[at, high] == area.no_way[at, low])
    turns = free.copy()
    for end, q, r in _bends(points, runs, area.origin[1]):
        turns &= area.quarter[at, _within(end, columns)[:, None], q[:, None], r[:, None]]
    turns[:, most + 1] = free[:, most + 1]  # where a run lies it may stay
    step = at[:, :-1]
    goes = area.across[step, low] & area.across[step, high]
    studs = np.where(inside, outside, high - low + 1)
    found, every = list[tuple[Ints, Floats]](), np.arange(len(here))
    for sign in (-1, 1):
        onwards = slice(most, None, -1) if sign < 0 else slice(most + 2, None)
        leaves = slice(most, None, -1) if sign < 0 else slice(most + 1, None)
        count = np.logical_and.accumulate(turns[:, onwards] & goes[:, leaves], axis=1).sum(axis=1)
        count = np.where(turns[:, most + 1], count, 0)
        beyond = studs[every, most + 1 + sign * np.minimum(count + 1, most + 1)]
        stop = np.where((count <= most) & ~tail, beyond, 0)
        found.append((np.where(tail, 0, np.minimum(count, most)), stop.astype(np.float64)))
    return found


def _within(places: Ints, count: int) -> Ints:
    """Places held to 0 .. count - 1."""
    held: Ints = np.minimum(np.maximum(places, 0), count - 1)
    return held


def _bends(points: Floats, runs: Runs, offset: int) -> list[tuple[Ints, Ints, Ints]]:
    """The two bends of every run: index in y, and on which side of it in x and y its inside lies."""
    last = len(points) - 1
    before, after = np.maximum(runs.leg - 1, 0), np.minimum(runs.leg + 2, last)
    found = []
    for end, other, beyond in ((runs.start, runs.end, before), (runs.end, runs.start, after)):
        q, r = points[beyond, 0] > runs.at, other > end
        found.append((np.rint(end).astype(int) - offset, q.astype(int), r.astype(int)))
    return found
