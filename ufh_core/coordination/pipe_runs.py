"""A pipe in space, parted into its run in the floor and the parts that rise out of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.coordination.types import PipePart

LEVEL_M = 0.05  # a pipe that is higher than this over its lowest point has left the floor


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PipeRuns:
    """`line` is the run in the floor in plan, at the height `level_m` [m] of its axis; `rises` leave the floor.

    Each rise is (its plan line or point, lowest and greatest height of the axis [m]).
    """

    part: PipePart
    line: shapely.Geometry
    level_m: float
    rises: tuple[tuple[shapely.Geometry, float, float], ...]


def pipe_runs(part: PipePart) -> PipeRuns:
    """Part a pipe by the heights of its points."""
    heights = part.points[:, 2]
    level = _level(part.points)
    low = (heights[:-1] <= level + LEVEL_M) & (heights[1:] <= level + LEVEL_M)
    return PipeRuns(
        part=part,
        line=shapely.union_all([_line(p) for p in _stretches(part.points, low)]),
        level_m=level,
        rises=tuple((_line(p), float(p[:, 2].min()), float(p[:, 2].max())) for p in _stretches(part.points, ~low)),
    )


def _level(points: NDArray[np.float64]) -> float:
    """The height at which most of a pipe's length lies [m]."""
    lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
    heights = (points[:-1, 2] + points[1:, 2]) / 2
    order = np.argsort(heights, kind="stable")
    running = np.cumsum(lengths[order])
    return float(heights[order][int(np.searchsorted(running, running[-1] / 2))])


def _stretches(points: NDArray[np.float64], chosen: NDArray[np.bool_]) -> list[NDArray[np.float64]]:
    """Unbroken runs of the segments that are chosen, as their points."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], chosen, [False]]).astype(int)))
    return [points[start : stop + 1] for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def _line(points: NDArray[np.float64]) -> shapely.Geometry:
    """Plan line of points; a point where they stand over one another."""
    flat = points[:, :2]
    whole = np.ptp(flat, axis=0).max() > 1e-6
    return shapely.LineString(flat) if whole else shapely.Point(flat[0])
