"""The hard rules, checked on the finished axes before anything is written.

This check knows nothing of how a layout was found: it sees rounded axes and the plan.
Sources: trade rules in the settings (bend radius, clearance, length); near the manifold, within
`PORT_STRETCH_M` of a pipe's own end, the bars and risers bind instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import LineString
from shapely.ops import unary_union

from ufh_core.basis.areas import Area
from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Arc, PipeAxis, between
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level

PORT_STRETCH_M = 0.3
SLACK_M = 1e-3
CORNER_SEGMENTS = 16  # to the quarter circle: 0.1 mm
WAY_NEAR_M = 0.2  # round a passage, jambs bind instead of the clearance


def faults_of(axis: PipeAxis, level: Level, settings: Settings) -> list[str]:
    """What is wrong with one axis on its own, in words; empty when it keeps the rules."""
    return faults_in(axis, free_area(level, settings), settings)


def faults_in(axis: PipeAxis, free: Area, settings: Settings) -> list[str]:
    """What is wrong with an axis that may lie in `free` (`free_area` of its level)."""
    line = axis.line()
    faults: list[str] = []
    if not line.is_simple:
        faults.append(Message("the pipe meets itself"))
    least = settings.pipe.least_bend_radius_m
    tight = [p.radius_m for p in axis.pieces if isinstance(p, Arc) and p.radius_m < least - SLACK_M / 10]
    if tight:
        faults.append(
            Message(
                "a bend of {tight:.0f} mm radius, at least {least:.0f} mm",
                tight=1000 * min(tight),
                least=1000 * least,
            )
        )
    core = _core(line)
    outside = 0.0 if free.covers(core) else core.difference(free).length
    if outside > SLACK_M:
        faults.append(Message("{outside:.2f} m too near to a wall, a column or a fixed unit", outside=outside))
    return faults


def free_area(level: Level, settings: Settings) -> Area:
    """Where a pipe's axis may lie: clear of walls, and in passages clear of the jambs."""
    clearance = settings.layout.wall_clearance_m - 0.004
    rooms = level.ground.buffer(-clearance, quad_segs=CORNER_SEGMENTS)  # round a wall's corner the distance counts
    radius = settings.pipe.outside_diameter_m / 2
    pieces = [rooms]
    ways = [p.outline for p in (*level.passages, *level.sleeve_ways) if p.kind != "open"]
    if ways:
        wide = unary_union([level.ground, *ways]).buffer(2e-3, join_style="mitre").buffer(-radius - 2e-3)
        pieces.append(shapely.intersection(wide, unary_union([way.buffer(WAY_NEAR_M) for way in ways])))
    return unary_union(pieces).buffer(1e-6)


def pair_faults(axes: Mapping[str, PipeAxis], settings: Settings) -> dict[str, str]:
    """Circuits that come too near to another one: number -> words. The later of the two is named."""
    names = list(axes)
    lines = [axes[n].line() for n in names]
    cores = [_core(li) for li in lines]
    least = settings.layout.tail_spacing_m * 0.7
    faults: dict[str, str] = {}
    for i, j in _near(lines, least):
        distance = min(cores[i].distance(lines[j]), cores[j].distance(lines[i]))
        if distance < least - SLACK_M:
            faults[names[j]] = Message(
                "its pipe would come within {distance:.0f} mm of another circuit",
                distance=1000 * distance,
            )
    return faults


def _core(line: LineString) -> LineString:
    """A pipe without the stretch near each of its ports."""
    return LineString(between(shapely.get_coordinates(line), PORT_STRETCH_M, line.length - PORT_STRETCH_M))


def _near(lines: Sequence[LineString], reach: float) -> list[tuple[int, int]]:
    if len(lines) < 2:
        return []
    left, right = shapely.STRtree(list(lines)).query(list(lines), predicate="dwithin", distance=reach)
    return [(int(i), int(j)) for i, j in zip(left, right, strict=True) if i < j]
