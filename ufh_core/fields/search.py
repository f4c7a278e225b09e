"""The search for one loop that fills a territory: a portfolio of lattices, walked, rated, checked."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage

from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.attempts import LATER, SEARCHES, Attempt, Search, metres, other_results, told_result
from ufh_core.fields.bulbs import BulbRules, bulb_rules, with_bulbs
from ufh_core.fields.check import fault
from ufh_core.fields.compaction import compacted, narrow_steps, narrow_turns
from ufh_core.fields.edges import Edges, edge_fills, edges_of, rated_with_edges, with_edges
from ufh_core.fields.grid import Bools, StudGrid, reachable, stud_grid
from ufh_core.fields.headings import path_back, seen_along, signs
from ufh_core.fields.joint import Corner, Lane, Rules, mirror_image, roots, walked
from ufh_core.fields.lane import lane_of
from ufh_core.fields.lattice import (
    OTHER_WORTHS,
    WIDEST_GAP,
    AxisCosts,
    Gaps,
    Lines,
    axis_costs,
    fit_lines,
    gaps_for,
    lattice,
    parity_wishes,
)
from ufh_core.fields.meander import rated_as_asked, ways_to_fill
from ufh_core.fields.rate import OFF, OFF_BY_KIND, REACH, Rating, Wish, on_studs, rate
from ufh_core.fields.straighten import legs_fit
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult, Pattern

CHECKED = 16
ROOM_SOUGHT, QUICKLY, FEWEST = 600, 200, 6  # corners of attempts that are compacted, thorough or not; attempts at least
SMOOTHED = 8  # attempts whose runs are spread
NARROW, STEP = 0.5, 0.1  # what each turn and each step costs that needs it
THIN = 30.0  # what it costs then that gaps are wide, times the share of the pipe that is missing
FITS = 4
LENGTH = 3.0  # what it costs a plan that its length is likely to be off
BENT = 0.97  # share of a way by its corners that bends leave of it
ODD = 0.3  # what a run left over costs, as part of the extent


@dataclass(frozen=True, slots=True, kw_only=True)
class Territory:
    """What all attempts share; no `wish` for a length where compaction decides on it."""

    request: FieldRequest
    grid: StudGrid
    floor: Bools
    gaps: Gaps
    rules: Rules
    costs_x: AxisCosts
    costs_y: AxisCosts
    edges: Edges | None
    wish: Wish | None
    bulbs: BulbRules

    @property
    def plain(self) -> bool:
        """Whether it is filled in counterflow on studs, at one pitch as wide as a turn."""
        asked, wide = self.request, self.rules.lattice_leg is None
        return wide and asked.on_studs and self.edges is None and asked.pattern is Pattern.COUNTERFLOW


def search_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found along the axes of the frame, or why there is none."""
    if request.axis_area.is_empty or request.floor.is_empty:
        return FieldFailure(reason=Message("no floor is left for pipes inside the clearances"))
    if 2 * request.least_radius_m > WIDEST_GAP * request.pitch_m + 1e-9:
        turn, pitch = (round(1000 * m) for m in (2 * request.least_radius_m, request.pitch_m))
        return FieldFailure(
            reason=Message("a turn {turn} mm wide does not fit a pitch of {pitch} mm", turn=turn, pitch=pitch)
        )
    on = _territory(request)
    lanes = {n: lane for n, a in enumerate(request.approaches) if (lane := lane_of(a, request)) is not None}
    if not lanes:
        return FieldFailure(reason=Message("the pair of tails does not arrive on the stud grid"))
    reason: str = Message("no loop fits between the walls where the pair of tails arrives")
    best: tuple[Point, ...] = ()
    attempts: list[Attempt] = []
    for search in SEARCHES:
        if (attempts and not search.worth_it(attempts[0])) or (search is not SEARCHES[0] and not request.thorough):
            continue
        found = _attempts(on, dict(list(lanes.items())[: search.approaches]), search)
        attempts += _with_smooth(on, found) if on.rules.lattice_leg is None else _with_room(on, found)
        attempts.sort(key=lambda a: (a.cost, a.corners))
    refused: dict[int, str] = {}
    for number, attempt in enumerate(attempts[:CHECKED]):
        corners = metres(attempt, request)
        reason, best = fault(corners, request), corners
        if not reason:
            others = other_results(request, attempts, number, refused) if request.with_others else ()
            return replace(told_result(request, corners, attempts, number, refused), others=others)
        refused[number] = reason
    return FieldFailure(reason=reason, best=best)


def _territory(request: FieldRequest) -> Territory:
    """The grid and the costs of the lines."""
    grid = stud_grid(request)
    stud = request.stud_pitch_m
    gaps = gaps_for(request.pitch_m, stud, request.least_radius_m, request.separation_m)
    floor = reachable(grid, max(gaps.turn, gaps.least), REACH * gaps.pitch, request)
    edges = edges_of(request, grid, floor)
    costs_x = axis_costs(grid.node, grid.ends_x, gaps, stud)
    costs_y = axis_costs(grid.node.T, grid.ends_y, gaps, stud)
    if edges is not None:
        costs_x = with_edges(costs_x, grid.node, edges.for_axis(0), edges.pitch)
        costs_y = with_edges(costs_y, grid.node.T, edges.for_axis(1).T, edges.pitch)
    return Territory(
        request=request,
        grid=grid,
        floor=floor,
        gaps=gaps,
        rules=Rules(
            leg=gaps.turn,
            lattice_leg=gaps.least if gaps.least < gaps.turn else None,
            end_leg=request.least_radius_m / stud,
            apart=math.ceil(request.separation_share * request.pitch_m / stud - 1e-6),
        ),
        costs_x=costs_x,
        costs_y=costs_y,
        edges=edges,
        wish=_wish(request, grid, floor, edges) if gaps.least >= gaps.turn else None,
        bulbs=bulb_rules(request, in_studs=True),
    )


