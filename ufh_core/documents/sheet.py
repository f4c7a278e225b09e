"""Paper, scale and columns: the smallest sheet that holds the plan and what is written beside it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from ufh_core.basis.pipe_axis import Point
from ufh_core.words import mark

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "A2": (420.0, 594.0), "A1": (594.0, 841.0), "A0": (841.0, 1189.0)}
# In the order in which they are tried: a fitter reads 1:50 best, so a larger sheet comes before a smaller scale.
CHOICES = (
    (20, "A4"), (50, "A4"), (20, "A3"), (50, "A3"), (50, "A2"), (50, "A1"), (100, "A1"), (100, "A0"),
    (200, "A0"), (500, "A0"), (1000, "A0"), (5000, "A0"),
)  # fmt: skip
OVERVIEW = ((50, "A4"), (100, "A4"), (100, "A3"), (200, "A4"), (200, "A3"), *CHOICES)  # where there is nothing to lay
DETAIL = (*((5, paper) for paper in PAPERS), (10, "A0"), *CHOICES)
ON_PAPER = tuple((1, paper) for paper in PAPERS)  # drawings without a scale, in mm of paper
Choices = Sequence[tuple[int, str]]
MARGIN_MM = 8.0
COLUMN_MM = 91.0
GAP_MM = 4.0
ROUND_PLAN_MM = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of writing: left edge, top and bottom [mm from the sheet's lower left corner]."""

    x: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet of paper on the building: `corner` is its lower left corner in the plan frame [m]."""

    paper: str
    width: float  # [mm]
    height: float  # [mm]
    scale: int
    corner: Point
    plan: tuple[float, float, float, float]  # left, bottom, right, top of the plan's part [mm]
    columns: tuple[Column, ...]

    def at(self, x_mm: float, y_mm: float) -> Point:
        """The point of the plan frame [m] under a point of the sheet [mm]."""
        return (self.corner[0] + x_mm * self.scale / 1000, self.corner[1] + y_mm * self.scale / 1000)


def choose_sheet(
    bounds: tuple[float, float, float, float],
    fits: Callable[[tuple[Column, ...]], bool],
    choices: Choices = CHOICES,
) -> Sheet:
    """The first sheet whose plan part holds `bounds` [m] and whose columns pass `fits`.

    `choices` are (scale, paper) in the order in which they are tried. Where none does, a length of roll as wide
    as A0 with as many columns as it takes; a drawing without a scale stays as it is, on as much paper as it needs.
    """
    for scale, paper in choices:
        need = _need_mm(bounds, scale)
        for width, height in (PAPERS[paper][::-1], PAPERS[paper]):
            for plan, columns in _arrangements(width, height, need):
                if fits(columns):
                    return _sheet(paper, width, height, scale, bounds, plan, columns)
    return _roll(bounds, fits, to_scale=choices[0][0] > 1)


def _need_mm(bounds: tuple[float, float, float, float], scale: float) -> tuple[float, float]:
    west, south, east, north = bounds
    return (
        (east - west) * 1000 / scale + 2 * ROUND_PLAN_MM,
        (north - south) * 1000 / scale + 2 * ROUND_PLAN_MM,
    )


def _arrangements(
    width: float, height: float, need: tuple[float, float]
) -> Iterator[tuple[tuple[float, float, float, float], tuple[Column, ...]]]:
    """Columns at the right of the plan, fewest first; then columns below it, lowest first."""
    top, bottom, right = height - MARGIN_MM, MARGIN_MM, width - MARGIN_MM
    if need[1] <= top - bottom:
        for count in range(1, 5):
            edge = right - count * (COLUMN_MM + GAP_MM)
            if edge - MARGIN_MM >= need[0]:
                yield (MARGIN_MM, bottom, edge, top), _columns(count, edge + GAP_MM, top - 2, bottom)
    count = int((right - MARGIN_MM + GAP_MM) // (COLUMN_MM + GAP_MM))
    if need[0] <= right - MARGIN_MM and count:
        steps = range(60, max(60, int(top - bottom - need[1] - GAP_MM)) + 1, 10)
        for strip in steps:
            if top - bottom - strip - GAP_MM >= need[1]:
                plan = (MARGIN_MM, bottom + strip + GAP_MM, right, top)
                yield plan, _columns(count, right - count * (COLUMN_MM + GAP_MM) + GAP_MM, bottom + strip, bottom)


def _columns(count: int, left: float, top: float, bottom: float) -> tuple[Column, ...]:
    return tuple(Column(x=left + k * (COLUMN_MM + GAP_MM), top=top, bottom=bottom + 1) for k in range(count))


def _roll(
    bounds: tuple[float, float, float, float], fits: Callable[[tuple[Column, ...]], bool], *, to_scale: bool
) -> Sheet:
    span = max(bounds[3] - bounds[1], bounds[2] - bounds[0])
    scale = max(100, math.ceil(span / 0.7 / 100) * 100) if to_scale else 1
    height = max(PAPERS["A0"][0], _need_mm(bounds, scale)[1] + 2 * MARGIN_MM)
    plan_width = _need_mm(bounds, scale)[0]
    count = 1
    while True:
        edge = MARGIN_MM + plan_width
        columns = _columns(count, edge + GAP_MM, height - MARGIN_MM - 2, MARGIN_MM)
        if fits(columns) or count > 200:
            width = edge + count * (COLUMN_MM + GAP_MM) + MARGIN_MM
            plan = (MARGIN_MM, MARGIN_MM, edge, height - MARGIN_MM)
            return _sheet(mark("roll"), width, height, scale, bounds, plan, columns)
        count += 1


def _sheet(
    paper: str,
    width: float,
    height: float,
    scale: int,
    bounds: tuple[float, float, float, float],
    plan: tuple[float, float, float, float],
    columns: tuple[Column, ...],
) -> Sheet:
    middle_mm = ((plan[0] + plan[2]) / 2, (plan[1] + plan[3]) / 2)
    middle_m = ((bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2)
    corner = (middle_m[0] - middle_mm[0] * scale / 1000, middle_m[1] - middle_mm[1] * scale / 1000)
    return Sheet(paper=paper, width=width, height=height, scale=scale, corner=corner, plan=plan, columns=columns)
