"""Circuits that stay as they lie: checked by the rules of any other, and the rest of a level laid round them.

What they take of the floor is taken out of it; their pipes are on the level as pipes already laid, of
which lanes and fields keep clear; their manifolds take further circuits as far as they hold ports. When
the rest is laid, both are put together and checked against each other; what stays keeps its numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import MultiLineString, Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, common, polygons
from ufh_core.basis.message import Message
from ufh_core.circuits.drawn_pipes import drawn_field, own_gap_m
from ufh_core.circuits.kept_merge import Kept, put_together
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.numbering import riser_length
from ufh_core.circuits.rules import faults_in, free_area, pair_faults
from ufh_core.circuits.types import LevelLayout, RefusedPipe
from ufh_core.lanes.kept_places import KeptPlace, kept_places
from ufh_core.settings.types import Settings
from ufh_core.zones.kept_pipes import KeptPipe
from ufh_core.zones.laid_ways import laid_ways
from ufh_core.zones.level_plan import Level

NO_WALL: str = Message("no straight free wall with free floor in front is behind its ports any more")
LEAST_REST_M2 = 1.0  # less floor beside circuits that stay is left as it is
LEAST_REST_WIDE_M = 0.4
LEAST_FIELD_M2 = 5e-3
LEAST_SHARE = 0.5  # of a field that stays must be floor still

Lay = Callable[[LevelBrief], LevelLayout]


def lay_round(brief: LevelBrief, lay: Lay) -> LevelLayout:
    """A level with the circuits that stay (`wishes.kept`); `lay` lays the rest of it.

    Pipes that break a rule are refused with the reason, and their floor is laid anew.
    """
    pipes = [p for p in brief.wishes.kept if any(r.ifc_guid == p.room for r in brief.level.rooms)]
    if not pipes:
        return lay(brief)
    kept, refused = _legal(pipes, _drilled(brief, pipes))
    if not kept:
        return replace(lay(brief), refused=tuple(refused))
    brief = _drilled(brief, [k.pipe for k in kept])
    level, wishes, settings = brief.level, brief.wishes, brief.settings
    number = Counter(k.pipe.room for k in kept)
    places = {k.place.name: k.place for k in kept}
    left = replace(
        wishes,
        circuits={guid: max(1, n - number[guid]) for guid, n in wishes.circuits.items()},
        places=tuple(p for p in wishes.places if p.name not in places),
        kept_places=tuple(places.values()),
    )
    fewer = {guid: max(1, n - number[guid]) for guid, n in brief.least_counts.items()}
    rest = replace(brief, level=_rest(level, kept, settings), least_counts=fewer, wishes=left)
    laid = lay(rest) if rest.level.heated else _nothing(level)
    whole = put_together(laid, level, kept, settings, brief.first_manifold, wishes.kept_names)
    return replace(whole, refused=tuple(refused))


def standing_faults(pipes: Sequence[KeptPipe], brief: LevelBrief) -> dict[str, str]:
    """The first rule that each pipe by itself breaks on the plan of a level, by its label, in words; "" for none."""
    drilled = _drilled(brief, pipes)
    places = kept_places(pipes, drilled.level, drilled.settings)
    free = free_area(drilled.level, drilled.settings)
    return {p.label: _fault(p, drilled, places, free) for p in pipes}


def _drilled(brief: LevelBrief, pipes: Sequence[KeptPipe]) -> LevelBrief:
    """A brief whose level has the ways through walls in which some pipes lie, where sleeves are allowed.

    A pipe that lay in none gets none: where a wall stands across it now, it cannot stay.
    """
    if not brief.settings.layout.wall_sleeves:
        return brief
    ways = laid_ways([p.axis.line() for p in pipes if p.sleeves != 0], brief.level, brief.settings)
    return replace(brief, level=replace(brief.level, sleeve_ways=(*brief.level.sleeve_ways, *ways)))


def _nothing(level: Level) -> LevelLayout:
    return LevelLayout(level=level, manifolds=(), circuits=(), failed=())


def _legal(pipes: Sequence[KeptPipe], brief: LevelBrief) -> tuple[list[Kept], list[RefusedPipe]]:
    """The pipes that can stay with the floors that they heat, and those that cannot."""
    level, settings = brief.level, brief.settings
    faults = standing_faults(pipes, brief)
    among = pair_faults({p.label: p.axis for p in pipes if not faults[p.label]}, settings)
    faults |= among
    fine = [p for p in pipes if not faults[p.label]]
    places = kept_places(fine, level, settings)
    kept = []
    for pipe in fine:
        pitch = pipe.pitch_m or brief.pitches[pipe.room]
        kept.append(Kept(pipe=pipe, place=places[pipe.label], pitch_m=pitch, fields=_fields(pipe, level, pitch)))
    return kept, [RefusedPipe(label=p.label, room=p.room, reason=faults[p.label]) for p in pipes if faults[p.label]]


def _fault(pipe: KeptPipe, brief: LevelBrief, places: Mapping[str, KeptPlace], free: Area) -> str:
    """The first rule that a pipe breaks on the present plan, whose axes may lie in `free`; in words, "" for none."""
    if pipe.room not in brief.level.heated:
        return Message("its room is not heated")
    if faults := faults_in(pipe.axis, free, brief.settings):
        return faults[0]
    length = pipe.axis.length_m + riser_length(brief.settings)
    if length > brief.limit_m:
        return f"{length:.1f} m of pipe, over {brief.limit_m:g} m"
    if pipe.label not in places:
        return NO_WALL
    return _field_fault(pipe, brief.level, brief.pitches[pipe.room])


def _field_fault(pipe: KeptPipe, level: Level, pitch_m: float) -> str:
    """What is wrong with the floor that a pipe heats, or with the runs of a drawn one; "" for nothing."""
    if not pipe.fields:
        near = own_gap_m(pipe.axis, pitch_m)
        return f"its runs lie {1000 * near:.0f} mm apart, at a pitch of {1000 * pitch_m:.0f} mm" if near else ""
    before = sum(outline.area for _, outline in pipe.fields)
    still = sum(outline.intersection(level.floors[g]).area for g, outline in pipe.fields if g in level.floors)
    return Message("most of the floor that it heated is no floor any more") if still < LEAST_SHARE * before else ""


def _fields(pipe: KeptPipe, level: Level, pitch_m: float) -> tuple[tuple[str, Polygon], ...]:
    """The floors that a pipe heats as far as they are floor; of a drawn pipe what lies within its pitch."""
    fields: Sequence[tuple[str, Area]] = pipe.fields or [(pipe.room, drawn_field(pipe.axis, pitch_m))]
    return tuple(
        (guid, part)
        for guid, outline in fields
        if guid in level.floors
        for part in polygons(shapely.intersection(outline, level.floors[guid]))
        if part.area > LEAST_FIELD_M2
    )


def _rest(level: Level, kept: Sequence[Kept], settings: Settings) -> Level:
    """The level as it is left for new circuits."""
    complete = Counter(k.pipe.room for k in kept)
    done = {k.pipe.room for k in kept if 0 < k.pipe.in_room <= complete[k.pipe.room]}
    cabinets = [k.place.cabinet(settings) for k in kept]
    taken = unary_union([*(f for k in kept for _, f in k.fields), *cabinets])
    touched = {g for k in kept for g, _ in k.fields} - done
    floors: dict[str, Area] = {}
    for guid, floor in level.floors.items():
        if guid in touched:
            floors[guid] = _wide(shapely.difference(floor, taken))
        else:
            floors[guid] = areas_only(shapely.difference(floor, unary_union(cabinets)))
    heated = frozenset(g for g in level.heated if g not in done and not floors[g].is_empty)
    lines = MultiLineString([k.pipe.axis.line() for k in kept])
    return replace(level, floors=floors, heated=heated, laid=lines)


def _wide(area: shapely.Geometry) -> Area:
    """The parts of a floor that are wide and large enough for a circuit."""
    half = LEAST_REST_WIDE_M / 2
    opened = common(area.buffer(-half, join_style="mitre").buffer(half, join_style="mitre"), area)
    return areas_only(unary_union([p for p in polygons(opened) if p.area >= LEAST_REST_M2]))
