"""Lanes of a level, and what the search for them hands from step to step."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.bottleneck import Bottleneck, Cut
from ufh_core.lanes.ground import LaneGround
from ufh_core.lanes.siting import Site, WayPrices
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """A pair of tails: the middle line's corners from the manifold to the territory (`territory` index)."""

    territory: int
    manifold: int
    port: int
    corners: tuple[Point, ...]

    @property
    def length_m(self) -> float:
        """Length of the pair, once [m]."""
        return sum(math.dist(a, b) for a, b in pairwise(self.corners))


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelLanes:
    """All lanes of a level. `unreached` are territories with the reason why no lane leads to them.

    `notes` say where the tool had to do otherwise than planned, and why; `bottlenecks` where lanes do not fit.
    """

    sites: tuple[Site, ...]
    lanes: tuple[Lane, ...]
    unreached: dict[int, str]
    notes: tuple[str, ...] = ()
    bottlenecks: tuple[Bottleneck, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """Lanes as they were led to the territories of an earlier layout of the level.

    With `sites_stay` manifolds keep their places also where their lanes must be led anew; with `all_stays` no
    lane is led where that asks for all of several manifolds to be led anew.
    """

    territories: tuple[Territory, ...]
    lanes: LevelLanes
    sites_stay: bool
    all_stays: bool = False

    @property
    def places(self) -> tuple[Site, ...]:
        """The places that manifolds keep."""
        return self.lanes.sites if self.sites_stay else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """One connected part of a level: its territories (`group`), and the number of its first manifold.

    A lane longer than its territory's `reach_m` asks for another manifold. `prices` are those of ways over the
    whole part; `others` are lanes already led (their corners), to which the ground is closed.
    """

    level: Level
    ground: LaneGround
    prices: WayPrices
    territories: Sequence[Territory]
    group: list[int]
    first: int
    reach_m: Sequence[float] = ()
    others: tuple[tuple[Point, ...], ...] = ()

    def too_far(self, lanes: Sequence[Lane]) -> set[int]:
        """Territories to which some lanes are longer than their reach."""
        if not self.reach_m:
            return set()
        return {lane.territory for lane in lanes if lane.length_m > self.reach_m[lane.territory] + 1e-6}


@dataclass(frozen=True, slots=True, kw_only=True)
class Routed:
    """Manifold places, lanes, and territories without a lane with the reason; `cuts` part those from the ports."""

    sites: list[Site]
    lanes: list[Lane]
    missed: dict[int, str]
    notes: tuple[str, ...] = ()
    cuts: tuple[Cut, ...] = ()
