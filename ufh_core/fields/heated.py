"""The floor that a loop honestly heats: near enough to the pipe, in shapes that can be drawn."""

from __future__ import annotations

import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.basis.pipe_axis import Point, rounded
from ufh_core.fields.overlay import robust
from ufh_core.fields.types import FieldRequest

REACH = 0.75
SPOT_M = 0.04  # spots thinner than twice this stay in
SPOT_M2 = 0.01
CHORD_M = 1e-3  # from which arcs of a pipe may differ here: the buffer of its every chord takes most of the time
HAIR_M = 1e-4  # between runs 1.5 pitch apart and in bends of 0.75 pitch the reach would end in a line or a point
INSET_M, SHARE = 0.1, 0.985


def heated_floor(corners: tuple[Point, ...], request: FieldRequest) -> tuple[Polygon, float]:
    """(heated floor, its coverage)."""
    near = reached(rounded(list(corners), request.least_radius_m).line(), request.pitch_m)
    cold = request.floor.difference(near)
    heated = request.floor
    for thickness, area in ((SPOT_M, SPOT_M2), (SPOT_M / 2, SPOT_M2 / 2), (0.0, 0.0)):
        heated = _without(request.floor, cold, thickness, area)
        coverage = share_warm(heated, cold)
        if coverage >= SHARE:
            break
    return heated, coverage


def reached(line: LineString, pitch_m: float) -> Polygon:
    """The floor within 0.75 pitch of a pipe, and a hair more."""
    return line.simplify(CHORD_M, preserve_topology=False).buffer(REACH * pitch_m + HAIR_M)


def _without(floor: Polygon, cold: shapely.Geometry, thickness: float, area: float) -> Polygon:
    """The floor less its cold spots of some size; the largest part of it."""
    spots = [s for s in shapely.get_parts(cold.buffer(-thickness)) if s.area > 0]
    spots = [s.buffer(thickness + 1e-3, join_style="mitre") for s in spots]
    gone = shapely.union_all([s for s in spots if s.area > area])
    left = floor.difference(gone) if not gone.is_empty else floor
    left = left.buffer(-SPOT_M, join_style="mitre").buffer(SPOT_M, join_style="mitre")
    left = robust(shapely.intersection, left, floor)
    kept = _largest(left) or floor
    kept = Polygon(kept.exterior, [r for r in kept.interiors if Polygon(r).area > area])
    return _largest(robust(shapely.intersection, kept.simplify(5e-3), floor)) or floor


def _largest(area: shapely.Geometry) -> Polygon | None:
    """The largest polygon of an area."""
    parts = [p for p in shapely.get_parts(area) if isinstance(p, Polygon)]
    return max(parts, key=lambda p: p.area) if parts else None


def share_warm(area: Polygon, cold: shapely.Geometry) -> float:
    """Share of what lies well inside an area that is not cold; by areas, since samples may fall in step with runs."""
    inner = area.buffer(-INSET_M)
    inner = area if inner.is_empty else inner
    return 1.0 - float(inner.intersection(cold).area / inner.area)
