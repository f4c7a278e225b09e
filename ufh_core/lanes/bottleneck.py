"""Where lanes do not fit: how many of how many, at which way, and what lies on both sides of it.

The dual of the flow is a least cut: nodes, each of which holds one lane, that part the ports from the
territories that were not reached. What can be reached past it from either side are its two sides; a way
between them, through a wall, is one lane more.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import box

from ufh_core.basis.areas import Area, polygons
from ufh_core.basis.message import Message, joined, note
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Passage
from ufh_core.lanes.grid import LaneGrid
from ufh_core.lanes.siting import distances_at
from ufh_core.zones.level_plan import Level

NEAR_A_WAY_M = 0.2  # a least cut fans out before a passage, half as deep as that is wide
SEALED = 2.0  # steps of the lattice round each node of a cut in which a room's floor is parted
MOSTLY = 0.5
NO_WAY: str = Message("no way is left for its tails among the others")

Nodes = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Nodes of a lattice that part the `ports` from where `missing` lanes should end (`ends`); `words` tell of it."""

    grid: LaneGrid
    nodes: Nodes
    ports: Nodes
    ends: Nodes
    missing: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottleneck:
    """A place where `missing` lanes do not fit, in `words`.

    `before` and `behind` are the floors by room on both sides of it, `at` is its middle.
    """

    words: str
    missing: int
    at: Point
    before: Mapping[str, Area]
    behind: Mapping[str, Area]


def cut_words(grid: LaneGrid, level: Level, cut: Sequence[int] | Nodes, missing: int) -> str:
    """Words for how many lanes fit and where; each node of the least cut holds one."""
    if not len(cut):
        return NO_WAY
    fit = Message("only {fitting} of {count} circuits fit", fitting=len(cut), count=len(cut) + missing)
    held = [(_held(grid, cut, p), p) for p in (*level.passages, *level.sleeve_ways)]
    most, narrow = max(held, key=lambda h: h[0], default=(0, None))
    if narrow is not None and most == len(cut):
        return Message("{fit} through {way}", fit=fit, way=named(narrow, level))
    rooms = [(int(np.isin(cut, grid.within(r.outline)).sum()), r.label) for r in level.rooms]
    inside, label = max(rooms, key=lambda r: r[0], default=(0, ""))
    return Message("{fit} side by side through {room}", fit=fit, room=label) if inside else fit


def named(way: Passage, level: Level) -> str:
    """A way between rooms, for people."""
    words = {"door": note("the door between {rooms}"), "sleeve": note("the wall between {rooms}")}
    between = joined((r.label for r in level.rooms if r.ifc_guid in way.rooms), note(" and "))
    return Message(words.get(way.kind, note("the passage between {rooms}")), rooms=between)


def crowded_way(grid: LaneGrid, level: Level, lost: Sequence[int], paths: Sequence[Sequence[int]]) -> Passage | None:
    """The way through a wall that a lost path shares with most others, or None where it shares none."""
    best, most = None, 1
    for way in (*level.passages, *level.sleeve_ways):
        here = grid.within(way.outline)
        if np.isin(lost, here).any():
            lanes = sum(bool(np.isin(path, here).any()) for path in paths)
            best, most = (way, lanes) if lanes > most else (best, most)
    return best


def _held(grid: LaneGrid, cut: Sequence[int] | Nodes, way: Passage) -> int:
    near = way.outline.buffer(way.width_m / 2 + NEAR_A_WAY_M)
    return int(np.isin(cut, grid.within(near)).sum())


def bottleneck_of(cut: Cut, level: Level) -> Bottleneck:
    """What a cut means for the floors of a level."""
    open_ = cut.grid.free.copy()
    open_[cut.nodes] = False
    grid = replace(cut.grid, free=open_)
    before, behind = (_reached(grid, nodes) for nodes in (cut.ports, cut.ends))
    behind &= ~before
    sides: tuple[dict[str, Area], dict[str, Area]] = ({}, {})
    seal = shapely.union_all([_square(p, SEALED * grid.step) for p in grid.positions(cut.nodes).tolist()])
    for guid, floor in level.floors.items():
        for piece in polygons(shapely.difference(floor, seal) if floor.intersects(seal) else floor):
            nodes = grid.within(piece)
            for side, reached in zip(sides, (before, behind), strict=True):
                if len(nodes) and reached[nodes].mean() > MOSTLY * max(open_[nodes].mean(), 1e-9):
                    side[guid] = shapely.union(side[guid], piece) if guid in side else piece
    middle = grid.positions(cut.nodes if len(cut.nodes) else cut.ends).mean(axis=0)
    at = (round(float(middle[0]), 6), round(float(middle[1]), 6))
    return Bottleneck(words=cut.words, missing=cut.missing, at=at, before=sides[0], behind=sides[1])


def _reached(grid: LaneGrid, nodes: Nodes) -> NDArray[np.bool_]:
    """Nodes to which a way leads from some nodes."""
    starts = nodes[grid.free[nodes]]
    if not len(starts):
        return np.zeros(grid.size, dtype=bool)
    (away,) = distances_at(grid, np.ones(grid.size), [starts], np.arange(grid.size))
    return np.asarray(np.isfinite(away))


def _square(middle: Sequence[float], half: float) -> shapely.Polygon:
    x, y = middle
    return box(x - half, y - half, x + half, y + half)
