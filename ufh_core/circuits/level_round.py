"""One whole layout of a level, and its rooms with several circuits taken out of it and put back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import LineString

from ufh_core.circuits.even_lengths import ALIKE, LaidRoom, RoomLanes, laid_room, spread
from ufh_core.circuits.joining import lanes_near
from ufh_core.circuits.numbering import riser_length
from ufh_core.circuits.territory_fields import Joined
from ufh_core.circuits.types import FailedRoom
from ufh_core.lanes.types import Earlier, LevelLanes
from ufh_core.settings.types import Settings
from ufh_core.zones.divisions import Division, leaves
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory

FOREIGN_M = 1.5  # tails farther from a room and its own are of no account to it
UNLIKE_M2 = 20.0  # cold floor that counts as much as circuits of one room twice as long as one another


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One whole layout of a level, and how its lanes were led before fields were laid.

    Circuits of `wedged` rooms fill the pieces that tails leave of their floors.
    """

    led: Earlier
    parts: tuple[Territory, ...]
    lanes: LevelLanes
    joined: list[Joined]
    failed: list[FailedRoom]
    lengths: dict[str, tuple[float, ...]]
    divisions: dict[str, Division]
    wedged: frozenset[str]

    def badness(self, limit_m: float) -> tuple[int, float, float]:
        """Failed territories, metres over the limit, and floor left cold with what unlike circuits count for [m²]."""
        over = sum(max(0.0, length - limit_m) for ls in self.lengths.values() for length in ls)
        unlike = sum(self._spread(guid) - ALIKE for guid in self.unlike)
        return len(self.failed), over, UNLIKE_M2 * unlike - sum(one.heated.area for one in self.joined)

    def longer_than(self, limit_m: float, *, on_average: bool = False) -> list[str]:
        """Rooms with a circuit over a length, or with circuits that could not all be under it."""
        return [guid for guid, ls in self.lengths.items() if (sum(ls) / len(ls) if on_average else max(ls)) > limit_m]

    @property
    def unlike(self) -> list[str]:
        """Rooms whose circuits should be alike and are not; where tails cut a room into wedges they cannot be."""
        return [guid for guid in self.lengths if guid not in self.wedged and self._spread(guid) > ALIKE]

    def _spread(self, guid: str) -> float:
        """How unlike the circuits of a room are on one island of its floor; those for cold wedges count as one more."""
        mine = {one.territory.part: one.axis.length_m for one in self.joined if one.territory.room == guid}
        division = self.divisions[guid]
        first, found = 0, 0.0
        for number in (*map(leaves, division), len(mine)):
            here = [mine[k] for k in range(first, first + number) if k in mine]
            found = max(found, spread(here) if here else 0.0)
            first += number
        return found


def shared_rooms(
    level: Level, parts: Sequence[Territory], lanes: LevelLanes, divisions: Mapping[str, Division]
) -> list[RoomLanes]:
    """Rooms with several circuits, all of which have a lane."""
    by_territory = {lane.territory: lane for lane in lanes.lanes}
    found = []
    for guid, division in sorted(divisions.items()):
        mine = [t for t, part in enumerate(parts) if part.room == guid]
        divided = len(mine) == sum(map(leaves, division)) > 1
        if not divided or any(not parts[t].shared or t not in by_territory for t in mine):
            continue
        own = shapely.union_all([level.floors[guid], *(LineString(by_territory[t].corners) for t in mine)])
        room = RoomLanes(
            room=guid,
            floor=level.floors[guid],
            division=division,
            parts=tuple(parts[t] for t in mine),
            lanes=tuple(by_territory[t] for t in mine),
            foreign=tuple(
                tuple(near)
                for near in lanes_near(
                    [lane.corners for lane in lanes.lanes if lane.territory not in mine], own, FOREIGN_M
                )
            ),
        )
        found.append(room)
    return found


def laid_rooms(level: Level, made: Round) -> list[tuple[RoomLanes, LaidRoom]]:
    """Rooms with several circuits, all of them laid, each circuit with that of its loops which suits the others."""
    by_territory = {one.lane.territory: one for one in made.joined}
    found = []
    for room in shared_rooms(level, made.parts, made.lanes, made.divisions):
        joined = [by_territory[lane.territory] for lane in room.lanes if lane.territory in by_territory]
        if len(joined) == len(room.parts):
            found.append((room, laid_room(room.division, room.parts, room.lanes, joined)))
    return found


def with_rooms(made: Round, rooms: Iterable[LaidRoom], settings: Settings) -> Round:
    """A round with some rooms laid otherwise."""
    parts, lanes = dict(enumerate(made.parts)), {lane.territory: lane for lane in made.lanes.lanes}
    joined = {one.lane.territory: one for one in made.joined}
    divisions = dict(made.divisions)
    for room in rooms:
        for part, lane, one in zip(room.parts, room.lanes, room.joined, strict=True):
            parts[lane.territory], lanes[lane.territory], joined[lane.territory] = part, lane, one
        divisions[room.parts[0].room] = room.division
    order = [lane.territory for lane in made.lanes.lanes]
    laid = [joined[t] for t in order if t in joined]
    return replace(
        made,
        parts=tuple(parts.values()),
        lanes=replace(made.lanes, lanes=tuple(lanes[t] for t in order)),
        joined=laid,
        lengths=lengths_of(laid, settings),
        divisions=divisions,
    )


def shortened(made: Round, limit_m: float, settings: Settings) -> Round:
    """A layout with other loops for circuits that are too long, where some are short enough: no room needs one more."""
    joined = [_short_enough(one, limit_m - riser_length(settings)) for one in made.joined]
    return replace(made, joined=joined, lengths=lengths_of(joined, settings))


def _short_enough(one: Joined, limit_m: float) -> Joined:
    """A circuit, or the best of its spares that is no longer than a limit [m] where it is."""
    over = one.axis.length_m - limit_m
    made = (spare.made() for spare in one.others if over > 0 and spare.longer_m <= -over)
    return next((spare for spare in made if spare is not None and spare.axis.length_m <= limit_m), one)


def lengths_of(joined: Sequence[Joined], settings: Settings) -> dict[str, tuple[float, ...]]:
    """Whole lengths [m] of the circuits of every room."""
    found: dict[str, list[float]] = defaultdict(list)
    for one in joined:
        found[one.territory.room].append(one.axis.length_m + riser_length(settings))
    return {guid: tuple(lengths) for guid, lengths in sorted(found.items())}
