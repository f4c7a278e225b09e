"""Compaction: the runs of a loop slide until every turn is wide enough and the gaps between them are even.

The order of the runs stays, only their places change, so the loop stays one loop. Runs along y move in
x, then runs along x in y, each as a programme over whole studs: neighbouring runs keep their
distance, legs between two bends their length, every run its way inside the area. All that counts is
differences of two places, so the best ones are found exactly (`places.py`). Cost: two programmes of some
hundred rows a round. `_places.c` holds all of a round's work; what is below is its twin.
"""

from __future__ import annotations

import math

import numpy as np

from ufh_core.fields import places
from ufh_core.fields.grid import Bools, Floats, Ints
from ufh_core.fields.joint import Rules
from ufh_core.fields.moves import Area, Areas, Room, Runs, room_of, runs_of
from ufh_core.fields.places import Whole, Wishes, settled

ROUNDS = 3
MOVE = 1.2  # pitches that a run may move at once
NEIGHBOURS = 3.5  # pitches up to which two runs facing each other draw together
WIDEST, NEAREST_WALL = 1.5, 0.75  # pitches from which on the floor between two runs, or to a wall, is cold
COLD, SHORT = 4.0, 400.0  # what a stud of cold floor and what a stud of a missing leg cost, in studs of odd gap
BULB = 5.0  # studs from the end of a turn to where a bulb begins
PARTS = 4  # costs are counted in quarter studs of odd gap


def slid(
    points: Floats,
    areas: Areas,
    rules: Rules,
    pitch: float,
    beside_bulb: float | None = None,
    aslant: bool = False,
) -> Floats:
    """The corners [studs] with all runs moved in `areas_of` a grid, both tails where they were. `pitch` in studs.

    Distances that keep `rules` still do; those that do not are no smaller than before. With
    `beside_bulb`, the distance of a bulb to other runs, a turn need not be wide if it has room to swing out.
    Where steps may be laid `aslant`, those between long runs may stay narrow.
    """
    moved = -1
    for turn in range(2 * ROUNDS):
        if turn - moved >= 2 and turn >= 2:  # neither axis has moved since it was last looked at
            break
        before, axis = points, turn % 2
        slide = _slid if places.compiled is None else _slid_compiled
        seen = slide(points[:, ::-1] if axis else points, areas[axis], rules, pitch, beside_bulb, aslant)
        points = seen[:, ::-1] if axis else seen
        moved = moved if np.array_equal(points, before) else turn
    return points


def _slid(points: Floats, area: Area, rules: Rules, pitch: float, beside_bulb: float | None, aslant: bool) -> Floats:
    """The corners with all runs along y moved in x."""
    runs = runs_of(points)
    if not len(runs.leg):
        return points
    room = room_of(points, runs, area, _most(pitch), rules.end_leg)
    programme = _Programme(len(runs.leg))
    programme.walls(runs, room, pitch)
    programme.runs(runs, rules, pitch, beside_bulb is not None, aslant)
    if beside_bulb is not None:
        programme.bulbs(runs, room, rules.leg, beside_bulb)
    at = programme.solved(runs.at, room)
    moved = points.copy()
    moved[runs.leg, 0] = at
    moved[runs.leg + 1, 0] = at
    return moved


def _slid_compiled(
    points: Floats, area: Area, rules: Rules, pitch: float, beside_bulb: float | None, aslant: bool
) -> Floats:
    """The same by compiled code."""
    assert places.compiled is not None
    figures = np.array([*_lengths(rules, pitch, beside_bulb), aslant, COLD, SHORT, BULB, PARTS], np.float64)
    shape = (*area.across.shape, *area.origin)
    grids = (area.no_node, area.no_way, area.across, area.quarter)
    moved = places.compiled.slid(np.ascontiguousarray(points, np.float64), *grids, shape, figures)
    return np.frombuffer(moved, np.float64).reshape(-1, 2)


def _lengths(rules: Rules, pitch: float, beside_bulb: float | None) -> tuple[float, ...]:
    """Lengths in the order in which the compiled code takes them [studs]."""
    return (
        _most(pitch),
        rules.end_leg,
        *_beside_wall(pitch),
        NEIGHBOURS * pitch + 1e-9,
        math.floor(WIDEST * pitch + 1e-9),
        round(pitch),
        pitch > rules.apart,
        rules.apart,
        rules.leg,
        -1.0 if beside_bulb is None else beside_bulb,
    )


def _most(pitch: float) -> int:
    """How far a run may move at once [studs]."""
    return math.floor(MOVE * pitch + 1e-9)


