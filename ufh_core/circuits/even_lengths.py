"""Circuits of one room made equally long, tails included, by shifting the cuts between their floors.

Before fields are laid, lengths are foretold from floor, pitch and tails. Afterwards the room alone is
laid again with its lanes as they are: each circuit's true length says how much pipe a square metre of
its floor takes, which gives the next cuts (a fixed-point iteration). At last single cuts are shifted
by a stud or two (coordinate search). Every step has a limit, and the best division found is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import shapely
from shapely.geometry import LineString

from ufh_core.basis.areas import Area, areas_only
from ufh_core.basis.pipe_axis import Arc
from ufh_core.basis.pipe_axis import Point as Place
from ufh_core.circuits.field_scene import FieldScene
from ufh_core.circuits.joining import strips
from ufh_core.circuits.numbering import riser_length
from ufh_core.circuits.territory_fields import Joined, join
from ufh_core.lanes.ends import ended_in
from ufh_core.lanes.types import Lane
from ufh_core.zones.divisions import Division, cuts_of, leaves, recut, ruler_for, with_cuts
from ufh_core.zones.territories import Territory, room_territories

ALIKE = 0.03  # circuits of one room within this share of their mean are taken as equally long
ENOUGH = 0.02  # the search goes on to this, for the last search of fields changes lengths a little
LEAST_SHARE = 0.3  # of the mean part that a part keeps at least
STEPS = 5
PICKS = 2  # sets of loops worked out, of those that should make a room's circuits alike
SHIFTS = (1, -1, 2, -2)
MOST_LAID = 16  # fields laid anew in one room
BEND_COST = 0.05  # what a bend a metre costs, against floor left cold
WORTH = 0.03  # share of a room's floor that equal lengths may cost
UNLIKE_COST = 3.0  # what unequal lengths cost, against floor left cold


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLanes:
    """One room with several circuits: its parts with a lane each, and all other lanes of the level."""

    room: str
    floor: Area
    division: Division
    parts: tuple[Territory, ...]
    lanes: tuple[Lane, ...]
    foreign: tuple[tuple[Place, ...], ...]

    @property
    def crossed(self) -> bool:
        """Whether tails of other rooms run over its floor."""
        return any(LineString(corners).intersects(self.floor) for corners in self.foreign)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidRoom:
    """A room as divided and laid; `lanes` and `joined` in the order of the parts."""

    division: Division
    parts: tuple[Territory, ...]
    lanes: tuple[Lane, ...]
    joined: tuple[Joined, ...]
    figures: tuple[Figures, ...]

    @property
    def spread(self) -> float:
        """How unlike the lengths are on one island of floor, as a share of their mean."""
        return island_spread(self.division, [f.length_m for f in self.figures])

    @property
    def heated_m2(self) -> float:
        """Heated floor [m²]."""
        return sum(f.heated_m2 for f in self.figures)

    @property
    def cost(self) -> float:
        """Unequal lengths, floor left cold, and bends."""
        cold = 1 - self.heated_m2 / sum(p.floor.area for p in self.parts)
        bends_per_m = sum(f.bends for f in self.figures) / sum(f.length_m for f in self.figures)
        return UNLIKE_COST * max(0.0, self.spread - ENOUGH) + float(cold) + BEND_COST * bends_per_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What counts of one circuit."""

    length_m: float
    heated_m2: float
    bends: int


def spread(lengths: Sequence[float]) -> float:
    """Longest less shortest, as a share of the mean."""
    return (max(lengths) - min(lengths)) * len(lengths) / sum(lengths)


def island_spread(division: Division, lengths: Sequence[float]) -> float:
    """The greatest spread of an island of floor; no cut shares out floor between two, as on both sides of a joint.

    `lengths` [m] are in the order of the division's parts.
    """
    left = iter(lengths)
    return max((spread(list(islice(left, leaves(tree)))) for tree in division), default=0.0)


def foretold(room: RoomLanes, scene: FieldScene) -> Division:
    """The division that should make circuits alike, by floor, pitch and tails."""
    measured = _measured(room, room.lanes, scene)
    areas = [float(shapely.intersection(measured, p.floor).area) for p in room.parts]
    tails = [2 * LineString(lane.corners).length + riser_length(scene.settings) for lane in room.lanes]
    return _shared_out(room, measured, [1.0] * len(areas), tails, areas, scene)


