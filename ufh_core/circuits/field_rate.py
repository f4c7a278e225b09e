"""How good a loop is, on the stud raster: floor missed, greatest gap, unevenness, bends.

Distances by an exact Euclidean distance transform, water temperatures by a Gaussian mean of the
pipe near each place, weighted by its length (0.7 pitch, cut at 2 pitches).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

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
    total = sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in zip(corners, corners[1:], strict=False))
    done = 0.0
    for (x0, y0), (x1, y1) in zip(corners, corners[1:], strict=False):
        length = abs(x1 - x0) + abs(y1 - y0)
        if length:
            _paint(warm, grid, (x0, y0), (x1, y1), 1 - done / total, 1 - (done + length) / total)
        done += length
    return warm


def _paint(warm: Floats, grid: StudGrid, start: Corner, end: Corner, first: float, last: float) -> None:
    """One leg."""
    count = round(abs(end[0] - start[0]) + abs(end[1] - start[1])) + 1
    a = np.rint(np.linspace(start[0], end[0], count)).astype(int) - grid.origin[0]
    b = np.rint(np.linspace(start[1], end[1], count)).astype(int) - grid.origin[1]
    inside = (a >= 0) & (b >= 0) & (a < warm.shape[0]) & (b < warm.shape[1])
    warm[a[inside], b[inside]] = np.linspace(first, last, count)[inside]


def rate(corners: tuple[Corner, ...], grid: StudGrid, floor: Bools, pitch_m: float) -> Rating:
    """Rate a loop on the `floor` studs."""
    warm = painted(corners, grid)
    pipe = ~np.isnan(warm)
    pitch = pitch_m / grid.stud_m
    away = ndimage.distance_transform_edt(~pipe)[floor]
    length = sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in zip(corners, corners[1:], strict=False))
    return Rating(
        missed=float((away > REACH * pitch + 1e-6).mean()),
        gap=float(away.max() / pitch),
        unevenness=unevenness(warm, floor & (ndimage.distance_transform_edt(~pipe) < 2 * pitch), pitch),
        bends=len(corners) - 2,
        length_m=length * grid.stud_m,
    )


def unevenness(warm: Floats, floor: Bools, pitch: float) -> float:
    """Standard deviation over the floor of the local mean water temperature."""
    pipe = (~np.isnan(warm)).astype(float)
    sigma = SPREAD * pitch
    blur = {"sigma": sigma, "truncate": CUT / SPREAD, "mode": "constant"}
    heat, weight = ndimage.gaussian_filter(np.nan_to_num(warm), **blur), ndimage.gaussian_filter(pipe, **blur)
    reached = floor & (weight > 1e-9)
    return float(np.std(heat[reached] / weight[reached])) if reached.any() else math.nan
