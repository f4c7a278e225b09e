"""The plans of a search: pairs of line sets to walk on, with the approach to come by, and a guess of their cost."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ufh_core.fields.attempts import LATER
from ufh_core.fields.headings import signs
from ufh_core.fields.joint import Lane
from ufh_core.fields.lattice import OTHER_WORTHS, Lines, fit_lines, parity_wishes
from ufh_core.fields.territory import Territory

FITS = 4
LENGTH = 3.0  # what it costs a plan that its length is likely to be off
BENT = 0.97  # share of a way by its corners that bends leave of it
ODD = 0.3  # what a run left over costs, as part of the extent


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Lines to walk on and the approach to come by; `cost` is a guess from the fit alone."""

    xs: tuple[int, ...]
    ys: tuple[int, ...]
    approach: int
    cost: float


def plans_of(on: Territory, lanes: dict[int, Lane], noisy: int) -> Iterator[Plan]:
    """Pairs of line sets for every approach: free ones, and ones with a line through a pipe of the pair."""
    rng = np.random.default_rng(1)
    free: dict[str, list[Lines]] = {}
    for number, lane in lanes.items():
        heading = on.request.approaches[number].heading
        axes = ("y", "x") if heading[0] else ("x", "y")
        for axis in axes:
            if axis not in free:
                free[axis] = _fits(on, axis, None, noisy, rng)
        through = [_fits(on, axes[0], at, noisy, rng) for at in _pipes_at(on, lane, heading)]
        for across in [free[axes[0]], *through]:
            for u, v in itertools.product(across[: FITS * (1 + noisy)], free[axes[1]][: FITS * (1 + noisy)]):
                xs, ys = (v.at, u.at) if heading[0] else (u.at, v.at)
                off = LENGTH * _off(on, xs, ys) if not noisy else 0.0  # a thorough search is for floor that is missed
                yield Plan(xs=xs, ys=ys, approach=number, cost=u.cost + v.cost + LATER * number + off)


def _off(on: Territory, xs: tuple[int, ...], ys: tuple[int, ...]) -> float:
    """Share by which a loop through all nodes of some lines is likely to miss the length asked for.

    It meets every node once, half of the way to the next one along each axis; where an edge zone has its runs
    closer, most of them lie along it, and nothing is foreseen.
    """
    if on.wish is None or on.edges is not None:
        return 0.0
    nodes = int(np.count_nonzero(on.grid.node[np.array(xs)[:, None], ys]))
    ways = [(at[-1] - at[0]) / (len(at) - 1) for at in (xs, ys)]
    return abs(nodes * sum(ways) / 2 * on.grid.stud_m * BENT / on.wish.length_m - 1)


def _pipes_at(on: Territory, lane: Lane, heading: tuple[int, int]) -> list[int]:
    """Grid indices across the lane of its two pipes."""
    u_sign, _ = signs(heading, False)
    offset = on.grid.origin[1] if heading[0] else on.grid.origin[0]
    size = on.grid.node.shape[1 if heading[0] else 0]
    return [a for a in (u_sign * lane.left - offset, u_sign * lane.right - offset) if 0 <= a < size]


def _fits(on: Territory, axis: str, forced: int | None, noisy: int, rng: np.random.Generator) -> list[Lines]:
    """Line sets of one axis by rising cost, those with a line left over between two walls later.

    What more slack costs is not counted against a set: only compaction tells whether it is needed.
    """
    fits: dict[tuple[int, ...], float] = {}
    free = on.gaps.least < on.gaps.turn and not on.request.on_studs  # bulbs need no slack between runs then
    for slack in (*([0] if free else []), *on.gaps.slack):
        found = _fits_with(slack, on, axis, forced, noisy, rng)
        more = min(found.values(), default=0.0) - min(fits.values(), default=0.0) if fits else 0.0
        fits |= {at: cost - more for at, cost in found.items() if at not in fits}
    return sorted((Lines(at=at, cost=cost) for at, cost in fits.items()), key=lambda n: (n.cost, n.at))


def _fits_with(
    slack: int, on: Territory, axis: str, forced: int | None, noisy: int, rng: np.random.Generator
) -> dict[tuple[int, ...], float]:
    """Line sets of one axis with one measure of slack, and their costs."""
    costs, ends = (on.costs_x, on.grid.ends_x) if axis == "x" else (on.costs_y, on.grid.ends_y)
    found: dict[tuple[int, ...], float] = {}
    others = [costs.at_worth(more) for more in OTHER_WORTHS] if on.wish is not None else []
    for round_ in range(1 + noisy):
        for wish in parity_wishes(ends):
            noise = 1 + 0.9 * rng.random(costs.step.shape) if round_ else None
            odd = sum(o for _, o in wish) / len(wish)
            for asked in (costs, *others):
                lines = fit_lines(asked, wish, forced, noise, slack)
                if lines is not None and lines.at not in found:
                    cost = lines.cost if asked is costs else costs.of(lines.at)
                    found[lines.at] = (cost + ODD * odd * costs.extent) / costs.extent
    return found
