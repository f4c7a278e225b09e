"""Whether the changed part of a way comes nearer to its own pipe than runs may. Sampled along the pipe."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import PipeAxis, Point
from ufh_core.circuits.drawn_pipes import LEAST_SHARE, STEP_M, TURN_SHARE, tail_m

SAME_M = 0.005
SLACK_M = 0.001


def changed_gap_m(axis: PipeAxis, was: LineString, pitch_m: float) -> float:
    """Least distance [m] of a changed part to a run beside it, as `changed_gap`; 0 where none is too near."""
    found = changed_gap(axis, was, pitch_m)
    return 0.0 if found is None else found[0]


def changed_gap(axis: PipeAxis, was: LineString, pitch_m: float) -> tuple[float, Point] | None:
    """(least distance of a changed part to a run beside it, where) [m] where it is under 0.75 pitch.

    `was` is the way before, moved with its manifold. Two tails may lie side by side.
    """
    line = axis.line()
    points = shapely.line_interpolate_point(line, np.arange(0.0, line.length, STEP_M))
    along, xy = np.arange(len(points)) * STEP_M, shapely.get_coordinates(points)
    changed, tail = shapely.distance(points, was) > SAME_M, tail_m(axis, pitch_m) + pitch_m
    in_tail = (along < tail) | (along > along[-1] - tail)
    near = cKDTree(xy[changed]).query_ball_tree(cKDTree(xy), LEAST_SHARE * pitch_m - SLACK_M) if changed.any() else []
    own = np.flatnonzero(changed)
    pairs = np.array([(own[i], j) for i, others in enumerate(near) for j in others], dtype=np.int64).reshape(-1, 2)
    apart = np.abs(along[pairs[:, 0]] - along[pairs[:, 1]]) > TURN_SHARE * pitch_m
    pairs = pairs[apart & ~(in_tail[pairs[:, 0]] & in_tail[pairs[:, 1]])]
    gaps = np.hypot(*(xy[pairs[:, 0]] - xy[pairs[:, 1]]).T)
    if not len(gaps):
        return None
    nearest = int(np.argmin(gaps))
    x, y = xy[pairs[nearest, 0]]
    return float(gaps[nearest]), (float(x), float(y))
