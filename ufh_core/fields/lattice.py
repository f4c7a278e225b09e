"""Lattices of lines on the stud grid, fitted to a territory.

One dynamic programme per axis over stud columns and the parity of the number of lines. The cost of
two neighbouring lines is how far their gap is from the pitch, times the length along which both
run inside, plus what the walls between them miss: all additive, so the fit is exact for the cost.
Variants come from seeded noise on the costs. Cost of one fit: columns × gaps × 2.
"""

from __future__ import annotations

import itertools
import math
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ufh_core.fields import core
from ufh_core.fields.grid import Bools, Floats, Ints, StudGrid, WallEnds

WIDEST_GAP = 1.5
"""Two runs 1.5 pitch apart leave no floor between them farther than 0.75 pitch."""

MORE = 0.04
"""What a line is worth for each stud of its length, where gaps may be narrower than the pitch or as wide as it."""
OTHER_WORTHS = (0.15, -0.10)
"""What lines are taken to be worth besides, to find sets of more and of fewer lines."""
SLACK = (20, 3)  # a wide gap at least in so many, first for big rooms, then for narrow arms


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """Allowed distances between lines, pitch, width of a turn and clearance, all in studs.

    Where a turn is wider than the least distance, lines are drawn with `slack`: sets of lines of which one gap in
    so many is as wide as a turn.
    """

    allowed: tuple[int, ...]
    pitch: float
    turn: int
    clearance: float = 1.0
    slack: tuple[int, ...] = (0,)

    @property
    def least(self) -> int:
        """The least distance between lines, and between the runs on them [studs]."""
        return self.allowed[0]


def gaps_for(pitch_m: float, stud_m: float, least_radius_m: float, separation_m: float) -> Gaps:
    """Gaps from the least legal one up to 1.5 pitch, where a turn is wider than the pitch from the pitch itself.

    >>> gaps_for(0.2, 0.05, 0.075, 0.15).allowed
    (3, 4, 5, 6)
    >>> gaps_for(0.15, 0.05, 0.075, 0.1125).allowed
    (3, 4)
    >>> gaps_for(0.1, 0.05, 0.075, 0.075).allowed
    (2, 3)
    """
    turn = math.ceil(2 * least_radius_m / stud_m - 1e-6)
    wanted = min(pitch_m, 2 * least_radius_m)
    least = math.ceil(max(wanted, separation_m) / stud_m - 1e-6)
    most = max(least, math.floor(WIDEST_GAP * pitch_m / stud_m + 1e-6))
    if least >= turn:
        return Gaps(allowed=tuple(range(least, most + 1)), pitch=pitch_m / stud_m, turn=turn)
    return Gaps(allowed=tuple(range(least, max(most, turn) + 1)), pitch=pitch_m / stud_m, turn=turn, slack=SLACK)


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisCosts:
    """The additive costs of one axis: `first[a]`, `last[a]` and `step[g, a]` for lines at a and a + gap g.

    `extent` is the length of all runs, by which costs are compared.
    """

    first: Floats
    last: Floats
    step: Floats
    gaps: Gaps
    extent: float
    runs: Floats

    def at_worth(self, more: float) -> AxisCosts:
        """The same where each line is worth so much for each stud of its length."""
        first, step = self.first.copy(), self.step.copy()
        _with_worth(first, step, (more - MORE) * self.runs, self.gaps)
        return replace(self, first=first, step=step)

    def of(self, at: Sequence[int]) -> float:
        """The cost of a set of lines."""
        number = {gap: g for g, gap in enumerate(self.gaps.allowed)}
        steps = sum(float(self.step[number[b - a], a]) for a, b in itertools.pairwise(at))
        return float(self.first[at[0]]) + steps + float(self.last[at[-1]])


