"""The field of every territory of a level, joined to its lane and checked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, polygons
from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import PipeAxis, Point, rounded
from ufh_core.circuits.field_layer import joint_key
from ufh_core.circuits.field_scene import FieldScene, field_request
from ufh_core.circuits.joining import STRIP_EDGE_M, approaches, at_threshold, lanes_near, strips, whole_pipe
from ufh_core.circuits.rules import faults_in
from ufh_core.circuits.types import FailedRoom
from ufh_core.fields.choice import Refusal
from ufh_core.fields.pair import run_in
from ufh_core.fields.types import Approach, FieldFailure, FieldRequest, FieldResult, Spare
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.zones.territories import Territory

NEAR_M = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """One circuit before it has its number; `others` are nearly as good ones of other lengths, where these count."""

    lane: Lane
    territory: Territory
    kept: tuple[Point, ...]
    axis: PipeAxis
    heated: Area
    pitch_m: float
    edge: Area
    edge_pitch_m: float
    request: FieldRequest
    result: FieldResult
    refusals: tuple[Refusal, ...] = ()
    others: tuple[Spare[Joined], ...] = ()

    def on(self, lane: Lane, territory: Territory) -> Joined:
        """The same circuit where its lane or its territory is counted otherwise."""
        if lane == self.lane and territory.part == self.territory.part:
            return self
        others = tuple(other.then(lambda one: one.on(lane, territory)) for other in self.others)
        return replace(self, lane=lane, territory=territory, others=others)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Refused:
    """A field that breaks a rule, with the pipe as it would lie, where one was drawn."""

    reason: str
    pipe: PipeAxis | None = None


def territory_fields(
    scene: FieldScene, parts: Sequence[Territory], lanes: LevelLanes
) -> tuple[list[Joined], list[FailedRoom]]:
    """The field of every lane, and the rooms for which there is none."""
    failed = [FailedRoom(room=parts[t].room, reason=why) for t, why in lanes.unreached.items()]
    joined = []
    for lane in lanes.lanes:
        foreign = [other.corners for other in lanes.lanes if other is not lane]
        made = join(scene, parts[lane.territory], lane, foreign)
        if isinstance(made, FailedRoom):
            failed.append(made)
        else:
            joined.append(made)
    return joined, failed


def join(
    scene: FieldScene, territory: Territory, lane: Lane, foreign: Sequence[Sequence[Point]]
) -> Joined | FailedRoom:
    """Try the territory's pitch, then tighter ones, then wider ones. Tails far away do not count."""
    layout = scene.settings.layout
    reach = NEAR_M + 2 * layout.tail_spacing_m + max(layout.pitches_m)  # whatever its pitch
    near = lanes_near(foreign, shapely.union(territory.floor, shapely.LineString(lane.corners)), reach)
    key = joint_key(territory, lane, near)
    if (known := scene.layer.recall(key, lane, territory)) is not None:
        return known
    made = _join(scene, territory, lane, near)
    return scene.layer.remember(key, made) if isinstance(made, Joined) else made


def _join(
    scene: FieldScene, territory: Territory, lane: Lane, foreign: Sequence[Sequence[Point]]
) -> Joined | FailedRoom:
    """The circuit at the first pitch at which a field fits."""
    asked = territory.pitch_m
    pitches = sorted(scene.settings.layout.pitches_m, key=lambda p: (p > asked, abs(p - asked)))
    refusals: list[Refusal] = []
    drawn: list[_Refused] = []
    for pitch in [asked, *(p for p in pitches if p != asked)]:
        made = _join_at(scene, replace(territory, pitch_m=pitch), lane, foreign)
        if isinstance(made, Joined):
            return replace(made, refusals=(*refusals, *made.refusals))
        refusals += _told(made, pitch)
        drawn += [one for one in made if one.pipe is not None]
    if drawn:
        return FailedRoom(room=territory.room, reason=drawn[0].reason, best_attempt=drawn[0].pipe)
    return FailedRoom(room=territory.room, reason=refusals[0].reason if refusals else Message("no pitch to lay it at"))


def _told(refused: Sequence[_Refused], pitch_m: float) -> tuple[Refusal, ...]:
    """Why there is no field at each place, from the end of the tails back."""
    return tuple(Refusal(pitch_m=pitch_m, place=k, reason=one.reason) for k, one in enumerate(refused))


def _join_at(
    scene: FieldScene, territory: Territory, lane: Lane, foreign: Sequence[Sequence[Point]]
) -> Joined | list[_Refused]:
    """The field at one pitch from the first place where one fits, or why there is none at each place."""
    spacing = scene.settings.layout.tail_spacing_m
    refused: list[_Refused] = []
    places = approaches(lane, territory.floor, 2 * spacing)
    if not scene.settings.layout.stud_grid:  # rings follow the walls from the threshold on
        places = [*at_threshold(lane, territory.floor, 2 * spacing), *places]
    for approach, kept in places:
        made = _join_from(scene, territory, lane, foreign, approach, kept)
        if isinstance(made, Joined):
            return replace(made, refusals=_told(refused, territory.pitch_m))
        refused.append(made)
    return refused or [_Refused(reason=Message("no field fits"))]


