"""The search for one loop that fills a territory: a portfolio of lattices, walked, rated, checked."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from ufh_core.basis.message import Message, note
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.attempts import SEARCHES, Attempt, Search, metres, other_results, told_result
from ufh_core.fields.bulbs import with_bulbs
from ufh_core.fields.check import fault
from ufh_core.fields.compaction import compacted, narrow_steps, narrow_turns
from ufh_core.fields.edges import edge_fills, rated_with_edges
from ufh_core.fields.headings import path_back, seen_along
from ufh_core.fields.joint import Corner, Lane, Rules, mirror_image, roots, walked
from ufh_core.fields.lane import lane_of
from ufh_core.fields.lattice import WIDEST_GAP, lattice
from ufh_core.fields.meander import rated_as_asked, ways_to_fill
from ufh_core.fields.plans import plans_of
from ufh_core.fields.rate import OFF, OFF_BY_KIND, Rating, on_studs, rate
from ufh_core.fields.straighten import legs_fit
from ufh_core.fields.territory import Territory, territory_of
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult

CHECKED = 16
ROOM_SOUGHT, QUICKLY, FEWEST = 600, 200, 6  # corners of attempts that are compacted, thorough or not; attempts at least
SMOOTHED = 8  # attempts whose runs are spread
NARROW, STEP = 0.5, 0.1  # what each turn and each step costs that needs it
THIN = 30.0  # what it costs then that gaps are wide, times the share of the pipe that is missing
BEGUN = 100  # territories whose first round is remembered, so that a thorough search goes on from it


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A territory after the first round of its search: the pairs of tails that arrive, the loops that were drawn."""

    on: Territory
    lanes: dict[int, Lane]
    drawn: tuple[Attempt, ...]


def search_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found along the axes of the frame, or why there is none."""
    if request.axis_area.is_empty or request.floor.is_empty:
        return FieldFailure(reason=Message("no floor is left for pipes inside the clearances"))
    if 2 * request.least_radius_m > WIDEST_GAP * request.pitch_m + 1e-9:
        turn, pitch = (round(1000 * m) for m in (2 * request.least_radius_m, request.pitch_m))
        words = note("a turn {turn} mm wide does not fit a pitch of {pitch} mm")
        return FieldFailure(reason=Message(words, turn=turn, pitch=pitch))
    territory = replace(request, thorough=False, with_others=False)  # what is asked of it, however it is searched
    begun = _begun(territory)
    on, lanes = begun.on, begun.lanes
    if not lanes:
        return FieldFailure(reason=Message("the pair of tails does not arrive on the stud grid"))
    reason: str = Message("no loop fits between the walls where the pair of tails arrives")
    best: tuple[Point, ...] = ()
    attempts: list[Attempt] = []
    for search in SEARCHES:
        if (attempts and not search.worth_it(attempts[0])) or (search is not SEARCHES[0] and not request.thorough):
            continue
        found = begun.drawn if search is SEARCHES[0] else _attempts(on, lanes, search)
        attempts += _with_smooth(on, found) if on.rules.lattice_leg is None else _with_room(on, found, request.thorough)
        attempts.sort(key=lambda a: (a.cost, a.corners))
    refused: dict[int, str] = {}
    for number, attempt in enumerate(attempts[:CHECKED]):
        corners = metres(attempt, territory)
        reason, best = fault(corners, territory), corners
        if not reason:
            others = other_results(territory, attempts, number, refused) if request.with_others else ()
            return replace(told_result(territory, corners, attempts, number, refused), others=others)
        refused[number] = reason
    return FieldFailure(reason=reason, best=best)


@lru_cache(maxsize=BEGUN)
def _begun(request: FieldRequest) -> Begun:
    """The first round of a search, which is the same whether a thorough one follows or not."""
    on = territory_of(request)
    lanes = {n: lane for n, a in enumerate(request.approaches) if (lane := lane_of(a, request)) is not None}
    return Begun(on=on, lanes=lanes, drawn=tuple(_attempts(on, lanes, SEARCHES[0])))


def _attempts(on: Territory, lanes: dict[int, Lane], search: Search) -> Iterator[Attempt]:
    """Loops from the most promising lattices, over approaches, hands and roots."""
    lanes = dict(itertools.islice(lanes.items(), search.approaches))
    seen: set[tuple[Corner, ...]] = set()
    limit = math.inf
    for plan in sorted(plans_of(on, lanes, search.noisy), key=lambda p: p.cost)[: search.plans]:
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
        for corners in compacted(attempt.corners, on.space, None, seen):
            rating = _rated(on, corners, attempt.approach) if legs_fit(corners, on.bulbs.radius) else None
            if rating is not None:
                smooth.append(replace(attempt, corners=corners, rating=rating))
    return attempts + smooth


def _with_room(on: Territory, attempts: Iterable[Attempt], thorough: bool) -> Iterator[Attempt]:
    """The best attempts once their turns have found room, rated anew; more where none of these finds it."""
    promising = sorted(attempts, key=lambda a: (a.cost + _lacking(a.corners, on.rules), a.corners))
    area = float(on.floor.sum()) * on.grid.stud_m**2
    left = ROOM_SOUGHT if thorough else QUICKLY
    found, seen = False, set[tuple[Corner, ...]]()
    for number, attempt in enumerate(promising):
        if number >= FEWEST and left <= 0 and found:
            return
        left -= len(attempt.corners)
        for corners in compacted(attempt.corners, on.space, on.bulbs, seen):
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