def axis_costs(node: Bools, ends: WallEnds, gaps: Gaps, stud_m: float) -> AxisCosts:
    """Costs for lines a = constant, where rows of `node[a, :]` run across them."""
    count = node.shape[0]
    begin = _wall_costs(ends.begin_count, ends.begin_gap / stud_m + gaps.clearance, gaps)
    end = _wall_costs(ends.end_count[::-1], ends.end_gap[::-1] / stud_m + gaps.clearance, gaps)[:, ::-1]
    step = np.full((len(gaps.allowed), count), math.inf)
    for g, gap in enumerate(gaps.allowed):
        if gap >= count:
            continue  # wider than the whole area
        both = (node[:-gap] & node[gap:]).sum(axis=1)
        step[g, : count - gap] = both * (gap / gaps.pitch - 1) ** 2 + 1e-3
        for k in range(gap):
            step[g, : count - gap] += begin[k, gap - k : count - k][: count - gap]
            step[g, : count - gap] += end[k, k : count - gap + k]
    reach = len(begin) - 1
    first, last = np.zeros(count), np.zeros(count)
    for k in range(count):
        first[k:] += begin[min(k, reach), : count - k]
        last[: count - k] += end[min(k, reach), k:]
    empty = ~node.any(axis=1)  # a line outside would cheat the count of lines
    first[empty] = last[empty] = math.inf
    runs = node.sum(axis=1).astype(float)
    if gaps.least >= gaps.turn:
        _with_worth(first, step, MORE * runs, gaps)
    extent = max(1.0, float(node.sum()) / gaps.pitch)
    return AxisCosts(first=first, last=last, step=step, gaps=gaps, extent=extent, runs=runs)


def _with_worth(first: Floats, step: Floats, worth: Floats, gaps: Gaps) -> None:
    """Take what each line is worth off the costs: of two ways equally near to the pitch, the one of more lines."""
    first -= worth
    for g, gap in enumerate(gaps.allowed):
        step[g, : max(0, len(worth) - gap)] -= worth[gap:]


