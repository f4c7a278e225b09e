"""Places of runs on studs at least cost, where all that counts is differences of two places.

Each row says that one place should lie at least so far beyond another, at a cost for every stud that is
missing; the sum is L-natural convex, so steepest descent ends at a least one: as long as that gains, the
set of runs that gains most moves one stud up, then down (Murota 2003, Discrete Convex Analysis, chapter 10;
Kolmogorov and Shioura 2009). The set is a minimum cut; of several the smallest one moves, so no run moves
without a gain and the result is one and the same by any way to find the cut. Cost: a maximum flow
through the runs for every stud that the farthest one moves.
"""

from __future__ import annotations

import importlib
import os
from dataclasses import dataclass
from typing import Any, Protocol, cast

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

Whole = NDArray[np.int32]
FORM = 2
"""The form of the call; a module built from older sources is left alone."""
HARD = 1 << 26
"""More than all that a programme's other rows can cost."""


class Places(Protocol):
    """What `_places.c` offers."""

    FORM: int

    def settled(self, low: Whole, high: Whole, at: Whole, a: Whole, b: Whole, least: Whole, cost: Whole, /) -> bytes:
        """Places of least cost as int32."""

    def slid(
        self, corners: Any, no_node: Any, no_way: Any, across: Any, quarter: Any, shape: Any, rules: Any, /
    ) -> bytes:
        """Corners as float64 whose runs along y have slid (see `slide.py`)."""


def _built() -> Places | None:
    """The compiled module if it is there, is wanted and fits."""
    if os.environ.get("WARMLOOM_PURE_PYTHON"):
        return None
    try:
        module = cast("Places", importlib.import_module("ufh_core.fields._places"))
    except ImportError:
        return None
    return module if module.FORM == FORM else None


compiled = _built()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Rows: place[b] - place[a] >= least, or else `cost` for every stud that is missing.

    Index -1 is the origin, which stays at 0. A negative cost: the row must hold.
    """

    a: Whole
    b: Whole
    least: Whole
    cost: Whole


def settled(at: Whole, low: Whole, high: Whole, wishes: Wishes) -> Whole:
    """The places of least cost between `low` and `high`, from `at`, where what must hold does. All in studs."""
    if compiled is not None:
        rows = (wishes.a, wishes.b, wishes.least, wishes.cost)
        return np.frombuffer(compiled.settled(low, high, at, *rows), np.int32)
    still, sign = 0, 1
    while still < 2:
        moves = _movers(at, high if sign > 0 else low, wishes, sign)
        still = 0 if moves.any() else still + 1
        while moves.any():
            at = (at + sign * moves).astype(np.int32)
            moves = _movers(at, high if sign > 0 else low, wishes, sign)
        sign = -sign
    return at


def _movers(at: Whole, bound: Whole, wishes: Wishes, sign: int) -> NDArray[np.bool_]:
    """Which runs move one stud by `sign`: the smallest set of those of greatest gain."""
    count, source, sink = len(at), len(at), len(at) + 1
    ahead, behind = (wishes.b, wishes.a) if sign > 0 else (wishes.a, wishes.b)
    place = np.append(at, 0)
    apart = place[wishes.b] - place[wishes.a]
    cost = np.where(wishes.cost < 0, HARD, wishes.cost).astype(np.int64)
    short, just = apart < wishes.least, (apart == wishes.least) & (behind >= 0)
    gain = np.zeros(count + 1, np.int64)  # the last one is the origin's
    np.add.at(gain, ahead[short], cost[short])
    np.add.at(gain, behind[short | (just & (ahead < 0))], -cost[short | (just & (ahead < 0))])
    gain, pair = gain[:-1], just & (ahead >= 0)
    wished, dear, stopped = np.flatnonzero(gain > 0), np.flatnonzero(gain < 0), np.flatnonzero(at == bound)
    if not len(wished):
        return np.zeros(count, bool)
    arcs: list[tuple[Any, Any, Any]] = [
        (behind[pair], ahead[pair], cost[pair]),
        (np.full(len(wished), source), wished, gain[wished]),
        (dear, np.full(len(dear), sink), -gain[dear]),
        (stopped, np.full(len(stopped), sink), np.full(len(stopped), HARD)),
    ]
    i, j, most = (np.concatenate(parts) for parts in zip(*arcs, strict=True))
    network = sparse.coo_array((most.astype(np.int32), (i, j)), shape=(count + 2, count + 2)).tocsr()
    network.indices, network.indptr = network.indices.astype(np.int32), network.indptr.astype(np.int32)
    spare = network - csgraph.maximum_flow(network, source, sink).flow
    spare.eliminate_zeros()
    reached = np.zeros(count + 2, bool)
    reached[csgraph.breadth_first_order(spare, source, return_predecessors=False)] = True
    return reached[:count]
