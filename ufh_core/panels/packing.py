"""Pieces cut from panels: each piece from the off-cut that fits it closest, by straight cuts from edge to edge.

A piece keeps its studs, so it may only be shifted in its panel by whole studs. Algorithm: best fit into free
rectangles, guillotine splits (each placing cuts the off-cut across or along first, whichever leaves the larger
piece, or always the same way), in several orders of pieces; the fewest panels win, then the largest off-cuts.
Source: guillotine heuristics for two-dimensional bin packing, in any survey of them; from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ufh_core.panels.types import Box, PanelSize

EPS = 1e-6
USEFUL = 4.0
"""Off-cuts at least so many studs wide count as material to be used again."""

Free = tuple[float, float, float, float, int, int]
"""An off-cut: its box, its panel, and a number that rises with every off-cut made."""


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

    @property
    def useful(self) -> float:
        """Material in off-cuts that can be used again [studs²]."""
        return sum(area(box) for _, box in self.left if is_useful(box))


def area(box: Box) -> float:
    """Area of a box."""
    return (box[2] - box[0]) * (box[3] - box[1])


def is_useful(box: Box) -> bool:
    """Whether an off-cut is large enough to be used again."""
    return min(box[2] - box[0], box[3] - box[1]) >= USEFUL


def is_whole(piece: Box, size: PanelSize) -> bool:
    """Whether a piece is a whole panel, lock edges aside."""
    slack = 1e-3
    return piece[2] - piece[0] >= size.long - slack and piece[3] - piece[1] >= size.wide - slack


def fits(piece: Box, size: PanelSize) -> bool:
    """Whether a piece can be cut from a panel with its studs in their places."""
    box = size.box
    return not any(_no_stud(box[a], box[a + 2], piece[a], piece[a + 2]) for a in (0, 1))


def packed(pieces: Sequence[Box], size: PanelSize, *, quick: bool = False) -> Packed:
    """Cut `pieces` [studs, laps included, each in the place where it lies] from as few panels as are found.

    Every piece must fit a panel. `quick` tries one order only and lists no cuts.
    """
    tries = [(_by_area, _larger)] if quick else [(order, split) for order in _ORDERS for split in _SPLITS]
    best: Packed | None = None
    for order, split in tries:
        keys = list(map(order, pieces))
        made = _pack(pieces, size, sorted(range(len(pieces)), key=keys.__getitem__), split, not quick)
        if best is None or (made.panels, -made.useful) < (best.panels, -best.useful - EPS):
            best = made
    assert best is not None
    return best


def _by_area(box: Box) -> tuple[float, ...]:
    return (-round(area(box), 6),)


def _by_width(box: Box) -> tuple[float, ...]:
    return (-round(box[3] - box[1], 6), -round(box[2] - box[0], 6))


def _by_length(box: Box) -> tuple[float, ...]:
    return (-round(box[2] - box[0], 6), -round(box[3] - box[1], 6))


def _as_laid(box: Box) -> tuple[float, ...]:
    return (0.0,)


def _larger(free: Free, piece: Box) -> bool:
    """Whether to cut across first, so that the largest off-cut is as large as can be."""
    beside, above = max(piece[0] - free[0], free[2] - piece[2]), max(piece[1] - free[1], free[3] - piece[3])
    across = max(beside * (free[3] - free[1]), above * (piece[2] - piece[0]))
    return across >= above * (free[2] - free[0]) and across >= beside * (piece[3] - piece[1])


def _across(free: Free, piece: Box) -> bool:
    return True


def _along(free: Free, piece: Box) -> bool:
    return False


_ORDERS: tuple[Callable[[Box], tuple[float, ...]], ...] = (_by_area, _by_width, _by_length, _as_laid)
_SPLITS: tuple[Callable[[Free, Box], bool], ...] = (_larger, _across, _along)


def _pack(
    pieces: Sequence[Box],
    size: PanelSize,
    order: Sequence[int],
    across_first: Callable[[Free, Box], bool],
    noted: bool,
) -> Packed:
    """Pieces cut in an order; cuts are listed only where they are to be `noted`."""
    long = min((p[2] - p[0] for p in pieces), default=0.0) - EPS
    wide = min((p[3] - p[1] for p in pieces), default=0.0) - EPS
    free: list[Free] = []  # in order of their making, as `dust`, which no piece fits
    dust: list[Free] = []
    cuts: list[list[StudCut]] = []
    places: list[tuple[int, int, int]] = [(0, 0, 0)] * len(pieces)
    made = 0
    for i in order:
        piece = pieces[i]
        at = -1 if is_whole(piece, size) else _closest(free, piece)
        if at < 0:
            cuts.append([])
        part = free.pop(at) if at >= 0 else (*size.box, len(cuts) - 1, made)
        kx, ky = _shift(part[0], part[2], piece[0], piece[2]), _shift(part[1], part[3], piece[1], piece[3])
        places[i] = (part[4], kx, ky)
        lies = (piece[0] + kx, piece[1] + ky, piece[2] + kx, piece[3] + ky)
        rest, steps = _split(part[:4], lies, across_first(part, lies), noted)
        cuts[part[4]] += steps
        for box in rest:
            made += 1
            kept = free if box[2] - box[0] >= long and box[3] - box[1] >= wide else dust
            kept.append((*box, part[4], made))
    left = tuple((f[4], f[:4]) for f in sorted(free + dust, key=lambda f: f[5]))
    return Packed(places=tuple(places), cuts=tuple(tuple(c) for c in cuts), left=left)


def _closest(free: Sequence[Free], piece: Box) -> int:
    """The off-cut that fits a piece with the least to spare, -1 for none."""
    best, best_at = math.inf, -1
    long, wide = piece[2] - piece[0], piece[3] - piece[1]
    least_long, least_wide, own = long - EPS, wide - EPS, long * wide
    for at, part in enumerate(free):
        w, h = part[2] - part[0], part[3] - part[1]
        if w < least_long or h < least_wide or w * h - own >= best - EPS:
            continue
        if _no_stud(part[0], part[2], piece[0], piece[2]) or _no_stud(part[1], part[3], piece[1], piece[3]):
            continue
        best, best_at = w * h - own, at
    return best_at


def _no_stud(low: float, high: float, start: float, end: float) -> bool:
    """Whether no shift by whole studs brings a piece into an off-cut."""
    return math.ceil(low - start - EPS) > math.floor(high - end + EPS)


def _shift(low: float, high: float, start: float, end: float) -> int:
    """Whole studs by which a piece comes to lie at the nearer end of an off-cut, the lower one if both are as near."""
    least, most = math.ceil(low - start - EPS), math.floor(high - end + EPS)
    return least if start + least - low <= high - end - most + EPS else most


def _split(box: Box, piece: Box, across_first: bool, noted: bool) -> tuple[list[Box], list[StudCut]]:
    """What remains of an off-cut round a piece, and the cuts where they are to be `noted`."""
    rest: list[Box] = []
    cuts: list[StudCut] = []
    for axis in (0, 1) if across_first else (1, 0):
        for side in (axis, axis + 2):
            at = piece[side]
            if abs(at - box[side]) <= EPS:
                continue
            if noted:
                cuts.append(StudCut(part=box, across=axis == 0, at=at))
            kept, away = list(box), list(box)
            kept[side] = away[side ^ 2] = at
            box = (kept[0], kept[1], kept[2], kept[3])
            rest.append((away[0], away[1], away[2], away[3]))
    return rest, cuts
