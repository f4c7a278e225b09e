"""Ends of lanes that follow the cuts of a room: cut back, or carried on straight ahead, into the parts as they are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Point
from shapely.ops import substring

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point as Place
from ufh_core.lanes.types import Lane
from ufh_core.zones.territories import Territory

LANE_END_M = 0.1  # a lane ends at least this far inside its territory
LEAST_LEG_M = 0.1
FARTHEST_M = 3.0  # that a lane is carried on
SLACK_M = 1e-3


def ended_in(
    lanes: Sequence[Lane],
    parts: Sequence[Territory],
    floor: Area,
    foreign: Sequence[Sequence[Place]],
    apart_m: float,
) -> tuple[Lane, ...] | None:
    """Each lane as far as it must lead to end in its part; None where one does not come there.

    What is carried on stays on the `floor` of the room, and keeps `apart_m` [m] from all its other lanes and from
    `foreign` ones.
    """
    ended = [_ended_in(lane, part) for lane, part in zip(lanes, parts, strict=True)]
    found = [lane for lane in ended if lane is not None]
    if len(found) < len(lanes):
        return None
    whole = floor.buffer(SLACK_M)
    for k, (before, after) in enumerate(zip(lanes, found, strict=True)):
        if not _longer(before, after):
            continue
        others = [*foreign, *(lane.corners for lane in (*found[:k], *found[k + 1 :]))]
        on = LineString([before.corners[-1], after.corners[-1]])
        if not whole.covers(on) or any(on.distance(LineString(x)) < apart_m - SLACK_M for x in others):
            return None
    return tuple(found)


def _longer(before: Lane, after: Lane) -> bool:
    return bool(LineString(after.corners).length > LineString(before.corners).length + SLACK_M)


def _ended_in(lane: Lane, part: Territory) -> Lane | None:
    """The lane as far as it must lead to end in a part; None where it does not come there."""
    inner = part.floor.buffer(-LANE_END_M)
    if inner.contains(Point(lane.corners[-1])):
        return lane
    line = LineString(lane.corners)
    inside = line.intersection(inner)
    if inside.is_empty:
        return _carried_on(lane, inner)
    end = max(line.project(Point(p)) for p in shapely.get_coordinates(inside))
    corners = [(round(x, 6), round(y, 6)) for x, y in shapely.get_coordinates(substring(line, 0, end))]
    if len(corners) < 2 or math.dist(corners[-1], corners[-2]) < LEAST_LEG_M:
        return None
    return replace(lane, corners=tuple(corners))


def _carried_on(lane: Lane, inner: shapely.Geometry) -> Lane | None:
    """The lane led on straight ahead till it comes into an area."""
    (ax, ay), (bx, by) = lane.corners[-2:]
    way = math.dist((ax, ay), (bx, by))
    ahead = LineString([(bx, by), (bx + (bx - ax) / way * FARTHEST_M, by + (by - ay) / way * FARTHEST_M)])
    met = ahead.intersection(inner)
    if met.is_empty:
        return None
    x, y = shapely.get_coordinates(ahead.interpolate(Point(bx, by).distance(met)))[0]
    return replace(lane, corners=(*lane.corners[:-1], (round(float(x), 6), round(float(y), 6))))
