"""Pieces cut from panels in a given order: compiled where it was built, else in Python, to the same results.

With `WARMLOOM_PURE_PYTHON` set in the environment the twin in Python is used.
"""

from __future__ import annotations

import importlib
import math
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, cast

import numpy as np
from numpy.typing import NDArray

from ufh_core.panels.types import Box, PanelSize

FORM = 1
"""The form of the call; a module built from older sources is left alone."""
EPS = 1e-6
SLACK = 1e-3
"""What a whole panel may lack [studs]."""
LARGER, ACROSS, ALONG = 0, 1, 2
"""Which cut comes first where a part is cut twice: the one that leaves the larger off-cut, or always the same."""

Floats = NDArray[np.float64]
Whole = NDArray[np.int32]
Part = tuple[Box, int, int]
"""What is left of a panel: its box, its panel, and a number that rises with every off-cut made."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutUp:
    """Where every piece is cut from: (n, 3) panel and shift in whole studs, in the order of the pieces.

    `left` (m, 5) are off-cuts: panel and box. `cuts` (c, 7) in their order: panel, box of the part, 1.0 across its
    length or 0.0 along it, and where.
    """

    panels: int
    places: Whole
    left: Floats
    cuts: Floats


class Cutting(Protocol):
    """What `_cutting.c` offers."""

    FORM: int

    def cut_up(
        self, boxes: Floats, order: Whole, long: float, wide: float, lap: float, split: int, /
    ) -> tuple[int, bytes, bytes, bytes]:
        """Panels, places, off-cuts and cuts."""


def _built() -> Cutting | None:
    """The compiled module if it is there, is wanted and fits."""
    if os.environ.get("WARMLOOM_PURE_PYTHON"):
        return None
    try:
        module = cast("Cutting", importlib.import_module("ufh_core.panels._cutting"))
    except ImportError:
        return None
    return module if module.FORM == FORM else None


compiled = _built()


def cut_up(boxes: Floats, order: Whole, size: PanelSize, split: int) -> CutUp:
    """Cut pieces [studs, laps included] one after the other, each from the off-cut that fits it with least to spare.

    `boxes` (n, 4) in C order; every piece must fit a panel. `split` is `LARGER`, `ACROSS` or `ALONG`.
    """
    if compiled is None:
        return plain(boxes, order, size, split)
    panels, places, left, cuts = compiled.cut_up(boxes, order, size.long, size.wide, size.lap, split)
    return CutUp(
        panels=panels,
        places=np.frombuffer(places, dtype=np.int32).reshape(-1, 3),
        left=np.frombuffer(left).reshape(-1, 5),
        cuts=np.frombuffer(cuts).reshape(-1, 7),
    )


def plain(boxes: Floats, order: Whole, size: PanelSize, split: int) -> CutUp:
    """What `_cutting.c` does, in Python."""
    pieces: list[Box] = [(w, s, e, n) for w, s, e, n in boxes.tolist()]
    long = min((p[2] - p[0] for p in pieces), default=0.0) - EPS
    wide = min((p[3] - p[1] for p in pieces), default=0.0) - EPS
    free: list[Part] = []  # in order of their making, as `dust`, which no piece fits
    dust: list[Part] = []
    cuts: list[tuple[float, ...]] = []
    places = np.zeros((len(pieces), 3), dtype=np.int32)
    panels = made = 0
    for i in order.tolist():
        piece = pieces[i]
        at = -1 if is_whole(piece, size) else _closest(free, piece)
        part, panel, _ = free.pop(at) if at >= 0 else (size.box, panels, 0)
        panels += at < 0
        kx, ky = _shift(part[0], part[2], piece[0], piece[2]), _shift(part[1], part[3], piece[1], piece[3])
        places[i] = (panel, kx, ky)
        lies = (piece[0] + kx, piece[1] + ky, piece[2] + kx, piece[3] + ky)
        for before, away, across, where in _cut_down(part, lies, _across_first(part, lies, split)):
            made += 1
            cuts.append((panel, *before, float(across), where))
            kept = free if away[2] - away[0] >= long and away[3] - away[1] >= wide else dust
            kept.append((away, panel, made))
    left = [(panel, *box) for box, panel, _ in sorted(free + dust, key=lambda part: part[2])]
    return CutUp(
        panels=panels,
        places=places,
        left=np.array(left, dtype=float).reshape(-1, 5),
        cuts=np.array(cuts, dtype=float).reshape(-1, 7),
    )


def is_whole(piece: Box, size: PanelSize) -> bool:
    """Whether a piece is a whole panel, lock edges aside."""
    return piece[2] - piece[0] >= size.long - SLACK and piece[3] - piece[1] >= size.wide - SLACK


def no_stud(low: float, high: float, start: float, end: float) -> bool:
    """Whether no shift by whole studs brings a piece into an off-cut."""
    return math.ceil(low - start - EPS) > math.floor(high - end + EPS)


def _closest(free: Sequence[Part], piece: Box) -> int:
    """The off-cut that fits a piece with the least to spare, -1 for none."""
    best, best_at = math.inf, -1
    long, wide = piece[2] - piece[0], piece[3] - piece[1]
    least_long, least_wide, own = long - EPS, wide - EPS, long * wide
    for at, (part, _, _) in enumerate(free):
        w, h = part[2] - part[0], part[3] - part[1]
        if w < least_long or h < least_wide or w * h - own >= best - EPS:
            continue
        if no_stud(part[0], part[2], piece[0], piece[2]) or no_stud(part[1], part[3], piece[1], piece[3]):
            continue
        best, best_at = w * h - own, at
    return best_at


def _shift(low: float, high: float, start: float, end: float) -> int:
    """Whole studs by which a piece comes to lie at the nearer end of an off-cut, the lower one if both are as near."""
    least, most = math.ceil(low - start - EPS), math.floor(high - end + EPS)
    return least if start + least - low <= high - end - most + EPS else most


def _across_first(part: Box, piece: Box, split: int) -> bool:
    """Whether to cut across first; by default so that the largest off-cut is as large as can be."""
    if split != LARGER:
        return split == ACROSS
    beside, above = max(piece[0] - part[0], part[2] - piece[2]), max(piece[1] - part[1], part[3] - piece[3])
    across = max(beside * (part[3] - part[1]), above * (piece[2] - piece[0]))
    return across >= above * (part[2] - part[0]) and across >= beside * (piece[3] - piece[1])


def _cut_down(part: Box, piece: Box, across_first: bool) -> list[tuple[Box, Box, bool, float]]:
    """(part, what is cut away from it, whether across, where) for each cut that frees a piece."""
    found = []
    for axis in (0, 1) if across_first else (1, 0):
        for side in (axis, axis + 2):
            at = piece[side]
            if abs(at - part[side]) <= EPS:
                continue
            kept, away = list(part), list(part)
            kept[side] = away[side ^ 2] = at
            found.append((part, (away[0], away[1], away[2], away[3]), axis == 0, at))
            part = (kept[0], kept[1], kept[2], kept[3])
    return found
