"""Rows of panels over a floor, in the floor's own studs: joints lie on whole numbers, pipes half-way between them.

Rows run from west to east, the first at the south; panels have their lock edges at the west and at the south. Where
the first row lies is tried stud by stud. Within a row the first joint is set so that the row starts with what the
rows before it left over, and ends with no piece that is too narrow. Shapes are only cut where a row is no rectangle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.areas import Area
from ufh_core.panels.cut_up import EPS, Floats
from ufh_core.panels.packing import fits
from ufh_core.panels.types import PanelSize

SMALLEST = 0.04  # studs²: parts below 1 cm² with studs of 50 mm are dust of the calculation
FULL = 1e-6  # studs²: what a rectangle may lack of its bounds
Shapes = NDArray[np.object_]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of a row without a gap: floor from `west` to `east` in the row that starts at `south`.

    `low` and `high` bound the floor in it; `parts` is its shape where that is no rectangle.
    """

    south: int
    west: float
    east: float
    low: float
    high: float
    parts: shapely.Geometry | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """A floor laid with panels: outline of every piece, its area, and the box to cut it from, laps included [studs].

    `narrow` counts the pieces that are narrower than the least.
    """

    outlines: Shapes
    covers: Floats
    boxes: Floats
    narrow: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pieces:
    """Pieces of all layings of a floor: outline, area, bounds, corner of the panel that it is cut from, and laying."""

    outlines: Shapes
    covers: Floats
    bounds: Floats
    corner: Floats
    laying: Indices


def layings(floor: Area, size: PanelSize) -> list[Laid]:
    """The floor laid with the first row at every stud at which it can lie."""
    _, south, _, north = floor.bounds
    first = math.floor(south + EPS)
    starts = range(first - size.wide + 1, first + 1)
    levels = [(k, row) for k, start in enumerate(starts) for row in range(start, math.ceil(north - EPS), size.wide)]
    runs: list[list[Run]] = [[] for _ in starts]
    for (k, _), found in zip(levels, _runs(floor, [row for _, row in levels], size), strict=True):
        runs[k] += found
    pieces = _pieces(runs, size)
    narrow = np.bincount(pieces.laying, _narrow(pieces, size), len(runs)).astype(int)
    boxes = _with_laps(floor, pieces, size)
    ends = np.searchsorted(pieces.laying, np.arange(len(runs) + 1))
    return [
        Laid(outlines=pieces.outlines[a:b], covers=pieces.covers[a:b], boxes=boxes[a:b], narrow=int(narrow[k]))
        for k, (a, b) in enumerate(pairwise(ends.tolist()))
    ]


def _runs(floor: Area, rows: Sequence[int], size: PanelSize) -> list[list[Run]]:
    """The runs of every row."""
    west, south, east, north = floor.bounds
    if floor.area >= (east - west) * (north - south) - FULL:
        return [
            [Run(south=r, west=west, east=east, low=max(r, south), high=min(r + size.wide, north), parts=None)]
            for r in rows
        ]
    low = np.array(rows, dtype=float)
    parts, owner = _polygons(shapely.intersection(floor, shapely.box(west - 1, low, east + 1, low + size.wide)))
    bounds, areas = shapely.bounds(parts), shapely.area(parts)
    ends = np.searchsorted(owner, np.arange(len(rows) + 1))
    return [
        [_run(row, parts[a:b][group], bounds[a:b][group], areas[a:b][group]) for group in _touching(bounds[a:b])]
        for row, (a, b) in zip(rows, pairwise(ends.tolist()), strict=True)
    ]


def _run(row: int, parts: Shapes, bounds: Floats, areas: Floats) -> Run:
    """The run of some parts of a row that lie one beside or over the other."""
    west, south = bounds[:, :2].min(axis=0).tolist()
    east, north = bounds[:, 2:].max(axis=0).tolist()
    shape = parts[0] if len(parts) == 1 else shapely.multipolygons(list(parts))
    full = len(parts) == 1 and areas[0] >= (east - west) * (north - south) - FULL
    return Run(south=row, west=west, east=east, low=south, high=north, parts=None if full else shape)


def _polygons(shapes: Shapes) -> tuple[Shapes, Indices]:
    """The polygons of some shapes, dust left out, and whose each is, in rising order."""
    parts, owner = shapely.get_parts(shapes, return_index=True)
    nested = shapely.get_type_id(parts) > 3
    if nested.any():
        inner, of = shapely.get_parts(parts[nested], return_index=True)
        parts = np.concatenate([parts[~nested], inner])
        owner = np.concatenate([owner[~nested], owner[nested][of]])
        order = np.argsort(owner, kind="stable")
        parts, owner = parts[order], owner[order]
    kept = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > SMALLEST)
    return parts[kept], owner[kept]


def _touching(bounds: Floats) -> list[list[int]]:
    """Parts whose spans from west to east overlap, in groups from west to east."""
    groups: list[list[int]] = []
    reached = -math.inf
    for k in np.lexsort((bounds[:, 1], bounds[:, 0])).tolist():
        if bounds[k, 0] < reached - EPS:
            groups[-1].append(k)
        else:
            groups.append([k])
        reached = max(reached, float(bounds[k, 2]))
    return groups


