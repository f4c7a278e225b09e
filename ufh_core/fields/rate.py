"""How good a loop is, on the stud raster: floor missed, greatest gap, unevenness, bends, length.

Distances by an exact Euclidean distance transform, water temperatures by a Gaussian mean of the
pipe near each place, weighted by its length (0.7 pitch, cut at 2 pitches), at every other stud both
ways. All in integers, so that compiled code and its twin here agree to the last digit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ufh_core.fields import core
from ufh_core.fields.grid import Bools, StudGrid
from ufh_core.fields.joint import Corner

REACH = 0.75
SPREAD, CUT = 0.7, 2.0
LEVELS, FINER = 1023, 16
"""Water falls from 0 to so many levels along the pipe; means are taken to a sixteenth of one."""
PEAK, WHOLE = 32, 1000
"""Greatest weight of the Gaussian and greatest sum of its weights: means of means fit 32 bits."""

GAP = 6.0  # what it costs that the greatest distance is more than 0.85 pitch, for each pitch
OFF, OFF_BY_KIND, FREE, BIAS, NEAR = 60.0, 20.0, 0.01, 0.002, 0.03
"""What a length that is off costs, beside loops of its own kind and of others, the share free of it, what a round
axis lacks, and the share up to which nearly everything is given for the right length."""
BUMP, SHALLOW = 0.4, 1.6  # what each bump costs a fitter, and how deep and wide it is at most [pitches]
COLD, AIM = 600.0, 0.004  # what floor costs that is missed beyond what the aim for covered floor allows
WIDER, WIDE = 10.0, 0.8  # a pitch of greatest distance beyond this, a little below the aim: studs do not see all floor
CUT_OFF = 2 - math.pi / 2
"""What a bend takes off the way round its corner, in radii."""

Small = NDArray[np.int32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The length of pipe that floor and pitch ask for [m], and the radius that bends are laid with [m]."""

    length_m: float
    radius_m: float

    def off(self, corners_m: float, bends: int) -> float:
        """Share of the wished length that a pipe of `corners_m` by its corners has too much; negative: too little."""
        return (corners_m - CUT_OFF * self.radius_m * bends) / self.length_m - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """`missed` share of the floor beyond 0.75 pitch, `gap` greatest distance [pitches], `bends` right angles.

    `disorder` of a meander says how far its water is from cooling steadily away from the warm side
    (0 to 2, 0 where no side is asked to be warm); None: its water should be even over the floor.
    `edge` is the cost of what an edge zone lacks. `off` is the share of pipe that there is too much against what the
    pitch asks for, negative where some is missing. `strict` is what `on_studs` adds.
    """

    missed: float
    gap: float
    unevenness: float
    bends: int
    length_m: float
    disorder: float | None = None
    edge: float = 0.0
    off: float = 0.0
    strict: float = 0.0

    @property
    def cost(self) -> float:
        """One figure to compare loops of one kind by; floor first."""
        return self.cost_as_laid + self.cost_of_length + COLD * max(0.0, self.missed - AIM)

    @property
    def cost_of_length(self) -> float:
        """What it costs that the length is off."""
        off = max(0.0, abs(self.off - BIAS) - FREE)
        return OFF * min(off, NEAR) + OFF_BY_KIND * max(0.0, off - NEAR)

    @property
    def kind_cost(self) -> float:
        """One figure to compare loops of different kinds by: runs along the walls are worth some pipe."""
        return self.cost_as_laid + OFF_BY_KIND * max(0.0, abs(self.off) - FREE)

    @property
    def cost_as_laid(self) -> float:
        """The cost but for what the length is off."""
        cold = 100 * self.missed + GAP * max(0.0, self.gap - 0.85)
        warm = 20 * self.unevenness if self.disorder is None else 10 * self.disorder
        return cold + warm + self.edge + self.strict + 4 * self.bends / max(self.length_m, 1.0)


def rate(
    corners: tuple[Corner, ...],
    grid: StudGrid,
    floor: Bools,
    pitch_m: float,
    wish: Wish | None = None,
    limit: float = math.inf,
) -> Rating | None:
    """Rate a loop on the `floor` studs; None as soon as its cost must be above `limit`."""
    pitch = pitch_m / grid.stud_m
    points = np.array(corners, float)
    places = np.rint(points).astype(np.int32) - np.array(grid.origin, np.int32)
    run, away, missed, farthest = distances(places, floor, math.floor((REACH * pitch + 1e-6) ** 2))
    bends = len(corners) - 2
    length_m = grid.stud_m * float(np.abs(np.diff(points, axis=0)).sum())
    rating = Rating(
        missed=missed / max(1, int(np.count_nonzero(floor))),
        gap=math.sqrt(farthest) / pitch,
        unevenness=0.0,
        bends=bends,
        length_m=length_m,
        off=wish.off(length_m, bends) if wish else 0.0,
    )
    if rating.cost > limit:
        return None
    return replace(rating, unevenness=unevenness(run, away, floor, pitch))


