"""The stud grid of a territory: which studs and which stretches between studs a pipe may use.

The area is cut once with every row and every column of studs; all later questions are answered
from integer arrays (prefix sums), so trying many lattices costs no geometry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage

from ufh_core.basis.areas import Area
from ufh_core.fields.types import FieldRequest

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

TOUCH = 1e-6
BEND_SLACK_M = 0.0045
"""A bend round a re-entrant corner may cut this far into the clearance (it is checked to 5 mm)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallEnds:
    """Where rows (or columns) of studs begin and end: per stud index, how many rows do, and how far the wall is."""

    begin_count: Floats
    begin_gap: Floats
    end_count: Floats
    end_gap: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """How many studs and stretches before each place are not inside, so that spans are judged by two counts.

    `node[a, b]` counts studs west of a and south of b, `along_x[a, b]` stretches of row b west of a,
    `along_y[a, b]` those of column a south of b.
    """

    node: Ints
    along_x: Ints
    along_y: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class StudGrid:
    """Studs (i0 + a, j0 + b) · stud pitch.

    `node[a, b]` may carry an axis, `along_x[a, b]` the stretch to a + 1,
    `along_y[a, b]` the stretch to b + 1; `quarter[a, b, q, r]` tells whether a turn whose inside is
    west or east (q) and south or north (r) of the stud keeps inside; `floor` are studs on the floor.
    """

    origin: tuple[int, int]
    stud_m: float
    node: Bools
    along_x: Bools
    along_y: Bools
    quarter: Bools
    floor: Bools
    ends_x: WallEnds
    ends_y: WallEnds
    missing: Missing


def stud_grid(request: FieldRequest) -> StudGrid:
    """The grid over the whole floor."""
    stud = request.stud_pitch_m
    west, south, east, north = request.floor.union(request.axis_area).bounds
    i0, j0 = math.floor(west / stud) - 1, math.floor(south / stud) - 1
    i1, j1 = math.ceil(east / stud) + 1, math.ceil(north / stud) + 1
    x, y = np.arange(i0, i1 + 1) * stud, np.arange(j0, j1 + 1) * stud
    area = request.axis_area.buffer(TOUCH, join_style="mitre")
    shapely.prepare(area)
    in_rows, along_x, ends_x = _cut(area, x, y, stud)
    in_columns, along_y, ends_y = _cut(shapely.transform(area, lambda p: p[:, ::-1]), y, x, stud)
    node = in_rows & in_columns.T
    along_y = along_y.T.copy()
    shapely.prepare(request.floor)
    on_floor = shapely.contains_xy(request.floor, *np.meshgrid(x, y, indexing="ij"))
    return StudGrid(
        origin=(i0, j0),
        stud_m=stud,
        node=node,
        along_x=along_x,
        along_y=along_y,
        quarter=_quarters(area, x, y, node, request.least_radius_m),
        floor=on_floor,
        ends_x=ends_x,
        ends_y=ends_y,
        missing=Missing(
            node=np.pad(np.cumsum(np.cumsum(~node, axis=0), axis=1), ((1, 0), (1, 0))),
            along_x=np.cumsum(np.insert(~along_x, 0, False, axis=0), axis=0),
            along_y=np.cumsum(np.insert(~along_y, 0, False, axis=1), axis=1),
        ),
    )


def reachable(grid: StudGrid, turn: int, reach: float, request: FieldRequest) -> Bools:
    """Studs of the floor, off its edge, that some loop could warm: within `reach` of where a `turn` fits [studs]."""
    wide = ndimage.binary_opening(grid.node, np.ones((turn + 1, turn + 1), bool))
    if not wide.any():
        return grid.floor if grid.floor.any() else grid.node
    near = ndimage.distance_transform_edt(~wide) <= reach
    inner = request.floor.buffer(-request.stud_pitch_m)
    x, y = (np.arange(n) + o for n, o in zip(grid.node.shape, grid.origin, strict=True))
    x, y = np.meshgrid(x * request.stud_pitch_m, y * request.stud_pitch_m, indexing="ij")
    floor: Bools = near & shapely.contains_xy(inner, x, y)
    return floor if floor.any() else wide


def _cut(area: Area, x: Floats, y: Floats, stud: float) -> tuple[Bools, Bools, WallEnds]:
    """Studs and stretches of every row inside the area, and where the rows begin and end."""
    lines = shapely.linestrings([[(x[0], v), (x[-1], v)] for v in y])
    parts, row = shapely.get_parts(shapely.intersection(area, lines), return_index=True)
    low, _, high, _ = shapely.bounds(parts).T
    node, along = (np.zeros((len(x), len(y)), bool) for _ in range(2))
    tally = np.zeros((4, len(x)))
    for b, lo, hi in _joined(row, low, high):
        first = math.ceil((lo - x[0]) / stud - 1e-5)
        last = math.floor((hi - x[0]) / stud + 1e-5)
        if last < first:
            continue
        node[first : last + 1, b] = True
        along[first:last, b] = True
        tally[:, first] += (1, x[first] - lo, 0, 0)
        tally[:, last] += (0, 0, 1, hi - x[last])
    begin, begin_gap, end, end_gap = tally
    return (
        node,
        along,
        WallEnds(
            begin_count=begin,
            begin_gap=begin_gap / np.maximum(begin, 1),
            end_count=end,
            end_gap=end_gap / np.maximum(end, 1),
        ),
    )


def _joined(row: Ints, low: Floats, high: Floats) -> list[tuple[int, float, float]]:
    """Intervals by row, those that touch joined."""
    joined: list[tuple[int, float, float]] = []
    for b, lo, hi in sorted(zip(row.tolist(), low.tolist(), high.tolist(), strict=True)):
        if joined and joined[-1][0] == b and lo <= joined[-1][2] + TOUCH:
            joined[-1] = (b, joined[-1][1], max(hi, joined[-1][2]))
        elif hi - lo > TOUCH / 2 or not math.isnan(lo):
            joined.append((b, lo, hi))
    return joined


def _quarters(area: Area, x: Floats, y: Floats, node: Bools, radius: float) -> Bools:
    """Whether a quarter turn at each stud keeps inside, bends drawn in chords.

    Only studs at re-entrant corners are looked at: elsewhere no loop turns its back on a wall.
    """
    inside = np.ones((*node.shape, 2, 2), bool)
    around = np.pad(node, 1)
    crossed = node & around[:-2, 1:-1] & around[2:, 1:-1] & around[1:-1, :-2] & around[1:-1, 2:]
    diagonal = around[:-2, :-2] & around[:-2, 2:] & around[2:, :-2] & around[2:, 2:]
    i, j = np.nonzero(crossed & ~diagonal)
    wider = area.buffer(BEND_SLACK_M, join_style="mitre")
    shapely.prepare(wider)
    angles = np.radians(np.linspace(0, 90, 16))
    arc = radius * np.column_stack([1 - np.cos(angles), 1 - np.sin(angles)])
    for q, r in ((0, 0), (0, 1), (1, 0), (1, 1)):
        bends = np.column_stack([x[i], y[j]])[:, None, :] + arc * (2 * q - 1, 2 * r - 1)
        inside[i, j, q, r] = shapely.covers(wider, shapely.linestrings(bends)) if len(i) else True
    return inside
