"""Which circuit is cut from which coil: no joint in the floor, as little pipe bought as will do.

The trade's cutting stock with several lengths of stock. Sets of coils are tried by rising length of pipe, of equal
length those of fewer coils first, from the least length that could do; the first set into which all circuits can be
packed is the best, and proved to be. Packing fills one coil after the other, the largest first, with the circuits
that fill it best (subset sums in decimetres, an exact dynamic programme), and goes back where that fails, within a
limit of steps. Beyond the limit of sets the best greedy filling stands, and `bound_m` says how good it is at least.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.message import Message
from ufh_core.floor.types import Coil, CoilPlan

UNIT_M = 0.1
HAIR = 1e-6
MOST_SETS, MOST_STEPS = 400, 60
FILLINGS = 4


def coil_plan(lengths_m: Mapping[str, float], coils_m: Sequence[float], spare: float) -> CoilPlan:
    """The coils to buy and what is cut from each. `lengths_m` of circuits by number, `coils_m` that can be bought.

    `spare` is the share that each circuit is cut longer. Raises: NoSolution for a circuit longer than every coil.
    """
    sizes = sorted({math.floor(size / UNIT_M + HAIR) for size in coils_m}, reverse=True)
    wanted = {n: math.ceil(length * (1 + spare) / UNIT_M - HAIR) for n, length in lengths_m.items() if length > 0}
    for number, units in wanted.items():
        if not sizes or units > sizes[0]:
            longest = max(coils_m, default=0.0)
            raise NoSolution(
                Message(
                    "circuit {number} needs {units:.1f} m of unbroken pipe, but the longest coil of "
                    "pipe.coil_lengths_m has {longest:g} m: add a longer coil or make the circuit shorter",
                    number=number,
                    units=units * UNIT_M,
                    longest=longest,
                )
            )
    if not wanted:
        return CoilPlan(coils=(), bought_m=0.0, cut_m=0.0, bound_m=0.0)
    whole = sum(wanted.values())
    bound, packed = _best(wanted, sizes, whole)
    coils = [
        Coil(
            length_m=size * UNIT_M,
            circuits=tuple(sorted(mine, key=lambda number: (-wanted[number], number))),
            cuts_m=tuple(wanted[n] * UNIT_M for n in sorted(mine, key=lambda number: (-wanted[number], number))),
            left_m=(size - sum(wanted[number] for number in mine)) * UNIT_M,
        )
        for size, mine in packed
    ]
    ordered = sorted(coils, key=lambda coil: (-coil.length_m, coil.left_m, coil.circuits))
    return CoilPlan(
        coils=tuple(ordered),
        bought_m=sum(size for size, _ in packed) * UNIT_M,
        cut_m=whole * UNIT_M,
        bound_m=bound * UNIT_M,
    )


Packed = list[tuple[int, list[str]]]


def _best(wanted: Mapping[str, int], sizes: Sequence[int], whole: int) -> tuple[int, Packed]:
    """(least length that could do, coils with their circuits): the first set by rising length that can be packed."""
    greedy = _greedy(wanted, sizes)
    most = sum(size for size, _ in greedy)
    least = whole
    for number, chosen in enumerate(_sets(sizes, whole, most)):
        if number == 0:
            least = sum(chosen)
        if number >= MOST_SETS or sum(chosen) >= most:
            break
        packed = _packed(wanted, chosen)
        if packed is not None:
            return least, packed
    return min(least, most), greedy


def _sets(sizes: Sequence[int], whole: int, most: int) -> Iterator[tuple[int, ...]]:
    """Sets of coils that hold at least `whole` and no more than `most`, by rising length, fewest coils first."""
    queue: list[tuple[int, int, tuple[int, ...]]] = []
    for counts in _counts(sizes, whole, most):
        length = sum(size * count for size, count in zip(sizes, counts, strict=True))
        queue.append((length, sum(counts), counts))
    heapq.heapify(queue)
    while queue:
        _, _, counts = heapq.heappop(queue)
        yield tuple(size for size, count in zip(sizes, counts, strict=True) for _ in range(count))


def _counts(sizes: Sequence[int], least: int, most: int) -> Iterator[tuple[int, ...]]:
    """Numbers of coils of each size that come to no less than `least` and no more than `most`."""
    if len(sizes) == 1:
        for count in range(max(0, -(-least // sizes[0])), most // sizes[0] + 1):
            yield (count,)
        return
    for count in range(most // sizes[0] + 1):
        for rest in _counts(sizes[1:], least - count * sizes[0], most - count * sizes[0]):
            yield (count, *rest)


def _greedy(wanted: Mapping[str, int], sizes: Sequence[int]) -> Packed:
    """Coils filled one by one, each time with the size whose best filling leaves the least share."""
    left, packed = dict(wanted), list[tuple[int, list[str]]]()
    while left:
        options = [(size, next(_fillings(left, size, 1), [])) for size in sizes]
        size, mine = min(
            (option for option in options if option[1]),
            key=lambda option: ((option[0] - sum(left[n] for n in option[1])) / option[0], -option[0]),
        )
        packed.append((size, mine))
        for number in mine:
            del left[number]
    return packed


def _packed(wanted: Mapping[str, int], coils: Sequence[int]) -> Packed | None:
    """All circuits cut from a set of coils, largest coil first; None where no way was found within the limit."""
    steps = itertools.count()

    def fill(left: Mapping[str, int], rest: Sequence[int], spare: int) -> Packed | None:
        if not left:
            return [(size, []) for size in rest]
        if not rest or next(steps) > MOST_STEPS:
            return None
        for mine in _fillings(left, rest[0], FILLINGS):
            unused = rest[0] - sum(left[number] for number in mine)
            if unused > spare:
                return None  # fillings come best first: no later one leaves less
            others = {number: units for number, units in left.items() if number not in mine}
            done = fill(others, rest[1:], spare - unused)
            if done is not None:
                return [(rest[0], mine), *done]
        return None

    found = fill(wanted, sorted(coils, reverse=True), sum(coils) - sum(wanted.values()))
    return None if found is None or any(not mine for _, mine in found) else found


def _fillings(left: Mapping[str, int], size: int, count: int) -> Iterator[list[str]]:
    """Sets of circuits that fill a coil, the fullest first; of equals those that use the longest circuits."""
    items = sorted(left.items(), key=lambda item: (-item[1], item[0]))
    reached: dict[int, tuple[int, str] | None] = {0: None}  # sum: (sum before, circuit added last)
    for number, units in items:
        new: dict[int, tuple[int, str] | None] = {}
        for total in reached:
            if total + units <= size and total + units not in reached and total + units not in new:
                new[total + units] = (total, number)
        reached = {**reached, **new}
    best = sorted((total for total in reached if total > 0), reverse=True)[:count]
    for total in best:
        mine: list[str] = []
        at = total
        while at:
            step = reached[at]
            assert step is not None
            at, number = step
            mine.append(number)
        yield mine
