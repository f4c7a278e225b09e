"""The inner loops of the search for lanes: compiled where a compiler was at hand, else in Python, same results."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.circuits import lane_kernel_plain
from ufh_core.circuits.lane_grid import LaneGrid

try:
    from ufh_core.circuits import _lane_kernel  # type: ignore[attr-defined]
except ImportError:  # the compiled module is optional
    _lane_kernel = None

Ints = NDArray[np.int64]
UNIT = 1_000_000  # prices are counted in millionths
NO_LIMIT = 2**62
kernel: Any = _lane_kernel or lane_kernel_plain


def moves_of(grid: LaneGrid) -> NDArray[np.uint8]:
    """Bits of the directions in which a step may be taken from each node, shape (size,)."""
    moves = np.zeros(grid.size, dtype=np.uint8)
    for d in range(4):
        open_ = grid.allows(d)
        start = np.flatnonzero(open_)
        start = start[open_[start + grid.step_of(d)]]
        moves[start] |= np.uint8(1 << d)
    return moves


def in_units(cost: NDArray[np.float64]) -> Ints:
    """Prices as whole numbers of 1 / UNIT."""
    return np.rint(cost * UNIT).astype(np.int64)


def nodes_array(nodes: object) -> Ints:
    """Node numbers as the kernel takes them."""
    return np.ascontiguousarray(nodes, dtype=np.int64)
