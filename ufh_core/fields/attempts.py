"""Loops that were found for a territory, and what becomes of them: results, checked and given their floor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from shapely.geometry import Polygon

from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.chamfer import chamfered, right_angles
from ufh_core.fields.check import fault
from ufh_core.fields.choice import candidates
from ufh_core.fields.edges import edge_floor
from ufh_core.fields.heated import heated_floor
from ufh_core.fields.joint import Corner
from ufh_core.fields.rate import Rating
from ufh_core.fields.types import FieldRequest, FieldResult, Spare

LATER = 0.02  # what an approach less wished for costs
OTHERS, DEARER, UNLIKE_M = 5, 1.5, 0.4  # so many further loops, so much dearer at most, so unlike in length
LOST = 0.003  # share of the floor that steps at 45 degrees may cost
REMEMBERED = 100  # loops of which it is kept what they heat, with and without diagonals
NEAR_M, RUN_IN = 0.4, 2.0  # a run in of this length is free; cost of each further metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """A loop in studs with its rating.

    `run_in_m` is how far the pair goes on before it opens, `thin` what it costs that there is less pipe than
    the pitch asks for; `laid` is the loop with its bulbs, where it was rated without.
    """

    corners: tuple[Corner, ...]
    approach: int
    rating: Rating
    run_in_m: float
    thin: float = 0.0
    laid: tuple[Corner, ...] | None = None

    @property
    def cost(self) -> float:
        """The loop's cost, with a little for a later approach and a long run in."""
        run_in = RUN_IN * max(0.0, self.run_in_m - NEAR_M)
        return self.rating.cost + self.thin + LATER * self.approach + run_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """One round of the search, and the best loop's cost and missed share from which it is worth while.

    It looks at so many approaches, rows to open the pair at, rounds of noise, and walks so many plans.
    """

    approaches: int
    rows: int
    noisy: int
    plans: int
    from_cost: float = 0.0
    from_missed: float = 0.0

    def worth_it(self, best: Attempt) -> bool:
        """Whether a better loop than this may be found."""
        return best.rating.missed >= self.from_missed and best.cost >= self.from_cost


SEARCHES = (
    Search(approaches=99, rows=1, noisy=0, plans=24),
    Search(approaches=1, rows=1, noisy=2, plans=24, from_cost=6.5),
    Search(approaches=99, rows=3, noisy=2, plans=72, from_missed=0.03),
)


def other_results(
    request: FieldRequest, attempts: list[Attempt], laid: int, refused: dict[int, str]
) -> tuple[Spare[FieldResult], ...]:
    """Loops of lengths that differ and that are little dearer than the laid one but for that.

    Whether they are legal is seen when wanted.
    """
    chosen, found = attempts[laid], list[Spare[FieldResult]]()
    bare = [attempt.cost - attempt.rating.cost_of_length for attempt in attempts]
    for number in sorted(range(laid + 1, len(attempts)), key=lambda k: (bare[k], k)):
        if len(found) == OTHERS or bare[number] > bare[laid] + DEARER:
            break
        longer = attempts[number].rating.length_m - chosen.rating.length_m
        if min(abs(longer - other) for other in (0.0, *(spare.longer_m for spare in found))) >= UNLIKE_M:
            found.append(Spare(longer, cache(_legal_result(request, attempts, number, refused))))
    return tuple(found)


def _legal_result(
    request: FieldRequest, attempts: list[Attempt], number: int, refused: dict[int, str]
) -> Callable[[], FieldResult | None]:
    """What makes the result of an attempt, None where it breaks a rule."""

    def made() -> FieldResult | None:
        corners = metres(attempts[number], request)
        return None if fault(corners, request) else told_result(request, corners, attempts, number, refused)

    return made


def told_result(
    request: FieldRequest, corners: tuple[Point, ...], attempts: list[Attempt], number: int, refused: dict[int, str]
) -> FieldResult:
    """The result of an attempt, with what was drawn beside it."""
    shown = candidates([(a.cost, a.rating) for a in attempts], refused, number)
    return replace(result_of(request, corners, attempts[number]), drawn=len(attempts), candidates=shown)


def metres(attempt: Attempt, request: FieldRequest) -> tuple[Point, ...]:
    """The corners of an attempt [m]."""
    return tuple((x * request.stud_pitch_m, y * request.stud_pitch_m) for x, y in attempt.laid or attempt.corners)


def result_of(request: FieldRequest, corners: tuple[Point, ...], attempt: Attempt) -> FieldResult:
    """The result with what it heats; steps at 45 degrees where that heats as much."""
    corners, (heated, coverage) = _with_diagonals(request, corners)
    return FieldResult(
        corners=corners,
        approach=attempt.approach,
        heated=heated,
        coverage=coverage,
        unevenness=attempt.rating.unevenness,
        bends=right_angles(corners),
        edge_floor=edge_floor(corners, request, heated),
        poor=any(search.worth_it(attempt) for search in SEARCHES[1:]),
    )


@lru_cache(maxsize=REMEMBERED)
def _with_diagonals(
    request: FieldRequest, corners: tuple[Point, ...]
) -> tuple[tuple[Point, ...], tuple[Polygon, float]]:
    """A loop with its steps at 45 degrees where that is legal and heats as much, and what it heats."""
    lost, whole = LOST * request.floor.area, request.floor.area
    diagonal = chamfered(corners, request)
    if diagonal == corners or fault(diagonal, request):
        return corners, heated_floor(corners, request)
    with_steps = heated_floor(diagonal, request)
    if with_steps[0].area >= whole - lost:  # no loop heats more than the whole floor
        return diagonal, with_steps
    heated = heated_floor(corners, request)
    return (diagonal, with_steps) if with_steps[0].area >= heated[0].area - lost else (corners, heated)
