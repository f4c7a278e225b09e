"""Rows of panels over a floor, in the floor's own studs: joints lie on whole numbers, pipes half-way between them.

Rows run from west to east, the first at the south; panels have their lock edges at the west and at the south. Where
the first row lies is tried stud by stud. Within a row the first joint is set so that the row starts with what the
rows before it left over, and ends with no piece that is too narrow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.building.types import Area
from ufh_core.panels.packing import EPS, fits
from ufh_core.panels.types import Box, PanelSize

SMALLEST = 0.04  # studs²: parts below 1 cm² with studs of 50 mm are dust of the calculation
Shapes = NDArray[np.object_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of a row without a gap: floor from `west` to `east` in the row that starts at `south`."""

    south: int
    west: float
    east: float
    high: float
    parts: shapely.Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A floor laid with panels: outline of every piece, and the box to cut it from, laps included [studs]."""

    outlines: tuple[Polygon, ...]
    boxes: tuple[Box, ...]
    narrow: int


def layings(floor: Area, size: PanelSize) -> Iterator[Laid]:
    """The floor laid with the first row at every stud at which it can lie."""
    _, south, _, north = floor.bounds
    first = math.floor(south + EPS)
    starts = range(first - size.wide + 1, first + 1)
    levels = [(start, row) for start in starts for row in range(start, math.ceil(north - EPS), size.wide)]
    runs = _runs(floor, levels, size)
    shapely.prepare(floor)
    for start in starts:
        yield _laid(
            floor, [run for (s, _), found in zip(levels, runs, strict=True) if s == start for run in found], size
        )


def _runs(floor: Area, levels: Sequence[tuple[int, int]], size: PanelSize) -> list[list[Run]]:
    """The runs of every row."""
    west, _, east, _ = floor.bounds
    rows = np.array([row for _, row in levels], dtype=float)
    cut = shapely.intersection(floor, shapely.box(west - 1, rows, east + 1, rows + size.wide))
    parts, owner = _polygons(cut)
    found: list[list[Run]] = [[] for _ in levels]
    bounds = shapely.bounds(parts)
    for k, (_, row) in enumerate(levels):
        mine = np.flatnonzero(owner == k)
        for group in _touching(bounds[mine]):
            these = mine[group]
            box = bounds[these]
            found[k].append(
                Run(
                    south=row,
                    west=float(box[:, 0].min()),
                    east=float(box[:, 2].max()),
                    high=float(box[:, 3].max() - box[:, 1].min()),
                    parts=parts[these[0]] if len(these) == 1 else shapely.multipolygons(list(parts[these])),
                )
            )
    return found


def _polygons(shapes: Shapes) -> tuple[Shapes, NDArray[np.int64]]:
    """The polygons of some shapes, dust left out, and whose each is."""
    parts, owner = shapely.get_parts(shapes, return_index=True)
    nested = shapely.get_type_id(parts) > 3
    if nested.any():
        inner, of = shapely.get_parts(parts[nested], return_index=True)
        parts, owner = (
            np.concatenate([parts[~nested], inner]),
            np.concatenate([owner[~nested], owner[nested][of]]),
        )
    kept = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > SMALLEST)
    return parts[kept], owner[kept]


def _touching(bounds: NDArray[np.float64]) -> list[list[int]]:
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


def _laid(floor: Area, runs: Sequence[Run], size: PanelSize) -> Laid:
    """The pieces of all runs."""
    starts = _first_joints(runs, size)
    cells = [
        (k, west, run.south)
        for k, (run, start) in enumerate(zip(runs, starts, strict=True))
        for west in range(start, math.ceil(run.east - EPS), size.long)
    ]
    corner = np.array([(west, south) for _, west, south in cells], dtype=float)
    shapes = np.array([runs[k].parts for k, _, _ in cells], dtype=object)
    boxes = shapely.box(corner[:, 0], corner[:, 1], corner[:, 0] + size.long, corner[:, 1] + size.wide)
    parts, owner = _polygons(shapely.intersection(shapes, boxes))
    bounds = shapely.bounds(parts)
    long, wide = bounds[:, 2] - bounds[:, 0], bounds[:, 3] - bounds[:, 1]
    wedge = 2 * shapely.area(parts) / np.hypot(long, wide)  # a triangle's height over its longest side
    narrow = int((np.minimum(np.minimum(long, wide), wedge) < size.least - EPS).sum())
    cut = _with_laps(floor, bounds, corner[owner], size)
    return Laid(
        outlines=tuple(parts.tolist()),
        boxes=tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in cut),
        narrow=narrow,
    )


def _with_laps(
    floor: Area, bounds: NDArray[np.float64], corner: NDArray[np.float64], size: PanelSize
) -> NDArray[np.float64]:
    """Boxes of pieces, larger by the lap at the west and the south where a piece lies beside them."""
    west, south, east, north = bounds.T
    dx, dy = 0.1 * (east - west), 0.1 * (north - south)
    beside = shapely.box(west - 0.02, south + dy, west - 0.01, north - dy)
    below = shapely.box(west + dx, south - 0.02, east - dx, south - 0.01)
    lap_x = (np.abs(west - corner[:, 0]) < EPS) & shapely.intersects(floor, beside)
    lap_y = (np.abs(south - corner[:, 1]) < EPS) & shapely.intersects(floor, below)
    return np.column_stack([west - size.lap * lap_x, south - size.lap * lap_y, east, north])


def _first_joints(runs: Sequence[Run], size: PanelSize) -> list[int]:
    """The west edge of the first panel of every run, each started from what the runs before left over."""
    left: list[float] = []
    found = []
    for run in runs:
        start, used, rest = _first_joint(run, left if run.high > size.wide / 2 else [], size)
        found.append(start)
        if used is not None:
            left.remove(used)
        if run.high > size.wide / 2:
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
    boxes = []
    for box in laid.boxes:
        longer = list(box)
        if abs(box[axis] - bounds[axis]) < EPS:
            longer[axis] -= size.lap
        if abs(box[axis + 2] - bounds[axis + 2]) < EPS:
            longer[axis + 2] += size.lap
        made = (longer[0], longer[1], longer[2], longer[3])
        boxes.append(made if fits(made, size) else box)
    return replace(laid, boxes=tuple(boxes))
