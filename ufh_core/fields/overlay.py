"""Set operations that do not give up where outlines nearly touch."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import shapely

FINE_M = 1e-7


def robust(operation: Callable[..., Any], one: shapely.Geometry, other: shapely.Geometry) -> Any:
    """`operation` of two areas; where rounding makes it fail, of the same with their corners on a grid of 0.1 µm."""
    try:
        return operation(one, other)
    except shapely.errors.GEOSException:
        repaired = (shapely.set_precision(shapely.make_valid(area), FINE_M) for area in (one, other))
        return operation(*repaired)
