"""The gap that is left on the way in, the pitch, and where a loop turns round.

The turn-round of a double spiral is the bend that parts its pipe into a way in and a way out that lie side by side:
of all half turns the one at which the most of each part has the other within a pitch and a bit. A loop to and
fro has none.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from ufh_core.setting_out.studs import StudGrid
from ufh_core.setting_out.way import Floats, PipeWay, Run

STEP_M = 0.1
LEAST_RUN_M, LEAST_BESIDE_M = 0.3, 0.2
LEAST_SHARE = 0.6
NEAR = 1.4
LEAST_POINTS = 10
LEAST_TURN_DEG, WIDEST_TURN = 170.0, 2.5
APART_M = 0.6
WIDEST_M = 0.9
SAME_DIRECTION = 0.999
ALONG_RAD = 0.01
TOUCHING_M = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """The usual distance between neighbouring runs [m], the studs between them, the share of length that keeps it."""

    gap_m: float
    studs: int | None
    share: float = 1.0


def turn_round(way: PipeWay, start_m: float, end_m: float, pitch_m: float) -> float | None:
    """Way [m] to the middle of the turn-round of a field between two ways along the pipe; None without one."""
    ways, points = way.sampled(STEP_M)
    own = (ways >= start_m) & (ways <= end_m)
    ways, points = ways[own], points[own]
    candidates = [at for at in _half_turns(way, WIDEST_TURN * pitch_m) if start_m < at < end_m]
    if not candidates or len(ways) < LEAST_POINTS:
        return None
    first, last = _reach(ways, points, NEAR * pitch_m)
    shares = [_side_by_side(ways, first, last, at) for at in candidates]
    best = int(np.argmax(shares))
    return candidates[best] if shares[best] >= LEAST_SHARE else None


def _half_turns(way: PipeWay, most_m: float) -> list[float]:
    """Ways [m] to the middles of half turns: one bend, or two of one sense with a straight up to `most_m` between."""
    found = [(bend.start_m + bend.end_m) / 2 for bend in way.bends if abs(bend.turn_deg) >= LEAST_TURN_DEG]
    for one, next_ in pairwise(way.bends):
        both = abs(one.turn_deg + next_.turn_deg)
        single = max(abs(one.turn_deg), abs(next_.turn_deg)) < LEAST_TURN_DEG
        if single and both >= LEAST_TURN_DEG and next_.start_m - one.end_m <= most_m:
            found.append((one.start_m + next_.end_m) / 2)
    return sorted(found)


def _reach(ways: Floats, points: Floats, near_m: float) -> tuple[Floats, Floats]:
    """For each point the first and the last way along the pipe [m] of others near it, off its own neighbourhood."""
    pairs = cKDTree(points).query_pairs(near_m, output_type="ndarray")
    pairs = pairs[np.abs(ways[pairs[:, 0]] - ways[pairs[:, 1]]) > APART_M]
    first, last = np.full(len(ways), np.inf), np.full(len(ways), -np.inf)
    for one, other in ((0, 1), (1, 0)):
        np.minimum.at(first, pairs[:, one], ways[pairs[:, other]])
        np.maximum.at(last, pairs[:, one], ways[pairs[:, other]])
    return first, last


def _side_by_side(ways: Floats, first: Floats, last: Floats, at_m: float) -> float:
    """The lesser share of way in and way out that has the other beside it."""
    inwards = ways < at_m
    if inwards.sum() < 3 or (~inwards).sum() < 3:
        return 0.0
    return float(min((last[inwards] > at_m).mean(), (first[~inwards] < at_m).mean()))


def spacing(runs: Sequence[Run], grid: StudGrid) -> Spacing | None:
    """The distance to the next run beside that most length of some runs has; None where none lie side by side."""
    long = [run for run in runs if run.length_m >= LEAST_RUN_M]
    lengths: dict[float, float] = defaultdict(float)
    counted: dict[float, int | None] = {}
    for run in long:
        beside = _beside(run, long)
        if beside is not None:
            gap, length, one, other = beside
            key = round(gap * 200) / 200
            lengths[key] += length
            if key not in counted:
                counted[key] = grid.between(one, other) if on_grid(run, grid) else None
    if not lengths:
        return None
    best = max(lengths, key=lambda gap: (lengths[gap], -gap))
    return Spacing(gap_m=best, studs=counted[best], share=lengths[best] / sum(lengths.values()))


def on_grid(run: Run, grid: StudGrid) -> bool:
    """Whether a run lies along the axes of a grid, so that studs beside it can be counted."""
    off = (run.heading - grid.angle_rad + math.pi / 4) % (math.pi / 2) - math.pi / 4
    return abs(off) < ALONG_RAD


def _beside(
    run: Run, others: Sequence[Run], least_m: float = LEAST_BESIDE_M
) -> tuple[float, float, float, float] | None:
    """(distance, length side by side, places across in the grid of the run and of the other) of the nearest run."""
    along = np.subtract(run.end, run.start) / run.length_m
    across = np.array([-along[1], along[0]])
    ends = np.array([(other.start, other.end) for other in others]).reshape(-1, 2, 2) - np.array(run.start)
    ways, offs = ends @ along, (ends @ across).mean(axis=1)
    length = np.array([other.length_m for other in others])
    parallel = np.abs(ways[:, 1] - ways[:, 0]) >= SAME_DIRECTION * length
    shared = np.minimum(ways.max(axis=1), run.length_m) - np.maximum(ways.min(axis=1), 0.0)
    beside = parallel & (shared >= least_m) & (np.abs(offs) > TOUCHING_M)
    if not beside.any():
        return None
    best = int(np.where(beside, np.abs(offs), np.inf).argmin())
    base, off = float(np.dot(run.start, across)), float(offs[best])
    return abs(off), float(shared[best]), base, base + off


def width_of_turn(way: PipeWay, at_m: float, grid: StudGrid) -> Spacing | None:
    """The distance between the runs before and after a turn-round, and the studs between them."""
    before = [r for r in way.runs if at_m - WIDEST_M < r.end_m <= at_m + 1e-6 or r.start_m <= at_m < r.end_m][-3:]
    after = [r for r in way.runs if at_m - 1e-6 <= r.start_m < at_m + WIDEST_M][:3]
    found = [
        (beside, run)
        for run in before
        for beside in (_beside(run, [other for other in after if other is not run], least_m=0.02),)
        if beside is not None
    ]
    if not found:
        return None
    (gap, _, one, other), run = min(found, key=lambda pair: pair[0])
    return Spacing(gap_m=gap, studs=grid.between(one, other) if on_grid(run, grid) else None)
