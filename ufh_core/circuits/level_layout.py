"""All circuits of a level: territories, lanes, fields, joined and checked.

A room whose circuits come out longer than the limit gets one more; rooms with several circuits have
their parts re-cut until the circuits, tails included, are about equally long. Every round is a
whole layout; the best one is kept.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from ufh_core.circuits.field_types import FieldFailure, FieldRequest, FieldResult
from ufh_core.circuits.lane_types import LevelLanes
from ufh_core.circuits.level_lanes import route_lanes
from ufh_core.circuits.numbering import numbered, riser_length
from ufh_core.circuits.siting import Site
from ufh_core.circuits.territory_fields import FieldLayer, Joined, territory_fields
from ufh_core.circuits.types import FailedRoom, LevelLayout
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.territories import Territory, territories
from ufh_core.zones.wishes import NO_WISHES, Wishes

FIRST_FILL = 0.92
MOST_ROUNDS = 6
BALANCE_ROUNDS = 2
ALIKE = 0.08
LEAST_SHARE = 0.3
MOST_TAILS = 0.6  # share of a circuit's limit that tails may take before another manifold is placed
DERIVED_PITCH_M = 0.20
DERIVED_SPACING_M = 0.10
DERIVED_PORTS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Round:
    """One whole layout of a level."""

    parts: tuple[Territory, ...]
    lanes: LevelLanes
    joined: list[Joined]
    failed: list[FailedRoom]
    lengths: dict[str, tuple[float, ...]]

    def badness(self, limit_m: float) -> tuple[int, float, float]:
        """Failed territories, metres over the limit, and how unlike the circuits of one room are."""
        over = sum(max(0.0, length - limit_m) for ls in self.lengths.values() for length in ls)
        unlike = sum(_spread(ls) for ls in self.lengths.values())
        return len(self.failed), over, unlike


def lay_level(
    level: Level,
    pitches: Mapping[str, float],
    settings: Settings,
    first_manifold: int,
    tell: Callable[[str], None],
    least_counts: Mapping[str, int] | None = None,
    wishes: Wishes = NO_WISHES,
) -> LevelLayout:
    """Lay all circuits of a level.

    `pitches` [m] by room; manifolds are numbered on from `first_manifold`; `least_counts` are the
    fewest circuits that a room may have, where its water asks for more than its length does; `wishes` are
    the designer's, of which the number of circuits is only exceeded where a pipe would be too long.
    """
    settings, pitches = _for_level(level, pitches, settings)
    counts = {guid: _first_count(level, guid, pitches[guid], settings) for guid in level.heated}
    counts |= {guid: max(counts[guid], n) for guid, n in (least_counts or {}).items() if guid in counts}
    counts |= {guid: n for guid, n in wishes.circuits.items() if guid in counts}
    layer = FieldLayer()
    limit = settings.pipe.greatest_circuit_length_m
    best: _Round | None = None
    shares: dict[str, tuple[float, ...]] = {}
    grown = balanced = 0
    while True:
        tell(f"{level.storey.name}: {sum(counts.values())} circuits")
        made = _lay_once(level, counts, shares, pitches, settings, layer, best.lanes.sites if best else (), wishes)
        if best is None or made.badness(limit) < best.badness(limit):
            best = made
        longer = [guid for guid, lengths in made.lengths.items() if max(lengths) > limit]
        if longer and grown < MOST_ROUNDS:
            grown += 1
            for guid in longer:
                counts[guid] = len(made.lengths[guid]) + 1
                shares.pop(guid, None)
            best = None
            continue
        if any(_spread(ls) > ALIKE for ls in made.lengths.values()) and balanced < BALANCE_ROUNDS:
            balanced += 1
            shares |= _evened(made)
            continue
        best = _finished(level, best, settings, layer)
        return numbered(level, best.lanes, best.joined, best.failed, settings, first_manifold)


def _for_level(level: Level, pitches: Mapping[str, float], settings: Settings) -> tuple[Settings, dict[str, float]]:
    """Settings and pitches of a level; where its rooms were found from walls, tails are part of the heated floor.

    Nobody knows such rooms' use, so tails are laid half a pitch apart and counted as heating what they cross.
    """
    if not level.rooms_unknown:
        return settings, dict(pitches)
    layout = replace(settings.layout, tail_spacing_m=max(DERIVED_SPACING_M, settings.layout.tail_spacing_m))
    manifold = replace(settings.manifold, most_ports=min(DERIVED_PORTS, settings.manifold.most_ports))
    narrow = {guid: min(pitch, DERIVED_PITCH_M) for guid, pitch in pitches.items()}
    return replace(settings, layout=layout, manifold=manifold), narrow


def _lay_once(
    level: Level,
    counts: dict[str, int],
    shares: dict[str, tuple[float, ...]],
    pitches: Mapping[str, float],
    settings: Settings,
    layer: Callable[[FieldRequest], FieldResult | FieldFailure],
    places: Sequence[Site],
    wishes: Wishes,
) -> _Round:
    parts, lanes = _led(level, counts, shares, pitches, settings, places, wishes)
    joined, failed = territory_fields(level, parts, lanes, settings, layer)
    return _Round(parts=parts, lanes=lanes, joined=joined, failed=failed, lengths=_lengths(joined, settings))


def _finished(level: Level, best: _Round, settings: Settings, layer: FieldLayer) -> _Round:
    """The best round with its fields searched thoroughly, where that breaks nothing."""
    layer.thorough = True
    joined, failed = territory_fields(level, best.parts, best.lanes, settings, layer)
    made = replace(best, joined=joined, failed=failed, lengths=_lengths(joined, settings))
    limit = settings.pipe.greatest_circuit_length_m
    return made if made.badness(limit)[:2] <= best.badness(limit)[:2] else best


def _led(
    level: Level,
    counts: dict[str, int],
    shares: dict[str, tuple[float, ...]],
    pitches: Mapping[str, float],
    settings: Settings,
    places: Sequence[Site],
    wishes: Wishes,
) -> tuple[tuple[Territory, ...], LevelLanes]:
    """Territories and lanes; a room whose circuits would plainly be too long gets one more at once.

    Rooms with a number of circuits from the designer keep it here: only true lengths change it.

    Where the tails alone take most of a pipe, no smaller floor helps: the level gets one more manifold.
    """
    limit = settings.pipe.greatest_circuit_length_m - riser_length(settings)
    more = 0
    for _ in range(MOST_ROUNDS):
        parts = territories(level, counts, pitches, settings, shares)
        lanes = route_lanes(level, parts, settings, places, more, wishes)
        longer, far = set(), False
        for lane in lanes.lanes:
            part, tails = parts[lane.territory], 2 * shapely.LineString(lane.corners).length
            if part.axis.area / part.pitch_m + tails > limit:
                longer |= {part.room} - set(wishes.circuits)
                far |= tails > MOST_TAILS * limit
        if not longer:
            break
        more += far
        if far:
            continue
        for guid in longer:
            counts[guid] += 1
            shares.pop(guid, None)
    return parts, lanes


def _first_count(level: Level, guid: str, pitch: float, settings: Settings) -> int:
    """Circuits that a room needs if its tails are short."""
    area = level.floors[guid].area
    limit = settings.pipe.greatest_circuit_length_m * FIRST_FILL
    return max(1, math.ceil(float(area) / pitch / limit))


def _lengths(joined: Sequence[Joined], settings: Settings) -> dict[str, tuple[float, ...]]:
    """Whole lengths [m] of the circuits of every room."""
    found: dict[str, list[float]] = defaultdict(list)
    for one in joined:
        found[one.territory.room].append(one.axis.length_m + riser_length(settings))
    return {guid: tuple(lengths) for guid, lengths in sorted(found.items())}


def _spread(lengths: Sequence[float]) -> float:
    return (max(lengths) - min(lengths)) * len(lengths) / sum(lengths)


def _evened(made: _Round) -> dict[str, tuple[float, ...]]:
    """Shares of floor that would make the circuits of each room alike: what one is longer, it loses as floor."""
    rooms: dict[str, list[Joined]] = defaultdict(list)
    for one in made.joined:
        rooms[one.territory.room].append(one)
    shares = {}
    for guid, mine in sorted(rooms.items()):
        parts = [p for p in made.parts if p.room == guid]
        if len(mine) < 2 or len(mine) != len(parts):
            continue
        by_part = {one.territory.part: one for one in mine}
        mean = sum(one.axis.length_m for one in mine) / len(mine)
        areas = [
            p.floor.area + (mean - by_part[p.part].axis.length_m) * by_part[p.part].pitch_m
            for p in sorted(parts, key=lambda p: p.part)
        ]
        least = LEAST_SHARE * sum(p.floor.area for p in parts) / len(parts)
        shares[guid] = tuple(max(area, least) for area in areas)
    return shares
