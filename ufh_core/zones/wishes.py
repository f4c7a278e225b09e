"""What the designer decided about the layout of a storey, in terms of its rooms, doors and walls."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, joined, note
from ufh_core.building.types import Passage, Room, Storey
from ufh_core.settings.steering import RoomOverride
from ufh_core.zones.floor_answers import FloorAnswer
from ufh_core.zones.given_places import GivenPlace, Place, patterns_without_room
from ufh_core.zones.kept_pipes import KeptPipe
from ufh_core.zones.selection import Selection, matches


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """The designer's answers for the layout, by room (GlobalId).

    `circuits` is the number of circuits, `entries` the passages (GlobalIds) by one of which its pipes
    come in, `served_from` the name of the place of its manifold, `shares_with` the neighbour on whose circuit
    it goes (a name, a GlobalId, or "none"); `places` are all places for manifolds,
    `kept` the pipes that stay as they lie, `kept_places` their manifolds, `kept_names` the names of all manifolds
    that stay on any storey, `areas` what became of floor left out and taken in.
    """

    circuits: Mapping[str, int] = field(default_factory=dict)
    entries: Mapping[str, frozenset[str]] = field(default_factory=dict)
    served_from: Mapping[str, str] = field(default_factory=dict)
    shares_with: Mapping[str, str] = field(default_factory=dict)
    places: tuple[GivenPlace, ...] = ()
    kept: tuple[KeptPipe, ...] = ()
    kept_places: tuple[Place, ...] = ()
    kept_names: frozenset[str] = frozenset()
    areas: Mapping[str, tuple[FloorAnswer, ...]] = field(default_factory=dict)

    def without(self, rooms: Collection[str]) -> Wishes:
        """The wishes less those for some rooms."""
        return replace(
            self,
            circuits={guid: n for guid, n in self.circuits.items() if guid not in rooms},
            entries={guid: ways for guid, ways in self.entries.items() if guid not in rooms},
            served_from={guid: name for guid, name in self.served_from.items() if guid not in rooms},
        )

    def with_all_ways_open(self) -> Wishes:
        """The wishes without those for the ways by which pipes come in."""
        return replace(self, entries={})

    def closed(self, passages: Sequence[Passage]) -> frozenset[str]:
        """Passages that no tails may use, so that pipes come into each room where they should."""
        return frozenset(
            p.ifc_guid
            for p in passages
            for room, ways in self.entries.items()
            if room in p.rooms and p.ifc_guid not in ways
        )


NO_WISHES = Wishes()


def wishes_of(
    storey: Storey,
    selection: Mapping[str, Selection],
    places: Sequence[GivenPlace] = (),
    kept: Sequence[KeptPipe] = (),
) -> tuple[Wishes, tuple[Finding, ...]]:
    """What the designer decided about the heated rooms of a storey, and what of it names nothing there."""
    heated = [r for r in storey.rooms if selection[r.ifc_guid].heat]
    told = [(r, override) for r in heated if (override := selection[r.ifc_guid].override) is not None]
    entries = {r.ifc_guid: ways for r, o in told if (ways := _entry(r, o, storey))}
    wishes = Wishes(
        circuits={r.ifc_guid: o.circuits for r, o in told if o.circuits is not None},
        entries=entries,
        served_from={r.ifc_guid: name for r in heated if (name := _place_of(r, selection[r.ifc_guid], places))},
        shares_with={r.ifc_guid: o.shares_with for r, o in told if o.shares_with is not None},
        places=tuple(places),
        kept=tuple(kept),
    )
    findings = [_no_entry(r, o, storey) for r, o in told if o.entry is not None and r.ifc_guid not in entries]
    return wishes, (
        *findings,
        *(_no_room(place, words) for place, words in patterns_without_room(places, storey.rooms)),
    )


def _place_of(room: Room, selection: Selection, places: Sequence[GivenPlace]) -> str:
    """Name of the place from which a room is served; "" for whichever is nearest."""
    if selection.override is not None and selection.override.manifold is not None:
        return selection.override.manifold
    return next((p.name for p in places if any(matches(pattern, room) for pattern in p.serves)), "")


def _entry(room: Room, override: RoomOverride, storey: Storey) -> frozenset[str]:
    """The passages of a room that its entry names; none where it names nothing."""
    if override.entry is None:
        return frozenset()
    rooms = {r.ifc_guid: r for r in storey.rooms}
    return frozenset(
        p.ifc_guid
        for p in storey.passages
        if room.ifc_guid in p.rooms and (p.ifc_guid == override.entry or _leads_to(p, room, override.entry, rooms))
    )


def _leads_to(passage: Passage, room: Room, entry: str, rooms: Mapping[str, Room]) -> bool:
    return any(matches(entry, rooms[g]) for g in passage.rooms if g != room.ifc_guid and g in rooms)


def _no_entry(room: Room, override: RoomOverride, storey: Storey) -> Finding:
    names = {r.ifc_guid: r.label for r in storey.rooms}
    ways = [
        Message(
            "{way} to {rooms}",
            way=p.ifc_guid,
            rooms=joined((names.get(g, g) for g in p.rooms if g != room.ifc_guid), note(" and ")) or Message("outside"),
        )
        for p in storey.passages
        if room.ifc_guid in p.rooms
    ]
    return Finding(
        code="zones.entry-matches-nothing",
        severity=Severity.WARNING,
        message=(
            Message(
                '{label}: entry "{entry}" is neither a door of the room nor a room behind one; its ways are {ways}',
                label=room.label,
                entry=override.entry,
                ways=joined(ways) or Message("none"),
            )
        ),
        ifc_guids=(room.ifc_guid,),
    )


def _no_room(place: GivenPlace, words: str) -> Finding:
    return Finding(
        code="zones.place-serves-nothing",
        severity=Severity.WARNING,
        message=Message(
            'manifold.places "{name}": no room {words} on its storey',
            name=place.name,
            words=words,
        ),
    )