class Evener:
    """Makes the circuits of one room alike. Remembers the circuits that it laid."""

    def __init__(self, room: RoomLanes, scene: FieldScene, everywhere: Area) -> None:
        self._room, self._scene, self._everywhere = room, scene, everywhere
        self._known: dict[tuple[object, ...], Joined | None] = {}
        self._tried: set[Division] = set()
        self._pitches = {room.parts[0].pitch_m}
        self._least_m2 = 0.0

    def evened(self, laid: LaidRoom) -> LaidRoom:
        """The room with its circuits as much alike as shifted cuts make them."""
        self._tried.add(laid.division)
        self._pitches |= {one.pitch_m for one in laid.joined}
        self._least_m2 = laid.heated_m2 - WORTH * sum(p.floor.area for p in laid.parts)
        best = last = laid
        for _ in range(STEPS):
            wished = corrected(self._room, last, self._scene)
            if best.spread <= ENOUGH or wished in self._tried or len(self._known) > MOST_LAID:
                break
            made = self._lay(wished)
            if made is None:
                break
            last, better = made, self._is_better(made, best)
            best = made if better else best
            if self._room.crossed and not better:
                return best  # what others' tails have cut off, no cut gives back
        return self._searched(best)

    def _searched(self, best: LaidRoom) -> LaidRoom:
        """Coordinate search: single cuts shifted by studs as long as that helps."""
        again = True
        while again and best.spread > ENOUGH:
            again = False
            for division in _shifted(best, self._scene):
                if division in self._tried:
                    continue
                if len(self._known) > MOST_LAID:
                    return best
                made = self._lay(division)
                if made is not None and self._is_better(made, best):
                    best, again = made, True
                    break
        return best

    def _is_better(self, made: LaidRoom, best: LaidRoom) -> bool:
        """Whether a room is better than the best so far; valves can balance lengths, but nothing warms cold floor."""
        return made.cost < best.cost and made.heated_m2 >= self._least_m2

    def _lay(self, division: Division) -> LaidRoom | None:
        """The room laid anew as divided, its lanes as they are; None where a lane or a field does not fit."""
        self._tried.add(division)
        room, level = self._room, self._scene.level
        parts = room_territories(level, room.room, division, room.parts[0].pitch_m, self._everywhere)
        if len(parts) != len(room.parts):
            return None
        spacing = self._scene.settings.layout.tail_spacing_m
        lanes = ended_in(room.lanes, parts, room.floor, room.foreign, 2 * spacing)
        if lanes is None:
            return None
        joined: list[Joined] = []
        for lane, part in zip(lanes, parts, strict=True):
            made = self._join(part, lane, lanes)
            if made is None:
                return None
            joined.append(made)
        return laid_room(division, parts, lanes, joined)

    def _join(self, part: Territory, lane: Lane, lanes: Sequence[Lane]) -> Joined | None:
        others = tuple(x.corners for x in lanes if x is not lane)
        key = (part.part, part.floor.wkb, part.axis.wkb, lane.corners, others)
        if key not in self._known:
            made = join(self._scene, part, lane, [*self._room.foreign, *others])
            fits = isinstance(made, Joined) and made.pitch_m in self._pitches
            self._known[key] = made if isinstance(made, Joined) and fits else None
        return self._known[key]


def laid_room(
    division: Division, parts: tuple[Territory, ...], lanes: tuple[Lane, ...], joined: Sequence[Joined]
) -> LaidRoom:
    """A room with that one of the loops of each circuit which makes lengths most alike for little floor."""

    def laid(circuits: Sequence[Joined]) -> LaidRoom:
        figures = tuple(_figures(one) for one in circuits)
        return LaidRoom(division=division, parts=parts, lanes=lanes, joined=tuple(circuits), figures=figures)

    best = laid(joined)
    if best.spread <= ENOUGH:
        return best
    for foretold_spread, picks in _likely(joined, division)[:PICKS]:
        if foretold_spread >= best.spread:
            break
        circuits = _picked(joined, picks)
        if circuits is not None:
            best = min(best, laid(circuits), key=lambda room: room.cost)
    return best


