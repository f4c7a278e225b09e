"""Lanes of a level, and what the search for them hands from step to step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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

    With `sites_stay` manifolds keep their places also where their lanes must be led anew.
    """

    territories: tuple[Territory, ...]
    lanes: LevelLanes
    sites_stay: bool

    @property
    def places(self) -> tuple[Site, ...]:
        """The places that manifolds keep."""
        return self.lanes.sites if self.sites_stay else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """One connected part of a level: its territories (`group`), and the number of its first manifold.

    `prices` are those of ways over the whole part; `others` are lanes already led (their corners), to which the
    ground is closed.
    """

    level: Level
    ground: LaneGround
    prices: WayPrices
    territories: Sequence[Territory]
    group: list[int]
    first: int
    others: tuple[tuple[Point, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Routed:
    """Manifold places, lanes, and territories without a lane with the reason; `cuts` part those from the ports."""

    sites: list[Site]
    lanes: list[Lane]
    missed: dict[int, str]
    notes: tuple[str, ...] = ()
    cuts: tuple[Cut, ...] = ()
