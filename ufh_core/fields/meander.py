"""Growing a meander: a comb of faces, a spine along one side and fingers one face wide across the floor.

The boundary of a comb is a pipe that runs to and fro from finger to finger and comes back along the
spine's outer side. With the flow to the right of the way in, the pipe goes anticlockwise round the
faces (seen along the tails); so the spine stands on the side that it passes just before the wall
that is to be warm, and the finger nearest to that wall is the first one. The comb is grown depth-first
by tables of moves: which way a face may go on, in which order. What its fingers do not see gets combs
of its own in the same direction, and what is left then is filled as for counterflow. A face is taken
by the same rule as there, so the loop is as legal. Cost: linear in the number of faces.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from shapely.geometry import LineString

from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.rate import Rating
from ufh_core.fields.types import FieldRequest, Pattern
from ufh_core.fields.walk import COUNTERFLOW, EAST, NORTH, SOUTH, WEST, Fill, Growth, grow

Moves = tuple[tuple[tuple[int, int], ...], ...]
"""By the role of a face: (direction, role of the next face), in the order in which they are tried."""

FINGER = -1  # the last role


@dataclass(frozen=True, slots=True, kw_only=True)
class Comb:
    """How to grow a meander whose first finger lies along the side `first`; fingers point to `finger`.

    With `walk`, the way first leads along the wall on the flow's side to the far end of the floor, where
    the spine begins; `moves` lead on from there.
    """

    first: int
    finger: int
    moves: Moves
    walk: bool = False
    mirrored: bool = False

    @property
    def told(self) -> bytes:
        """The comb in signed bytes for the compiled loop: its fields, then the moves of each role with their number."""
        last = len(self.moves) - 1
        numbers = [self.first, self.finger, self.walk, self.mirrored, len(self.moves)]
        for options in self.moves:
            numbers += [len(options), *(n for d, role in options for n in (d, last if role == FINGER else role))]
        return bytes(numbers)


_F = FINGER
COMBS = {
    NORTH: Comb(first=NORTH, finger=WEST, moves=(((EAST, 0), (NORTH, 0), (WEST, _F)), ((WEST, _F),))),
    EAST: Comb(
        first=EAST,
        finger=NORTH,
        moves=(
            ((EAST, 1), (NORTH, _F), (WEST, 2)),
            ((SOUTH, 1), (EAST, 1), (NORTH, _F)),
            ((NORTH, _F), (WEST, 2), (SOUTH, 2)),
            ((NORTH, _F),),
        ),
    ),
    WEST: Comb(
        first=WEST,
        finger=SOUTH,
        walk=True,
        moves=(((NORTH, 0), (WEST, 0), (SOUTH, _F)), ((SOUTH, _F),)),
    ),
    SOUTH: Comb(
        first=SOUTH,
        finger=EAST,
        moves=(((EAST, _F), (WEST, 1)), ((WEST, 1), (EAST, _F), (NORTH, 1)), ((EAST, _F),)),
    ),
}
"""Combs by the side of their first finger, seen along the tails, for a flow on the right of the way in."""


def ways_to_fill(request: FieldRequest, heading: tuple[int, int], mirrored: bool) -> tuple[Fill, ...]:
    """How loops of the request's pattern may grow, in a view along `heading` (see `field_lattice.seen_along`)."""
    if request.pattern is Pattern.COUNTERFLOW:
        return (COUNTERFLOW,)
    cold = cold_side(request) if request.pattern is Pattern.FACADE_MEANDER else None
    combs = [COMBS[side] for side in ((NORTH, EAST) if cold is None else (seen_side(cold, heading),))]
    seen = [mirror(comb) if mirrored else comb for comb in combs]
    return tuple(Fill(grow=partial(grow_comb, comb=comb), told=comb.told) for comb in seen)


def cold_side(request: FieldRequest) -> tuple[int, int] | None:
    """The direction along an axis in which most of the cold wall of a request lies; None without one."""
    lengths = {(1, 0): 0.0, (-1, 0): 0.0, (0, 1): 0.0, (0, -1): 0.0}
    for wall in request.cold_walls:
        lengths[side_of(wall)] += wall.length
    longest = max(lengths, key=lambda s: round(lengths[s], 3))
    return longest if lengths[longest] > 0 else None


def side_of(wall: LineString) -> tuple[int, int]:
    """The direction along an axis that a wall with the room on its left faces outward to."""
    (ax, ay), (bx, by) = wall.coords[0], wall.coords[-1]
    x, y = by - ay, ax - bx
    return (int(math.copysign(1, x)), 0) if abs(x) > abs(y) else (0, int(math.copysign(1, y)))


def rated_as_asked(rating: Rating, corners: Sequence[Point], heading: tuple[int, int], request: FieldRequest) -> Rating:
    """The rating of a loop by its pattern: a meander's water need not be even, but warm along the cold walls if asked.

    The disorder is 1 - r, with r the correlation over the pipe of the way from the flow (the pipe on the right
    of the way in) and the distance from the cold side.
    """
    cold = cold_side(request) if request.pattern is Pattern.FACADE_MEANDER else None
    if cold is None:
        return rating if request.pattern is Pattern.COUNTERFLOW else replace(rating, disorder=0.0)
    places = np.asarray(corners, float)
    places = places if flow_first(corners, heading) else places[::-1]
    length = np.linalg.norm(np.diff(places, axis=0), axis=1)
    run = np.cumsum(length) - length / 2
    depth = -(places[:-1] + places[1:]) @ np.array(cold, float) / 2
    run, depth = (a - np.average(a, weights=length) for a in (run, depth))
    spread = math.sqrt(np.average(run**2, weights=length) * np.average(depth**2, weights=length))
    return replace(rating, disorder=1 - float(np.average(run * depth, weights=length)) / max(spread, 1e-9))


