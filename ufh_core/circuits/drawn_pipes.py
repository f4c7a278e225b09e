"""A pipe drawn by hand: what of it is tails, what it heats, and whether its runs are far enough apart.

Sampled along the pipe. Its two ends are tails as long as they run side by side.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely.ops import substring

from ufh_core.basis.areas import Area, areas_only
from ufh_core.basis.pipe_axis import PipeAxis

STEP_M = 0.02
LEAST_SHARE = 0.75  # of the pitch between two runs, as in any field
TURN_SHARE = 2.5  # runs nearer than this along the pipe [pitches] are one turn
TAIL_SIDE_M = 0.07


def tail_m(axis: PipeAxis, pitch_m: float) -> float:
    """Length of each of the two ends that run side by side from the ports [m]."""
    points = _samples(axis)
    half = len(points) // 2
    apart = np.hypot(*(points[:half] - points[::-1][:half]).T) >= LEAST_SHARE * pitch_m
    return float(np.argmax(apart) * STEP_M) if apart.any() else half * STEP_M


def drawn_field(axis: PipeAxis, pitch_m: float) -> Area:
    """The floor within half a pitch of a pipe, gaps up to 1.5 pitches between its runs closed, its tails left out."""
    line, tail = axis.line(), tail_m(axis, pitch_m)
    core = substring(line, tail, line.length - tail)
    tails = shapely.union_all([substring(line, 0.0, tail), substring(line, line.length - tail, line.length)])
    near = core.buffer(0.75 * pitch_m).buffer(-0.25 * pitch_m)
    return areas_only(near.difference(tails.buffer(TAIL_SIDE_M, cap_style="flat")) if tail else near)


def own_gap_m(axis: PipeAxis, pitch_m: float) -> float:
    """Least distance of two runs beyond the tails where it is less than 0.75 pitch [m]; 0 where it is not."""
    points, tail = _samples(axis), tail_m(axis, pitch_m) + pitch_m
    along = np.arange(len(points)) * STEP_M
    core = (along > tail) & (along < along[-1] - tail)
    points, along = points[core], along[core]
    if len(points) < 2:
        return 0.0
    pairs = cKDTree(points).query_pairs(LEAST_SHARE * pitch_m - 1e-3, output_type="ndarray")
    far = pairs[np.abs(along[pairs[:, 0]] - along[pairs[:, 1]]) > TURN_SHARE * pitch_m]
    gaps = np.hypot(*(points[far[:, 0]] - points[far[:, 1]]).T)
    return float(gaps.min()) if len(gaps) else 0.0


def _samples(axis: PipeAxis) -> NDArray[np.float64]:
    line = axis.line()
    points = shapely.line_interpolate_point(line, np.arange(0.0, line.length, STEP_M))
    return np.asarray(shapely.get_coordinates(points))
