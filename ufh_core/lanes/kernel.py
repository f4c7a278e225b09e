"""The inner loops of the search for lanes: compiled where they were built, else in Python, to the same results.

With `WARMLOOM_PURE_PYTHON` set in the environment the twins in Python (`kernel_plain`) are used.
"""

from __future__ import annotations

import importlib
import os
from typing import Protocol, cast

import numpy as np
from numpy.typing import NDArray

from ufh_core.lanes import kernel_plain
from ufh_core.lanes.grid import LaneGrid

FORM = 1
"""The form of the calls; a module built from older sources is left alone."""

Ints = NDArray[np.int64]
Moves = NDArray[np.uint8]
UNIT = 1_000_000  # prices are counted in millionths
NO_LIMIT = 2**62


class Kernel(Protocol):
    """The searches; `kernel_plain` says what each does."""

    def spread(self, rows: int, moves: Moves, cost: Ints, goals: Ints, most: int, out: Ints, /) -> int:
        """Least costs to the nearest goal."""

    def lead(
        self, rows: int, moves: Moves, cost: Ints, goals: Ints, source: int, leg: int, turn: int, limit: int, /
    ) -> list[int]:
        """States of the cheapest legal lane."""

    def flow(
        self,
        rows: int,
        moves: Moves,
        cost: Ints,
        step_cost: int,
        tie: int,
        ports: Ints,
        first: Ints,
        places: Ints,
        /,
    ) -> tuple[list[list[int]], list[int]]:
        """Lanes of least cost by territory, and the least cut."""


def _built() -> Kernel:
    """The compiled module if it is there, is wanted and fits; else the one in Python."""
    if not os.environ.get("WARMLOOM_PURE_PYTHON"):
        try:
            module = importlib.import_module("ufh_core.lanes._kernel")
        except ImportError:
            return kernel_plain
        if module.FORM == FORM:
            return cast("Kernel", module)
    return kernel_plain


kernel = _built()


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
