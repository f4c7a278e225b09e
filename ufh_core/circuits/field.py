"""Filling one territory with one counterflow loop: a portfolio of lattices, walked, rated, checked."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.circuits.field_check import fault
from ufh_core.circuits.field_grid import Bools, StudGrid, stud_grid
from ufh_core.circuits.field_heated import heated_floor
from ufh_core.circuits.field_joint import Corner, Lane, Rules, roots, walked
from ufh_core.circuits.field_lattice import (
    AxisCosts,
    Gaps,
    Lattice,
    axis_costs,
    back,
    fit_lines,
    gaps_for,
    lattice,
    seen_along,
    signs,
)
from ufh_core.circuits.field_rate import Rating, rate
from ufh_core.circuits.field_types import Approach, FieldFailure, FieldRequest, FieldResult

NOISY_ROUNDS = 6
CHECKED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """A loop in studs with its rating."""

    corners: tuple[Corner, ...]
    approach: int
    rating: Rating


@dataclass(frozen=True, slots=True, kw_only=True)
class Territory:
    """What all attempts share."""

    request: FieldRequest
    grid: StudGrid
    floor: Bools
    gaps: Gaps
    rules: Rules
    costs_x: AxisCosts
    costs_y: AxisCosts


def lay_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found for a territory, or why there is none."""
    if request.axis_area.is_empty or request.floor.is_empty:
        return FieldFailure(reason="no floor is left for pipes inside the clearances")
    on = _territory(request)
    lanes = [_lane(approach, request) for approach in request.approaches]
    if all(lane is None for lane in lanes):
        return FieldFailure(reason="the pair of tails does not arrive on the stud grid")
    attempts = sorted(_attempts(on, lanes), key=lambda a: (a.rating.cost, a.approach, a.corners))
    reason = "no loop fits between the walls where the pair of tails arrives"
    for attempt in attempts[:CHECKED]:
        corners = tuple((x * request.stud_pitch_m, y * request.stud_pitch_m) for x, y in attempt.corners)
        reason = fault(corners, request, request.approaches[attempt.approach])
        if not reason:
            return _result(request, corners, attempt)
    return FieldFailure(reason=reason)


def _territory(request: FieldRequest) -> Territory:
    """The grid and the costs of the lines."""
    grid = stud_grid(request)
    stud = request.stud_pitch_m
    gaps = gaps_for(request.pitch_m, stud, request.least_radius_m, request.separation_share)
    inner = request.floor.buffer(-stud)
    x = (np.arange(grid.node.shape[0]) + grid.origin[0]) * stud
    y = (np.arange(grid.node.shape[1]) + grid.origin[1]) * stud
    floor = shapely.contains_xy(inner, *np.meshgrid(x, y, indexing="ij")) if not inner.is_empty else grid.floor
    return Territory(
        request=request,
        grid=grid,
        floor=floor if floor.any() else grid.node,
        gaps=gaps,
        rules=Rules(
            leg=math.ceil(2 * request.least_radius_m / stud - 1e-6),
            end_leg=request.least_radius_m / stud,
            apart=math.ceil(request.separation_share * request.pitch_m / stud - 1e-6),
        ),
        costs_x=axis_costs(grid.node, grid.ends_x, gaps, stud),
        costs_y=axis_costs(grid.node.T, grid.ends_y, gaps, stud),
    )


def _lane(approach: Approach, request: FieldRequest) -> Lane | None:
    """The lane seen along its heading; None if its pipes are off the grid."""
    stud, (u_sign, v_sign) = request.stud_pitch_m, signs(approach.heading, False)
    across, along = (1, 0) if approach.heading[0] else (0, 1)
    middle, end = u_sign * approach.at[across] / stud, v_sign * approach.at[along] / stud
    half = request.tail_spacing_m / stud / 2
    left, right = round(middle - half), round(middle + half)
    if abs(middle - half - left) > 1e-3 or abs(middle + half - right) > 1e-3:
        return None
    area = request.lane_area.union(request.axis_area).buffer(1e-5, join_style="mitre")
    ways = []
    for u in (left, right):
        start, goal = (back(u * stud, v * stud, approach.heading, False) for v in (end, end + 200))
        ways.append(_first_stretch(area, start, goal))
    return Lane(left=left, right=right, end=end, reach=end + min(ways) / stud + 1e-3)


def _first_stretch(area: shapely.Geometry, start: Point, goal: Point) -> float:
    """How far one can go from `start` towards `goal` inside the area [m]."""
    away = shapely.LineString([start, goal]).difference(area)
    return float(shapely.Point(start).distance(away)) if not away.is_empty else 10.0


def _attempts(on: Territory, lanes: list[Lane | None]) -> Iterator[Attempt]:
    """Loops from all lattices, approaches, hands and roots."""
    seen: set[tuple[Corner, ...]] = set()
    for number, lane in enumerate(lanes):
        if lane is None:
            continue
        heading = on.request.approaches[number].heading
        for grid_lines in _lattices(on, lane, heading):
            for mirrored in (False, True):
                view = seen_along(grid_lines, heading, mirrored)
                mine = _mirror(lane) if mirrored else lane
                for root in roots(view, mine, on.rules):
                    loop = walked(view, mine, on.rules, root)
                    if loop is None:
                        continue
                    corners = tuple(back(u, v, heading, mirrored) for u, v in loop)
                    if corners not in seen:
                        seen.add(corners)
                        rating = rate(corners, on.grid, on.floor, on.request.pitch_m)
                        yield Attempt(corners=corners, approach=number, rating=rating)


def _mirror(lane: Lane) -> Lane:
    """The lane with left and right exchanged."""
    return Lane(left=-lane.right, right=-lane.left, end=lane.end, reach=lane.reach)


def _lattices(on: Territory, lane: Lane, heading: tuple[int, int]) -> Iterator[Lattice]:
    """Lattices worth a walk: free ones, and ones with a line through a pipe of the pair."""
    u_sign, _ = signs(heading, False)
    offset = on.grid.origin[1] if heading[0] else on.grid.origin[0]
    across, along = (on.costs_y, on.costs_x) if heading[0] else (on.costs_x, on.costs_y)
    forced = [()] + [(u_sign * u - offset,) for u in (lane.left, lane.right)]
    rng = np.random.default_rng(1)
    seen: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()
    for round_ in range(1 + NOISY_ROUNDS):
        for through in forced:
            if through and not 0 <= through[0] < len(across.first):
                continue
            for odd in range(4):
                noise = [1 + 0.9 * rng.random(c.step.shape) if round_ else None for c in (across, along)]
                us = fit_lines(across, odd % 2, through, noise[0])
                vs = fit_lines(along, odd // 2, (), noise[1])
                if len(us) < 2 or len(vs) < 2 or (tuple(us), tuple(vs)) in seen:
                    continue
                seen.add((tuple(us), tuple(vs)))
                yield lattice(on.grid, *((vs, us) if heading[0] else (us, vs)))


def _result(request: FieldRequest, corners: tuple[Point, ...], attempt: Attempt) -> FieldResult:
    """The result with what it heats."""
    heated, coverage, gap = heated_floor(corners, request)
    return FieldResult(
        corners=corners,
        approach=attempt.approach,
        heated=heated,
        coverage=coverage,
        greatest_gap_m=gap,
        unevenness=attempt.rating.unevenness,
        bends=attempt.rating.bends,
    )
