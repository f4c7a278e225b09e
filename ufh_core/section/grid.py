"""Lines of a rectangular grid: fine in one zone, wider with the distance from it.

The wanted width of a cell at s is h(s) = fine + growth · distance(s, zone). The integral of 1/h counts
cells; each interval between two given lines gets a whole number of them, evenly spaced in that count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from ufh_core.section.types import Array

SAME_LINE_M = 1e-9
_LEAST_CELLS = 2  # in any interval, that a thin layer has a line within


def graded_lines(given: Sequence[float], zone: tuple[float, float], fine_m: float, growth: float) -> Array:
    """All lines [m], rising, with every one of `given` among them.

    `fine_m` is the width of a cell within `zone`, `growth` > 0 by how much it grows for each metre away from it.

    >>> graded_lines([0.0, 0.002, 0.02], (0.0, 0.002), 0.001, 0.5).round(4).tolist()
    [0.0, 0.001, 0.002, 0.0032, 0.005, 0.008, 0.0126, 0.02]
    """
    stops = _distinct(given)
    pieces = [np.array(stops[:1])]
    for start, end in pairwise(stops):
        first, last = (_count(s, zone, fine_m, growth) for s in (start, end))
        cells = max(_LEAST_CELLS, math.ceil(last - first - 1e-6))
        counts = first + (last - first) * np.arange(1, cells) / cells
        pieces.append(np.array([_place(count, zone, fine_m, growth) for count in counts] + [end]))
    return np.concatenate(pieces)


def _distinct(given: Sequence[float]) -> list[float]:
    stops: list[float] = []
    for value in sorted(given):
        if not stops or value - stops[-1] > SAME_LINE_M:
            stops.append(value)
    return stops


def _count(s: float, zone: tuple[float, float], fine_m: float, growth: float) -> float:
    """Cells from the start of the zone to s, negative before it."""
    low, high = zone
    if s < low:
        return -math.log1p(growth * (low - s) / fine_m) / growth
    if s > high:
        return (high - low) / fine_m + math.log1p(growth * (s - high) / fine_m) / growth
    return (s - low) / fine_m


def _place(count: float, zone: tuple[float, float], fine_m: float, growth: float) -> float:
    """Where `_count` reaches `count` [m]."""
    low, high = zone
    within = (high - low) / fine_m
    if count < 0:
        return low - fine_m / growth * math.expm1(-growth * count)
    if count > within:
        return high + fine_m / growth * math.expm1(growth * (count - within))
    return low + count * fine_m
