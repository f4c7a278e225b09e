"""The pipes as stations: short pieces, each with the cells that it warms.

A station's heat is shared out among 4 x 4 cells by a cubic B-spline, so that it hardly matters where
between the cells a pipe lies, or at which angle. It warms cells of one room only: an edge strip or joint
keeps heat from others.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
import shapely
from numpy.typing import NDArray

from ufh_core.surface_field.cells import Cells, Floats, Ints
from ufh_core.surface_field.section import plane_section, with_pitch
from ufh_core.surface_field.types import FloorPipe, RoomFloor

_Curve = Callable[[Floats], tuple[Floats, ...]]
_WIDE = 4  # cells that the spline reaches on each axis


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """Pieces of all pipes in the order of their water.

    `pipe` is the place of its pipe in the list; `length` [m]; `conductance` [W/K] to the floor, 0 where there is
    no heated floor; `in_field` is False on tails; `shares` (stations, cells) says how a station's heat is shared out,
    rows that add up to 1; `tops` of the same shape how to read the surface over it; `cell` is the number of its cell,
    or -1.
    """

    pipe: Ints
    length: Floats
    conductance: Floats
    in_field: NDArray[np.bool_]
    shares: sp.csr_matrix
    tops: sp.csr_matrix
    cell: Ints


def stations_of(
    pipes: Sequence[FloorPipe], floors: Sequence[RoomFloor], cells: Cells, planes: Sequence[float]
) -> Stations:
    """Stations about a cell long. `planes` is κ [W/K] of each floor."""
    parts = [_pieces(pipe, cells.cell_m) for pipe in pipes]
    places = np.concatenate([middles for middles, _ in parts])
    length = np.concatenate([np.full(len(middles), each) for middles, each in parts])
    owner = np.repeat(np.arange(len(pipes)), [len(middles) for middles, _ in parts])
    own, room = _rooms(places, cells)
    pitch = np.concatenate([_pitches(pipe, middles) for pipe, (middles, _) in zip(pipes, parts, strict=True)])
    each_metre = _pipe_conductance(room, pitch, floors, cells.cell_m, planes)
    return Stations(
        pipe=owner,
        length=length,
        conductance=each_metre * length,
        in_field=pitch > 0,
        cell=own,
        shares=_shares(places, room, cells),
        tops=_tops(places, own, room, cells),
    )


def _pieces(pipe: FloorPipe, step_m: float) -> tuple[Floats, float]:
    """Middles (n, 2) [m] of equal pieces about `step_m` long, and their length [m]."""
    corners = pipe.axis.points()
    ends = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    count = max(1, math.ceil(ends[-1] / step_m))
    run = (np.arange(count) + 0.5) * ends[-1] / count
    return np.column_stack([np.interp(run, ends, corners[:, k]) for k in (0, 1)]), pipe.axis.length_m / count


def _pitches(pipe: FloorPipe, places: Floats) -> Floats:
    """Pitch of the pipe's field at each place [m], 0 on tails; an edge zone's counts before the field's."""
    pitch = np.zeros(len(places))
    for field, own in sorted(pipe.fields, key=lambda pair: not pair[0].edge):
        shapely.prepare(field.outline)
        inside = shapely.intersects_xy(field.outline, places[:, 0], places[:, 1])
        pitch[inside & (pitch == 0)] = own
    return pitch


def _pipe_conductance(
    room: Ints, pitch: Floats, floors: Sequence[RoomFloor], cell_m: float, planes: Sequence[float]
) -> Floats:
    """U [W/(m K)] of each station: that of its room at its pitch."""
    result = np.zeros(len(room))
    for k, floor in enumerate(floors):
        mine = room == k
        for each in np.unique(pitch[mine]):
            section = with_pitch(floor.section, float(each) if each > 0 else floor.tail_spacing_m)
            result[mine & (pitch == each)] = plane_section(section, cell_m, planes[k]).pipe
    return result


def _rooms(places: Floats, cells: Cells) -> tuple[Ints, Ints]:
    """(number of the cell, its room) at each place, -1 where there is none."""
    own = _at(cells, np.floor((places - np.array(cells.corner)) / cells.cell_m).astype(np.int64))
    return own, np.where(own >= 0, cells.room[own], -1)


def _weights(places: Floats, room: Ints, cells: Cells, curve: _Curve) -> tuple[Ints, Floats]:
    """Cells round each place and their weights, both (places, 16); cells of other rooms weigh nothing."""
    at = (places - np.array(cells.corner)) / cells.cell_m - 0.5
    first = np.floor(at).astype(np.int64)
    weights_x, weights_y = (curve(at[:, k] - first[:, k]) for k in (0, 1))
    numbers, weights = [], []
    for i in range(_WIDE):
        for j in range(_WIDE):
            number = _at(cells, first + np.array([j - 1, i - 1]))
            mine = (room >= 0) & (number >= 0) & (cells.room[number] == room)
            numbers.append(np.where(mine, number, 0))
            weights.append(np.where(mine, weights_y[i] * weights_x[j], 0.0))
    return np.array(numbers).T, np.array(weights).T


def _matrix(numbers: Ints, weights: Floats, count: int) -> sp.csr_matrix:
    rows = np.repeat(np.arange(len(numbers)), _WIDE**2)
    matrix = sp.csr_matrix((weights.ravel(), (rows, numbers.ravel())), shape=(len(numbers), count))
    matrix.eliminate_zeros()
    return matrix


def _shares(places: Floats, room: Ints, cells: Cells) -> sp.csr_matrix:
    """How each station's heat is shared out; empty rows where there is no floor."""
    numbers, weights = _weights(places, room, cells, _spline)
    total = weights.sum(axis=1, keepdims=True)
    weights = np.divide(weights, total, out=np.zeros_like(weights), where=total > 0)
    return _matrix(numbers, weights, len(cells.room))


def _tops(places: Floats, own: Ints, room: Ints, cells: Cells) -> sp.csr_matrix:
    """How the surface over each station is read from the cells: by cubics, or at its own cell beside walls."""
    numbers, weights = _weights(places, room, cells, _cubic)
    whole = np.abs(weights.sum(axis=1) - 1) < 1e-9
    weights[~whole] = 0.0
    beside = ~whole & (own >= 0)
    numbers[beside, 0], weights[beside, 0] = own[beside], 1.0
    return _matrix(numbers, weights, len(cells.room))


def _at(cells: Cells, place: Ints) -> Ints:
    """Numbers of the cells at (column, row), -1 where there is none."""
    high, wide = cells.number.shape
    column, row = place[:, 0], place[:, 1]
    within = (column >= 0) & (column < wide) & (row >= 0) & (row < high)
    return np.where(within, cells.number[np.where(within, row, 0), np.where(within, column, 0)], -1)


def _cubic(u: Floats) -> tuple[Floats, ...]:
    """Weights of the same four cells in the cubic through their values (Lagrange)."""
    return (
        -u * (u - 1) * (u - 2) / 6,
        (u + 1) * (u - 1) * (u - 2) / 2,
        -(u + 1) * u * (u - 2) / 2,
        (u + 1) * u * (u - 1) / 6,
    )


def _spline(u: Floats) -> tuple[Floats, ...]:
    """Weights of the four cells round a place that is `u` cells (0 to 1) past the middle of the second."""
    return (1 - u) ** 3 / 6, (4 - 6 * u**2 + 3 * u**3) / 6, (1 + 3 * u + 3 * u**2 - 3 * u**3) / 6, u**3 / 6
