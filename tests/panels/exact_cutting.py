"""The fewest panels from which pieces can be cut, exactly, for a few pieces: to measure the package's search by.

Every subset of pieces that one panel yields is found by trying all straight cuts from edge to edge at the places where
a piece may end; the fewest subsets that hold every piece once are a 0-1 programme, solved by scipy's HiGHS.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import combinations, product

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

Box = tuple[float, float, float, float]
EPS = 1e-7


def fewest(pieces: Sequence[Box], panel: Box, most: int = 5) -> int:
    """Fewest panels for `pieces` [studs, laps included]; no more than `most` pieces are tried in one panel."""
    pieces = [tuple(round(v, 6) for v in piece) for piece in pieces]
    yields = _Yields(panel)
    subsets = [s for n in range(1, most + 1) for s in combinations(range(len(pieces)), n)]
    good: list[tuple[int, ...]] = []
    known: set[tuple[int, ...]] = set()
    for subset in subsets:  # a subset can only work where all its parts do
        if len(subset) > 1 and any((*subset[:k], *subset[k + 1 :]) not in known for k in range(len(subset))):
            continue
        if yields.all_of(tuple(sorted(pieces[i] for i in subset))):
            known.add(subset)
            good.append(subset)
    holds = np.zeros((len(pieces), len(good)))
    for column, subset in enumerate(good):
        holds[list(subset), column] = 1
    found = milp(
        np.ones(len(good)),
        constraints=LinearConstraint(holds, 1, 1),
        integrality=np.ones(len(good)),
        bounds=Bounds(0, 1),
    )
    assert found.success, found.message
    return round(found.fun)


class _Yields:
    """Whether a panel yields pieces, remembered."""

    def __init__(self, panel: Box) -> None:
        self._panel = panel
        self._from = cache(self._tried)

    def all_of(self, pieces: tuple[Box, ...]) -> bool:
        w, s, e, n = self._panel
        if sum((p[2] - p[0]) * (p[3] - p[1]) for p in pieces) > (e - w) * (n - s) + EPS:
            return False
        return self._from(self._panel, pieces)

    def _tried(self, part: Box, pieces: tuple[Box, ...]) -> bool:
        if len(pieces) == 1:
            (p,) = pieces
            return all(math.ceil(part[a] - p[a] - EPS) <= math.floor(part[a + 2] - p[a + 2] + EPS) for a in (0, 1))
        for mask in product((False, True), repeat=len(pieces)):
            first = tuple(p for p, chosen in zip(pieces, mask, strict=True) if chosen)
            rest = tuple(p for p, chosen in zip(pieces, mask, strict=True) if not chosen)
            if first and rest and any(self._cut(part, first, rest, axis) for axis in (0, 1)):
                return True
        return False

    def _cut(self, part: Box, first: tuple[Box, ...], rest: tuple[Box, ...], axis: int) -> bool:
        """Whether some cut parts two groups; it may as well lie where a piece of the first one ends."""
        for at in sorted({end for p in first for end in _ends(p[axis + 2], part[axis], part[axis + 2])}):
            near, far = list(part), list(part)
            near[axis + 2], far[axis] = at, at
            if self._from(tuple(near), first) and self._from(tuple(far), rest):
                return True
        return False


def _ends(end: float, low: float, high: float) -> Iterator[float]:
    """Where a piece may end in a part: shifted by whole studs."""
    for k in range(math.ceil(low - end), math.floor(high - end) + 1):
        if low + EPS < end + k < high - EPS:
            yield round(end + k, 6)


def layings_of_a_rectangle(room: Box, long: int, wide: int, lap: float, least: float) -> Iterator[list[Box]]:
    """Every way to lay a rectangle in rows from west to east with no piece under `least`: pieces with their laps."""
    west, south, east, north = room
    for first in range(math.floor(south + EPS) - wide + 1, math.floor(south + EPS) + 1):
        rows = [
            (max(r, south), min(r + wide, north), lap if r > south + EPS else 0.0)
            for r in range(first, math.ceil(north - EPS), wide)
        ]
        if any(high - low < least - EPS for low, high, _ in rows):
            continue
        ways = []
        for start in range(math.floor(west + EPS) - long + 1, math.floor(west + EPS) + 1):
            spans = [
                (max(u, west), min(u + long, east), lap if u > west + EPS else 0.0)
                for u in range(start, math.ceil(east - EPS), long)
            ]
            if all(high - low >= least - EPS for low, high, _ in spans):
                ways.append(spans)
        for chosen in product(ways, repeat=len(rows)):
            yield [
                (a - lap_x, low - lap_y, b, high)
                for (low, high, lap_y), spans in zip(rows, chosen, strict=True)
                for a, b, lap_x in spans
            ]
