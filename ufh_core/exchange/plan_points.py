"""Points and pipes of the plan as plain numbers in the storey's frame."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Arc, PipeAxis


def moved(turn: NDArray[np.float64], point: tuple[float, float]) -> list[float]:
    """A plan point in the storey's frame; `turn` is 3 x 3."""
    at = turn @ np.array([point[0], point[1], 1.0])
    return [float(at[0]), float(at[1])]


def turned(turn: NDArray[np.float64], direction: tuple[float, float]) -> list[float]:
    """A plan direction in the storey's frame; `turn` is 3 x 3."""
    along = turn[:2, :2] @ np.array(direction)
    return [float(along[0]), float(along[1])]


def path_of(axis: PipeAxis, turn: NDArray[np.float64]) -> list[Any]:
    """The plan axis: its first point, then the end of every straight, and arcs by three points."""
    path: list[Any] = [moved(turn, axis.start)]
    for piece in axis.pieces:
        if isinstance(piece, Arc):
            path.append({"arc": [moved(turn, p) for p in (piece.start, piece.middle, piece.end)]})
        else:
            path.append(moved(turn, piece.end))
    return path