def _wall_costs(count: Floats, gap: Floats, gaps: Gaps) -> Floats:
    """cost[k, a]: rows that begin at a have their first line k studs further on."""
    reach = max(gaps.allowed) + 3
    cost = np.zeros((reach, len(count)))
    for k in range(reach):
        away = (gap + k) / gaps.pitch
        cost[k] = count * ((away - 0.5) ** 2 + 6 * np.maximum(0, away - 0.75))
    return cost


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Lines of one axis [grid indices], with their cost."""

    at: tuple[int, ...]
    cost: float


Parity = tuple[int, int]
"""(a, odd): the number of lines up to index a is odd (1) or even (0)."""


def fit_lines(
    costs: AxisCosts,
    parities: tuple[Parity, ...],
    forced: int | None = None,
    noise: Floats | None = None,
    slack: int = 0,
) -> Lines | None:
    """The cheapest lines that keep every parity and pass through `forced`; the last parity counts all lines.

    With `slack`, about every so many gaps one is as wide as a turn. Returns None where there are none.
    """
    step = (costs.step if noise is None else costs.step * noise).copy()
    first, last = costs.first.copy(), costs.last.copy()
    if forced is not None:
        for g, gap in enumerate(costs.gaps.allowed):
            step[g, max(0, forced - gap + 1) : forced] = math.inf
        first[forced + 1 :] = math.inf
        last[:forced] = math.inf
    for position in _wide_at(costs, slack):
        for g, gap in enumerate(costs.gaps.allowed):
            if gap < costs.gaps.turn:
                step[g, max(0, position - gap + 1) : position + 1] = math.inf
    by_parity = [step, step.copy()]  # of the number of lines up to the step's start
    for position, odd in parities[:-1]:
        first[position + 1 :] = math.inf if odd else first[position + 1 :]
        for g, gap in enumerate(costs.gaps.allowed):
            by_parity[1 - odd][g, max(0, position - gap + 1) : position + 1] = math.inf
    return _cheapest(by_parity, first, last, costs.gaps.allowed, parities[-1][1])


def _wide_at(costs: AxisCosts, every: int) -> list[int]:
    """Places spread over the extent, one in `every` gaps and one more: compaction moves their slack to the turns."""
    if not every:
        return []
    used = np.flatnonzero(np.isfinite(costs.first))
    low, extent = int(used[0]), int(used[-1] - used[0])
    count = max(1, round(extent / (every * costs.gaps.pitch + 1)))
    return [low + round((k + 0.5) * extent / count) for k in range(count)]


def _cheapest(step: list[Floats], first: Floats, last: Floats, gaps: tuple[int, ...], parity: int) -> Lines | None:
    """Dynamic programme over (index, parity of the number of lines up to it)."""
    if core.compiled is not None:
        widths = array("i", gaps).tobytes()
        at, cost = core.compiled.fit(step[0], step[1], first, last, widths, parity)
        return Lines(at=tuple(at), cost=cost) if len(at) > 1 else None
    count = len(first)
    best = [[math.inf] * count, first.tolist()]
    origin = [[(-1, 0)] * count, [(-1, 0)] * count]
    rows = [[list(r) for r in zip(*s.tolist(), strict=True)] for s in step]
    for a in range(count):
        for odd in (0, 1):
            here = best[odd][a]
            if here == math.inf:
                continue
            target, source = best[1 - odd], origin[1 - odd]
            for gap, extra in zip(gaps, rows[odd][a], strict=True):
                total = here + extra
                if total < math.inf and total < target[a + gap]:
                    target[a + gap], source[a + gap] = total, (a, odd)
    total_cost = np.array(best[parity]) + last
    a, odd = int(np.argmin(total_cost)), parity
    cost = float(total_cost[a])
    if not math.isfinite(cost):
        return None
    lines = []
    while a >= 0:
        lines.append(a)
        a, odd = origin[odd][a]
    return Lines(at=tuple(lines[::-1]), cost=cost) if len(lines) > 1 else None


LONG_WALL = 8  # studs from which a wall inside the extent asks for a parity of its own
WALLS_TRIED = 2


def parity_wishes(ends: WallEnds) -> list[tuple[Parity, ...]]:
    """Parities worth trying, all even first.

    An even number of lines between two facing walls lets pairs of runs fill the floor between
    them without a run left over; so every long wall inside the extent has a wish of its own.
    """
    count = len(ends.begin_count)
    walls = [(float(n), a - 1) for a, n in enumerate(ends.begin_count) if n >= LONG_WALL]
    walls += [(float(n), a) for a, n in enumerate(ends.end_count) if n >= LONG_WALL]
    used = np.flatnonzero(ends.begin_count + ends.end_count)
    low, high = int(used[0]), int(used[-1])
    inner = sorted((w for w in walls if low <= w[1] < high), key=lambda w: (-w[0], w[1]))[:WALLS_TRIED]
    positions = sorted({a for _, a in inner})
    combinations = itertools.product((0, 1), repeat=len(positions) + 1)
    ordered = sorted(combinations, key=lambda c: (sum(c), c))
    return [tuple(zip([*positions, count], c, strict=True)) for c in ordered]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lattice:
    """Lines at `us` and `vs` [studs from the frame's origin]; `face[i, j]` may be inside the loop.

    `tight[i, j, q, r]` marks nodes where a turn round the face at (q: west, east; r: south, north)
    would cut too near an obstacle.
    """

    us: tuple[int, ...]
    vs: tuple[int, ...]
    face: Bools
    node: Bools
    tight: Bools


def lattice(grid: StudGrid, xs: tuple[int, ...], ys: tuple[int, ...]) -> Lattice:
    """The lattice of the lines `xs`, `ys` [indices in the grid]; a face needs all its studs and stretches inside."""
    i, j = np.array(xs)[:, None], np.array(ys)
    in_rows, in_columns = grid.missing.along_x[i, j], grid.missing.along_y[i, j]
    row_ok, column_ok = in_rows[1:] == in_rows[:-1], in_columns[:, 1:] == in_columns[:, :-1]
    face = row_ok[:, :-1] & row_ok[:, 1:] & column_ok[:-1] & column_ok[1:] & _all_within(grid.missing.node, i, j)
    return Lattice(
        us=tuple(x + grid.origin[0] for x in xs),
        vs=tuple(y + grid.origin[1] for y in ys),
        face=face,
        node=grid.node[i, j],
        tight=~grid.quarter[i, j],
    )


def _all_within(missing: Ints, i: Ints, j: Ints) -> Bools:
    """Whether all studs of each face, its edges included, are inside, by the counts of those `missing`."""
    west, east, south, north = i[:-1], i[1:] + 1, j[:-1], j[1:] + 1
    total: Ints = missing[east, north] - missing[west, north] - missing[east, south] + missing[west, south]
    return np.equal(total, 0)
