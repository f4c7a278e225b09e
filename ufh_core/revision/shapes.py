"""How shapes differ: what was gained and lost, and how a long thing such as a wall was moved."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.areas import common
from ufh_core.revision.types import TOLERANCE_M

LEAST_TURN_RAD = math.radians(0.1)
RECTANGLE = 0.97  # share of its box that a straight wall fills


def wide_parts(area: BaseGeometry, wide_m: float = TOLERANCE_M) -> BaseGeometry:
    """The parts of an area that are wider than so much [m]."""
    half = wide_m / 2
    opened = area.buffer(-half, join_style="mitre").buffer(half * 1.01, join_style="mitre")
    return common(opened, area)


def changed_area(old: BaseGeometry, new: BaseGeometry) -> BaseGeometry:
    """What only one of two areas has, less strips within the tolerance."""
    return wide_parts(shapely.symmetric_difference(old, new, grid_size=1e-5))


def differs(old: BaseGeometry, new: BaseGeometry) -> bool:
    """Whether two outlines differ by more than the tolerance anywhere."""
    return not changed_area(old, new).is_empty


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A long box in plan: middle, direction of its long side, length and thickness [m]."""

    middle: NDArray[np.float64]
    along: NDArray[np.float64]
    length_m: float
    thick_m: float


def bar_of(outline: BaseGeometry) -> Bar | None:
    """The box of an outline that is about one; None for any other shape."""
    box = shapely.minimum_rotated_rectangle(outline)
    if box.geom_type != "Polygon" or outline.area < RECTANGLE * box.area:
        return None
    corners = np.asarray(box.exterior.coords)[:4]
    sides = np.diff(corners[[0, 1, 2]], axis=0)
    lengths = np.linalg.norm(sides, axis=1)
    k = int(np.argmax(lengths))
    return Bar(middle=corners.mean(axis=0), along=sides[k] / lengths[k], length_m=lengths[k], thick_m=lengths[1 - k])


def bar_words(old: BaseGeometry, new: BaseGeometry) -> str:
    """How a wall changed, in words: moved, turned, thicker, longer; "changed in shape" for any other way."""
    before, after = bar_of(old), bar_of(new)
    if before is None or after is None:
        by = shapely.distance(old.centroid, new.centroid)
        rigid = abs(old.area - new.area) < 1e-3 and by > TOLERANCE_M
        return f"moved by {by:.2f} m" if rigid else "changed in shape"
    cross = float(before.along[0] * after.along[1] - before.along[1] * after.along[0])
    turn = abs(math.asin(max(-1.0, min(1.0, cross))))
    step = after.middle - before.middle
    across = abs(float(before.along[0] * step[1] - before.along[1] * step[0]))
    return _put(turn, across, abs(float(step @ before.along)), before, after)


def _put(turn: float, across: float, along: float, before: Bar, after: Bar) -> str:
    longer, thicker = after.length_m - before.length_m, after.thick_m - before.thick_m
    parts = []
    if turn > LEAST_TURN_RAD:
        parts.append(f"turned by {math.degrees(turn):.1f}°")
    if across > TOLERANCE_M and abs(across - abs(thicker) / 2) > TOLERANCE_M:
        parts.append(f"moved by {across:.2f} m")
    if abs(thicker) > TOLERANCE_M / 2:
        parts.append(f"is {after.thick_m:.3f} m thick, was {before.thick_m:.3f} m")
    if abs(longer) > TOLERANCE_M:
        parts.append(f"is {abs(longer):.2f} m {'longer' if longer > 0 else 'shorter'}")
    elif along > TOLERANCE_M:
        parts.append(f"moved along itself by {along:.2f} m")
    return " and ".join(parts) or "changed in shape"
