"""Rating of any loop, whatever its directions: one figure to compare fields by that lie on no common grid."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from scipy import ndimage
from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import Point, sampled
from ufh_core.fields.chamfer import right_angles
from ufh_core.fields.rate import REACH, Rating, Wish, unevenness
from ufh_core.fields.types import FieldRequest, FieldResult

CELL_M = 0.03
INSET_M = 0.05


def field_cost(result: FieldResult, request: FieldRequest) -> float:
    """The cost of a field on the floor of its request, beside one of another kind."""
    return rating(result.corners, request).kind_cost


def rating(corners: Sequence[Point], request: FieldRequest) -> Rating:
    """A loop rated as the search rates its own, on a raster of `CELL_M` over the floor but for its edge."""
    inner = request.floor.buffer(-INSET_M)
    west, south, east, north = request.floor.bounds
    x, y = np.arange(west, east + CELL_M, CELL_M), np.arange(south, north + CELL_M, CELL_M)
    floor = shapely.contains_xy(inner, *np.meshgrid(x, y, indexing="ij"))
    _, at = sampled(np.array(corners), CELL_M / 2)
    cells = np.rint((at - (west, south)) / CELL_M).astype(int)
    inside = ((cells >= 0) & (cells < floor.shape)).all(axis=1)
    run = np.full(floor.shape, -1, np.int32)
    run[cells[inside, 0], cells[inside, 1]] = np.flatnonzero(inside)
    away = np.rint(ndimage.distance_transform_edt(run < 0) ** 2).astype(np.int32)
    pitch = request.pitch_m / CELL_M
    on_floor = away[floor]
    length, bends = LineString(corners).length, right_angles(tuple(corners))
    wish = Wish(length_m=request.floor.area / request.pitch_m, radius_m=request.least_radius_m)
    return Rating(
        missed=float((on_floor > (REACH * pitch) ** 2).mean()) if on_floor.size else 0.0,
        gap=math.sqrt(float(on_floor.max(initial=0))) / pitch,
        unevenness=unevenness(run, away, floor, pitch),
        bends=bends,
        length_m=length,
        off=wish.off(length, bends),
    )
