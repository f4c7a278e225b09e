"""Lattices of lines on the stud grid, fitted to a territory.

One dynamic programme per axis over stud columns and the parity of the number of lines. The cost of
two neighbouring lines is how far their gap is from the pitch, times the length along which both
run inside, plus what the walls between them miss: all additive, so the fit is exact for the cost.
Variants come from seeded noise on the costs. Cost of one fit: columns × gaps × 2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ufh_core.circuits.field_grid import Bools, Floats, Ints, StudGrid, WallEnds

WIDEST_GAP = 1.5
"""Two runs 1.5 pitch apart leave no floor between them farther than 0.75 pitch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """Allowed distances between lines in studs, the least one, and pitch and clearance in studs."""

    allowed: tuple[int, ...]
    pitch: float
    clearance: float = 1.0

    @property
    def least(self) -> int:
        """The least distance between runs, and the least leg [studs]."""
        return self.allowed[0]


def gaps_for(pitch_m: float, stud_m: float, least_radius_m: float, separation_share: float) -> Gaps:
    """Gaps from the least legal one up to 1.5 pitch.

    >>> gaps_for(0.2, 0.05, 0.075, 0.75).allowed
    (3, 4, 5, 6)
    >>> gaps_for(0.15, 0.05, 0.075, 0.75).allowed
    (3, 4)
    """
    least = math.ceil(max(2 * least_radius_m, separation_share * pitch_m) / stud_m - 1e-6)
    most = max(least, math.floor(WIDEST_GAP * pitch_m / stud_m + 1e-6))
    return Gaps(allowed=tuple(range(least, most + 1)), pitch=pitch_m / stud_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisCosts:
    """The additive costs of one axis: `first[a]`, `last[a]` and `step[g, a]` for lines at a and a + gap g."""

    first: Floats
    last: Floats
    step: Floats
    gaps: Gaps


def axis_costs(node: Bools, ends: WallEnds, gaps: Gaps, stud_m: float) -> AxisCosts:
    """Costs for lines a = constant, where rows of `node[a, :]` run across them."""
    count = node.shape[0]
    begin = _wall_costs(ends.begin_count, ends.begin_gap / stud_m + gaps.clearance, gaps)
    end = _wall_costs(ends.end_count[::-1], ends.end_gap[::-1] / stud_m + gaps.clearance, gaps)[:, ::-1]
    step = np.full((len(gaps.allowed), count), math.inf)
    for g, gap in enumerate(gaps.allowed):
        both = (node[:-gap] & node[gap:]).sum(axis=1)
        step[g, : count - gap] = both * (gap / gaps.pitch - 1) ** 2 + 1e-3
        for k in range(gap):
            step[g, : count - gap] += begin[k, gap - k : count - k][: count - gap]
            step[g, : count - gap] += end[k, k : count - gap + k]
    first = np.array([sum(begin[min(k, len(begin) - 1), a - k] for k in range(a + 1)) for a in range(count)])
    last = np.array(
        [sum(end[min(k, len(end) - 1), a + k] for k in range(count - a)) for a in range(count)]
    )
    return AxisCosts(first=first, last=last, step=step, gaps=gaps)


def _wall_costs(count: Floats, gap: Floats, gaps: Gaps) -> Floats:
    """cost[k, a]: rows that begin at a have their first line k studs further on."""
    reach = max(gaps.allowed) + 3
    cost = np.zeros((reach, len(count)))
    for k in range(reach):
        away = (gap + k) / gaps.pitch
        cost[k] = count * ((away - 0.5) ** 2 + 6 * np.maximum(0, away - 0.75))
    return cost


def fit_lines(costs: AxisCosts, parity: int, forced: tuple[int, ...] = (), noise: Floats | None = None) -> list[int]:
    """The cheapest lines with `parity` of their number through every forced position; empty if there are none."""
    step = costs.step if noise is None else costs.step * noise
    step = step.copy()
    for position in forced:
        for g, gap in enumerate(costs.gaps.allowed):
            step[g, max(0, position - gap + 1) : position] = math.inf
    low, high = (min(forced), max(forced)) if forced else (math.inf, -1)
    count = len(costs.first)
    best = [[math.inf] * count, [math.inf] * count]
    origin: list[list[tuple[int, int]]] = [[(-1, 0)] * count, [(-1, 0)] * count]
    rows = step.tolist()
    for a in range(count):
        if a <= low and costs.first[a] < best[1][a]:
            best[1][a], origin[1][a] = float(costs.first[a]), (-1, 0)
        for odd in (0, 1):
            here = best[odd][a]
            if here == math.inf:
                continue
            for g, gap in enumerate(costs.gaps.allowed):
                total = here + rows[g][a]
                if total < math.inf and total < best[1 - odd][a + gap]:
                    best[1 - odd][a + gap], origin[1 - odd][a + gap] = total, (a, odd)
    return _read_back(best[parity], origin, parity, costs.last, high)


def _read_back(
    best: list[float], origin: list[list[tuple[int, int]]], parity: int, last: Floats, high: int
) -> list[int]:
    """The lines of the cheapest end at or after `high`."""
    total = np.array(best) + last
    total[: max(0, high)] = math.inf
    a = int(np.argmin(total))
    if not math.isfinite(total[a]):
        return []
    lines, odd = [], parity
    while a >= 0:
        lines.append(a)
        a, odd = origin[odd][a]
    return lines[::-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lattice:
    """Lines at `us` and `vs` [studs from the frame's origin]; `face[i, j]` may be inside the loop, `node[i, j]` may be passed.

    `tight[i, j, q, r]` marks nodes where a turn round the face at (q: west, east; r: south, north)
    would cut too near an obstacle.
    """

    us: tuple[int, ...]
    vs: tuple[int, ...]
    face: Bools
    node: Bools
    tight: Bools


def lattice(grid: StudGrid, xs: list[int], ys: list[int]) -> Lattice:
    """The lattice of the lines `xs`, `ys` [indices in the grid]; a face needs all its studs and stretches inside."""
    i, j = np.array(xs), np.array(ys)
    row_ok = _all_between(grid.along_x, i, axis=0)[:, j]
    column_ok = _all_between(grid.along_y, j, axis=1)[i, :]
    face = row_ok[:, :-1] & row_ok[:, 1:] & column_ok[:-1] & column_ok[1:] & _all_within(grid.node, i, j)
    return Lattice(
        us=tuple(x + grid.origin[0] for x in xs),
        vs=tuple(y + grid.origin[1] for y in ys),
        face=face,
        node=grid.node[np.ix_(i, j)],
        tight=~grid.quarter[np.ix_(i, j)],
    )


def _all_between(stretch: Bools, lines: Ints, axis: int) -> Bools:
    """Whether all stretches between neighbouring lines are inside."""
    missing = np.cumsum(np.insert(~stretch, 0, False, axis=axis), axis=axis)
    taken = np.take(missing, lines, axis=axis)
    return np.asarray(np.diff(taken, axis=axis) == 0)


def _all_within(node: Bools, i: Ints, j: Ints) -> Bools:
    """Whether all studs of each face, its edges included, are inside."""
    missing = np.pad(np.cumsum(np.cumsum(~node, axis=0), axis=1), ((1, 0), (1, 0)))
    west, east, south, north = i[:-1], i[1:] + 1, j[:-1], j[1:] + 1
    total = missing[np.ix_(east, north)] - missing[np.ix_(west, north)]
    total = total - missing[np.ix_(east, south)] + missing[np.ix_(west, south)]
    return np.asarray(total == 0)


def seen_along(of: Lattice, heading: tuple[int, int], mirrored: bool) -> Lattice:
    """The lattice with `heading` turned to (0, 1): u to the right of it (to the left when `mirrored`)."""
    u_sign, v_sign = signs(heading, mirrored)
    us, vs, face, node, tight = of.us, of.vs, of.face, of.node, of.tight
    if heading[0]:
        us, vs, face, node, tight = vs, us, face.T, node.T, tight.transpose(1, 0, 3, 2)
    if u_sign < 0:
        us, face, node, tight = tuple(-u for u in us[::-1]), face[::-1], node[::-1], tight[::-1, :, ::-1]
    if v_sign < 0:
        vs, face, node = tuple(-v for v in vs[::-1]), face[:, ::-1], node[:, ::-1]
        tight = tight[:, ::-1, :, ::-1]
    return Lattice(us=us, vs=vs, face=face, node=node, tight=tight)


def signs(heading: tuple[int, int], mirrored: bool) -> tuple[int, int]:
    """Signs of u and v against the axis that each runs along."""
    right = (heading[1], -heading[0])
    u_sign = right[0] + right[1]
    return (-u_sign if mirrored else u_sign), heading[0] + heading[1]


def back(u: float, v: float, heading: tuple[int, int], mirrored: bool) -> tuple[float, float]:
    """The place (x, y) that `seen_along` shows at (u, v)."""
    u_sign, v_sign = signs(heading, mirrored)
    return (v * v_sign, u * u_sign) if heading[0] else (u * u_sign, v * v_sign)
