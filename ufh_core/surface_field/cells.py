"""The floors of a storey as cells, and the conduction between neighbours.

A cell belongs to the room, or to the threshold, in which its middle lies. Heat is conducted within a room
and its thresholds; between rooms there is an edge strip or a joint, and no heat crosses it. A room's cells
are weighed so that together they have the room's area to the last bit, whatever the grid cuts off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
import shapely
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Point
from ufh_core.surface_field.types import RoomFloor

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_RIM = 3  # empty cells round everything, so that sharing out never leaves the grid


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Cells of a storey: `number[row, column]` is a cell's place in the arrays below, -1 where there is none.

    `room` is the place of its floor in the list of rooms; `counted` is False in thresholds; `area` [m²].
    """

    corner: Point
    cell_m: float
    number: Ints
    room: Ints
    counted: NDArray[np.bool_]
    area: Floats

    @property
    def middles(self) -> Floats:
        """Middles of the cells (n, 2) [m], in the order of their numbers."""
        rows, columns = np.nonzero(self.number >= 0)
        return np.asarray((np.column_stack([columns, rows]) + 0.5) * self.cell_m + np.array(self.corner))

    def spread_out(self, values: NDArray[np.generic], empty: float) -> Floats:
        """Values of the cells on the rows and columns of the grid."""
        image = np.full(self.number.shape, empty)
        image[self.number >= 0] = values
        return image

    def inside(self, outline: shapely.Geometry) -> NDArray[np.bool_]:
        """Which cells have their middle in an outline."""
        image = np.zeros(self.number.shape, dtype=bool)
        _mark(image, outline, self.corner, self.cell_m)
        return np.asarray(image[self.number >= 0])


def cells_of(floors: Sequence[RoomFloor], cell_m: float) -> Cells:
    """The cells of all floors; where outlines overlap, the first keeps the cell."""
    areas = [a for floor in floors for a in (floor.outline, floor.threshold) if a is not None and not a.is_empty]
    west, south, east, north = shapely.union_all([shapely.envelope(a) for a in areas]).bounds
    corner = ((math.floor(west / cell_m) - _RIM) * cell_m, (math.floor(south / cell_m) - _RIM) * cell_m)
    shape = (_count(north - corner[1], cell_m), _count(east - corner[0], cell_m))
    owner, counted = np.full(shape, -1, dtype=np.int64), np.zeros(shape, dtype=bool)
    for counts in (True, False):
        for k, floor in enumerate(floors):
            outline = floor.outline if counts else floor.threshold
            if outline is None or outline.is_empty:
                continue
            here = np.zeros(shape, dtype=bool)
            _mark(here, outline, corner, cell_m)
            here &= owner < 0
            owner[here], counted[here] = k, counts
    there = owner >= 0
    number = np.full(shape, -1, dtype=np.int64)
    number[there] = np.arange(there.sum())
    room, in_room = owner[there], counted[there]
    return Cells(
        corner=corner,
        cell_m=cell_m,
        number=number,
        room=room,
        counted=in_room,
        area=_weighed(floors, room, in_room, cell_m),
    )


def _count(length: float, cell_m: float) -> int:
    return math.ceil(length / cell_m) + _RIM


def _weighed(floors: Sequence[RoomFloor], room: Ints, counted: NDArray[np.bool_], cell_m: float) -> Floats:
    """Areas of the cells [m²]: those of a room add up to its outline's."""
    area = np.full(len(room), cell_m**2)
    for k, floor in enumerate(floors):
        mine = (room == k) & counted
        if mine.any():
            area[mine] = floor.outline.area / mine.sum()
    return area


def _mark(image: NDArray[np.bool_], outline: shapely.Geometry, corner: Point, cell_m: float) -> None:
    """Set the cells whose middle lies in an outline."""
    west, south, east, north = outline.bounds
    left, right = int((west - corner[0]) // cell_m), math.ceil((east - corner[0]) / cell_m)
    low, high = int((south - corner[1]) // cell_m), math.ceil((north - corner[1]) / cell_m)
    left, low = max(left, 0), max(low, 0)
    part = image[low:high, left:right]
    if part.size == 0:
        return
    shapely.prepare(outline)
    x = corner[0] + (np.arange(left, left + part.shape[1]) + 0.5) * cell_m
    y = corner[1] + (np.arange(low, low + part.shape[0]) + 0.5) * cell_m
    part |= shapely.contains_xy(outline, *np.meshgrid(x, y))


def conduction(cells: Cells, conductance: Floats) -> sp.csr_matrix:
    """The matrix of −∇·(c∇) on the cells [as c]: c is `conductance` of each cell, its harmonic mean between two."""
    pairs = np.concatenate(
        [
            _pairs(cells.number[:, :-1], cells.number[:, 1:], cells.room),
            _pairs(cells.number[:-1], cells.number[1:], cells.room),
        ]
    )
    a, b = pairs[:, 0], pairs[:, 1]
    ca, cb = conductance[a], conductance[b]
    both = np.where(ca + cb > 0, 2 * ca * cb / np.maximum(ca + cb, 1e-300), 0.0)
    count = len(cells.room)
    diagonal = np.bincount(a, both, count) + np.bincount(b, both, count)
    rows = np.concatenate([a, b, np.arange(count)])
    columns = np.concatenate([b, a, np.arange(count)])
    return sp.csr_matrix((np.concatenate([-both, -both, diagonal]), (rows, columns)), shape=(count, count))


def _pairs(first: Ints, second: Ints, room: Ints) -> Ints:
    """Neighbours of the same room."""
    both = (first >= 0) & (second >= 0)
    a, b = first[both], second[both]
    same = room[a] == room[b]
    return np.column_stack([a[same], b[same]])