def flow_first(corners: Sequence[Point], heading: tuple[int, int]) -> bool:
    """Whether a loop begins with its flow, the pipe on the right of the way in."""
    (ax, ay), (bx, by) = corners[0], corners[-1]
    return (ax - bx) * heading[1] - (ay - by) * heading[0] > 0


def seen_side(side: tuple[int, int], heading: tuple[int, int]) -> int:
    """A direction of the plan as it is seen with `heading` to the north."""
    if side in (heading, (-heading[0], -heading[1])):
        return NORTH if side == heading else SOUTH
    return EAST if side == (heading[1], -heading[0]) else WEST


def mirror(comb: Comb) -> Comb:
    """The comb with east and west exchanged."""
    return replace(
        comb,
        first=flip(comb.first),
        finger=flip(comb.finger),
        moves=tuple(tuple((flip(d), role) for d, role in options) for options in comb.moves),
        mirrored=not comb.mirrored,
    )


def flip(direction: int) -> int:
    """A direction with east and west exchanged."""
    return {EAST: WEST, WEST: EAST}.get(direction, direction)


def grow_comb(growth: Growth, planted: Sequence[int], comb: Comb) -> None:
    """Grow a comb from the `planted` faces (taken already, from east to west), then fill what it left."""
    spread = Spread(growth, planted)
    from_flow = list(planted[::-1] if comb.mirrored else planted)
    if comb.walk:
        far = spread.northernmost(from_flow[0])
        from_flow = [spread.walk(from_flow[0], comb.mirrored, lambda face: face % growth.width == far)]
    for face in from_flow:
        spread.run(face, comb.moves)
    _more_combs(spread, comb)
    for heading in (WEST, EAST):
        grow(growth, spread.taken[::-1], heading)


def _more_combs(spread: Spread, comb: Comb) -> None:
    """Combs in the same direction from the faces of combs, nearest to the spine first, until no more fit."""
    back = (comb.finger + 2) % 4
    looked_at = dict.fromkeys((comb.first, (comb.first + 2) % 4), 0)
    while min(looked_at.values()) < len(spread.taken):
        for ahead, known in looked_at.items():
            moves = (((back, 0), (ahead, 0), (comb.finger, FINGER)), ((comb.finger, FINGER),))
            looked_at[ahead] = _combs_ahead(spread, ahead, back, moves, known)


def _combs_ahead(spread: Spread, ahead: int, back: int, moves: Moves, known: int) -> int:
    """Combs that begin with a step `ahead` from any face, those of new combs included, nearest to `back` first.

    A step that is not possible never becomes so; so each face needs to be looked at once: those before
    `known` were, and the number of all that are now is given back.
    """
    waiting: list[tuple[int, int]] = []
    while True:
        for face in spread.taken[known:]:
            heapq.heappush(waiting, (-spread.along(face, back), face))
        known = len(spread.taken)
        if not waiting:
            return known
        other = spread.step(heapq.heappop(waiting)[1], ahead)
        if other is not None:
            spread.run(other, moves)


class Spread:
    """A growth with the faces taken in their order."""

    def __init__(self, growth: Growth, planted: Sequence[int]) -> None:
        w = growth.width
        self.growth = growth
        self.taken = list(planted)
        self.steps = (w, 1, -w, -1)
        self.fresh = ((w, w + 1), (1, w + 1), (0, 1), (0, w))

    def along(self, face: int, direction: int) -> int:
        """How far a face lies in a direction, in faces."""
        i, j = divmod(face, self.growth.width)
        return (i, j, -i, -j)[direction]

    def step(self, face: int, direction: int) -> int | None:
        """Take the next face in a direction and return it; None where it may not be taken."""
        growth, other = self.growth, face + self.steps[direction]
        a, b = self.fresh[direction]
        if not growth.open[other] or growth.count[other + a] or growth.count[other + b] or growth.cuts(other):
            return None
        growth.take(other)
        self.taken.append(other)
        return other

    def walk(self, start: int, mirrored: bool, done: Callable[[int], bool]) -> int:
        """Go with the wall on the right (left when `mirrored`) to the first face that is `done`, and return it.

        Dead ends are given back; where all ways end so, the walk is `start` alone.
        """
        turns = (1, 0, 3) if mirrored else (3, 0, 1)
        path, tried = [(start, WEST if mirrored else EAST, 0)], {start}
        while path:
            face, heading, option = path.pop()
            if done(face):
                return face
            if option == len(turns):
                self._give_back(face, start)
                continue
            path.append((face, heading, option + 1))
            turned = (heading + turns[option]) % 4
            if face + self.steps[turned] in tried:
                continue
            other = self.step(face, turned)
            if other is not None:
                tried.add(other)
                path.append((other, turned, 0))
        return start

    def northernmost(self, start: int) -> int:
        """The northernmost row that open faces lead to."""
        seen, front = {start}, [start]
        while front:
            face = front.pop()
            onward = {face + s for s in self.steps if self.growth.open[face + s]} - seen
            seen |= onward
            front += onward
        return max(face % self.growth.width for face in seen)

    def _give_back(self, face: int, start: int) -> None:
        """Undo the last step, unless it was none."""
        if face != start:
            self.growth.give_back(face)
            self.taken.remove(face)

    def run(self, start: int, moves: Moves) -> None:
        """Grow depth-first from a face of role 0."""
        stack = [(start, 0, 0)]
        while stack:
            face, role, option = stack.pop()
            direction, next_role = moves[role][option]
            if option + 1 < len(moves[role]):
                stack.append((face, role, option + 1))
            other = self.step(face, direction)
            if other is not None:
                stack.append((other, next_role, 0))
