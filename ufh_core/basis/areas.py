"""Areas of plans: set operations whose results are areas again, and which do not give up on near touches.

What two areas have in common may come with lines and points where they only touch, and such a mixture is refused by
the overlay library as soon as it meets an empty area (GEOS 3.14). Results that another operation takes come from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

import shapely
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon

Area: TypeAlias = Polygon | MultiPolygon
LEAST_M2 = 1e-4  # smaller parts are slivers


def polygons(shape: Any) -> list[Polygon]:
    """The polygons of any geometry, greatest first."""
    return sorted(_polygons(shape), key=lambda p: -p.area)


def _polygons(shape: Any) -> list[Polygon]:
    """The polygons of any geometry in its own order."""
    if shape is None or shape.is_empty:
        return []
    if shape.geom_type == "Polygon":
        return [shape]
    return [p for part in getattr(shape, "geoms", ()) for p in _polygons(part)]


def collected(parts: Sequence[Polygon]) -> Area:
    """Disjoint polygons as one area."""
    if not parts:
        return Polygon()
    return parts[0] if len(parts) == 1 else MultiPolygon(list(parts))


def polygons_only(shape: Any) -> Area:
    """The polygons of any geometry as one area."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        area: Area = shape
        return area
    return collected(polygons(shape))


def areas_only(shape: Any) -> Area:
    """The polygons of any geometry as one area; slivers under 1 cm² dropped."""
    return collected([part for part in _polygons(shape) if part.area > LEAST_M2])


def joined(areas: Iterable[Area]) -> Area:
    """Union of areas; on a fine grid where the plain one fails."""
    parts = [a for a in areas if not a.is_empty]
    if not parts:
        return Polygon()
    try:
        return polygons_only(shapely.union_all(parts))
    except shapely.errors.GEOSException:
        return polygons_only(shapely.union_all([shapely.make_valid(p) for p in parts], grid_size=1e-4))


def without(area: Area, cut: Area) -> Area:
    """Area less cut; on a fine grid where the plain overlay fails."""
    if cut.is_empty:
        return area
    try:
        return polygons_only(area.difference(cut))
    except shapely.errors.GEOSException:
        return polygons_only(shapely.difference(shapely.make_valid(area), shapely.make_valid(cut), grid_size=1e-4))


def common(area: Area, other: Area) -> Area:
    """What two areas share; on a fine grid where the plain overlay fails."""
    try:
        return polygons_only(area.intersection(other))
    except shapely.errors.GEOSException:
        return polygons_only(shapely.intersection(shapely.make_valid(area), shapely.make_valid(other), grid_size=1e-4))


def along(lines: Any, area: Area) -> MultiLineString:
    """The parts of lines that lie in an area; where they only touch it there is none."""
    parts = shapely.get_parts(shapely.get_parts(shapely.intersection(lines, area)))
    return MultiLineString([part for part in parts if isinstance(part, LineString) and not part.is_empty])
