"""Which element of the new state is which of the old: by GlobalId, else by place, else by name near by."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Protocol, TypeVar

from shapely.geometry.base import BaseGeometry

from ufh_core.building.types import Building, Storey
from ufh_core.revision.types import RoomPair

SAME_PLACE = 0.5  # share of two outlines' union that they have in common
SAME_LEVEL_M = 1.0
NEAR_M = 2.0  # an element of the same name so near is the same one, moved


class Element(Protocol):
    """What every element of the building has."""

    @property
    def ifc_guid(self) -> str:
        """Its GlobalId."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def outline(self) -> BaseGeometry:
        """Its plan [m]."""


E = TypeVar("E", bound=Element)
Alike = Callable[[E, E], bool]


def pairs_of(olds: Sequence[E], news: Sequence[E], alike: Alike[E]) -> list[tuple[E | None, E | None]]:
    """Every element once, those of both states together; `alike` says of which kind two must be."""
    by_guid = {n.ifc_guid: n for n in news}
    found: list[tuple[E | None, E | None]] = [(o, by_guid[o.ifc_guid]) for o in olds if o.ifc_guid in by_guid]
    rates: tuple[Callable[[E, E], float], ...] = (_overlap, _nearness)
    for rate in rates:
        left, free = _rest(olds, found, 0), _rest(news, found, 1)
        found += _best(left, free, alike, rate)
    found += [(old, None) for old in _rest(olds, found, 0)]
    return found + [(None, new) for new in _rest(news, found, 1)]


def _rest(some: Iterable[E], pairs: Iterable[tuple[E | None, E | None]], side: int) -> list[E]:
    taken = {id(pair[side]) for pair in pairs}
    return [one for one in some if id(one) not in taken]


def _best(olds: Sequence[E], news: Sequence[E], alike: Alike[E], rate: Callable[[E, E], float]) -> list[tuple[E, E]]:
    """Pairs from the best rated on; a rate of 0 is no pair."""
    rated = [(rate(o, n), -i, -j) for i, o in enumerate(olds) for j, n in enumerate(news) if alike(o, n)]
    found: list[tuple[E, E]] = []
    taken: set[tuple[int, int]] = set()
    for value, i, j in sorted(rated, reverse=True):
        if value > 0 and (0, i) not in taken and (1, j) not in taken:
            taken |= {(0, i), (1, j)}
            found.append((olds[-i], news[-j]))
    return found


def _overlap(old: E, new: E) -> float:
    if not old.outline.intersects(new.outline):
        return 0.0
    common = float(old.outline.intersection(new.outline).area)
    share = common / max(old.outline.area + new.outline.area - common, 1e-9)
    return share if share >= SAME_PLACE else 0.0


def _nearness(old: E, new: E) -> float:
    if not old.name or old.name != new.name:
        return 0.0
    return max(0.0, NEAR_M - float(old.outline.centroid.distance(new.outline.centroid)))


def storey_pairs(old: Building, new: Building) -> dict[str, str]:
    """GlobalIds of storeys of the new state by those of the old: by GlobalId, by name, by height."""
    found = {s.ifc_guid: s.ifc_guid for s in old.storeys if any(n.ifc_guid == s.ifc_guid for n in new.storeys)}
    rules: tuple[Callable[[Storey, Storey], bool], ...] = (
        lambda o, n: bool(o.name) and o.name == n.name,
        lambda o, n: abs(o.elevation_m - n.elevation_m) < SAME_LEVEL_M,
    )
    for same in rules:
        for storey in old.storeys:
            free = [n for n in new.storeys if n.ifc_guid not in found.values() and same(storey, n)]
            if storey.ifc_guid not in found and free:
                found[storey.ifc_guid] = free[0].ifc_guid
    return found


def room_pairs(old: Building, new: Building, storeys: dict[str, str]) -> tuple[RoomPair, ...]:
    """Every room of both states once."""
    at_old = {r.ifc_guid: storeys.get(s.ifc_guid, s.ifc_guid) for s in old.storeys for r in s.rooms}
    at_new = {r.ifc_guid: s.ifc_guid for s in new.storeys for r in s.rooms}
    olds, news = ([r for s in b.storeys for r in s.rooms] for b in (old, new))
    found = pairs_of(olds, news, lambda o, n: abs(o.floor_m - n.floor_m) < SAME_LEVEL_M)
    return tuple(
        RoomPair(old=o, new=n, storey=at_new[n.ifc_guid] if n else at_old[o.ifc_guid] if o else "") for o, n in found
    )
