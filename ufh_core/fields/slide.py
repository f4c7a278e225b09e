"""Compaction: the runs of a loop slide until every turn is wide enough and the gaps between them are even.

The order of the runs stays, only their places change, so the loop stays one loop. Runs along y move in
x, then runs along x in y, each as a programme over whole studs: neighbouring runs keep their
distance, legs between two bends their length, every run its way inside the area. All that counts is
differences of two places, so the best ones are found exactly (`places.py`). Cost: two programmes of some
hundred rows a round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ufh_core.fields.grid import Bools, Floats, Ints, StudGrid
from ufh_core.fields.joint import Rules
from ufh_core.fields.places import Whole, Wishes, settled

ROUNDS = 3
MOVE = 1.2  # pitches that a run may move at once
NEIGHBOURS = 3.5  # pitches up to which two runs facing each other draw together
WIDEST, NEAREST_WALL = 1.5, 0.75  # pitches from which on the floor between two runs, or to a wall, is cold
COLD, SHORT = 4.0, 400.0  # what a stud of cold floor and what a stud of a missing leg cost, in studs of odd gap
BULB = 5.0  # studs from the end of a turn to where a bulb begins
PARTS = 4  # costs are counted in quarter studs of odd gap


def slid(points: Floats, grid: StudGrid, rules: Rules, pitch: float, beside_bulb: float | None = None) -> Floats:
    """The corners [studs] with all runs moved, both tails where they were. `pitch` in studs.

    Distances that keep `rules` still do; those that do not are no smaller than before. With
    `beside_bulb`, the distance of a bulb to other runs, a turn need not be wide if it has room to swing out.
    """
    views = _Area.along_x(grid), _Area.along_y(grid)
    moved = -1
    for turn in range(2 * ROUNDS):
        if turn - moved >= 2 and turn >= 2:  # neither axis has moved since it was last looked at
            break
        before, axis = points, turn % 2
        seen = _slid(points[:, ::-1] if axis else points, views[axis], rules, pitch, beside_bulb)
        points = seen[:, ::-1] if axis else seen
        moved = moved if np.array_equal(points, before) else turn
    return points


@dataclass(frozen=True, slots=True, kw_only=True)
class _Area:
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
    def along_x(grid: StudGrid) -> _Area:
        """For runs along y."""
        return _Area(
            origin=grid.origin,
            no_node=_sums(~grid.node),
            no_way=_sums(~grid.along_y),
            across=grid.along_x,
            quarter=grid.quarter,
        )

    @staticmethod
    def along_y(grid: StudGrid) -> _Area:
        """For runs along x."""
        return _Area(
            origin=(grid.origin[1], grid.origin[0]),
            no_node=_sums(~grid.node.T),
            no_way=_sums(~grid.along_x.T),
            across=grid.along_y.T,
            quarter=grid.quarter.transpose(1, 0, 3, 2),
        )


def _sums(missing: Bools) -> Ints:
    return np.pad(np.cumsum(missing, axis=1), ((0, 0), (1, 0)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Runs:
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


def _slid(points: Floats, area: _Area, rules: Rules, pitch: float, beside_bulb: float | None) -> Floats:
    """The corners with all runs along y moved in x."""
    runs = _runs(points)
    if not len(runs.leg):
        return points
    room = _room(points, runs, area, math.floor(MOVE * pitch + 1e-9), rules.end_leg)
    programme = _Programme(len(runs.leg))
    programme.walls(runs, room, pitch)
    programme.runs(runs, rules, pitch, beside_bulb is not None)
    if beside_bulb is not None:
        programme.bulbs(runs, room, rules.leg, beside_bulb)
    at = programme.solved(runs.at, room)
    moved = points.copy()
    moved[runs.leg, 0] = at
    moved[runs.leg + 1, 0] = at
    return moved


def _runs(points: Floats) -> _Runs:
    leg = np.flatnonzero(np.abs(np.diff(points[:, 0])) < 1e-9)
    return _Runs(leg=leg, at=points[leg, 0], start=points[leg, 1], end=points[leg + 1, 1])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """How far each run may move down and up in x, and how many studs of wall then stop it."""

    down: Ints
    up: Ints
    wall_down: Floats
    wall_up: Floats


def _room(points: Floats, runs: _Runs, area: _Area, most: int, end_leg: float) -> _Room:
    """The room to move inside the area; none for the tails."""
    tail = (runs.leg == 0) | (runs.leg == len(points) - 2)
    down, wall_down = _way(points, runs, area, -1, most, tail)
    up, wall_up = _way(points, runs, area, 1, most, tail)
    for leg, end in ((1, points[0, 0]), (len(points) - 3, points[-1, 0])):
        for n in np.flatnonzero((runs.leg == leg) & ~tail):
            spare = max(0, math.floor(abs(runs.at[n] - end) - end_leg + 1e-9))
            way = down if runs.at[n] > end else up
            way[n] = min(way[n], spare)
    return _Room(down=down, up=up, wall_down=wall_down, wall_up=wall_up)


def _way(points: Floats, runs: _Runs, area: _Area, sign: int, most: int, tail: Bools) -> tuple[Ints, Floats]:
    """(places that each run may move on, studs outside at the place after that; 0 where that is none)."""
    rows, columns = area.across.shape
    here = np.rint(runs.at).astype(int) - area.origin[0]
    low = np.clip(np.rint(runs.low).astype(int) - area.origin[1], 0, columns - 1)
    high = np.clip(np.rint(runs.high).astype(int) - area.origin[1], 0, columns - 1)
    at = here[:, None] + sign * np.arange(most + 2)
    inside = (at >= 0) & (at < rows)
    at = np.clip(at, 0, rows - 1)
    outside = area.no_node[at, high[:, None] + 1] - area.no_node[at, low[:, None]]
    free = inside & (outside == 0) & (area.no_way[at, high[:, None]] == area.no_way[at, low[:, None]])
    step = np.minimum(at[:, :-1], at[:, 1:])
    free[:, 1:] &= area.across[step, low[:, None]] & area.across[step, high[:, None]]
    for end, q, r in _bends(points, runs, area.origin[1]):
        free[:, 1:] &= area.quarter[at[:, 1:], np.clip(end, 0, columns - 1)[:, None], q[:, None], r[:, None]]
    count = np.maximum(np.logical_and.accumulate(free, axis=1).sum(axis=1) - 1, 0)
    studs = np.where(inside, outside, high[:, None] - low[:, None] + 1)
    stop = np.where((count <= most) & ~tail, studs[np.arange(len(here)), np.minimum(count + 1, most + 1)], 0)
    return np.where(tail, 0, np.minimum(count, most)), stop.astype(np.float64)


def _bends(points: Floats, runs: _Runs, offset: int) -> list[tuple[Ints, Ints, Ints]]:
    """The two bends of every run: index in y, and on which side of it in x and y its inside lies."""
    last = len(points) - 1
    before, after = np.maximum(runs.leg - 1, 0), np.minimum(runs.leg + 2, last)
    found = []
    for end, other, beyond in ((runs.start, runs.end, before), (runs.end, runs.start, after)):
        q, r = points[beyond, 0] > runs.at, other > end
        found.append((np.rint(end).astype(int) - offset, q.astype(int), r.astype(int)))
    return found


class _Programme:
    """Rows and costs of one programme over the places of the runs."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.rows: list[tuple[Ints, Ints, Floats, Floats]] = []  # place b - place a >= least, cost of what is missing

    def add(self, a: Ints, b: Ints, least: Floats | float, cost: Floats | float) -> None:
        """place[b] - place[a] >= least, or else `cost` a stud; index -1 is the origin; infinite cost: must hold."""
        if len(a):
            self.rows.append((a, b, np.full(len(a), least, float), np.full(len(a), cost, float)))

    def walls(self, runs: _Runs, room: _Room, pitch: float) -> None:
        """Runs beside a wall keep half a pitch from it."""
        every, origin = np.arange(self.count), np.full(self.count, -1)
        wall_down = np.maximum(0.0, room.wall_down - _between(runs, runs.at - room.down - 1, runs.at))
        wall_up = np.maximum(0.0, room.wall_up - _between(runs, runs.at, runs.at + room.up + 1))
        half, cold = (max(1, math.floor(share * pitch + 1e-9)) for share in (0.5, NEAREST_WALL))
        for most, weight in {half: 1.0, cold: COLD}.items():
            low, high = runs.at - room.down - 1 + most, runs.at + room.up + 1 - most
            for studs, a, b, least in ((wall_down, every, origin, -low), (wall_up, origin, every, high)):
                beside = studs > 0
                self.add(a[beside], b[beside], least[beside], weight * studs[beside])

    def bulbs(self, runs: _Runs, room: _Room, turn: float, apart: float) -> None:
        """What lies on either side of a turn-round leaves room for it and for the distances beside it."""
        first = np.flatnonzero(runs.turns_round)
        west, east = np.minimum(runs.at[first], runs.at[first + 1]), np.maximum(runs.at[first], runs.at[first + 1])
        tip, back = runs.end[first], np.sign(runs.start[first] - runs.end[first])
        low, high = (pick(tip + BULB * back, tip - back)[:, None] for pick in (np.minimum, np.maximum))
        beside = (runs.low < high) & (runs.high > low)
        down = np.where(beside & (runs.at < west[:, None]), runs.at, -np.inf)
        up = np.where(beside & (runs.at > east[:, None]), runs.at, np.inf)
        lower, upper = runs.at - room.down, runs.at + room.up
        below, above = np.isfinite(down.max(axis=1)), np.isfinite(up.min(axis=1))
        least = turn + np.where(below, apart, np.minimum(lower[first], lower[first + 1]))
        least = least + np.where(above, apart, -np.maximum(upper[first], upper[first + 1]))
        self.add(
            np.where(below, down.argmax(axis=1), -1),
            np.where(above, up.argmin(axis=1), -1),
            np.ceil(least - 1e-9),
            SHORT,
        )

    def runs(self, runs: _Runs, rules: Rules, pitch: float, bulbs: bool = False) -> None:
        """Runs keep their order, distance and legs, and draw near to the pitch where they face each other."""
        order = np.lexsort((runs.low, runs.at))
        a, b = (order[n] for n in np.triu_indices(self.count, 1))
        away = runs.at[b] - runs.at[a]
        apart = np.maximum(runs.low[a], runs.low[b]) - np.minimum(runs.high[a], runs.high[b])
        near = (away <= 2 * math.floor(MOVE * pitch + 1e-9) + max(rules.apart, rules.leg)) & (apart < rules.apart)
        a, b, away, apart = a[near], b[near], away[near], apart[near]
        joined = np.abs(runs.leg[a] - runs.leg[b]) == 2
        self.add(a, b, np.minimum(away, rules.apart), np.inf)
        tied = away < 1e-9
        self.add(b[tied], a[tied], away[tied], np.inf)
        wide = joined & ~runs.turns_round[np.minimum(a, b)] if bulbs else joined
        self.add(a[wide], b[wide], float(rules.leg), SHORT)
        facing = (apart < 0) & (away <= NEIGHBOURS * pitch + 1e-9) & _seen(runs, a, b)
        a, b, length = a[facing], b[facing], -apart[facing]
        self.add(b, a, -float(round(pitch)), length)
        if pitch > rules.apart:
            self.add(a, b, float(round(pitch)), length)
        self.add(b, a, -float(math.floor(WIDEST * pitch + 1e-9)), COLD * length)

    def solved(self, at: Floats, room: _Room) -> Floats:
        """The places of least cost."""
        if not self.rows:
            return at
        low, high = at - room.down, at + room.up
        a, b, least, cost = self._rows_that_bind(low, high)
        if not len(a):
            return at
        cost = np.where(np.isfinite(cost), np.rint(PARTS * cost), -1)
        rows = Wishes(a=_whole(a), b=_whole(b), least=_whole(least), cost=_whole(cost))
        return settled(_whole(at), _whole(low), _whole(high), rows).astype(np.float64)

    def _rows_that_bind(self, low: Floats, high: Floats) -> tuple[Ints, Ints, Floats, Floats]:
        """The rows that some places between `low` and `high` would break; most never can be."""
        a, b, least, cost = (np.concatenate(parts) for parts in zip(*self.rows, strict=True))
        binds = np.append(low, 0.0)[b] - np.append(high, 0.0)[a] < least
        return a[binds], b[binds], least[binds], cost[binds]


def _whole(numbers: Floats | Ints) -> Whole:
    return np.rint(numbers).astype(np.int32)


def _between(runs: _Runs, above: Floats, below: Floats) -> Floats:
    """For every run, the studs beside which another run lies between two places: there it sees no wall."""
    overlap = np.minimum(runs.high[:, None], runs.high) - np.maximum(runs.low[:, None], runs.low)
    inside = (runs.at > above[:, None] + 1e-9) & (runs.at < below[:, None] - 1e-9)
    hidden: Floats = np.where(inside, np.maximum(overlap, 0.0), 0.0).sum(axis=1)
    return hidden


def _seen(runs: _Runs, a: Ints, b: Ints) -> Bools:
    """Whether no third run lies between two that face each other."""
    low, high = np.maximum(runs.low[a], runs.low[b]), np.minimum(runs.high[a], runs.high[b])
    between = (runs.at > runs.at[a][:, None] + 1e-9) & (runs.at < runs.at[b][:, None] - 1e-9)
    covers = (runs.low < high[:, None] - 1e-9) & (runs.high > low[:, None] + 1e-9)
    hidden: Bools = np.any(between & covers, axis=1)
    return ~hidden
