"""Lines that labels keep clear of, and cells of the plan with ink in them.

The cells answer quickly for very many boxes, the lines exactly for those that remain (a search tree over their pieces).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

Boxes = NDArray[np.float64]
MOST_CELLS = 12_000_000


class InkMap:
    """Cells of the plan that pipe runs through, summed so that any box's share is four look-ups."""

    def __init__(self, bounds: tuple[float, float, float, float], cell: float, lines: Iterable[BaseGeometry]) -> None:
        self._corner = np.array(bounds[:2])
        self.cell = cell
        shape = tuple(max(1, math.ceil((bounds[k + 2] - bounds[k]) / cell)) + 1 for k in (0, 1))
        inked = np.zeros(shape, dtype=np.int32)
        for line in lines:
            dense = shapely.get_coordinates(shapely.segmentize(line, cell))
            index = np.floor((dense - self._corner) / cell).astype(int)
            index = index[((index >= 0) & (index < np.array(shape))).all(axis=1)]
            inked[index[:, 0], index[:, 1]] = 1
        self._sums = np.zeros((shape[0] + 1, shape[1] + 1), dtype=np.int64)
        self._sums[1:, 1:] = inked.cumsum(axis=0).cumsum(axis=1)

    def share(self, boxes: Boxes) -> NDArray[np.float64]:
        """Inked share of each box (west, south, east, north) [m]."""
        limit = np.array(self._sums.shape) - 1
        low = np.clip(np.floor((boxes[:, :2] - self._corner) / self.cell).astype(int), 0, limit)
        high = np.clip(np.ceil((boxes[:, 2:] - self._corner) / self.cell).astype(int), 0, limit)
        s = self._sums
        ink = s[high[:, 0], high[:, 1]] - s[low[:, 0], high[:, 1]] - s[high[:, 0], low[:, 1]] + s[low[:, 0], low[:, 1]]
        cells = np.maximum((high - low).prod(axis=1), 1)
        return np.asarray(ink / cells, dtype=float)


class ClearLines:
    """Lines [m] that no label may come nearer to than `half` [m], half the width of their strokes and some air."""

    def __init__(
        self, bounds: tuple[float, float, float, float], cell: float, lines: Sequence[BaseGeometry], half: float
    ) -> None:
        most = math.sqrt((bounds[2] - bounds[0]) * (bounds[3] - bounds[1]) / MOST_CELLS)
        self.map = InkMap(bounds, max(cell, most), lines)
        self._half = half
        self._tree = shapely.STRtree(straight_pieces(lines))
        self._added: list[LineString] = []

    def add(self, line: LineString) -> None:
        """Keep what comes later clear of another line, such as a leader."""
        self._added.append(line)

    def free(self, boxes: Boxes) -> NDArray[np.bool_]:
        """Whether each box (west, south, east, north) is clear of all lines."""
        fine = np.ones(len(boxes), dtype=bool)
        grown = shapely.box(*(boxes + np.array([-1.0, -1.0, 1.0, 1.0]) * self._half).T)
        fine[np.unique(self._tree.query(grown, predicate="intersects")[0])] = False
        for line in self._added:
            fine &= ~shapely.intersects(grown, line)
        return fine


def straight_pieces(lines: Sequence[BaseGeometry]) -> list[LineString]:
    """Every straight piece of lines by itself, since long lines make a poor search tree."""
    pieces: list[LineString] = []
    for line in lines:
        for part in shapely.get_parts(line):
            corners = shapely.get_coordinates(part)
            pieces += list(shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1)))
    return pieces
