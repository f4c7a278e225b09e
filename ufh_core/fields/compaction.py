"""Compaction: a loop whose turns are too narrow, or whose gaps are uneven, made right without a new search.

Small bumps of the loop are taken back, its runs slide to where turns have room and gaps are even
(`slide.py`), turns that still have no room are drawn back to where their passage is wider.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ufh_core.fields.grid import Floats, StudGrid
from ufh_core.fields.joint import Corner, Rules, without_straights
from ufh_core.fields.slide import slid

RETRACTIONS = 3
HOOK = 0.5  # what a turn that is drawn back leaves beside it is less deep than so much of it


def compacted(corners: tuple[Corner, ...], grid: StudGrid, rules: Rules, pitch: float) -> Iterator[tuple[Corner, ...]]:
    """Loops [studs] like this one with more legs that keep `rules`; both tails stay. `pitch` in studs.

    One without small bumps, one with those that have room.
    """
    points = np.array(corners, float)
    smooth = _retracted(points, grid, rules.leg, rules.leg)
    yield _with_room(smooth, grid, rules, pitch)
    if len(smooth) < len(points):
        yield _with_room(points, grid, rules, pitch)


def _with_room(points: Floats, grid: StudGrid, rules: Rules, pitch: float) -> tuple[Corner, ...]:
    """The loop with its runs moved, and narrow turns drawn back until all have room."""
    points = slid(points, grid, rules, pitch)
    for _ in range(RETRACTIONS):
        shorter = _retracted(points, grid, rules.leg - 1, np.inf, again=False)
        if len(shorter) == len(points):
            break
        points = slid(shorter, grid, rules, pitch)
    return _as_corners(points)


def _as_corners(points: Floats) -> tuple[Corner, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _retracted(points: Floats, grid: StudGrid, widest: float, deepest: float, *, again: bool = True) -> Floats:
    """The loop without turn-rounds up to `widest` wide and `deepest` deep, where the floor between is free.

    Not `again`: of what stands beside one that was drawn back, only the hook that it leaves goes too. A deep
    turn stays, since its runs may now move into the room beside them.
    """
    k, beside, most = 2, -1, deepest
    while k < len(points) - 3:
        before, turn, after = (points[n + 1] - points[n] for n in (k - 1, k, k + 1))
        depth = min(np.abs(before).sum(), np.abs(after).sum())
        cap = points[k : k + 2] - np.sign(before) * depth
        narrow = np.abs(turn).sum() <= widest and before @ after < 0 and depth <= (most if k <= beside else deepest)
        if narrow and _inside(cap, grid):
            points = np.concatenate([points[:k], cap, points[k + 2 :]])
            points = np.array(without_straights(list(_as_corners(points))), float)
            if not again:
                beside, most = k + 1, min(HOOK * depth, most if k <= beside else deepest)
            k = max(2, k - 3)
        else:
            k += 1
    return points


def _inside(leg: Floats, grid: StudGrid) -> bool:
    """Whether a leg lies inside the area, and bends at its ends too."""
    (a, b), (c, d) = np.rint(np.sort(leg, axis=0)).astype(int) - grid.origin
    way = grid.along_x[a:c, b] if b == d else grid.along_y[a, b:d]
    return bool(grid.node[a : c + 1, b : d + 1].all() and way.all() and grid.quarter[[a, c], [b, d]].all())


def narrow_turns(corners: tuple[Corner, ...], rules: Rules) -> int:
    """How many turn-rounds deeper than a bump are too narrow."""
    legs = np.diff(np.array(corners), axis=0)
    before, turn, after = legs[1:-3], legs[2:-2], legs[3:-1]
    depth = np.minimum(np.abs(before).sum(axis=1), np.abs(after).sum(axis=1))
    narrow = (np.abs(turn).sum(axis=1) < rules.leg) & ((before * after).sum(axis=1) < 0) & (depth > rules.leg)
    return int(narrow.sum())
