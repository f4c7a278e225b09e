"""The pair of tails inside a field: how far its two pipes run side by side, and along which line."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ufh_core.basis.pipe_axis import Point

TOGETHER = 1e-3


def pair_legs(corners: Sequence[Point]) -> int:
    """Legs from either end of a loop in which its two pipes run side by side: 1, or 2 where the pair bends.

    The pair bends where it comes into a room that stands at an angle to the frame.

    >>> pair_legs([(0, 0), (0, 1), (-1, 1), (-1, 3), (2, 3), (2, 1), (0.1, 1), (0.1, 0)])
    1
    """
    if len(corners) < 6:
        return 1
    out, home = (_heading(*ends) for ends in (corners[1:3], corners[-2:-4:-1]))
    return 2 if math.dist(out, home) < TOGETHER and abs(_apart(corners, 1) - _apart(corners, 0)) < TOGETHER else 1


def run_in(corners: Sequence[Point]) -> tuple[Point, ...]:
    """The middle line of the pair from where it arrives to where its first pipe turns off [m]."""
    last = pair_legs(corners) - 1
    middles = [_middle(corners[k], corners[-1 - k]) for k in range(last + 1)]
    run = min(math.dist(*corners[last : last + 2]), math.dist(corners[-1 - last], corners[-2 - last]))
    u = _heading(corners[last], corners[last + 1])
    return (*middles, (middles[-1][0] + run * u[0], middles[-1][1] + run * u[1]))


def _apart(corners: Sequence[Point], k: int) -> float:
    """Distance of the two pipes in their leg k, square to it [m]."""
    u, a, b = _heading(*corners[k : k + 2]), corners[k], corners[-1 - k]
    return abs(u[0] * (b[1] - a[1]) - u[1] * (b[0] - a[0]))


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _heading(a: Point, b: Point) -> Point:
    """Unit vector from a to b."""
    length = max(math.dist(a, b), 1e-9)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length
