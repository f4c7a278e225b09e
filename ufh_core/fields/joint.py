"""The joint of the pair of tails with the loop: where the loop is cut open.

Seen along the lane (heading north), the pair runs up to the first line across it. Either both
pipes turn there, one left, one right, or one runs straight on along a line that is the loop's side
and the other turns. Both are the same object: the loop's south side holds both pipes, and every leg
beside them is long enough for two bends. The walk starts there, so the cut lies at the root of the
tree and flow and return run side by side from it: counterflow.
"""

from __future__ import annotations

import itertools
from array import array
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ufh_core.fields import core
from ufh_core.fields.lattice import Lattice
from ufh_core.fields.walk import COUNTERFLOW, Fill, Growth, loop_from

Corner = tuple[float, float]
BEHIND = 6  # studs behind the lane's end that are kept clear of the field


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """The pair seen along its heading: `left` and `right` pipe [studs], where it ends, and how far it may go on."""

    left: int
    right: int
    end: float
    reach: float


def mirror_image(lane: Lane) -> Lane:
    """The lane with left and right exchanged."""
    return Lane(left=-lane.right, right=-lane.left, end=lane.end, reach=lane.reach)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Least leg between two bends, between the lane's end and a bend, and least separation [studs].

    `lattice_leg` is the least leg on a lattice, where that is less because compaction makes room for `leg`.
    """

    leg: int
    end_leg: float
    apart: int
    lattice_leg: int | None = None

    def while_walking(self) -> Rules:
        """The rules that a loop on a lattice keeps."""
        return self if self.lattice_leg is None else replace(self, leg=self.lattice_leg, lattice_leg=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Root:
    """Where a loop may begin: row of the south side, first column east of the pair."""

    row: int
    column: int


def roots(on: Lattice, lane: Lane, rules: Rules, rows_tried: int) -> Iterator[Root]:
    """Places where the pair can meet the lattice, nearest row first."""
    rows = [j for j, v in enumerate(on.vs[:-1]) if lane.end + rules.end_leg <= v <= lane.reach]
    every = _columns(on, lane, rules) if rows else []
    found = 0
    for row in rows:
        columns = [k for k in every if _side(on, lane, rules, Root(row=row, column=k))]
        yield from (Root(row=row, column=k) for k in columns)
        found += bool(columns)
        if found == rows_tried:
            return


def _columns(on: Lattice, lane: Lane, rules: Rules) -> list[int]:
    """Lines that may bound the first face on the east: one that goes on from the right pipe, or the next far enough."""
    straight = [k for k, u in enumerate(on.us) if u == lane.right]
    apart = [k for k, u in enumerate(on.us) if u >= lane.right + rules.leg]
    return [k for k in straight + apart[:1] if k > 0]


def _side(on: Lattice, lane: Lane, rules: Rules, root: Root) -> list[int]:
    """Columns of the faces that make the south side from east to west; empty if they do not fit."""
    columns, i = [], root.column
    while i > 0 and (i == root.column or on.us[i] > lane.left - rules.leg):
        i -= 1
        if not on.face[i, root.row]:
            return []
        columns.append(i)
    return columns if on.us[i] <= lane.left - rules.leg else []


def walked(on: Lattice, lane: Lane, rules: Rules, root: Root, fill: Fill = COUNTERFLOW) -> tuple[Corner, ...] | None:
    """Corners of the loop from the left pipe round to the right one, grown from `root`; None if it is not legal."""
    if fill.told is not None and core.compiled is not None:
        return _walked_compiled(on, lane, rules, root, fill.told)
    growth = Growth(on)
    _keep_clear(growth, on, lane, rules, root)
    planted = [growth.index(i, root.row) for i in _side(on, lane, rules, root)]
    for face in planted:
        if growth.cuts(face):
            return None
        growth.take(face)
    fill.grow(growth, planted)
    return opened(growth, on, lane, rules, root)


def _walked_compiled(on: Lattice, lane: Lane, rules: Rules, root: Root, told: bytes) -> tuple[Corner, ...] | None:
    """The same from compiled code, which leaves it to us where the lane ends."""
    assert core.compiled is not None
    west = _side(on, lane, rules, root)[-1]
    clear_from = next(j for j in range(root.row + 1) if j == root.row or on.vs[j + 1] > lane.end - BEHIND)
    faces, us, vs = on.face.tobytes(), array("i", on.us).tobytes(), array("i", on.vs).tobytes()
    found = core.compiled.walk(
        faces,
        on.tight.tobytes(),
        us,
        vs,
        root.row,
        root.column,
        west,
        lane.left,
        lane.right,
        rules.apart,
        rules.while_walking().leg,
        clear_from,
        told,
    )
    if not found:
        return None
    numbers = array("i", found).tolist()
    inner = zip(numbers[2:-2:2], numbers[3:-2:2], strict=True)
    return ((lane.left, lane.end), *inner, (lane.right, lane.end))


def _keep_clear(growth: Growth, on: Lattice, lane: Lane, rules: Rules, root: Root) -> None:
    """Close the faces beside the lane, below the root's row."""
    for i in range(len(on.us) - 1):
        if on.us[i] < lane.right + rules.apart and on.us[i + 1] > lane.left - rules.apart:
            for j in range(root.row):
                if on.vs[j + 1] > lane.end - BEHIND:
                    growth.open[growth.index(i, j)] = 0


def opened(growth: Growth, on: Lattice, lane: Lane, rules: Rules, root: Root) -> tuple[Corner, ...] | None:
    """The boundary cut at the pair, left pipe first; None where a leg is too short."""
    path = loop_from(growth, growth.index(root.column, root.row))
    places = [(on.us[n // growth.width - 1], on.vs[n % growth.width - 1]) for n in path]
    v = on.vs[root.row]
    cut = _cut_at(places, lane, v)
    if cut is None:
        return None
    loop = [(lane.right, lane.end), (lane.right, v), *places[cut + 1 :], *places[1 : cut + 1], (lane.left, v)]
    corners = without_straights([*loop, (lane.left, lane.end)])
    return corners[::-1] if legs_fit(corners, rules.while_walking()) else None


def _cut_at(places: list[tuple[int, int]], lane: Lane, v: int) -> int | None:
    """Index of the side from west to east at height `v` that ends east of the right pipe or at it."""
    for n in range(len(places) - 1):
        (a, b), (c, d) = places[n], places[n + 1]
        if b == d == v and a < lane.right <= c:
            return n
    return None


def without_straights(corners: list[Corner]) -> tuple[Corner, ...]:
    """Corners without points in line or repeated."""
    kept: list[Corner] = []
    for point in corners:
        if kept and point == kept[-1]:
            continue
        while len(kept) > 1 and (kept[-2][0] == kept[-1][0] == point[0] or kept[-2][1] == kept[-1][1] == point[1]):
            kept.pop()
        kept.append(point)
    return tuple(kept)


def legs_fit(corners: tuple[Corner, ...], rules: Rules) -> bool:
    """Whether every leg is long enough for the bends at its ends, and none turns back on itself."""
    legs = [abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in itertools.pairwise(corners)]
    ends = min(legs[0], legs[-1]) >= rules.end_leg - 1e-6
    return ends and all(leg >= rules.leg - 1e-6 for leg in legs[1:-1])