def _beside_wall(pitch: float) -> tuple[int, int]:
    """How far a run should lie from a wall, and at how far the floor there is cold [studs]."""
    half, cold = (max(1, math.floor(share * pitch + 1e-9)) for share in (0.5, NEAREST_WALL))
    return half, cold


class _Programme:
    """Rows and costs of one programme over the places of the runs."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.rows: list[tuple[Ints, Ints, Floats, Floats]] = []  # place b - place a >= least, cost of what is missing

    def add(self, a: Ints, b: Ints, least: Floats | float, cost: Floats | float) -> None:
        """place[b] - place[a] >= least, or else `cost` a stud; index -1 is the origin; infinite cost: must hold."""
        if len(a):
            self.rows.append((a, b, np.full(len(a), least, float), np.full(len(a), cost, float)))

    def walls(self, runs: Runs, room: Room, pitch: float) -> None:
        """Runs beside a wall keep half a pitch from it."""
        every, origin = np.arange(self.count), np.full(self.count, -1)
        wall_down = np.maximum(0.0, room.wall_down - _between(runs, runs.at - room.down - 1, runs.at))
        wall_up = np.maximum(0.0, room.wall_up - _between(runs, runs.at, runs.at + room.up + 1))
        half, cold = _beside_wall(pitch)
        for most, weight in {half: 1.0, cold: COLD}.items():
            low, high = runs.at - room.down - 1 + most, runs.at + room.up + 1 - most
            for studs, a, b, least in ((wall_down, every, origin, -low), (wall_up, origin, every, high)):
                beside = studs > 0
                self.add(a[beside], b[beside], least[beside], weight * studs[beside])

    def bulbs(self, runs: Runs, room: Room, turn: float, apart: float) -> None:
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

    def runs(self, runs: Runs, rules: Rules, pitch: float, bulbs: bool, aslant: bool) -> None:
        """Runs keep their order, distance and legs, and draw near to the pitch where they face each other."""
        order = np.lexsort((runs.low, runs.at))
        a, b = (order[n] for n in np.triu_indices(self.count, 1))
        away = runs.at[b] - runs.at[a]
        apart = np.maximum(runs.low[a], runs.low[b]) - np.minimum(runs.high[a], runs.high[b])
        near = (away <= 2 * _most(pitch) + max(rules.apart, rules.leg)) & (apart < rules.apart)
        a, b, away, apart = a[near], b[near], away[near], apart[near]
        joined = np.abs(runs.leg[a] - runs.leg[b]) == 2
        self.add(a, b, np.minimum(away, rules.apart), np.inf)
        tied = away < 1e-9
        self.add(b[tied], a[tied], away[tied], np.inf)
        if bulbs:  # they have rows of their own
            joined &= ~runs.turns_round[np.minimum(a, b)]
        if aslant:
            joined &= np.minimum((runs.high - runs.low)[a], (runs.high - runs.low)[b]) <= rules.leg
        self.add(a[joined], b[joined], float(rules.leg), SHORT)
        facing = (apart < 0) & (away <= NEIGHBOURS * pitch + 1e-9) & _seen(runs, a, b)
        a, b, length = a[facing], b[facing], -apart[facing]
        self.add(b, a, -float(round(pitch)), length)
        if pitch > rules.apart:
            self.add(a, b, float(round(pitch)), length)
        self.add(b, a, -float(math.floor(WIDEST * pitch + 1e-9)), COLD * length)

    def solved(self, at: Floats, room: Room) -> Floats:
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


def _between(runs: Runs, above: Floats, below: Floats) -> Floats:
    """For every run, the studs beside which another run lies between two places: there it sees no wall."""
    overlap = np.minimum(runs.high[:, None], runs.high) - np.maximum(runs.low[:, None], runs.low)
    inside = (runs.at > above[:, None] + 1e-9) & (runs.at < below[:, None] - 1e-9)
    hidden: Floats = np.where(inside, np.maximum(overlap, 0.0), 0.0).sum(axis=1)
    return hidden


def _seen(runs: Runs, a: Ints, b: Ints) -> Bools:
    """Whether no third run lies between two that face each other."""
    low, high = np.maximum(runs.low[a], runs.low[b]), np.minimum(runs.high[a], runs.high[b])
    between = (runs.at > runs.at[a][:, None] + 1e-9) & (runs.at < runs.at[b][:, None] - 1e-9)
    covers = (runs.low < high[:, None] - 1e-9) & (runs.high > low[:, None] + 1e-9)
    hidden: Bools = np.any(between & covers, axis=1)
    return ~hidden
