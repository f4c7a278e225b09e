"""Which laying each floor gets: the one that needs the least panel, over all floors of a storey together.

Every floor is laid from each of its four corners (lock edges at the west and south of a panel make the corner say
which way the rows run) with its first row at every stud, and the best few are kept. Then floors are packed together,
so that off-cuts go from room to room, and each floor in turn tries its other layings as long as that saves panels
or brings a large floor's loss down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.pipe_axis import Point
from ufh_core.building.types import Area
from ufh_core.panels.cut_up import SLACK, CutUp, Floats
from ufh_core.panels.packing import area, best_cut, quick, useful
from ufh_core.panels.rows import Laid, layings, with_both_laps
from ufh_core.panels.types import PanelSize

KEPT = 8
PASSES = 3
CREDIT = 0.5
LAST_CREDIT = 0.25
CUTTING = 0.08
EXCESS, LARGE_M2, MOST_WASTE = 4.0, 12.0, 0.06
"""What a panel costs that a floor above this size [m²] loses beyond this share; own rule."""
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
    return sorted(found, key=lambda o: o.cost)[:KEPT]


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


def settled(floors: Sequence[Sequence[Option]], size: PanelSize) -> tuple[list[Option], CutUp]:
    """One option for each floor, and all their pieces cut from as few panels as are found.

    Floors in turn, again while one of them changed, `PASSES` times at most.
    """
    chosen = [each[0] for each in floors]
    best = _price(chosen, size)
    known = {tuple(map(id, chosen))}
    for _ in range(PASSES):
        before = best
        for k, each in enumerate(floors):
            for option in each:
                if option is chosen[k] or option.cost[0] > chosen[k].cost[0]:
                    continue
                tried = [*chosen[:k], option, *chosen[k + 1 :]]
                key = tuple(map(id, tried))
                if key in known:
                    continue
                known.add(key)
                price = _price(tried, size)
                if price < best - 1e-6:
                    chosen, best = tried, price
        if best == before:
            break
    return chosen, best_cut(np.concatenate([option.laid.boxes for option in chosen]), size)


def _price(chosen: Sequence[Option], size: PanelSize) -> float:
    """What the pieces of all floors cost in panels: little credit for what is left, since the job ends there."""
    made = quick(np.concatenate([option.laid.boxes for option in chosen]), size)
    left = useful(made)
    cut = sum(option.work for option in chosen)
    return (
        made.panels
        - LAST_CREDIT * float(left.sum()) / area(size.box)
        + cut
        + EXCESS * _excess(chosen, made, left, size)
    )


def _excess(chosen: Sequence[Option], made: CutUp, left: Floats, size: PanelSize) -> float:
    """Panels beyond what large floors may lose and all may take; a panel's loss is shared by its pieces as their floor.

    Off-cuts that can be used again are not lost. Lock edges count as material: stricter than the plan's shares.
    """
    whole, covers_whole = area(size.box), float(size.long * size.wide)
    floor_of = np.repeat(np.arange(len(chosen)), [len(option.laid.covers) for option in chosen])
    covers = np.concatenate([option.laid.covers for option in chosen])
    panel_of = made.places[:, 0]
    taken = np.maximum(whole - left, 0.0)[panel_of] * covers / np.bincount(panel_of, covers, made.panels)[panel_of]
    covered, used = (np.bincount(floor_of, of, len(chosen)) for of in (covers, taken))
    large = covered * size.stud_m**2 > LARGE_M2
    lost = np.maximum(used - covered / (1 - MOST_WASTE), 0.0)[large].sum() / whole
    return float(lost + max(0.0, made.panels - MOST_ORDERED * covered.sum() / covers_whole))
