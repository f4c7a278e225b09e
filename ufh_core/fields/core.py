"""The compiled inner loops of the search, where they were built.

Without them, or with `WARMLOOM_PURE_PYTHON` set in the environment, twins in Python give the same
results, only slower: `field_lattice`, `field_joint` and `field_rate` hold a twin beside each call.
"""

from __future__ import annotations

import importlib
import os
from typing import Any, Protocol, TypeAlias, cast

from numpy.typing import NDArray

FORM = 2
"""The form of the calls; a module built from older sources is left alone."""

Numbers: TypeAlias = bytes | NDArray[Any]
"""A buffer in C order: int32 unless said otherwise, flags as bytes."""


class Core(Protocol):
    """What `_core.c` offers."""

    FORM: int

    def fit(
        self, even: Numbers, odd: Numbers, first: Numbers, last: Numbers, gaps: Numbers, parity: int, /
    ) -> tuple[list[int], float]:
        """Cheapest lines of an axis from costs in doubles; see `field_lattice`."""

    def walk(
        self,
        face: Numbers,
        tight: Numbers,
        us: Numbers,
        vs: Numbers,
        row: int,
        column: int,
        west: int,
        left: int,
        right: int,
        apart: int,
        leg: int,
        clear_from: int,
        comb: Numbers,
        /,
    ) -> bytes:
        """Corners of a loop from the left pipe to the right one, empty if there is none; `comb` is a `Comb.told`."""

    def distances(
        self, corners: Numbers, floor: Numbers, run: Numbers, away: Numbers, columns: int, reach: int, /
    ) -> tuple[int, int]:
        """Number of floor studs beyond `reach` and greatest distance, squared; fills `run` and `away`."""

    def evenness(
        self, run: Numbers, away: Numbers, floor: Numbers, kernel: Numbers, columns: int, cut: int, length: int, /
    ) -> tuple[int, int, int]:
        """Number, sum and sum of squares of the water's level on floor studs nearer than `cut`, squared."""


def _built() -> Core | None:
    """The compiled module if it is there, is wanted and fits."""
    if os.environ.get("WARMLOOM_PURE_PYTHON"):
        return None
    try:
        module = cast("Core", importlib.import_module("ufh_core.fields._core"))
    except ImportError:
        return None
    return module if module.FORM == FORM else None


compiled = _built()
