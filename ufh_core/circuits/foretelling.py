"""What lanes foretell of circuits before their fields are laid: too many metres of pipe, floors badly shared out."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

import shapely

from ufh_core.basis.areas import areas_only
from ufh_core.circuits.even_lengths import foretold
from ufh_core.circuits.field_scene import FieldScene
from ufh_core.circuits.joining import lanes_near, strips
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_round import shared_rooms
from ufh_core.circuits.numbering import riser_length
from ufh_core.lanes.types import LevelLanes
from ufh_core.zones.divisions import Division, cuts_of
from ufh_core.zones.territories import Territory, first_division

MOST_TAILS = 0.6  # share of a circuit's limit that tails may take before another manifold is placed
FAR_CUT_M = 0.3  # cuts that shall move further than this ask for lanes led anew
# Pipe that a field takes of the area where its axis may lie over its pitch, for pitches under so much [m]: turns of a
# tight field swing out, runs of a wide one lie at the edge of that area. About the lower quarter of what fields
# of 14 to 50 offices took that `tests/benchmarks/bench_storey.py` draws.
TAKEN = ((0.125, 0.90), (0.175, 0.97), (math.inf, 1.03))


def reaches(brief: LevelBrief, parts: Sequence[Territory]) -> tuple[float, ...]:
    """How long the lane to each territory may be [m]: from there on no smaller floor makes its circuit short enough."""
    limit = _limit(brief)
    return tuple(max(MOST_TAILS * limit, limit - float(part.axis.area) / part.pitch_m) / 2 for part in parts)


def counts_needed(brief: LevelBrief, parts: Sequence[Territory], lanes: LevelLanes) -> dict[str, int]:
    """Numbers of circuits for rooms whose pipe would plainly be too long, even if its circuits were equally long.

    Rooms with a number of circuits from the designer keep it: only true lengths change that.
    """
    fields: dict[str, float] = defaultdict(float)
    tails: dict[str, list[float]] = defaultdict(list)
    for lane in lanes.lanes:
        part = parts[lane.territory]
        tails[part.room].append(2 * lane.length_m)
        fields[part.room] += _field_m(brief, part, [one.corners for one in lanes.lanes if one is not lane])
    found = {}
    for guid, mine in tails.items():
        left = max(_limit(brief) - sum(mine) / len(mine), (1 - MOST_TAILS) * _limit(brief))
        if guid not in brief.wishes.circuits and fields[guid] > len(mine) * left:
            found[guid] = math.ceil(fields[guid] / left)
    return found


def _field_m(brief: LevelBrief, part: Territory, others: Sequence[Sequence[tuple[float, float]]]) -> float:
    """Pipe [m] that a field will take at least, among the tails of others."""
    half = (brief.settings.layout.tail_spacing_m + part.pitch_m) / 2
    axis = areas_only(shapely.difference(part.axis, strips(lanes_near(others, part.axis, half), half)))
    return float(axis.area) / part.pitch_m * next(share for pitch, share in TAKEN if part.pitch_m < pitch)


def _limit(brief: LevelBrief) -> float:
    """Greatest length of a circuit without its risers [m]."""
    return brief.limit_m - riser_length(brief.settings)


def better_shared(
    scene: FieldScene, parts: Sequence[Territory], lanes: LevelLanes, divisions: Mapping[str, Division]
) -> dict[str, Division]:
    """Rooms to be divided otherwise before it is worth while to lay their fields."""
    found = {}
    for room in shared_rooms(scene.level, parts, lanes, divisions):
        better = foretold(room, scene)
        if any(abs(a - b) > FAR_CUT_M for a, b in zip(cuts_of(room.division), cuts_of(better), strict=True)):
            found[room.room] = better
    return found


def better_reached(
    brief: LevelBrief, parts: Sequence[Territory], lanes: LevelLanes, divisions: Mapping[str, Division]
) -> dict[str, Division]:
    """Rooms with a manifold in them that are better divided now that its place is known."""
    found = {}
    for guid, division in sorted(divisions.items()):
        count = sum(part.room == guid for part in parts)
        outline = brief.level.room(guid).outline
        starts = [lane.corners[0] for lane in lanes.lanes if parts[lane.territory].room == guid]
        inside = [at for at in starts if outline.contains(shapely.Point(at))]
        if count < 2 or not inside:
            continue
        better = first_division(brief.level, guid, count, brief.pitches[guid], brief.settings, inside)
        if better != division:
            found[guid] = better
    return found
