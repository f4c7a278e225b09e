"""Compaction: a loop whose turns are too narrow, or whose gaps are uneven, made right without a new search.

Small bumps of the loop are taken back, its runs slide to where turns have room and gaps are even
(`slide.py`), turns that still have no room are drawn back to where their passage is wider.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from ufh_core.fields.bulbs import BulbRules, bulb_at
from ufh_core.fields.grid import Floats, StudGrid
from ufh_core.fields.joint import Corner, Rules, without_straights
from ufh_core.fields.moves import Areas, areas_of
from ufh_core.fields.slide import slid

RETRACTIONS = 3
HOOK = 0.5  # what a turn that is drawn back leaves beside it is less deep than so much of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """Where loops are compacted and what they keep to: the grid, seen along both axes, rules and pitch [studs]."""

    grid: StudGrid
    areas: Areas
    rules: Rules
    pitch: float

    @staticmethod
    def of(grid: StudGrid, rules: Rules, pitch: float) -> Space:
        """The space of a grid."""
        return Space(grid=grid, areas=areas_of(grid), rules=rules, pitch=pitch)


def compacted(
    corners: tuple[Corner, ...],
    on: Space,
    bulbs: BulbRules | None = None,
    seen: set[tuple[Corner, ...]] | None = None,
) -> Iterator[tuple[Corner, ...]]:
    """Loops [studs] like this one with more legs that keep the rules; both tails stay.

    One without small bumps, one with those that have room. Where there are `bulbs`, turns that have room for
    one may stay narrow. Loops that slide to where another of those `seen` did are left out.
    """
    seen, points, rules = set() if seen is None else seen, np.array(corners, float), on.rules
    smooth = _retracted(points, on.grid, rules.leg, rules.leg)
    apart = None if bulbs is None else rules.apart if bulbs.stud else bulbs.apart
    for start in [smooth, points] if len(smooth) < len(points) else [smooth]:
        for aslant in (False, True):
            slide = partial(slid, areas=on.areas, rules=rules, pitch=on.pitch, beside_bulb=apart, aslant=aslant)
            shorten = partial(_retracted, grid=on.grid, widest=rules.leg - 1, deepest=np.inf, again=False, bulbs=bulbs)
            loop = _given_room(start, slide, shorten, seen)
            if loop:
                yield loop
            if not loop or bulbs is None or not narrow_steps(loop, rules):
                break  # else its steps may find room aslant


def _given_room(
    start: Floats,
    slide: Callable[[Floats], Floats],
    shorten: Callable[[Floats], Floats],
    seen: set[tuple[Corner, ...]],
) -> tuple[Corner, ...]:
    """The loop with its runs moved, and narrow turns drawn back until all have room; empty if it was `seen`."""
    moved = slide(start)
    for _ in range(RETRACTIONS):
        if _as_corners(moved) in seen:
            return ()
        seen.add(_as_corners(moved))
        shorter = shorten(moved)
        if len(shorter) == len(moved):
            break
        moved = slide(shorter)
    return _as_corners(moved)


def _as_corners(points: Floats) -> tuple[Corner, ...]:
    return tuple((x, y) for x, y in points.tolist())


def _retracted(
    points: Floats, grid: StudGrid, widest: float, deepest: float, *, again: bool = True, bulbs: BulbRules | None = None
) -> Floats:
    """The loop without turn-rounds up to `widest` wide and `deepest` deep, where the floor between is free.

    Turns that have room for one of the `bulbs` stay.

    Not `again`: of what stands beside one that was drawn back, only the hook that it leaves goes too. A deep
    turn stays, since its runs may now move into the room beside them.
    """
    k, beside, most, at = 2, -1, deepest, list(_as_corners(points))
    while k < len(at) - 3:
        before, start, end, after = at[k - 1 : k + 3]
        depth = _depth(before, start, end, after, widest)
        if 0 < depth <= (most if k <= beside else deepest):
            cap = _drawn_back(before, start, end, depth)
            if _inside(cap, grid) and not (bulbs and bulb_at(at, k, bulbs)):
                at = list(without_straights([*at[:k], *cap, *at[k + 2 :]]))
                if not again:
                    beside, most = k + 1, min(HOOK * depth, most if k <= beside else deepest)
                k = max(2, k - 3)
                continue
        k += 1
    return np.array(at, float)


def _depth(before: Corner, start: Corner, end: Corner, after: Corner, widest: float) -> float:
    """How deep the turn-round between two corners is; 0 where it is none, or wider than `widest`."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = before, start, end, after
    if abs(cx - bx) + abs(cy - by) > widest or (bx - ax) * (dx - cx) + (by - ay) * (dy - cy) >= 0:
        return 0.0
    return min(abs(bx - ax) + abs(by - ay), abs(dx - cx) + abs(dy - cy))


def _drawn_back(before: Corner, start: Corner, end: Corner, depth: float) -> tuple[Corner, Corner]:
    """The leg between two corners as far back as its turn-round is deep."""
    x, y = (depth * ((b > a) - (b < a)) for a, b in zip(before, start, strict=True))
    return (start[0] - x, start[1] - y), (end[0] - x, end[1] - y)


def _inside(leg: tuple[Corner, Corner], grid: StudGrid) -> bool:
    """Whether a leg lies inside the area, and bends at its ends too."""
    (a, c), (b, d) = (
        sorted(round(v) - o for v in place) for place, o in zip(zip(*leg, strict=True), grid.origin, strict=True)
    )
    way = grid.along_x[a:c, b] if b == d else grid.along_y[a, b:d]
    return bool(grid.node[a : c + 1, b : d + 1].all() and way.all() and grid.quarter[[a, c], [b, d]].all())


def narrow_turns(corners: tuple[Corner, ...], rules: Rules) -> int:
    """How many turn-rounds deeper than a bump are too narrow."""
    legs = np.diff(np.array(corners), axis=0)
    before, turn, after = legs[1:-3], legs[2:-2], legs[3:-1]
    depth = np.minimum(np.abs(before).sum(axis=1), np.abs(after).sum(axis=1))
    narrow = (np.abs(turn).sum(axis=1) < rules.leg) & ((before * after).sum(axis=1) < 0) & (depth > rules.leg)
    return int(narrow.sum())


def narrow_steps(corners: tuple[Corner, ...], rules: Rules) -> int:
    """How many steps to the side are too short for the two bends at their ends."""
    legs = np.diff(np.array(corners), axis=0)
    before, step, after = legs[1:-3], legs[2:-2], legs[3:-1]
    return int(((np.abs(step).sum(axis=1) < rules.leg) & ((before * after).sum(axis=1) > 0)).sum())
