"""All circuits of a level: territories, lanes, fields, joined and checked.

A room whose circuits come out longer than the limit gets one more. In rooms with several circuits the
floors are shared out so that the circuits, tails included, are about equally long: before the lanes are
led for good by what floor and tails foretell, and afterwards room by room with the true lengths
(`even_lengths.py`). Every round is a whole layout; the best one is kept.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shapely.geometry import Polygon

from ufh_core.basis.areas import Area
from ufh_core.circuits.even_lengths import Evener, corrected
from ufh_core.circuits.field_layer import FieldLayer
from ufh_core.circuits.field_scene import FieldScene, field_scene
from ufh_core.circuits.foretelling import better_reached, better_shared, counts_needed, reaches
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_round import Round, laid_rooms, lengths_of, shortened, with_rooms
from ufh_core.circuits.numbering import numbered, riser_length
from ufh_core.circuits.second_ends import fields_and_lanes
from ufh_core.circuits.territory_fields import territory_fields
from ufh_core.circuits.types import LevelLayout
from ufh_core.circuits.wedges import cold_wedges, wedge_territories, with_wedges
from ufh_core.lanes.level import lanes_on
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.types import Earlier, LevelLanes
from ufh_core.zones.divisions import Division
from ufh_core.zones.level_plan import axis_area
from ufh_core.zones.territories import DividedRooms, Territory, first_division

NOTHING: Mapping[str, Sequence[Polygon]] = {}
FIRST_FILL = 0.92
MOST_ROUNDS = 6
BALANCE_ROUNDS = 1
FORETOLD_ROUNDS = 2
WEDGE_ROUNDS = 2
DERIVED_PITCH_M = 0.20
DERIVED_SPACING_M = 0.10
DERIVED_PORTS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Work:
    """What all rounds of a level have in common; pipes may run `everywhere`.

    Rooms with a number of circuits from the designer keep it: only true lengths change it.
    """

    brief: LevelBrief
    scene: FieldScene
    ground: LevelGround
    rooms: DividedRooms
    everywhere: Area


def lay_level(asked: LevelBrief) -> LevelLayout:
    """Lay all circuits of a level."""
    brief = for_level(asked)
    layer = FieldLayer(brief.fields)
    scene = field_scene(brief.level, brief.settings, layer)
    everywhere = axis_area(brief.level, brief.settings)
    work = _Work(
        brief=brief,
        scene=scene,
        ground=LevelGround(brief.level, brief.settings, brief.wishes),
        rooms=DividedRooms(brief.level, brief.pitches, everywhere),
        everywhere=everywhere,
    )
    counts = _first_counts(brief)
    best: Round | None = None
    earlier: Earlier | None = None
    divisions: dict[str, Division] = {}
    grown = balanced = 0
    while True:
        brief.tell(f"{brief.level.storey.name}: {sum(counts.values())} circuits")
        made = _drawn(work, counts, divisions, earlier)
        longer = made.longer_than(brief.limit_m, on_average=True) if grown < MOST_ROUNDS else []
        if not longer:
            made = _evened(work, made)
            longer = made.longer_than(brief.limit_m) if grown < MOST_ROUNDS else []
        if longer:
            grown += 1
            for guid in longer:
                counts[guid] = max(counts[guid], len(made.lengths[guid])) + 1
                divisions.pop(guid, None)
            best, earlier = None, replace(made.led, sites_stay=False)
            continue
        if best is None or made.badness(brief.limit_m) < best.badness(brief.limit_m):
            best = made
        if made.unlike and balanced < BALANCE_ROUNDS and (wished := _wished(work, made)):
            balanced += 1
            divisions |= made.divisions | wished
            earlier = best.led
            continue
        best = _with_cold_wedges(work, best, counts)
        layer.thorough = True
        best = _finished(work, best)
        return numbered(
            brief.level,
            best.lanes,
            best.joined,
            best.failed,
            brief.settings,
            brief.first_manifold,
            brief.wishes.kept_names,
        )


def for_level(brief: LevelBrief) -> LevelBrief:
    """The brief of a level; where its rooms were found from walls, tails are part of the heated floor.

    Nobody knows such rooms' use, so tails are laid half a pitch apart and counted as heating what they cross.
    """
    if not brief.level.rooms_unknown:
        return brief
    settings = brief.settings
    least = settings.layout.tail_spacing_m
    spacing = least if brief.close_tails else max(DERIVED_SPACING_M, least)
    layout = replace(settings.layout, tail_spacing_m=spacing)
    manifold = replace(settings.manifold, most_ports=min(DERIVED_PORTS, settings.manifold.most_ports))
    narrow = {guid: min(pitch, DERIVED_PITCH_M) for guid, pitch in brief.pitches.items()}
    return replace(brief, settings=replace(settings, layout=layout, manifold=manifold), pitches=narrow)


def _first_counts(brief: LevelBrief) -> dict[str, int]:
    """Circuits of each room: what it needs if its tails are short and its water asks for, or what is wished."""
    found = {}
    for guid in brief.level.heated:
        pipe_m = float(brief.level.floors[guid].area) / brief.pitches[guid]
        needed = max(1, math.ceil(pipe_m / (brief.limit_m * FIRST_FILL)))
        found[guid] = brief.wishes.circuits.get(guid, max(needed, brief.least_counts.get(guid, 1)))
    return found


def _with_cold_wedges(work: _Work, best: Round, counts: dict[str, int]) -> Round:
    """A round with circuits of their own for wedges that none fills, where that warms more floor.

    Where tails led anew bring two circuits of a room into one wedge, that room gets none. A circuit that takes
    another's way to the manifold that the designer wished for it is not worth it, nor one for which lanes to all
    of several manifolds would have to be led anew.
    """
    extra = cold_wedges(work.brief.level, best.parts, best.lanes, work.brief.settings)
    extra = {guid: wedges for guid, wedges in extra.items() if guid not in work.brief.wishes.circuits}
    for _ in range(WEDGE_ROUNDS):
        if not extra:
            break
        made = _drawn(work, dict(counts), best.divisions, replace(best.led, all_stays=True), extra)
        clashing = extra.keys() - made.wedged
        if not clashing:
            made = _evened(work, made)
            return min(best, made, key=lambda r: (_unfollowed(work, r), r.badness(work.brief.limit_m)))
        extra = {guid: wedges for guid, wedges in extra.items() if guid not in clashing}
    return best


def _unfollowed(work: _Work, made: Round) -> int:
    """Circuits that hang on another manifold than the designer wished."""
    asked = work.brief.wishes.served_from
    served = [(made.parts[lane.territory].room, made.lanes.sites[lane.manifold].place) for lane in made.lanes.lanes]
    return sum(room in asked and asked[room] != place for room, place in served)


def _drawn(
    work: _Work,
    counts: dict[str, int],
    divisions: Mapping[str, Division],
    earlier: Earlier | None,
    extra: Mapping[str, Sequence[Polygon]] = NOTHING,
) -> Round:
    """One whole layout, circuits as the first cuts make them; `extra` wedges have circuits of their own."""
    parts, lanes, used = _led(work, counts, divisions, earlier, extra)
    led = Earlier(territories=parts, lanes=lanes, sites_stay=True)
    parts, wedged = with_wedges(work.brief.level, parts, lanes, work.brief.limit_m - riser_length(work.brief.settings))
    lanes, joined, failed = fields_and_lanes(work.scene, work.ground, parts, lanes)
    lengths = lengths_of(joined, work.brief.settings)
    made = Round(
        led=led,
        parts=parts,
        lanes=lanes,
        joined=joined,
        failed=failed,
        lengths=lengths,
        divisions=used,
        wedged=wedged,
    )
    return shortened(made, work.brief.limit_m, work.brief.settings)


def _evened(work: _Work, made: Round) -> Round:
    """A layout with its rooms evened out one by one, but those whose circuits are too long on average."""
    hopeless = made.longer_than(work.brief.limit_m, on_average=True)
    better = [
        Evener(room, work.scene, work.everywhere).evened(laid)
        for room, laid in laid_rooms(work.brief.level, made)
        if room.room not in hopeless
    ]
    return with_rooms(made, better, work.brief.settings)


def _finished(work: _Work, best: Round) -> Round:
    """The best round with its fields searched thoroughly, where that breaks nothing and keeps lengths alike."""
    joined, failed = territory_fields(work.scene, best.parts, best.lanes)
    made = replace(best, joined=joined, failed=failed, lengths=lengths_of(joined, work.brief.settings))
    made = shortened(made, work.brief.limit_m, work.brief.settings)
    before = {room.room: laid for room, laid in laid_rooms(work.brief.level, best)}
    now = {room.room: laid for room, laid in laid_rooms(work.brief.level, made)}
    better = [laid for guid, laid in before.items() if guid not in now or laid.cost < now[guid].cost]
    made = with_rooms(made, [*now.values(), *better], work.brief.settings)
    return made if made.badness(work.brief.limit_m)[:2] <= best.badness(work.brief.limit_m)[:2] else best


def _wished(work: _Work, made: Round) -> dict[str, Division]:
    """How unlike rooms should be divided, by the lengths that were laid, where lanes are led anew.

    Rooms that others' tails cross are not worth it: wherever those are led next time decides over their floors.
    """
    found = {}
    for room, laid in laid_rooms(work.brief.level, made):
        if room.room in made.unlike and not room.crossed:
            found[room.room] = corrected(room, laid, work.scene)
    return found


def _led(
    work: _Work,
    counts: dict[str, int],
    divisions: Mapping[str, Division],
    earlier: Earlier | None,
    extra: Mapping[str, Sequence[Polygon]],
) -> tuple[tuple[Territory, ...], LevelLanes, dict[str, Division]]:
    """Territories and lanes; a room whose circuits would plainly be too long gets more at once.

    Where the tails alone would take most of a pipe, no smaller floor helps: there are more manifolds.
    Where floor and tails foretell unequal lengths, the floors are shared out anew and lanes led again.
    """
    level, settings, used, shared = work.brief.level, work.brief.settings, dict(divisions), 0
    stay, all_stays = (earlier.sites_stay, earlier.all_stays) if earlier is not None else (False, False)
    for _ in range(MOST_ROUNDS):
        for guid in sorted(level.heated - used.keys()):
            used[guid] = first_division(level, guid, counts[guid], work.brief.pitches[guid], settings)
        parts = wedge_territories(level, work.rooms.territories(used), extra)
        lanes = lanes_on(work.ground, parts, earlier, reaches(work.brief, parts))
        if needed := counts_needed(work.brief, parts, lanes):
            counts |= needed
            used = {guid: division for guid, division in used.items() if guid not in needed}
        else:
            moved = better_shared(work.scene, parts, lanes, used) if shared < FORETOLD_ROUNDS else {}
            moved |= better_reached(work.brief, parts, lanes, used) if shared == 0 and not divisions else {}
            if not moved:
                break
            shared += 1
            used |= moved
            stay = True
        earlier = Earlier(territories=parts, lanes=lanes, sites_stay=stay, all_stays=all_stays)
    return parts, lanes, used