def _pieces(runs: Sequence[Sequence[Run]], size: PanelSize) -> _Pieces:
    """The pieces of all runs of all layings, in the order of laying."""
    every = [run for each in runs for run in each]
    starts = [start for each in runs for start in _first_joints(each, size)]
    cells = [
        (k, west)
        for k, (run, start) in enumerate(zip(every, starts, strict=True))
        for west in range(start, math.ceil(run.east - EPS), size.long)
    ]
    of = np.array([k for k, _ in cells], dtype=np.int64)
    span = np.array([(run.west, run.low, run.east, run.high) for run in every]).reshape(-1, 4)[of]
    west, south = (
        np.array([west for _, west in cells], dtype=float),
        np.array([every[k].south for k in of], dtype=float),
    )
    cell = np.column_stack([west, south, west + size.long, south + size.wide])
    inside = np.hstack([np.maximum(cell[:, :2], span[:, :2]), np.minimum(cell[:, 2:], span[:, 2:])])
    shaped = np.array([run.parts is not None for run in every], dtype=bool)[of]
    outlines = shapely.box(*inside.T)
    outlines[shaped] = shapely.intersection([every[k].parts for k in of[shaped]], shapely.box(*cell[shaped].T))
    parts, owner = _polygons(outlines)
    laying = np.repeat(np.arange(len(runs)), [len(each) for each in runs])[of[owner]]
    return _Pieces(
        outlines=parts,
        covers=shapely.area(parts),
        bounds=shapely.bounds(parts),
        corner=cell[owner, :2],
        laying=laying,
    )


def _narrow(pieces: _Pieces, size: PanelSize) -> NDArray[np.bool_]:
    """Which pieces are narrower than the least, or wedges that are; a wedge's height stands on its longest side."""
    long, wide = (pieces.bounds[:, 2:] - pieces.bounds[:, :2]).T
    wedge = 2 * pieces.covers / np.hypot(long, wide)
    thin: NDArray[np.bool_] = np.minimum(np.minimum(long, wide), wedge) < size.least - EPS
    return thin


def _with_laps(floor: Area, pieces: _Pieces, size: PanelSize) -> Floats:
    """Boxes of pieces, larger by the lap at the west and the south where a piece lies beside them."""
    west, south, east, north = pieces.bounds.T
    dx, dy = 0.1 * (east - west), 0.1 * (north - south)
    shapely.prepare(floor)
    lap_x = np.abs(west - pieces.corner[:, 0]) < EPS
    lap_y = np.abs(south - pieces.corner[:, 1]) < EPS
    beside = shapely.box(west - 0.02, south + dy, west - 0.01, north - dy)
    below = shapely.box(west + dx, south - 0.02, east - dx, south - 0.01)
    lap_x[lap_x] = shapely.intersects(floor, beside[lap_x])
    lap_y[lap_y] = shapely.intersects(floor, below[lap_y])
    return np.column_stack([west - size.lap * lap_x, south - size.lap * lap_y, east, north])


def _first_joints(runs: Sequence[Run], size: PanelSize) -> list[int]:
    """The west edge of the first panel of every run, each started from what the runs before left over."""
    left: list[float] = []
    found = []
    for run in runs:
        start, used, rest = _first_joint(run, left if run.high - run.low > size.wide / 2 else [], size)
        found.append(start)
        if used is not None:
            left.remove(used)
        if run.high - run.low > size.wide / 2:
            left += [r for r in rest if r >= size.least]
    return found


def _first_joint(run: Run, left: Sequence[float], size: PanelSize) -> tuple[int, float | None, list[float]]:
    """West edge of a run's first panel, the left-over that it is cut from if any, and what is left in the end.

    A left-over is taken where it fits, the closest one; the first piece is made shorter by some studs where the
    run would otherwise end with a sliver.
    """
    best: tuple[float, int, float | None, list[float]] | None = None
    for had in (*left, None):
        for shorter in range(math.ceil(size.least) + 1):
            tried = _start(run, size.long if had is None else had, shorter, size)
            if tried is None:
                continue
            start, lost, rest = tried
            cost = (lost if had is not None else lost + size.long) + 0.0
            if best is None or cost < best[0] - EPS:
                best = (cost, start, had, rest)
            break
    if best is None:
        return math.floor(run.west + EPS), None, []
    return best[1], best[2], best[3]


def _start(run: Run, had: float, shorter: int, size: PanelSize) -> tuple[int, float, list[float]] | None:
    """(west edge of the first panel, what is lost of the first piece's material, what is left of the last panel)."""
    joint = math.floor(run.west + had + EPS) - shorter
    first = joint - run.west
    if joint >= run.east - EPS:
        spare = had - (run.east - run.west)
        return joint - size.long, 0.0, [spare]
    if first < size.least - EPS:
        return None
    end = (run.east - joint) % size.long
    if end < EPS or end > size.long - EPS:
        return joint - size.long, had - first, []
    if end < size.least - EPS:
        return None
    return joint - size.long, had - first, [size.long - end]


def with_both_laps(laid: Laid, axis: int, bounds: Sequence[float], size: PanelSize) -> Laid:
    """A threshold as laid, whose pieces lap over the floors on both its sides, where a panel is long enough for it."""
    boxes = laid.boxes.copy()
    boxes[np.abs(boxes[:, axis] - bounds[axis]) < EPS, axis] -= size.lap
    boxes[np.abs(boxes[:, axis + 2] - bounds[axis + 2]) < EPS, axis + 2] += size.lap
    for k, (west, south, east, north) in enumerate(boxes.tolist()):
        if not fits((west, south, east, north), size):
            boxes[k] = laid.boxes[k]
    return replace(laid, boxes=boxes)
