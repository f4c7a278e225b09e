"""Boxes of labels by their middles, and the grids of middles that are tried."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Point
from ufh_core.documents.clear_lines import Boxes

MOST_PLACES = 1600
MOST_FINE_PLACES = 40_000
CHUNK = 50


def places_of(bounds: Sequence[float], size: tuple[float, float], step: float) -> Boxes:
    """Middles of boxes of `size` within `bounds`, `step` apart or wider so that there are not too many."""
    spans = [bounds[k + 2] - bounds[k] - size[k] for k in (0, 1)]
    if min(spans) < 0:
        return np.empty((0, 2))
    step = max(step, math.sqrt(max(spans[0], step) * max(spans[1], step) / MOST_PLACES))
    axes = [np.linspace(bounds[k] + size[k] / 2, bounds[k + 2] - size[k] / 2, int(spans[k] / step) + 1) for k in (0, 1)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)


def grid(bounds: Sequence[float], size: tuple[float, float], steps: tuple[float, float]) -> Boxes:
    """Middles of boxes of `size` within `bounds`, `steps` apart in x and y, or wider where there are too many."""
    spans = [bounds[k + 2] - bounds[k] - size[k] for k in (0, 1)]
    if min(spans) < 0:
        return np.empty((0, 2))
    wider = max(1.0, spans[0] * spans[1] / (steps[0] * steps[1]) / MOST_FINE_PLACES)
    coarse = int(np.argmax(steps))
    axes = [
        np.arange(bounds[k] + size[k] / 2, bounds[k + 2] - size[k] / 2 + 1e-9, steps[k] * (wider if k == coarse else 1))
        for k in (0, 1)
    ]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)


def chunks(order: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    """An order in parts that are tested one after another."""
    return np.array_split(order, math.ceil(len(order) / CHUNK)) if len(order) else []


def boxes_of(middles: Boxes, size: tuple[float, float]) -> Boxes:
    """Boxes (west, south, east, north) of `size` about their middles."""
    half = np.array(size) / 2
    return np.hstack([middles - half, middles + half])


def turned_size(size: tuple[float, float], turned: bool) -> tuple[float, float]:
    """A size as it is, or turned by 90 degrees."""
    return (size[1], size[0]) if turned else size


def point_of(row: NDArray[np.float64]) -> Point:
    """A row of coordinates as a point."""
    return (float(row[0]), float(row[1]))
