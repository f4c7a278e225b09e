"""Filling one territory with one loop: the way in, whatever the room's walls and the system ask for."""

from __future__ import annotations

import shapely
from shapely.geometry import LineString

from ufh_core.circuits.field_rate import REACH
from ufh_core.circuits.field_search import search_field
from ufh_core.circuits.field_turned import frames, lay_turned
from ufh_core.circuits.field_types import FieldFailure, FieldRequest, FieldResult, Pattern

INSET_M = 0.05


def lay_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found for a territory, in a frame along its walls where they ask, or why there is none."""
    made = [_laid_at(request, angle) for angle in frames(request.floor)]
    laid = [m for m in made if isinstance(m, FieldResult)]
    if laid:
        return min(laid, key=lambda r: cost(r, request))
    return made[0] if 0.0 in frames(request.floor) else search_field(request)


def _laid_at(request: FieldRequest, angle: float) -> FieldResult | FieldFailure:
    """The field in a frame at an angle [rad]."""
    return lay_turned(request, angle, search_field) if angle else search_field(request)


def cost(result: FieldResult, request: FieldRequest) -> float:
    """One figure to compare fields on different grids by, as the search compares loops: cold floor first."""
    line = LineString(result.corners)
    near = line.buffer(REACH * request.pitch_m)
    inner = request.floor.buffer(-INSET_M)
    missed: float = shapely.difference(inner, near).area / max(inner.area, 1e-6)
    far = 4 * max(0.0, result.greatest_gap_m / request.pitch_m - 0.9)
    uneven = 20 * result.unevenness if request.pattern is Pattern.COUNTERFLOW else 0.0
    return float(100 * missed + far + uneven + 4 * result.bends / max(line.length, 1.0))
