"""Which rooms a pipe runs through, one after the other, and by what it comes from one into the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString

from ufh_core.basis.areas import Area
from ufh_core.building.types import Passage
from ufh_core.setting_out.way import PipeWay

STEP_M = 0.01
AT_PASSAGE_M = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A stretch of pipe in one room, from one way along it to another [m]; the room by GlobalId."""

    room: str
    start_m: float
    end_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """From one room into another at a way along the pipe [m]; `passage` is None where it goes through a wall."""

    at_m: float
    start_m: float
    end_m: float
    from_room: str
    to_room: str
    passage: Passage | None


def visits(way: PipeWay, floors: Mapping[str, Area]) -> list[Visit]:
    """Rooms in the order in which a pipe is in them; where floors overlap, the smaller counts.

    Read from points every centimetre, so a place is known to half of that.
    """
    ways, points = way.sampled(STEP_M)
    where = np.full(len(ways), -1)
    names = sorted(floors, key=lambda guid: (-floors[guid].area, guid))
    line = shapely.box(*way.axis.line().bounds)
    for k, guid in enumerate(names):
        if shapely.intersects(line, floors[guid]):
            where[shapely.contains_xy(floors[guid], points[:, 0], points[:, 1])] = k
    return _together([Visit(room=names[k], start_m=s, end_m=e) for k, s, e in stretches(where, ways) if k >= 0])


def stretches(where: NDArray[np.int64], ways: NDArray[np.float64]) -> list[tuple[int, float, float]]:
    """(value, first way, last way) of each row of equal values along a pipe [m]."""
    starts = np.flatnonzero(np.diff(where, prepend=where[0] - 1))
    ends = np.append(starts[1:], len(where)) - 1
    return [(int(where[s]), float(ways[s]), float(ways[e])) for s, e in zip(starts, ends, strict=True)]


def _together(found: Sequence[Visit]) -> list[Visit]:
    """Visits of one room that only a doorway's depth parts are one."""
    joined: list[Visit] = []
    for visit in found:
        if joined and joined[-1].room == visit.room:
            joined[-1] = Visit(room=visit.room, start_m=joined[-1].start_m, end_m=visit.end_m)
        else:
            joined.append(visit)
    return joined


def room_at(stays: Sequence[Visit], way_m: float) -> str:
    """The room at a way along the pipe [m], "" within a wall."""
    return next((stay.room for stay in stays if stay.start_m - 1e-9 <= way_m <= stay.end_m + 1e-9), "")


def crossings(way: PipeWay, stays: Sequence[Visit], passages: Sequence[Passage]) -> list[Crossing]:
    """Every change of room, in order."""
    found = []
    for before, after in pairwise(stays):
        at = (before.end_m + after.start_m) / 2
        gap = LineString([way.at(before.end_m), way.at(at), way.at(after.start_m)])
        near = [p for p in passages if {before.room, after.room} <= set(p.rooms)]
        through = min(near, key=lambda p: shapely.distance(p.outline, gap), default=None)
        if through is not None and shapely.distance(through.outline, gap) > AT_PASSAGE_M:
            through = None
        found.append(
            Crossing(
                at_m=at,
                start_m=before.end_m,
                end_m=after.start_m,
                from_room=before.room,
                to_room=after.room,
                passage=through,
            )
        )
    return found


def jambs(way: PipeWay, crossing: Crossing) -> tuple[float, float] | None:
    """From the axis to the jambs left and right of it, looking along the pipe [m]; None without jambs."""
    passage = crossing.passage
    if passage is None or passage.kind == "open":
        return None
    near, far = np.array(way.at(crossing.start_m)), np.array(way.at(crossing.end_m))
    along = np.array(passage.direction) * (1.0 if np.dot(far - near, passage.direction) >= 0 else -1.0)
    across = np.array([-along[1], along[0]])
    offs = (shapely.get_coordinates(passage.outline) - np.array(way.at(crossing.at_m))) @ across
    return float(offs.max()), float(-offs.min())
