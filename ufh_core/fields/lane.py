"""The pair of tails as the search sees it: along its heading, in studs, with how far it may go on."""

from __future__ import annotations

import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.headings import back, signs
from ufh_core.fields.joint import Lane
from ufh_core.fields.overlay import robust
from ufh_core.fields.types import Approach, FieldRequest


def lane_of(approach: Approach, request: FieldRequest) -> Lane | None:
    """The lane seen along its heading; None if its pipes are off the grid."""
    stud, (u_sign, v_sign) = request.stud_pitch_m, signs(approach.heading, False)
    across, along = (1, 0) if approach.heading[0] else (0, 1)
    middle, end = u_sign * approach.at[across] / stud, v_sign * approach.at[along] / stud
    half = request.tail_spacing_m / stud / 2
    left, right = round(middle - half), round(middle + half)
    if abs(middle - half - left) > 1e-3 or abs(middle + half - right) > 1e-3:
        return None
    area = robust(shapely.union, request.lane_area, request.axis_area).buffer(1e-5, join_style="mitre")
    ways = []
    for u in (left, right):
        start, goal = (back(u * stud, v * stud, approach.heading, False) for v in (end, end + 200))
        ways.append(_first_stretch(area, start, goal))
    return Lane(left=left, right=right, end=end, reach=end + min(ways) / stud + 1e-3)


def _first_stretch(area: shapely.Geometry, start: Point, goal: Point) -> float:
    """How far one can go from `start` towards `goal` inside the area [m]."""
    away = shapely.LineString([start, goal]).difference(area)
    return float(shapely.Point(start).distance(away)) if not away.is_empty else 10.0
