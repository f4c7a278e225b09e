"""The even grid of joints with fewest fields that makes a rectangle of screed keep its rules."""

from __future__ import annotations

from itertools import product

from shapely.geometry import Polygon

from ufh_core.joints.types import FieldRules

SLACK = 1e-6
_MOST_ALONG = 60
_RECTANGLE = 0.9999


def even_grid(outline: Polygon, rules: FieldRules, count: int) -> tuple[list[float], list[float]] | None:
    """(abscissas, ordinates) [m] of lines that take at most `count` joints; None where there is no such grid.

    A level line between upright ones counts as a joint for each field that it parts.
    """
    left, low, right, high = outline.bounds
    across, up = right - left, high - low
    if outline.area < _RECTANGLE * across * up:
        return None
    most = min(count + 1, _MOST_ALONG)
    fits = [
        (m * n, abs(across / m - up / n), m, n)
        for m, n in product(range(1, most + 1), repeat=2)
        if m * n <= count + 1 and _keeps(across / m, up / n, rules)
    ]
    if not fits:
        return None
    _, _, m, n = min(fits)
    return [left + across * k / m for k in range(1, m)], [low + up * k / n for k in range(1, n)]


def _keeps(across: float, up: float, rules: FieldRules) -> bool:
    """Whether a rectangle [m] keeps the rules."""
    length, width = max(across, up), min(across, up)
    slender = length > rules.ratio * width + SLACK and length > rules.ratio_free_side_m + SLACK
    return not slender and length <= rules.side_m + SLACK and across * up <= rules.area_m2 + SLACK