def on_studs(rating: Rating, corners: Sequence[tuple[float, float]], pitch: float) -> Rating:
    """The rating of a loop on a stud grid, where a fitter bends every crenel by hand. `pitch` in studs."""
    return replace(rating, strict=WIDER * max(0.0, rating.gap - WIDE) + BUMP * bumps(corners, pitch))


def bumps(corners: Sequence[tuple[float, float]], pitch: float) -> int:
    """Turn-rounds of a loop not much deeper and wider than a pitch; those at its ends not.

    A crenel has two: one where it turns round, one where the next one begins.
    """
    legs = np.diff(np.array(corners, float), axis=0)
    lengths, most = np.hypot(legs[:, 0], legs[:, 1]), SHALLOW * pitch + 1e-6
    shallow = (np.minimum(lengths[1:-3], lengths[3:-1]) <= most) & (lengths[2:-2] <= most)
    return int(np.count_nonzero(((legs[1:-3] * legs[3:-1]).sum(axis=1) < 0) & shallow))


def distances(places: Small, floor: Bools, reach: int) -> tuple[Small, Small, int, int]:
    """(run, squared distance, number of floor studs beyond `reach`, greatest squared distance of one), in studs.

    `places` are the corners as indices, `reach` is squared. The run is that of the pipe on every stud,
    -1 where there is none; distances count on floor studs only.
    """
    if core.compiled is not None:
        run, away = np.empty(floor.shape, np.int32), np.empty(floor.shape, np.int32)
        missed, farthest = core.compiled.distances(places, floor, run, away, floor.shape[1], reach)
        return run, away, missed, farthest
    run = _painted(places, floor)
    away = np.rint(ndimage.distance_transform_edt(run < 0) ** 2).astype(np.int32)
    return run, away, int(np.count_nonzero(away[floor] > reach)), int(away[floor].max(initial=0))


def _painted(places: Small, floor: Bools) -> Small:
    """The run of the pipe on every stud that it passes, -1 elsewhere."""
    painted = np.full(floor.shape, -1, np.int32)
    legs = np.abs(np.diff(places, axis=0)).sum(axis=1)
    ends = np.concatenate([[0], np.cumsum(legs)])
    run = np.arange(ends[-1] + 1)
    leg = np.minimum(np.searchsorted(ends, run, side="right") - 1, len(legs) - 1)
    studs = places[leg] + np.sign(np.diff(places, axis=0))[leg] * (run - ends[leg])[:, None]
    inside = ((studs >= 0) & (studs < np.array(floor.shape))).all(axis=1)
    painted[studs[inside, 0], studs[inside, 1]] = run[inside]
    return painted


@cache
def kernel(pitch: float) -> Small:
    """Weights of the Gaussian in whole numbers; `pitch` in studs."""
    sigma, radius = SPREAD * pitch, int(CUT * pitch + 0.5)
    peak = min(PEAK, WHOLE / (math.sqrt(2 * math.pi) * sigma))
    away = range(-radius, radius + 1)
    return np.array([round(peak * math.exp(-0.5 * (k / sigma) ** 2)) for k in away], np.int32)


def unevenness(run: Small, away: Small, floor: Bools, pitch: float) -> float:
    """Standard deviation over the floor nearer than `CUT` of the local mean water temperature, 1 at flow, 0 at return.

    Not a number where no such floor is.
    """
    weights, cut, length = kernel(pitch), math.ceil((CUT * pitch) ** 2), max(1, int(run.max()))
    if core.compiled is not None:
        sums = core.compiled.evenness(run, away, floor, weights, floor.shape[1], cut, length)
    else:
        sums = _sums(run, floor & (away < cut), weights.astype(float), length)
    count, total, squares = sums
    return math.sqrt(max(0, count * squares - total * total)) / count / (LEVELS * FINER) if count else math.nan


def _sums(run: Small, floor: Bools, weights: NDArray[np.float64], length: int) -> tuple[int, int, int]:
    """Number, sum and sum of squares of the local mean levels; doubles hold these whole numbers exactly."""
    pipe = run >= 0
    level = np.where(pipe, run.astype(np.int64) * LEVELS // length, 0).astype(float)
    means = []
    for raster in (level, pipe.astype(float)):
        across = ndimage.correlate1d(raster, weights, axis=0, mode="constant")[::2]
        means.append(ndimage.correlate1d(across, weights, axis=1, mode="constant")[:, ::2].astype(np.int64))
    warm, weight = means
    reached = floor[::2, ::2] & (weight > 0)
    found = warm[reached] * FINER // weight[reached]
    return int(found.size), int(found.sum()), int((found * found).sum())
