"""Pieces cut from panels: each piece from the off-cut that fits it closest, by straight cuts from edge to edge.

A piece keeps its studs, so it may only be shifted in its panel by whole studs. Algorithm: best fit into free
rectangles, guillotine splits (`cut_up`), in several orders of pieces; the fewest panels win, then the largest
off-cuts. Source: guillotine heuristics for two-dimensional bin packing, in any survey of them; from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ufh_core.panels.cut_up import ACROSS, ALONG, LARGER, CutUp, Floats, Whole, cut_up, no_stud
from ufh_core.panels.types import Box, PanelSize

USEFUL = 4.0
"""Off-cuts at least so many studs wide count as material to be used again."""
HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class StudCut:
    """One cut of `part`, across the length or along it, in the panel's own studs."""

    part: Box
    across: bool
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """Where every piece is cut from: panel and shift in whole studs, in the order of the pieces.

    `cuts` by panel, `left` what remains of which panel.
    """

    places: tuple[tuple[int, int, int], ...]
    cuts: tuple[tuple[StudCut, ...], ...]
    left: tuple[tuple[int, Box], ...]

    @property
    def panels(self) -> int:
        """Panels used."""
        return len(self.cuts)


def area(box: Box) -> float:
    """Area of a box."""
    return (box[2] - box[0]) * (box[3] - box[1])


def is_useful(box: Box) -> bool:
    """Whether an off-cut is large enough to be used again."""
    return min(box[2] - box[0], box[3] - box[1]) >= USEFUL


def useful(done: CutUp) -> Floats:
    """Material of each panel in off-cuts that can be used again [studs²]."""
    long, wide = done.left[:, 3] - done.left[:, 1], done.left[:, 4] - done.left[:, 2]
    areas = np.where(np.minimum(long, wide) >= USEFUL, long * wide, 0.0)
    return np.asarray(np.bincount(done.left[:, 0].astype(np.int64), areas, done.panels), dtype=float)


def fits(piece: Box, size: PanelSize) -> bool:
    """Whether a piece can be cut from a panel with its studs in their places."""
    box = size.box
    return not any(no_stud(box[a], box[a + 2], piece[a], piece[a + 2]) for a in (0, 1))


def quick(boxes: Floats, size: PanelSize) -> CutUp:
    """Cut pieces in one order only, the largest first."""
    return cut_up(boxes, _ranked(_by_area(boxes)), size, LARGER)


def ways(boxes: Floats, size: PanelSize) -> list[CutUp]:
    """Cut pieces in several orders."""
    orders = [_ranked(keys(boxes)) for keys in (_by_area, _by_width, _by_length, _as_laid)]
    return [cut_up(boxes, order, size, split) for order in orders for split in (LARGER, ACROSS, ALONG)]


def packed(pieces: Sequence[Box], size: PanelSize) -> Packed:
    """Cut `pieces` [studs, laps included, each in the place where it lies] from as few panels as are found.

    Every piece must fit a panel. Of the orders tried the fewest panels win, then the most that can be used again.
    """
    made = ways(np.array(pieces, dtype=float).reshape(-1, 4), size)
    return as_packed(min(made, key=lambda done: (done.panels, -round(float(useful(done).sum()), 6))))


def as_packed(done: CutUp) -> Packed:
    """The same with the cuts of each panel by itself."""
    cuts: list[list[StudCut]] = [[] for _ in range(done.panels)]
    for panel, west, south, east, north, across, at in done.cuts.tolist():
        cuts[int(panel)].append(StudCut(part=(west, south, east, north), across=across > 0, at=at))
    return Packed(
        places=tuple((panel, kx, ky) for panel, kx, ky in done.places.tolist()),
        cuts=tuple(map(tuple, cuts)),
        left=tuple((int(panel), (west, south, east, north)) for panel, west, south, east, north in done.left.tolist()),
    )


def _ranked(keys: tuple[Floats, ...]) -> Whole:
    """Places in the order of rising keys, the first key first; equal ones as they were given."""
    return np.lexsort(keys[::-1]).astype(np.int32)


def _by_area(boxes: Floats) -> tuple[Floats, ...]:
    return (-np.round((boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1]), 6),)


def _by_width(boxes: Floats) -> tuple[Floats, ...]:
    return (-np.round(boxes[:, 3] - boxes[:, 1], 6), -np.round(boxes[:, 2] - boxes[:, 0], 6))


def _by_length(boxes: Floats) -> tuple[Floats, ...]:
    return (-np.round(boxes[:, 2] - boxes[:, 0], 6), -np.round(boxes[:, 3] - boxes[:, 1], 6))


def _as_laid(boxes: Floats) -> tuple[Floats, ...]:
    return (np.zeros(len(boxes)),)
