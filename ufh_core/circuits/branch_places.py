"""Places where a pair of pipes can leave a finished pipe at right angles, straight to another piece of floor.

A run of the pipe is cut twice, one tail spacing apart on the stud grid; both ends turn to the same side and
run on as a pair, through a door if one is in line, up to where a field may open on the floor.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import PipeAxis, Point, Straight, lines_of
from ufh_core.fields.types import Approach
from ufh_core.settings.types import Settings

Floats = NDArray[np.float64]

ASKEW_M = 1e-6
OFF_RUN_M = 0.02  # from here on a pair keeps its distance from what its own run goes on to
SLACK_M = 1e-3
LONGEST_WAY_M = 4.0  # of a pair from the pipe to the floor; our own choice
FURTHER_M = (0.0, 0.15, 0.3)  # a field may open at the edge of the floor, or this far in


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchPlace:
    """Where a pair leaves the straight number `piece` of an axis, and where it arrives.

    `leaves` and `returns` are the corners on the run, in the pipe's direction; `middle` lies between them.
    """

    piece: int
    leaves: Point
    returns: Point
    middle: Point
    approach: Approach

    @property
    def way_m(self) -> float:
        """Length of the pair [m]."""
        return float(np.hypot(self.approach.at[0] - self.middle[0], self.approach.at[1] - self.middle[1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchGround:
    """What binds a pair on its way: where its middle line may run, and the other circuits' pipes."""

    lane_area: Area
    others: Sequence[LineString]
    settings: Settings


def branch_places(axis: PipeAxis, floor: Polygon, ground: BranchGround) -> list[BranchPlace]:
    """Places along an axis from which a pair reaches `floor`, the shortest ways first."""
    pieces = lines_of(axis.pieces)
    pipes = shapely.STRtree([*pieces, *ground.others])  # the run's own piece has the number of the run
    shapely.prepare(ground.lane_area)
    found: list[BranchPlace] = []
    for run in _runs(axis):
        if pieces[run.number].distance(floor) <= LONGEST_WAY_M:
            found += _places_of(run, floor, pipes, ground)
    return sorted(found, key=lambda p: (round(p.way_m, 6), p.piece, p.leaves))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """A straight of the pipe along axis `along` (0 or 1) at `at` on the other one, seen to one `side` (1 or -1)."""

    number: int
    straight: Straight
    along: int
    side: int

    @property
    def at(self) -> float:
        return self.straight.start[1 - self.along]

    def lines(self, along: Floats, start: Floats, end: Floats) -> NDArray[np.object_]:
        """Lines square to the run at places along it, from `start` to `end` [m] off it."""
        first, last = (np.column_stack([along, self.at + self.side * off]) for off in (start, end))
        points = np.stack([first, last], axis=1)
        return np.asarray(shapely.linestrings(points if self.along == 0 else points[..., ::-1]))

    def point(self, along: float, off: float) -> Point:
        """The point so far along and off the run."""
        u, v = round(along, 6), round(self.at + self.side * off, 6)
        return (u, v) if self.along == 0 else (v, u)


def _runs(axis: PipeAxis) -> Iterator[_Run]:
    """The straights along the frame's axes, once to either side."""
    for k, piece in enumerate(axis.pieces):
        if isinstance(piece, Straight):
            wide, high = (abs(a - b) for a, b in zip(piece.start, piece.end, strict=True))
            if min(wide, high) <= ASKEW_M:
                for side in (-1, 1):
                    yield _Run(number=k, straight=piece, along=0 if wide > high else 1, side=side)


def _places_of(run: _Run, floor: Polygon, pipes: shapely.STRtree, ground: BranchGround) -> Iterator[BranchPlace]:
    """Places along one straight: of each stretch of them the two ends and the middle."""
    middles = _middles(run, ground.settings)
    if not len(middles):
        return
    ways = _ways(run, middles, floor)
    for k in _ends_and_middles(_clear(run, middles, ways, pipes, ground)):
        for further in FURTHER_M:
            place = _place(run, float(middles[k]), float(ways[k]) + further, ground.settings)
            if floor.contains(shapely.Point(place.approach.at)):
                yield place


def _middles(run: _Run, settings: Settings) -> Floats:
    """Where the pair's middle may be along a run [m]: its pipes on studs, with room for the bends at its ends."""
    stud, spacing = settings.layout.stud_pitch_m, settings.layout.tail_spacing_m
    low, high = sorted((run.straight.start[run.along], run.straight.end[run.along]))
    margin = settings.pipe.least_bend_radius_m
    first, last = np.ceil((low + margin) / stud - 1e-6), np.floor((high - margin - spacing) / stud + 1e-6)
    return np.asarray(np.arange(first, last + 1) * stud + spacing / 2, dtype=np.float64)


def _ways(run: _Run, middles: Floats, floor: Polygon) -> Floats:
    """How far off the run the floor begins at each place [m]; infinite where it is not ahead."""
    nothing = np.zeros(len(middles))
    met = shapely.bounds(shapely.intersection(run.lines(middles, nothing, nothing + LONGEST_WAY_M), floor))
    ways = np.min(np.abs(met[:, [1 - run.along, 3 - run.along]] - run.at), axis=1)
    return np.asarray(np.where(np.isnan(ways), np.inf, ways))


def _clear(run: _Run, middles: Floats, ways: Floats, pipes: shapely.STRtree, ground: BranchGround) -> NDArray[np.bool_]:
    """Whether a pair may run from each place to the floor: on free ground, away from all pipes but the run."""
    spacing, radius = ground.settings.layout.tail_spacing_m, ground.settings.pipe.least_bend_radius_m
    reached = np.isfinite(ways)
    far = np.where(reached, np.maximum(ways, radius), radius) + radius
    strips = shapely.buffer(run.lines(middles, 0 * far + OFF_RUN_M, far), 2.5 * spacing - SLACK_M, cap_style="flat")
    blocked = np.zeros(len(middles), dtype=bool)
    place, pipe = pipes.query(strips, predicate="intersects")
    blocked[place[pipe != run.number]] = True
    on_ground = shapely.covers(ground.lane_area, run.lines(middles, 0 * far + radius, far - radius + SLACK_M))
    return np.asarray(reached & ~blocked & on_ground)


def _ends_and_middles(clear: NDArray[np.bool_]) -> list[int]:
    """Of each stretch of clear places the first, the middle and the last."""
    chosen: list[int] = []
    edges = np.flatnonzero(np.diff(np.concatenate([[False], clear, [False]]).astype(int)))
    for first, end in edges.reshape(-1, 2).tolist():
        chosen += sorted({first, (first + end - 1) // 2, end - 1})
    return chosen


def _place(run: _Run, middle: float, way: float, settings: Settings) -> BranchPlace:
    """The place with its pair's middle at one point along the run, its field opening `way` [m] from it."""
    half = settings.layout.tail_spacing_m / 2
    ends = [run.point(middle - half, 0.0), run.point(middle + half, 0.0)]
    if run.straight.end[run.along] < run.straight.start[run.along]:
        ends.reverse()
    at = run.point(middle, max(way, settings.pipe.least_bend_radius_m))
    heading = (0, run.side) if run.along == 0 else (run.side, 0)
    return BranchPlace(
        piece=run.number,
        leaves=ends[0],
        returns=ends[1],
        middle=run.point(middle, 0.0),
        approach=Approach(at=at, heading=heading),
    )
