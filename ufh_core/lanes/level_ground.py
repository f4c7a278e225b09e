"""A level as the search for its lanes sees it, remembered from one leading of them to the next.

Lattice, costs and places for manifolds do not change while rooms are divided otherwise; where lanes may end in a
territory changes with that territory only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache, cached_property

from shapely.geometry import Polygon

from ufh_core.basis.message import Message
from ufh_core.lanes.ground import BareGround, Ends, bare_ground, connected_parts, lane_areas
from ufh_core.lanes.siting import Site, WayPrices, candidate_sites
from ufh_core.lanes.types import Search
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory
from ufh_core.zones.wishes import NO_WISHES, Wishes

TOO_NARROW: str = Message("no floor wide enough for a pair of pipes")


class GroundPart:
    """A connected area of a level (of a dwelling, where it has several), on which lanes are led."""

    def __init__(self, whole: Level, ways: Level, outline: Polygon, settings: Settings) -> None:
        self._whole, self._ways, self._outline, self._settings = whole, ways, outline, settings
        self._ends: dict[bytes, Ends] = {}
        self.sites_for: Callable[[int], list[Site]] = cache(self._sites_for)

    @cached_property
    def bare(self) -> BareGround:
        """Its ground, whatever its territories are."""
        return bare_ground(self._ways, self._settings, self._outline)

    @cached_property
    def _prices(self) -> WayPrices:
        everywhere = [site.middle for site in self.sites_for(1)]  # wider manifolds have their middles there, too
        return WayPrices(self.bare.grid, self.bare.cost, everywhere)

    def search(self, territories: Sequence[Territory]) -> Search:
        """A search for lanes to territories."""
        ground = self.bare.to([self._ends_in(t) for t in territories])
        group = [k for k, nodes in enumerate(ground.arrivals) if len(nodes)]
        return Search(
            level=self._whole, ground=ground, prices=self._prices, territories=territories, group=group, first=0
        )

    def _ends_in(self, territory: Territory) -> Ends:
        key = territory.floor.wkb
        if key not in self._ends:
            self._ends[key] = self.bare.ends_in(territory)
        return self._ends[key]

    def _sites_for(self, ports: int) -> list[Site]:
        """All places for a manifold of so many ports."""
        return candidate_sites(self._whole, self.bare.grid, ports, self._settings)


class LevelGround:
    """A level on which lanes are led; passages that the designer's entries close to tails are no ways."""

    def __init__(self, level: Level, settings: Settings, wishes: Wishes = NO_WISHES) -> None:
        self.settings, self.wishes = settings, wishes
        self._parts = [self._areas_of(whole) for whole in level.by_dwelling(settings)]

    def _areas_of(self, whole: Level) -> tuple[Level, list[Polygon], list[GroundPart]]:
        closed = self.wishes.closed(whole.passages)
        ways = replace(whole, passages=tuple(p for p in whole.passages if p.ifc_guid not in closed))
        outlines = lane_areas(ways, self.settings)
        return ways, outlines, [GroundPart(whole, ways, outline, self.settings) for outline in outlines]

    def areas_with(self, territories: Sequence[Territory]) -> Iterator[tuple[GroundPart, list[int]]]:
        """Connected areas, each with the indices of its territories, the fullest first in each dwelling."""
        for ways, outlines, areas in self._parts:
            for k, members in connected_parts(ways, outlines, territories):
                yield areas[k], members
