"""The field of every territory of a level, joined to its lane and checked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.pipe_axis import PipeAxis, Point, rounded
from ufh_core.building.types import Area
from ufh_core.circuits.field_layer import FieldLayer, joint_key
from ufh_core.circuits.joining import STRIP_EDGE_M, approaches, at_threshold, lanes_near, strips, whole_pipe
from ufh_core.circuits.rules import faults_in, free_area
from ufh_core.circuits.types import FailedRoom
from ufh_core.fields.choice import Refusal
from ufh_core.fields.pair import run_in
from ufh_core.fields.types import NO_AREA, Approach, FieldFailure, FieldRequest, FieldResult, Pattern, Spare
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level, areas_only, pipe_area, polygons
from ufh_core.zones.territories import Territory

FEWEST_M2 = 0.25
NEAR_M = 0.5
ROUND_M = 1.5  # round a floor; farther away its own pair has no business
LAID_APART = 0.8  # of its pitch a field keeps from pipes that lie already


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


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldScene:
    """What all fields of a level have in common: where axes may be laid (`way`), and where they may lie (`free`)."""

    level: Level
    way: Area
    free: Area
    settings: Settings
    layer: FieldLayer


def field_scene(level: Level, settings: Settings, layer: FieldLayer) -> FieldScene:
    """What all fields of a level have in common."""
    free = free_area(level, settings)
    shapely.prepare([free, level.ground])
    return FieldScene(level=level, way=pipe_area(level, settings), free=free, settings=settings, layer=layer)


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
    return FailedRoom(room=territory.room, reason=refusals[0].reason if refusals else "no pitch to lay it at")


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
    return refused or [_Refused(reason="no field fits")]


def _join_from(
    scene: FieldScene,
    territory: Territory,
    lane: Lane,
    foreign: Sequence[Sequence[Point]],
    approach: Approach,
    kept: tuple[Point, ...],
) -> Joined | _Refused:
    """The field that opens at `approach`, or why there is none."""
    request = _request(scene, territory, approach, kept, foreign)
    if request is None:
        return _Refused(reason="the tails of other circuits take its floor")
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
    heated = _heated(result, (*kept[:-1], *run_in(result.corners)), foreign, pitch, scene)
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


def _request(
    scene: FieldScene,
    territory: Territory,
    approach: Approach,
    kept: Sequence[Point],
    foreign: Sequence[Sequence[Point]],
) -> FieldRequest | None:
    settings = scene.settings
    spacing = settings.layout.tail_spacing_m
    way = _round_about(scene.way, territory.floor, approach.at)
    keep = spacing / 2 + max(territory.pitch_m / 2, 2 * spacing)
    near = [f for f in foreign if shapely.LineString(f).distance(territory.floor) < keep]
    axis = areas_only(shapely.difference(territory.axis, strips(near, keep - 1e-4)))
    own = shapely.LineString(kept).buffer(keep - 1e-4, cap_style="flat", join_style="mitre")
    axis = areas_only(shapely.difference(axis, own))
    lane_room = areas_only(shapely.difference(way, strips(near, 1.5 * spacing - 1e-3)))
    laid = scene.level.laid
    if not laid.is_empty:
        axis = areas_only(shapely.difference(axis, laid.buffer(max(LAID_APART * territory.pitch_m, 2 * spacing))))
        lane_room = areas_only(shapely.difference(lane_room, laid.buffer(spacing - 1e-3)))
    reach = shapely.LineString([approach.at, _ahead(approach, 12.0)])
    beam = reach.buffer(spacing + 1e-3, cap_style="flat")
    parts = [p for p in polygons(axis) if p.intersects(beam) and p.area >= FEWEST_M2]
    if not parts:
        return None
    part = min(parts, key=lambda p: shapely.Point(approach.at).distance(p) - 0.3 * math.sqrt(p.area))
    ahead = shapely.intersection(reach.buffer(spacing / 2 + 1e-3, cap_style="flat"), territory.floor)
    part = _joined_to(part, shapely.intersection(ahead, lane_room))
    beside = unary_union([strips(near, spacing / 2 + STRIP_EDGE_M), laid.buffer(STRIP_EDGE_M)])
    floor = areas_only(shapely.difference(territory.floor, beside))
    whole = [p for p in polygons(floor) if p.intersects(part)]
    if not whole:
        return None
    laying = scene.level.laying(territory.room)
    whole_floor = max(whole, key=lambda p: p.intersection(part).area)
    edge_pitch = laying.edge_pitch(territory.pitch_m, settings)
    return FieldRequest(
        floor=whole_floor,
        axis_area=part,
        lane_area=unary_union([lane_room, part]),
        approaches=(approach,),
        pitch_m=territory.pitch_m,
        with_others=territory.shared,
        stud_pitch_m=settings.layout.stud_pitch_m,
        least_radius_m=settings.pipe.least_bend_radius_m,
        tail_spacing_m=spacing,
        on_studs=settings.layout.stud_grid,
        pattern=Pattern(laying.pattern),
        cold_walls=tuple(shapely.LineString(w) for w in laying.walls_of(territory.floor)),
        edge_floor=laying.edge_floor(whole_floor) if edge_pitch < territory.pitch_m else NO_AREA,
        edge_depth_m=laying.edge.depth_m if laying.edge else 0.0,
        edge_pitch_m=edge_pitch,
    )


def _round_about(way: Area, floor: Polygon, at: Point) -> Area:
    """The part of where pipes may be laid that a field and its own tails may come to."""
    west, south, east, north = shapely.union(floor, shapely.Point(at)).bounds
    around = shapely.box(west - ROUND_M, south - ROUND_M, east + ROUND_M, north + ROUND_M)
    return areas_only(shapely.intersection(way, around))


def _joined_to(part: Polygon, ahead: Area) -> Polygon:
    """A field's area with the strip straight ahead of its own tails, where these may run on as its edge."""
    return polygons(areas_only(unary_union([part, *(p for p in polygons(ahead) if p.distance(part) < 1e-6)])))[0]


def _ahead(approach: Approach, distance: float) -> Point:
    return (approach.at[0] + approach.heading[0] * distance, approach.at[1] + approach.heading[1] * distance)


def _heated(
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


def _square(before: Point, middle: Point, half: float) -> Polygon:
    """A square round `middle` that lies along the way from `before`."""
    way = math.dist(before, middle)
    x, y = ((m - b) / way * half for b, m in zip(before, middle, strict=True))
    ends = [(middle[0] - x, middle[1] - y), (middle[0] + x, middle[1] + y)]
    return shapely.LineString(ends).buffer(half, cap_style="flat")
