"""Manifolds at places that the designer gave: which place serves which territory, and where exactly it stands.

A place takes as many circuits as its wall holds. Territories go to the place that their room is
served from, else to the one from which their tails are cheapest (an assignment with a capacity for
each place); those that no place can take get manifolds of the tool's own choice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from ufh_core.lanes.ground import LaneGround
from ufh_core.lanes.kept_places import KeptPlace
from ufh_core.lanes.siting import UNREACHED, Site, best_sites, candidate_sites, sites_on
from ufh_core.settings.types import Settings
from ufh_core.zones.given_places import GivenPlace, Place
from ufh_core.zones.level_plan import Level
from ufh_core.zones.manifold_sites import WallStretch, wall_stretches
from ufh_core.zones.wishes import Wishes

NOT_ALLOWED = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """One connected part of a level: `rooms` are those of its territories, `maps` their distance maps.

    `known` remembers walls and sites of this ground, which are asked for again and again.
    """

    level: Level
    ground: LaneGround
    rooms: tuple[str, ...]
    maps: NDArray[np.float64]
    settings: Settings
    known: dict[tuple[Any, ...], list[Any]] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Staffed:
    """A manifold's site with the territories (indices) that hang on it."""

    site: Site
    members: tuple[int, ...]


def nearest_m(place: Place, part: Ground) -> float:
    """How near a manifold could stand to a place in one part of a level [m]; infinite where it could not."""
    sites = _sites(place, part, 1)
    return min((place.distance_m(_middle(s)) for s in sites), default=math.inf)


def staffed_sites(places: Sequence[Place], part: Ground, wishes: Wishes, extra: Sequence[int]) -> list[Staffed]:
    """A manifold at each place that serves something, and those of the tool's choice for what is left.

    `extra` are territories that go to manifolds of the tool's choice.
    """
    wanted = [t for t in range(len(part.rooms)) if t not in extra]
    room_for = {p.name: _most_ports(p, part) for p in places}
    able = [p for p in places if room_for[p.name]]
    members = _assigned(able, room_for, part, wishes, wanted)
    taken: list[Staffed] = []
    for place in able:
        if mine := members[place.name]:
            site = _best(place, part, mine, [s.site for s in taken])
            if site is not None:
                taken.append(Staffed(site=replace(site, place=place.name), members=mine))
    served = {t for s in taken for t in s.members}
    left = [t for t in range(len(part.rooms)) if t not in served]
    return [*taken, *_of_own_choice(left, part, [s.site for s in taken])]


def nodes_at(places: Sequence[Place], part: Ground) -> list[int]:
    """Nodes where some places could have one more port."""
    return sorted({node for place in places for site in _sites(place, part, 1) for node in site.nodes})


def _sites(place: Place, part: Ground, count: int) -> list[Site]:
    """Every site for `count` ports at a place."""
    if isinstance(place, KeptPlace):
        return place.sites(part.ground.grid, count, part.settings)
    assert isinstance(place, GivenPlace)
    key = (place, count)
    if key not in part.known:
        grid, level = part.ground.grid, part.level
        near = [s for s in _stretches(part) if place.may_suit(s)]
        found = [site for stretch in near for site in sites_on(stretch, level, grid, count, part.settings)]
        part.known[key] = [s for s in found if place.suits(s.stretch, s.low, s.high)]
    return part.known[key]


def _stretches(part: Ground) -> list[WallStretch]:
    """The stretches of wall of a part, looked for once."""
    if () not in part.known:
        part.known[()] = list(wall_stretches(part.level, part.settings))
    return part.known[()]


def _most_ports(place: Place, part: Ground) -> int:
    """Ports that the wall at a place holds, up to the settings' most."""
    low, high = 0, min(part.settings.manifold.most_ports, len(part.rooms))
    while low < high:
        middle = (low + high + 1) // 2
        if _sites(place, part, middle):
            low = middle
        else:
            high = middle - 1
    return low


def _assigned(
    places: Sequence[Place], room_for: Mapping[str, int], part: Ground, wishes: Wishes, wanted: Sequence[int]
) -> dict[str, tuple[int, ...]]:
    """Territories by place: the cheapest assignment that keeps the designer's word and the walls' lengths."""
    if not places or not wanted:
        return {p.name: () for p in places}
    price = np.column_stack([_prices(place, part, wishes, places) for place in places])[list(wanted)]
    columns = np.repeat(np.arange(len(places)), [room_for[p.name] for p in places])
    spare = np.full((len(wanted), len(wanted)), UNREACHED / 10)
    rows, chosen = linear_sum_assignment(np.hstack([price[:, columns], spare]))
    found: dict[str, list[int]] = {p.name: [] for p in places}
    for row, column in zip(rows, chosen, strict=True):
        if column < len(columns) and price[row, columns[column]] < UNREACHED / 10:
            found[places[columns[column]].name].append(wanted[row])
    return {name: tuple(mine) for name, mine in found.items()}


def _prices(place: Place, part: Ground, wishes: Wishes, places: Sequence[Place]) -> NDArray[np.float64]:
    """What the tails of every territory from a place would cost, `NOT_ALLOWED` where it serves others only."""
    names = {p.name for p in places}
    open_to_all = not place.serves or all(p.serves for p in places)
    asked = [wishes.served_from.get(room, "") for room in part.rooms]
    allowed = np.array([name == place.name if name in names else open_to_all for name in asked])
    cost = part.maps[:, [n for s in _sites(place, part, 1) for n in s.nodes]].min(axis=1)
    return np.where(allowed, np.where(np.isfinite(cost), cost, UNREACHED), NOT_ALLOWED)


def _tails(site: Site, members: Sequence[int], part: Ground) -> float:
    cost = part.maps[list(members), site.middle]
    return float(np.where(np.isfinite(cost), cost, UNREACHED).sum())


def _best(place: Place, part: Ground, members: Sequence[int], taken: Sequence[Site]) -> Site | None:
    """The site for some territories: nearest to what was given, else with the cheapest tails."""
    sites = [s for s in _sites(place, part, len(members)) if all(s.clear_of(t) for t in taken)]
    return min(sites, key=lambda s: (round(place.distance_m(_middle(s)), 3), _tails(s, members, part)), default=None)


def _of_own_choice(left: Sequence[int], part: Ground, taken: Sequence[Site]) -> list[Staffed]:
    """Manifolds for territories that no given place serves."""
    if not left:
        return []
    number = math.ceil(len(left) / part.settings.manifold.most_ports)
    counts = [len(left) // number + (k < len(left) % number) for k in range(number)]
    sites = candidate_sites(part.level, part.ground.grid, max(counts), part.settings)
    sites = [s for s in sites if all(s.clear_of(t) for t in taken)]
    if len(sites) < number:
        return []
    choices = best_sites(sites, part.maps[np.ix_(list(left), [s.middle for s in sites])], counts)
    if not choices:
        return []
    price = np.array([[_tails(s, [t], part) for s in choices[0]] for t in left])
    rows, chosen = linear_sum_assignment(np.repeat(price, counts, axis=1))
    columns = np.repeat(np.arange(number), counts)
    mine = [tuple(left[r] for r, c in zip(rows, chosen, strict=True) if columns[c] == k) for k in range(number)]
    return [Staffed(site=s, members=m) for s, m in zip(choices[0], mine, strict=True) if m]


def _middle(site: Site) -> tuple[float, float]:
    return site.stretch.point((site.low + site.high) / 2, 0.0)
