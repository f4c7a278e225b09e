"""How good a loop is, on the stud raster: floor missed, greatest gap, unevenness, bends.

Distances by an exact Euclidean distance transform, water temperatures by a Gaussian mean of the
pipe near each place, weighted by its length (0.7 pitch, cut at 2 pitches).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage

from ufh_core.circuits.field_grid import Bools, Floats, StudGrid
from ufh_core.circuits.field_joint import Corner

REACH = 0.75
SPREAD, CUT = 0.7, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """`missed` share of the floor beyond 0.75 pitch, `gap` greatest distance [pitches], `bends` right angles."""

    missed: float
    gap: float
    unevenness: float
    bends: int
    length_m: float

    @property
    def cost(self) -> float:
        """One figure to compare loops by; floor first."""
        cold = 100 * self.missed + 4 * max(0.0, self.gap - 0.9)
        return cold + 20 * self.unevenness + 4 * self.bends / max(self.length_m, 1.0)


def painted(corners: tuple[Corner, ...], grid: StudGrid) -> Floats:
    """Water temperature on every stud that the pipe passes, 1 at the first corner and 0 at the last, NaN elsewhere."""
    warm = np.full(grid.node.shape, np.nan)
    points = np.rint(np.array(corners)).astype(int) - np.array(grid.origin)
    legs = np.abs(np.diff(points, axis=0)).sum(axis=1)
    ends = np.concatenate([[0], np.cumsum(legs)])
    run = np.arange(ends[-1] + 1)
    leg = np.minimum(np.searchsorted(ends, run, side="right") - 1, len(legs) - 1)
    places = points[leg] + np.sign(np.diff(points, axis=0))[leg] * (run - ends[leg])[:, None]
    inside = ((places >= 0) & (places < np.array(warm.shape))).all(axis=1)
    warm[places[inside, 0], places[inside, 1]] = 1 - run[inside] / max(ends[-1], 1)
    return warm


def rate(
    corners: tuple[Corner, ...], grid: StudGrid, floor: Bools, pitch_m: float, limit: float = math.inf
) -> Rating | None:
    """Rate a loop on the `floor` studs; None as soon as its cost must be above `limit`."""
    warm = painted(corners, grid)
    pitch = pitch_m / grid.stud_m
    distance = ndimage.distance_transform_edt(np.isnan(warm))
    away = distance[floor]
    rating = Rating(
        missed=float((away > REACH * pitch + 1e-6).mean()),
        gap=float(away.max() / pitch),
        unevenness=0.0,
        bends=len(corners) - 2,
        length_m=grid.stud_m * sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in itertools.pairwise(corners)),
    )
    if rating.cost > limit:
        return None
    return replace(rating, unevenness=unevenness(warm, floor & (distance < CUT * pitch), pitch))


def unevenness(warm: Floats, floor: Bools, pitch: float) -> float:
    """Standard deviation over the floor of the local mean water temperature."""
    pipe = (~np.isnan(warm)).astype(float)
    sigma = SPREAD * pitch
    blur = {"sigma": sigma, "truncate": CUT / SPREAD, "mode": "constant"}
    heat, weight = ndimage.gaussian_filter(np.nan_to_num(warm), **blur), ndimage.gaussian_filter(pipe, **blur)
    reached = floor & (weight > 1e-9)
    return float(np.std(heat[reached] / weight[reached])) if reached.any() else math.nan
