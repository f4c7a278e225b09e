"""Branches: a second piece of floor that a finished circuit fills on its way.

A circuit is the walk round a tree-like region, so that a further region can be spliced into it anywhere: a
straight run is cut, a pair of pipes leads from the cut to the floor and opens into a field there. The loop
cannot cross anything if the pair and the field keep clear of all pipes; the finished axis is checked all the
same by the rules of any other (`rules.py`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import LineString, MultiLineString
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, polygons
from ufh_core.basis.pipe_axis import PipeAxis, Point, Straight, rounded
from ufh_core.circuits.branch_places import BranchGround, BranchPlace, branch_places
from ufh_core.circuits.choice_limits import limits_of
from ufh_core.circuits.field_scene import FieldScene, field_request
from ufh_core.circuits.joining import STRIP_EDGE_M, strips
from ufh_core.circuits.numbering import LEAST_FIELD_M2, sleeves_of
from ufh_core.circuits.rules import faults_in, pair_faults
from ufh_core.circuits.territory_fields import beside_joints, heated_floor
from ufh_core.circuits.types import HeatedField, LaidCircuit
from ufh_core.fields.choice import CircuitChoice
from ufh_core.fields.pair import run_in
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult
from ufh_core.zones.level_plan import lane_area
from ufh_core.zones.territories import Territory

MOST_PLACES = 4  # at which a field is laid, the nearest first
PIPE_WORTH_M2 = 0.02  # floor that one more metre of pipe must warm
ENOUGH = 0.85  # share of a floor that a branch warms, at which no better one is sought
LEAST_PIPE = 0.6  # of floor over pitch is the pipe of a branch at least
EQUAL_M2 = 1e-6
GAP_SLACK_M = 1e-3
NEAR_M = 1.0  # pipes farther from a floor are of no account to it


@dataclass(frozen=True, slots=True, kw_only=True)
class Branched:
    """A circuit with its branch, and the floor [m²] that the branch warms."""

    circuit: LaidCircuit
    warmed_m2: float

    @property
    def worth(self) -> float:
        """By which branches are compared [m²]."""
        return self.warmed_m2 - PIPE_WORTH_M2 * self.circuit.axis.length_m

    def fills(self, floor: Area) -> bool:
        """Whether no other branch need be tried for a floor."""
        return self.warmed_m2 >= ENOUGH * float(floor.area)


def branched(
    scene: FieldScene,
    host: LaidCircuit,
    others: Sequence[LaidCircuit],
    territory: Territory,
    pitches: Sequence[float],
    least_m2: float,
) -> Branched | None:
    """The circuit with a branch that fills a territory; None where none is legal or warms at least `least_m2`.

    `others` are all other circuits of the level; `pitches` [m] are tried one by one until a field fits, none wider
    than the circuit's own, by which it is ordered and judged.
    """
    lines = [c.axis.line() for c in others]
    ground = BranchGround(
        lane_area=areas_only(lane_area(scene.level, scene.settings, scene.settings.layout.tail_spacing_m)),
        others=[*lines, *scene.level.laid.geoms],
        settings=scene.settings,
    )
    places = branch_places(host.axis, territory.floor, ground)[:MOST_PLACES]
    laid = pipes_near([*ground.others, host.axis.line()], territory.floor)
    around = replace(scene, level=replace(scene.level, laid=laid))
    spare = scene.settings.pipe.greatest_circuit_length_m - host.length_m
    for pitch in dict.fromkeys(min(p, host.pitch_m) for p in pitches):
        if LEAST_PIPE * territory.floor.area / pitch > spare:
            break
        best: Branched | None = None
        for place in places:
            made = _at(around, host, others, replace(territory, pitch_m=pitch), place)
            if made is not None and made.warmed_m2 >= least_m2 and (best is None or made.worth > best.worth + EQUAL_M2):
                best = made
            if best is not None and best.fills(territory.floor):
                break
        if best is not None:
            return best
    return None


def _at(
    scene: FieldScene, host: LaidCircuit, others: Sequence[LaidCircuit], territory: Territory, place: BranchPlace
) -> Branched | None:
    """The circuit with its branch at one place; None where that is not legal."""
    kept = (place.middle, place.approach.at)
    request = field_request(scene, territory, place.approach, kept, ())
    result = scene.layer(request) if request else None
    if request is None or result is None or isinstance(result, FieldFailure):
        return None
    axis = spliced(host.axis, place, result.corners, scene.settings.pipe.least_bend_radius_m)
    if _faults(scene, axis, host, others, result):
        return None
    warm = heated_floor(result, (kept[0], *run_in(result.corners)), (), territory.pitch_m, scene)
    taken = unary_union([f.outline for c in (host, *others) for f in c.fields])
    warm = areas_only(shapely.intersection(shapely.difference(warm, taken), scene.level.floors[territory.room]))
    warm = beside_joints(warm, territory, scene)
    fields = _fields(host, territory, request, result, warm)
    opening = shapely.Point(place.middle).buffer(host.pitch_m / 2 + GAP_SLACK_M, cap_style="square")
    neck = unary_union([strips([kept], scene.settings.layout.tail_spacing_m / 2 + STRIP_EDGE_M), opening])
    less = host if scene.level.rooms_unknown else _less(host, neck)  # tails warm such rooms, and so do necks
    circuit = _with_branch(scene, less, axis, territory, fields, _choice(territory, request, result))
    return Branched(circuit=circuit, warmed_m2=sum(f.area_m2 for f in fields))


def spliced(axis: PipeAxis, place: BranchPlace, loop: Sequence[Point], radius_m: float) -> PipeAxis:
    """The axis with a pair and a loop put into one of its straights, all corners rounded to `radius_m`."""
    run = axis.pieces[place.piece]
    assert isinstance(run, Straight)
    right_way = math.dist(loop[0], place.leaves) < math.dist(loop[-1], place.leaves)
    turned = list(loop) if right_way else list(loop)[::-1]
    detour = rounded([run.start, place.leaves, *turned, place.returns, run.end], radius_m)
    return PipeAxis((*axis.pieces[: place.piece], *detour.pieces, *axis.pieces[place.piece + 1 :]))


def _faults(
    scene: FieldScene, axis: PipeAxis, host: LaidCircuit, others: Sequence[LaidCircuit], result: FieldResult
) -> bool:
    """Whether the circuit breaks a rule with its branch."""
    settings = scene.settings
    if axis.length_m + host.riser_length_m > settings.pipe.greatest_circuit_length_m or faults_in(
        axis, scene.free, settings
    ):
        return True
    if host.number in pair_faults({**{c.number: c.axis for c in others}, host.number: axis}, settings):
        return True
    loop = rounded(list(result.corners), settings.pipe.least_bend_radius_m).line()
    return float(loop.distance(scene.level.laid)) < settings.layout.tail_spacing_m - GAP_SLACK_M


def _fields(
    host: LaidCircuit, territory: Territory, request: FieldRequest, result: FieldResult, warm: Area
) -> tuple[HeatedField, ...]:
    """The fields of a branch: its floor, and its edge zone where it has one."""
    edge = areas_only(shapely.intersection(result.edge_floor, warm))
    inner = warm if edge.is_empty else areas_only(shapely.difference(warm, edge))
    found = [(p, False, territory.pitch_m) for p in polygons(inner)] + [
        (p, True, request.edge_pitch_m) for p in polygons(edge)
    ]
    return tuple(
        HeatedField(
            room=territory.room,
            circuit=host.number,
            outline=outline,
            edge=is_edge,
            pitch_m=None if abs(pitch - host.pitch_m) < GAP_SLACK_M else pitch,
        )
        for outline, is_edge, pitch in found
        if outline.area > LEAST_FIELD_M2
    )


def _less(host: LaidCircuit, neck: Area) -> LaidCircuit:
    """The circuit without the floor that the neck of its branch takes of its fields."""
    fields = tuple(
        replace(field, outline=part)
        for field in host.fields
        for part in polygons(areas_only(shapely.difference(field.outline, neck)))
        if part.area > LEAST_FIELD_M2
    )
    return replace(host, fields=fields)


def _choice(territory: Territory, request: FieldRequest, result: FieldResult) -> CircuitChoice:
    """How the field of a branch was chosen."""
    return CircuitChoice(
        asked_pitch_m=territory.pitch_m,
        drawn=result.drawn,
        candidates=result.candidates,
        refusals=(),
        limits=limits_of(territory, request, result),
    )


def _with_branch(
    scene: FieldScene,
    host: LaidCircuit,
    axis: PipeAxis,
    territory: Territory,
    fields: tuple[HeatedField, ...],
    choice: CircuitChoice,
) -> LaidCircuit:
    """The circuit as it is laid with its branch."""
    every = (*host.fields, *fields)
    inside = axis.line().intersection(unary_union([f.outline for f in every])).length
    return replace(
        host,
        rooms=tuple(dict.fromkeys((*host.rooms, territory.room))),
        axis=axis,
        fields=every,
        tail_length_m=axis.length_m - inside,
        sleeves=sleeves_of(axis, scene.level),
        branch_choices=(*host.branch_choices, (territory.room, choice)),
    )


def pipes_near(lines: Sequence[LineString], floor: Area) -> MultiLineString:
    """The parts of pipes that are of account to a floor."""
    west, south, east, north = floor.bounds
    reach = (west - NEAR_M, south - NEAR_M, east + NEAR_M, north + NEAR_M)
    parts = shapely.get_parts(shapely.clip_by_rect(list(lines), *reach)).tolist()
    return MultiLineString([part for part in parts if isinstance(part, LineString)])
