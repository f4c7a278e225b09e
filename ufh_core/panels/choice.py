"""Which laying each floor gets: the one that needs the least panel, over all floors of a storey together.

Every floor is laid from each of its four corners (lock edges at the west and south of a panel make the corner say
which way the rows run) with its first row at every stud. Then floors are packed together, so that off-cuts go from
room to room, and each floor in turn tries its best other layings, or all of them where its room is large and loses
too much, as long as that saves panels or brings the loss down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.panels.cut_up import SLACK, CutUp, Floats
from ufh_core.panels.packing import area, quick, useful, ways
from ufh_core.panels.rows import Laid, layings, with_both_laps
from ufh_core.panels.types import LARGE_M2, MOST_WASTE, PanelSize

KEPT = 12
"""Layings of a floor that are tried where its room loses no more than it may; else all are."""
PASSES = 6
CREDIT = 0.5
LAST_CREDIT = 0.25
CUTTING = 0.08
AIM = MOST_WASTE - 0.002
EXCESS = 15.0
"""What a panel costs that a large room loses beyond the aim, in panels; own rule."""
MOST_ORDERED = 1.13
"""Panels over the floor, as areas, beyond which all floors together pay the same."""
STRIPS, STRIP = 0.15, 5.0
"""What a cut piece costs in panels for the work of it, and what more if it is narrower than some studs; own rule."""
QUARTERS = ((1, 0, 0, 1), (0, 1, -1, 0), (-1, 0, 0, -1), (0, -1, 1, 0))
"""Turns by 0, -90, -180 and -270 degrees as matrices (row by row)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Option:
    """One way to lay a floor: seen turned by `quarter` right angles; `cost` is the panels that it takes alone.

    `work` is what cutting it costs, in panels.
    """

    quarter: int
    laid: Laid
    cost: tuple[float, ...]
    work: float


def options(floor: Area, size: PanelSize, lap_along: Point | None = None) -> list[Option]:
    """The ways to lay a floor, best first. `floor` in its own studs, see `rows`.

    The pieces of a threshold lap over what lies on both sides, along `lap_along`.
    """
    found = [option for quarter in range(4) for option in _options(floor, quarter, size, lap_along)]
    return sorted(found, key=lambda o: o.cost)


def _options(floor: Area, quarter: int, size: PanelSize, lap_along: Point | None) -> list[Option]:
    seen = turned(floor, quarter)
    made = layings(seen, size)
    if lap_along is not None:
        x, y = shapely.get_coordinates(turned(shapely.Point(lap_along), quarter))[0]
        made = [with_both_laps(laid, 0 if abs(x) > abs(y) else 1, seen.bounds, size) for laid in made]
    return [_option(quarter, laid, size) for laid in made]


def turned(shape: Any, quarter: int) -> Any:
    """A shape seen with its frame turned by `quarter` right angles anticlockwise."""
    a, b, c, d = QUARTERS[quarter % 4]
    matrix: NDArray[np.float64] = np.array([[a, b], [c, d]], dtype=float)
    return shapely.transform(shape, lambda points: points @ matrix.T)


def _option(quarter: int, laid: Laid, size: PanelSize) -> Option:
    """Cost: pieces too narrow, then panels; half of what is left over is taken off, and cutting costs a little."""
    done, work = quick(laid.boxes, size), _work(laid.boxes, size)
    left = float(useful(done).sum())
    cost = (laid.narrow, round(done.panels - CREDIT * left / area(size.box) + work, 2), len(laid.boxes))
    return Option(quarter=quarter, laid=laid, cost=cost, work=work)


def _work(boxes: Floats, size: PanelSize) -> float:
    """What cutting costs, in panels; strips are the worst to cut, to lay and to walk on."""
    long, wide = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    cut = (long < size.long - SLACK) | (wide < size.wide - SLACK)
    return CUTTING * int(cut.sum()) + STRIPS * int((cut & (np.minimum(long, wide) < STRIP)).sum())


def settled(floors: Sequence[Sequence[Option]], rooms: Sequence[str], size: PanelSize) -> tuple[list[Option], CutUp]:
    """One option for each floor, and all their pieces cut from as few panels as are found.

    `rooms` says to which room a floor counts. Floors in turn, the best `KEPT` of each, and all of a room that loses
    too much; again while one of them changed, `PASSES` times at most.
    """
    job = _Job(size=size, room=np.unique(np.array(rooms), return_inverse=True)[1])
    chosen = [each[0] for each in floors]
    best = job.price(chosen)
    known = {tuple(map(id, chosen))}
    for _ in range(PASSES):
        before = best.sum
        for k, each in enumerate(floors):
            for option in each if best.over[job.room[k]] > 0 else each[:KEPT]:
                if option is chosen[k] or option.cost[0] > chosen[k].cost[0]:
                    continue
                tried = [*chosen[:k], option, *chosen[k + 1 :]]
                key = tuple(map(id, tried))
                if key in known:
                    continue
                known.add(key)
                price = job.price(tried)
                if price.sum < best.sum - 1e-6:
                    chosen, best = tried, price
        if best.sum == before:
            break
    return chosen, job.cut(chosen)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Price:
    """What pieces cost in panels, and what each room loses beyond what it may."""

    sum: float
    over: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Job:
    """Floors that are cut together; `room` says by number to which room each counts."""

    size: PanelSize
    room: NDArray[np.int64]

    def price(self, chosen: Sequence[Option]) -> _Price:
        """The price of some options, cut in one order."""
        return self._price(chosen, quick(_boxes(chosen), self.size))

    def cut(self, chosen: Sequence[Option]) -> CutUp:
        """The cheapest way to cut some options, of several orders."""
        return min(ways(_boxes(chosen), self.size), key=lambda made: round(self._price(chosen, made).sum, 6))

    def _price(self, chosen: Sequence[Option], made: CutUp) -> _Price:
        """Little credit for what is left, since the job ends there; much for what rooms and all floors lose."""
        left, whole = useful(made) / area(self.size.box), float(self.size.long * self.size.wide)
        covers = np.concatenate([option.laid.covers for option in chosen])
        room = np.repeat(self.room, [len(option.laid.covers) for option in chosen])
        over = self._over(made, left, covers, room)
        ordered = max(0.0, made.panels - MOST_ORDERED * float(covers.sum()) / whole)
        work = sum(option.work for option in chosen)
        cost = made.panels - LAST_CREDIT * float(left.sum()) + work + EXCESS * (float(over.sum()) + ordered)
        return _Price(sum=cost, over=over)

    def _over(self, made: CutUp, left: Floats, covers: Floats, room: NDArray[np.int64]) -> Floats:
        """Panels that each large room loses beyond its share; a panel's loss is shared by its pieces as their floor.

        Off-cuts that can be used again are not lost.
        """
        panel, whole = made.places[:, 0], float(self.size.long * self.size.wide)
        taken = (1 - left)[panel] * covers / np.bincount(panel, covers, made.panels)[panel]
        count = int(self.room.max()) + 1
        covered, used = np.bincount(room, covers, count), np.bincount(room, taken, count)
        large = covered * self.size.stud_m**2 > LARGE_M2
        over: Floats = np.where(large, np.maximum(used - covered / whole / (1 - AIM), 0.0), 0.0)
        return over


def _boxes(chosen: Sequence[Option]) -> Floats:
    return np.concatenate([option.laid.boxes for option in chosen])
