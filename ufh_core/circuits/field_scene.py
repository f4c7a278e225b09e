"""What all fields of a level have in common, and what is asked of one of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ufh_core.basis.areas import Area, areas_only, common, polygons
from ufh_core.basis.pipe_axis import Point
from ufh_core.circuits.field_layer import FieldLayer
from ufh_core.circuits.joining import STRIP_EDGE_M, strips
from ufh_core.circuits.rules import free_area
from ufh_core.fields.types import NO_AREA, Approach, FieldRequest, Pattern
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level, pipe_area
from ufh_core.zones.territories import Territory

FEWEST_M2 = 0.25
ROUND_M = 1.5  # round a floor; farther away its own pair has no business
LAID_APART = 0.8  # of its pitch a field keeps from pipes that lie already


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


def field_request(
    scene: FieldScene,
    territory: Territory,
    approach: Approach,
    kept: Sequence[Point],
    foreign: Sequence[Sequence[Point]],
) -> FieldRequest | None:
    """What is asked of a field that opens at `approach`; None where the `foreign` tails take its floor."""
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
    ahead = common(reach.buffer(spacing / 2 + 1e-3, cap_style="flat"), territory.floor)
    part = _joined_to(part, common(ahead, lane_room))
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
        with_others=True,
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
