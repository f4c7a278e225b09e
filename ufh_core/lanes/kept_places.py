"""Manifolds that stay, with the ports that are left on them for new circuits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import Polygon

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.lanes.grid import DIRECTIONS, LaneGrid
from ufh_core.lanes.siting import Site, open_ahead, port_rows, row_nodes
from ufh_core.settings.types import Settings
from ufh_core.zones.kept_pipes import KeptManifold, KeptPipe
from ufh_core.zones.level_plan import Level
from ufh_core.zones.manifold_sites import WallStretch, wall_stretches

ON_FACE_M = 0.02  # the wall face may have moved by this much
BEYOND_M = 0.05  # a manifold may reach this far beyond a free stretch of wall
MOST_PORT_OUT_M = 0.30
SERVICE_SLACK_M = 0.03
AHEAD_NODES = 1  # open in front of a port that is free again: lanes that stay may pass close by
ALIGN_M = 0.005  # ports of an earlier run may be off the lattice by this


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPlace:
    """A manifold that stays, on its wall: `low`, `high` bound it along the stretch [m].

    `taken` are the middles of the ports of pipes that stay, `floor` is the room's floor for the service
    space. It offers what a place given by the designer offers: a name, and whom it serves.
    """

    name: str
    manifold: KeptManifold
    stretch: WallStretch
    low: float
    high: float
    taken: tuple[float, ...]
    floor: Area
    serves: tuple[str, ...] = ()

    @property
    def station_first(self) -> bool:
        """Whether the mixing station is at the low end of the stretch."""
        along = self.stretch.along
        right = (-self.stretch.normal[1], self.stretch.normal[0])[along]
        return (right > 0) != (self.manifold.station_side == "right")

    def front(self, near: float, far: float) -> Polygon:
        """The floor in front of it from one depth to another [m]."""
        corners = ((self.low, near), (self.high, near), (self.high, far), (self.low, far))
        return Polygon([self.stretch.point(at, out) for at, out in corners])

    def cabinet(self, settings: Settings) -> Polygon:
        """The floor on which its cabinet stands."""
        return self.front(0.0, settings.manifold.cabinet_depth_m)

    def distance_m(self, _middle: tuple[float, float]) -> float:
        """It stands where it stands."""
        return 0.0

    def sites(self, grid: LaneGrid, count: int, settings: Settings) -> list[Site]:
        """The manifold with free ports for `count` new circuits or more: those left in it, else it grows."""
        along, half = self.stretch.along, grid.step / 2
        free = {n: grid.point(n)[along] for n in self._free_nodes(grid, settings)}
        inside = [n for n, at in free.items() if self.low < at < self.high]
        beyond = [n for n in free if n not in inside]
        chosen = sorted([*inside, *beyond[: max(0, count - len(inside))]], key=lambda n: free[n])
        if len(chosen) < count or len(self.taken) + count > settings.manifold.most_ports:
            return []
        low, high = min(self.low, free[chosen[0]] - half), max(self.high, free[chosen[-1]] + half)
        if not fits(self.stretch, low, high, self.floor, settings):
            return []
        return [
            Site(
                stretch=self.stretch,
                nodes=tuple(chosen),
                direction=DIRECTIONS.index(self.stretch.normal),
                low=low,
                high=high,
                station_first=self.station_first,
                place=self.name,
            )
        ]

    def _free_nodes(self, grid: LaneGrid, settings: Settings) -> list[int]:
        """Nodes for further ports, the nearest to the mixing station first, as far as there is wall."""
        direction = DIRECTIONS.index(self.stretch.normal)
        along, half = self.stretch.along, grid.step / 2
        station = settings.manifold.mixing_station_m - ALIGN_M
        low = self.low + station if self.station_first else self.stretch.low
        high = self.stretch.high if self.station_first else self.high - station
        for row in port_rows(self.stretch, grid, direction):
            nodes = row_nodes(grid, self.stretch, row, low + half, high - half)
            at = {n: grid.point(n)[along] for n in nodes[open_ahead(grid, nodes, direction, AHEAD_NODES)].tolist()}
            apart = [n for n in at if all(abs(at[n] - t) > grid.step - ALIGN_M for t in self.taken)]
            if apart:
                return sorted(apart, key=lambda n: at[n] if self.station_first else -at[n])
        return []


def fits(stretch: WallStretch, low: float, high: float, floor: Area, settings: Settings) -> bool:
    """Whether a manifold has free wall behind and free floor in front."""
    if low < stretch.low - BEYOND_M or high > stretch.high + BEYOND_M:
        return False
    depth = settings.manifold.service_depth_m
    corners = [stretch.point(at, out) for at, out in ((low, 0.0), (high, 0.0), (high, depth), (low, depth))]
    return bool(floor.buffer(SERVICE_SLACK_M).covers(Polygon(corners)))


def kept_places(pipes: Sequence[KeptPipe], level: Level, settings: Settings) -> dict[str, KeptPlace]:
    """Manifolds that stay, by the label of each pipe on them; pipes without a wall behind their ports are left out."""
    stretches = wall_stretches(level, settings)
    groups: dict[tuple[object, ...], list[tuple[KeptPipe, WallStretch]]] = {}
    for pipe in pipes:
        stretch = _behind(pipe, stretches)
        if stretch is not None:
            groups.setdefault((pipe.manifold, stretch), []).append((pipe, stretch))
    found: dict[str, KeptPlace] = {}
    for mine in groups.values():
        place = _place([p for p, _ in mine], mine[0][1], level, settings)
        if place is not None:
            found |= {pipe.label: place for pipe, _ in mine}
    return found


def _behind(pipe: KeptPipe, stretches: Sequence[WallStretch]) -> WallStretch | None:
    """The stretch of wall at which a pipe's ports stand."""
    ends = (pipe.axis.start, pipe.axis.end)
    near = [s for s in stretches if all(_at_stretch(end, s) for end in ends)]
    if pipe.manifold is not None:
        kept = pipe.manifold
        near = [s for s in near if s.normal == kept.normal and abs(s.at - kept.position[1 - s.along]) < ON_FACE_M]
    return min(near, key=lambda s: abs(s.at - ends[0][1 - s.along]), default=None)


