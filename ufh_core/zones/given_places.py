"""Places for manifolds as the designer gave them, found in the building, and whether a wall suits them."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely
from shapely.geometry import LineString, Point

from ufh_core.basis.areas import Area
from ufh_core.basis.errors import SettingsError
from ufh_core.basis.message import Message
from ufh_core.building.types import Building, Room, Storey
from ufh_core.settings.room_choices import PLACES_SET
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.manifold_sites import WallStretch, service_rows, wall_stretches
from ufh_core.zones.model_choices import with_model_choices
from ufh_core.zones.selection import Selection, matches

SNAP_M = 1.5  # a manifold stands at most this far from the point or element given for it
SLACK_M = 1e-3
ON_WALL_M = 0.06  # a stretch of a room's edge this near to a wall is that wall's


class Place(Protocol):
    """Where a manifold may stand that is not of the tool's choice."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def serves(self) -> tuple[str, ...]:
        """Patterns of the rooms that it serves, none for all."""

    def distance_m(self, middle: tuple[float, float]) -> float:
        """How far a manifold's middle on the wall is from what was given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenPlace:
    """A place on one storey: in a room (GlobalId), or within `reach_m` of `target` [m, local frame].

    `serves` are patterns of rooms; `words` name the place for people.
    """

    name: str
    words: str
    room: str | None = None
    target: shapely.Geometry | None = None
    reach_m: float = SNAP_M
    serves: tuple[str, ...] = ()

    @property
    def exact(self) -> bool:
        """Whether the nearest wall is wanted, not the best one."""
        return self.target is not None and self.reach_m > ON_WALL_M

    def suits(self, stretch: WallStretch, low: float, high: float) -> bool:
        """Whether a piece of wall from `low` to `high` along a stretch [m] is at the place."""
        if self.target is None:
            return stretch.room == self.room
        back = LineString([stretch.point(low, 0.0), stretch.point(high, 0.0)])
        if self.exact:
            return bool(back.distance(self.target) <= self.reach_m)
        return bool(back.difference(self.target.buffer(self.reach_m)).length < 0.05)

    def may_suit(self, stretch: WallStretch) -> bool:
        """Whether any piece of a stretch could be at the place: none of it is nearer than the whole."""
        if self.target is None:
            return stretch.room == self.room
        back = LineString([stretch.point(stretch.low, 0.0), stretch.point(stretch.high, 0.0)])
        return (self.room is None or stretch.room == self.room) and bool(
            back.distance(self.target) <= self.reach_m + SLACK_M
        )

    def distance_m(self, middle: tuple[float, float]) -> float:
        """How far a manifold's middle on the wall is from what was given; 0 for a room or a wall."""
        return float(self.target.distance(Point(middle))) if self.target is not None and self.exact else 0.0


def given_places(
    building: Building, selection: Mapping[str, Selection], settings: Settings
) -> dict[str, tuple[GivenPlace, ...]]:
    """The designer's places by storey (GlobalId), those that the model carries too.

    Raises: SettingsError where a place is nowhere in the model, or on more than one storey.
    """
    found: dict[str, list[GivenPlace]] = {s.ifc_guid: [] for s in building.storeys}
    for place in with_model_choices(building, settings).manifold.places:
        try:
            storey, given = _only(place, _on_storeys(place, building, selection))
        except SettingsError as error:
            raise SettingsError(f"{error}{_whence(place, settings)}") from None
        found[storey.ifc_guid].append(given)
    return {guid: tuple(places) for guid, places in found.items()}


def _on_storeys(
    place: ManifoldPlace, building: Building, selection: Mapping[str, Selection]
) -> list[tuple[Storey, GivenPlace]]:
    """Where a place is, on storeys with rooms to heat."""
    storeys = [s for s in building.storeys if any(selection[r.ifc_guid].heat for r in s.rooms)]
    if place.storey is not None:
        named = [s for s in storeys if s.name == place.storey]
        if not named:
            raise SettingsError(f'{_called(place)}: no storey "{place.storey}" with rooms to heat; {_list_of(storeys)}')
        storeys = named
    return [(s, g) for s in storeys for g in _on(place, s, building)]


def _on(place: ManifoldPlace, storey: Storey, building: Building) -> list[GivenPlace]:
    """The place on one storey, once for each thing that it names there."""
    serves = place.serves or ()
    if place.room is not None:
        rooms = [r for r in storey.rooms if matches(place.room, r)]
        return [GivenPlace(name=place.name, words=f"room {r.label}", room=r.ifc_guid, serves=serves) for r in rooms]
    if place.at is not None:
        point = Point(building.frame.to_local(np.array([place.at], dtype=float))[0])
        near = any(r.outline.distance(point) <= SNAP_M for r in storey.rooms if not r.external)
        words = f"at [{place.at[0]:g}, {place.at[1]:g}]"
        return [GivenPlace(name=place.name, words=words, target=point, serves=serves)] if near else []
    outline, words = _thing(place, storey)
    reach = ON_WALL_M if place.wall is not None else SNAP_M
    if outline is None:
        return []
    return [GivenPlace(name=place.name, words=words, target=outline, reach_m=reach, serves=serves)]