def _picked(joined: Sequence[Joined], picks: Sequence[int]) -> list[Joined] | None:
    """The circuits with loops of theirs as picked; None where one breaks a rule."""
    found: list[Joined] = []
    for one, k in zip(joined, picks, strict=True):
        made = one.others[k - 1].made() if k else one
        if made is None:
            return None
        found.append(made)
    return found


def _likely(joined: Sequence[Joined], division: Division) -> list[tuple[float, tuple[int, ...]]]:
    """How alike lengths should be with which loop of each circuit (0 the one laid, k the k-th spare), best first."""
    lengths = [[one.axis.length_m + by for by in (0.0, *(o.longer_m for o in one.others))] for one in joined]
    wished = sorted({length for some in lengths for length in some})
    picks = {tuple(_nearest(some, length) for some in lengths) for length in wished} - {(0,) * len(joined)}
    foretold_lengths = {p: [some[k] for some, k in zip(lengths, p, strict=True)] for p in picks}
    return sorted((island_spread(division, longest), p) for p, longest in foretold_lengths.items())


def _nearest(lengths: Sequence[float], wished: float) -> int:
    return min(range(len(lengths)), key=lambda k: abs(lengths[k] - wished))


def _figures(one: Joined) -> Figures:
    bends = sum(isinstance(piece, Arc) for piece in one.axis.pieces)
    return Figures(length_m=one.axis.length_m, heated_m2=float(one.heated.area), bends=bends)


def _shifted(laid: LaidRoom, scene: FieldScene) -> Iterator[Division]:
    """Divisions with one cut shifted."""
    cuts, stud = cuts_of(laid.division), scene.settings.layout.stud_pitch_m
    for by in SHIFTS:
        for k in range(len(cuts)):
            moved = [round(at + by * stud * (j == k), 6) for j, at in enumerate(cuts)]
            yield with_cuts(laid.division, moved)


def corrected(room: RoomLanes, laid: LaidRoom, scene: FieldScene) -> Division:
    """The division that makes lengths alike, if each floor goes on to take as much pipe a square metre."""
    measured = _measured(room, laid.lanes, scene)
    areas = [float(shapely.intersection(measured, p.floor).area) for p in laid.parts]
    tails = [2 * LineString(one.kept).length for one in laid.joined]
    pitch = room.parts[0].pitch_m
    true = [one.axis.length_m - t for one, t in zip(laid.joined, tails, strict=True)]
    ratios = [length * pitch / max(area, 1e-3) for length, area in zip(true, areas, strict=True)]
    return _shared_out(room, measured, ratios, tails, areas, scene, laid.division)


def _shared_out(
    room: RoomLanes,
    measured: Area,
    ratios: Sequence[float],
    tails: Sequence[float],
    areas: Sequence[float],
    scene: FieldScene,
    division: Division | None = None,
) -> Division:
    """Cuts for areas at which `ratios` · area / pitch + tails is the same length in every part of an island."""
    pitch, first, wanted = room.parts[0].pitch_m, 0, []
    for tree in room.division:
        mine = range(first, first := first + leaves(tree))
        per_metre = [pitch / ratios[k] for k in mine]
        total = sum(areas[k] for k in mine)
        length = (total + sum(tails[k] * w for k, w in zip(mine, per_metre, strict=True))) / sum(per_metre)
        least = LEAST_SHARE * total / len(mine)
        wanted += [max(least, (length - tails[k]) * w) for k, w in zip(mine, per_metre, strict=True)]
    ruler = ruler_for(pitch, scene.settings.layout.stud_pitch_m)
    return recut(room.floor, measured, division or room.division, wanted, ruler)


def _measured(room: RoomLanes, lanes: Sequence[Lane], scene: FieldScene) -> Area:
    """The floor that is left for fields."""
    half = scene.settings.layout.tail_spacing_m / 2 + room.parts[0].pitch_m / 2
    taken = strips([*room.foreign, *(lane.corners for lane in lanes)], half)
    return areas_only(shapely.difference(room.floor, taken))