def _at_stretch(point: Point, stretch: WallStretch) -> bool:
    out = (point[1 - stretch.along] - stretch.at) * sum(stretch.normal)
    return 0.0 < out < MOST_PORT_OUT_M and stretch.low <= point[stretch.along] <= stretch.high


def _place(pipes: Sequence[KeptPipe], stretch: WallStretch, level: Level, settings: Settings) -> KeptPlace | None:
    """The manifold of some pipes on a stretch of wall; None where it does not fit there."""
    along, floor = stretch.along, level.floors.get(stretch.room)
    taken = tuple(sorted((p.axis.start[along] + p.axis.end[along]) / 2 for p in pipes))
    if floor is None:
        return None
    manifold = pipes[0].manifold
    choices = [manifold] if manifold is not None else _new_manifolds(taken, stretch, settings)
    for choice in choices:
        low, high = (choice.position[along] + sign * choice.width_m / 2 for sign in (-1, 1))
        if fits(stretch, low, high, floor, settings):
            name = choice.place or f"{choice.name or 'drawn'} at {low:.2f}"
            return KeptPlace(name=name, manifold=choice, stretch=stretch, low=low, high=high, taken=taken, floor=floor)
    return None


def _new_manifolds(taken: Sequence[float], stretch: WallStretch, settings: Settings) -> list[KeptManifold]:
    """A manifold round the ports of drawn pipes, with the mixing station on either side."""
    half, station = settings.layout.tail_spacing_m, settings.manifold.mixing_station_m
    right = (-stretch.normal[1], stretch.normal[0])[stretch.along]
    found = []
    for side in (1, -1):
        low = taken[0] - half - (station if side < 0 else 0.0)
        high = taken[-1] + half + (station if side > 0 else 0.0)
        found.append(
            KeptManifold(
                name="",
                place="",
                room=stretch.room,
                position=stretch.point((low + high) / 2, 0.0),
                normal=stretch.normal,
                width_m=high - low,
                station_side="right" if side * right > 0 else "left",
            )
        )
    return found