def _wish(request: FieldRequest, grid: StudGrid, floor: Bools, edges: Edges | None) -> Wish:
    """The length that the floor in reach, its edge included, asks for."""
    whole = ndimage.binary_dilation(floor, np.ones((5, 5), bool)) & grid.floor
    length = max(1, int(np.count_nonzero(whole))) / request.pitch_m
    if edges is not None:
        length += int(np.count_nonzero(edges.floor)) * (1 / request.edge_pitch_m - 1 / request.pitch_m)
    return Wish(length_m=length * grid.stud_m**2, radius_m=request.least_radius_m)


def _attempts(on: Territory, lanes: dict[int, Lane], search: Search) -> Iterator[Attempt]:
    """Loops from the most promising lattices, over approaches, hands and roots."""
    seen: set[tuple[Corner, ...]] = set()
    limit = math.inf
    for plan in sorted(_plans(on, lanes, search.noisy), key=lambda p: p.cost)[: search.plans]:
        lane, heading = lanes[plan.approach], on.request.approaches[plan.approach].heading
        lines = lattice(on.grid, plan.xs, plan.ys)
        for mirrored in (False, True):
            view, mine = seen_along(lines, heading, mirrored), mirror_image(lane) if mirrored else lane
            fills = ways_to_fill(on.request, heading, mirrored)
            fills += edge_fills(on.edges, view, on.grid, heading, mirrored)
            for fill, root in itertools.product(fills, roots(view, mine, on.rules, search.rows)):
                loop = walked(view, mine, on.rules, root, fill)
                corners = path_back(loop or (), heading, mirrored)
                if not corners or corners in seen:
                    continue
                seen.add(corners)
                rating = _rated(on, corners, plan.approach, limit)
                if rating is not None:
                    limit = min(limit, rating.cost + 1)
                    run_in = on.grid.stud_m * (view.vs[root.row] - mine.end)
                    yield Attempt(corners=corners, approach=plan.approach, rating=rating, run_in_m=run_in)


def _rated(on: Territory, corners: tuple[Corner, ...], approach: int, limit: float = math.inf) -> Rating | None:
    """The rating of a loop by what is asked of it; None as soon as its cost must be above `limit`."""
    rating = rate(corners, on.grid, on.floor, on.request.pitch_m, on.wish, limit)
    if rating is None:
        return None
    if on.plain:
        return on_studs(rating, corners, on.gaps.pitch)
    if on.edges is not None:  # first of all its runs must be closer where that is asked
        rating = replace(rating, off=rating.off * OFF_BY_KIND / OFF)
    heading = on.request.approaches[approach].heading
    rating = rated_as_asked(rating, corners, heading, on.request)
    return rated_with_edges(rating, corners, heading, on.edges, on.grid)


def _with_smooth(on: Territory, found: Iterable[Attempt]) -> list[Attempt]:
    """The attempts; in a plain field the best ones also without their bumps and with their runs spread evenly."""
    attempts = sorted(found, key=lambda a: (a.cost, a.corners))
    smooth, seen = list[Attempt](), set[tuple[Corner, ...]]()
    for attempt in attempts[:SMOOTHED] if on.plain else ():
        for corners in compacted(attempt.corners, on.grid, on.rules, on.gaps.pitch, None, seen):
            rating = _rated(on, corners, attempt.approach) if legs_fit(corners, on.bulbs.radius) else None
            if rating is not None:
                smooth.append(replace(attempt, corners=corners, rating=rating))
    return attempts + smooth


def _with_room(on: Territory, attempts: Iterable[Attempt]) -> Iterator[Attempt]:
    """The best attempts once their turns have found room, rated anew; more where none of these finds it."""
    promising = sorted(attempts, key=lambda a: (a.cost + _lacking(a.corners, on.rules), a.corners))
    area = float(on.floor.sum()) * on.grid.stud_m**2
    left = ROOM_SOUGHT if on.request.thorough else QUICKLY
    found, seen = False, set[tuple[Corner, ...]]()
    for number, attempt in enumerate(promising):
        if number >= FEWEST and left <= 0 and found:
            return
        left -= len(attempt.corners)
        for corners in compacted(attempt.corners, on.grid, on.rules, on.gaps.pitch, on.bulbs, seen):
            laid = with_bulbs(corners, on.bulbs)
            rating = _rated(on, corners, attempt.approach) if legs_fit(laid, on.bulbs.radius) else None
            if rating is not None:
                found = True
                thin = max(0.0, 1 - rating.length_m * on.request.pitch_m / area)
                yield replace(attempt, corners=corners, laid=laid, rating=rating, thin=THIN * thin)
                if rating.missed == 0:
                    break  # bumps would only cost bends


def _lacking(corners: tuple[Corner, ...], rules: Rules) -> float:
    """What it is likely to cost that turns and steps of a loop have yet to find room."""
    return NARROW * narrow_turns(corners, rules) + STEP * narrow_steps(corners, rules)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Lines to walk on and the approach to come by; `cost` is a guess from the fit alone."""

    xs: tuple[int, ...]
    ys: tuple[int, ...]
    approach: int
    cost: float


def _plans(on: Territory, lanes: dict[int, Lane], noisy: int) -> Iterator[Plan]:
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