def _join_from(
    scene: FieldScene,
    territory: Territory,
    lane: Lane,
    foreign: Sequence[Sequence[Point]],
    approach: Approach,
    kept: tuple[Point, ...],
) -> Joined | _Refused:
    """The field that opens at `approach`, or why there is none."""
    request = field_request(scene, territory, approach, kept, foreign)
    if request is None:
        return _Refused(reason=Message("the tails of other circuits take its floor"))
    result = scene.layer(request)
    if isinstance(result, FieldFailure):
        return _Refused(reason=result.reason, pipe=_pipe(scene, kept, result.best) if result.best else None)
    made = _joined(scene, territory, lane, foreign, request, kept, result)
    if isinstance(made, _Refused):
        return made

    def joined(other: FieldResult) -> Joined | None:
        one = _joined(scene, territory, lane, foreign, request, kept, other)
        return one if isinstance(one, Joined) else None

    return replace(made, others=tuple(other.then(joined) for other in result.others))


def _joined(
    scene: FieldScene,
    territory: Territory,
    lane: Lane,
    foreign: Sequence[Sequence[Point]],
    request: FieldRequest,
    kept: tuple[Point, ...],
    result: FieldResult,
) -> Joined | _Refused:
    """Lane and loop as one pipe, or the rule that it breaks."""
    settings, pitch = scene.settings, territory.pitch_m
    axis = _pipe(scene, kept, result.corners)
    if faults := faults_in(axis, scene.free, settings):
        return _Refused(reason=faults[0], pipe=axis)
    warm = heated_floor(result, (*kept[:-1], *run_in(result.corners)), foreign, pitch, scene)
    heated = beside_joints(warm, territory, scene)
    return Joined(
        lane=lane,
        territory=territory,
        kept=kept,
        axis=axis,
        heated=heated,
        pitch_m=pitch,
        edge=areas_only(shapely.intersection(result.edge_floor, heated)),
        edge_pitch_m=request.edge_pitch_m,
        request=request,
        result=result,
    )


def _pipe(scene: FieldScene, kept: Sequence[Point], loop: Sequence[Point]) -> PipeAxis:
    """Lane and loop as one rounded pipe."""
    corners = whole_pipe(kept, scene.settings.layout.tail_spacing_m, loop)
    return rounded(corners, scene.settings.pipe.least_bend_radius_m)


def heated_floor(
    result: FieldResult, own: Sequence[Point], foreign: Sequence[Sequence[Point]], pitch: float, scene: FieldScene
) -> Area:
    """The heated floor less the strips of tails and the place where the own pair opens out to the pitch.

    Where the rooms are unknown, the own tails count as heating their strip.
    """
    spacing = scene.settings.layout.tail_spacing_m
    half = spacing / 2 + STRIP_EDGE_M
    beside = shapely.LineString(result.corners).buffer(STRIP_EDGE_M, cap_style="flat", join_style="mitre")
    if not scene.level.ground.covers(beside):
        beside = areas_only(shapely.intersection(beside, scene.level.ground))
    warm = shapely.union(result.heated, beside)
    warm = shapely.difference(warm, scene.level.laid.buffer(STRIP_EDGE_M))
    if scene.level.rooms_unknown:
        with_tails = shapely.intersection(unary_union([warm, strips([own], half)]), scene.level.ground)
        return areas_only(shapely.difference(with_tails, strips(foreign, half)))
    opening = _square(own[-2], own[-1], max(0.0, pitch / 2 - spacing / 2) + 1e-3)
    return areas_only(shapely.difference(warm, unary_union([strips([*foreign, own], half), opening])))


def beside_joints(warm: Area, territory: Territory, scene: FieldScene) -> Area:
    """The part of a heated floor on its territory's side of the movement joints; tails beyond them are no field."""
    if scene.level.joints.is_empty or scene.level.rooms_unknown:
        return warm
    middle = territory.floor.representative_point()
    island = next((p for p in polygons(scene.level.floors[territory.room]) if p.contains(middle)), territory.floor)
    return areas_only(shapely.intersection(warm, island))


def _square(before: Point, middle: Point, half: float) -> Polygon:
    """A square round `middle` that lies along the way from `before`."""
    way = math.dist(before, middle)
    x, y = ((m - b) / way * half for b, m in zip(before, middle, strict=True))
    ends = [(middle[0] - x, middle[1] - y), (middle[0] + x, middle[1] + y)]
    return shapely.LineString(ends).buffer(half, cap_style="flat")