def _thing(place: ManifoldPlace, storey: Storey) -> tuple[Area | None, str]:
    """Outline of the wall or element that a place names, and words for it."""
    if place.wall is not None:
        return next((w.outline for w in storey.walls if w.ifc_guid == place.wall), None), f"wall {place.wall}"
    for some in (storey.obstacles, storey.columns, storey.openings, storey.walls):
        for thing in some:
            if thing.ifc_guid == place.element:
                return thing.outline, f"element {place.element} {thing.name}".strip()
    return None, ""


def _only(place: ManifoldPlace, found: Sequence[tuple[Storey, GivenPlace]]) -> tuple[Storey, GivenPlace]:
    if not found:
        raise SettingsError(f"{_called(place)}: {_nowhere(place)}")
    if len(found) == 1:
        return found[0]
    storeys = dict.fromkeys(storey.name for storey, _ in found)
    if len(storeys) == 1:
        names = ", ".join(given.words for _, given in found[:4])
        raise SettingsError(f'{_called(place)}: "{place.room}" is more than one room ({names}); give its GlobalId')
    listed = ", ".join(f'"{name}"' for name in storeys)
    raise SettingsError(f"{_called(place)}: it is on the storeys {listed}; say which with storey")


def _nowhere(place: ManifoldPlace) -> str:
    if place.at is not None:
        return f"no room within {SNAP_M:g} m of [{place.at[0]:g}, {place.at[1]:g}]; give model coordinates in metres"
    if place.room is not None:
        return f'no room "{place.room}" on a storey with rooms to heat; `warmloom inspect` lists the rooms'
    what, guid = ("wall", place.wall) if place.wall is not None else ("element that stands on a floor", place.element)
    return f'no {what} with the GlobalId "{guid}" on a storey with rooms to heat'


def _whence(place: ManifoldPlace, settings: Settings) -> str:
    """Where a place that is not of the settings comes from, and what to do about it."""
    if place in settings.manifold.places:
        return ""
    return (
        f"; it comes from {PLACES_SET} in the model: give a place of that name in the settings, "
        "or rooms.model_choices = false there"
    )


def _called(place: ManifoldPlace) -> str:
    return f'manifold.places "{place.name}"'


def _list_of(storeys: Iterable[Storey]) -> str:
    return "storeys: " + ", ".join(f'"{s.name}"' for s in storeys)


def unsuited(place: GivenPlace, levels: Sequence[Level], settings: Settings) -> str:
    """Why no manifold can stand at a place, and what it would need, in words."""
    manifold = settings.manifold
    least = manifold.port_spacing_m + manifold.mixing_station_m
    need = Message(
        "a manifold takes {least:.2f} m of straight free wall with one circuit and "
        "{port_spacing:.2f} m more for each other, with {service_depth:.2f} m of free floor in "
        "front",
        least=least,
        port_spacing=manifold.port_spacing_m,
        service_depth=manifold.service_depth_m,
    )
    stretches = [(level, s) for level in levels for s in wall_stretches(level, settings)]
    spans = [
        high - low
        for level, stretch in stretches
        for low, high in service_rows(level, stretch, manifold.service_depth_m)
        if place.suits(stretch, low, high)
    ]
    if spans and max(spans) >= least:
        return Message("no circuit is nearest to it or has a way from it")
    if not spans:
        return Message("no wall there is free of doors, windows and units; {need}", need=need)
    return Message("the longest free wall there has {longest:.2f} m; {need}", longest=max(spans), need=need)


def patterns_without_room(places: Iterable[GivenPlace], rooms: Sequence[Room]) -> list[tuple[GivenPlace, str]]:
    """Patterns of rooms to serve that match none, with a hint."""
    missing = []
    for place in places:
        for pattern in place.serves:
            if not any(matches(pattern, room) for room in rooms):
                missing.append((place, f'"{pattern}"{_near(pattern, rooms, lambda r: r.label)}'))
    return missing


def _near(word: str, rooms: Sequence[Room], label: Callable[[Room], str]) -> str:
    close = difflib.get_close_matches(word, [label(r) for r in rooms], n=1, cutoff=0.5)
    return f'; the nearest is "{close[0]}"' if close else ""
