"""Geometry items: outlines, upright solids, cylinders, the pipe's curve and disk.

Points and polygons are in the plan frame [m]; `at` is the product's own place, to which all is relative.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from ufh_core.basis.errors import OutputError
from ufh_core.exchange.pipe_run import PipeRun
from ufh_core.exchange.trade_model import TradeModel, Vector

LEAST_AREA_M2 = 1e-4
SAME_POINT_M = 1e-5


def polygons(area: Polygon | MultiPolygon) -> list[Polygon]:
    """Parts of an area that are worth drawing, outer rings anticlockwise, without repeated points."""
    parts = [p for p in getattr(area, "geoms", [area]) if isinstance(p, Polygon) and p.area > LEAST_AREA_M2]
    clean = [shapely.remove_repeated_points(_without_specks(p), SAME_POINT_M) for p in parts]
    return [orient(p) for p in clean if p.area > LEAST_AREA_M2 and p.is_valid]


def _without_specks(part: Polygon) -> Polygon:
    """A polygon without holes too small to draw."""
    return Polygon(part.exterior, [h for h in part.interiors if Polygon(h).area > LEAST_AREA_M2])


def closed_curve(model: TradeModel, ring: Any, at: Vector) -> Any:
    """A ring as a closed plane curve."""
    points = [model.lengths((x - at[0], y - at[1])) for x, y, *_ in list(ring.coords)[:-1]]
    if model.older:
        corners = [model.make("IfcCartesianPoint", p) for p in points]
        return model.make("IfcPolyline", [*corners, corners[0]])
    order = [*range(1, len(points) + 1), 1]
    segment = model.make("IfcLineIndex", order)
    return model.make("IfcIndexedPolyCurve", model.make("IfcCartesianPointList2D", points), [segment], False)


def footprint(model: TradeModel, outline: Polygon, at: Vector) -> Any:
    """The rings of an outline as a curve set: the outer one first, then the holes."""
    curves = [closed_curve(model, ring, at) for p in polygons(outline) for ring in (p.exterior, *p.interiors)]
    return model.make("IfcGeometricCurveSet", curves)


def upright(model: TradeModel, outline: Polygon | MultiPolygon, heights: tuple[float, float], at: Vector) -> list[Any]:
    """Solids over an outline between two world heights [m], one per part."""
    low, high = heights
    depth = model.lengths((high - low,))[0]
    return [
        model.make(
            "IfcExtrudedAreaSolid",
            _profile(model, part, at),
            model.axes((0.0, 0.0, low - at[2])),
            model.direction((0.0, 0.0, 1.0)),
            depth,
        )
        for part in polygons(outline)
        if depth > 0
    ]


def _profile(model: TradeModel, part: Polygon, at: Vector) -> Any:
    """A polygon as a profile, with its holes."""
    outer = closed_curve(model, part.exterior, at)
    if not part.interiors:
        return model.make("IfcArbitraryClosedProfileDef", "AREA", None, outer)
    holes = [closed_curve(model, ring, at) for ring in part.interiors]
    return model.make("IfcArbitraryProfileDefWithVoids", "AREA", None, outer, holes)


def cylinder(model: TradeModel, start: Vector, end: Vector, radius_m: float, at: Vector) -> Any:
    """A round bar from `start` to `end`."""
    way = np.subtract(end, start)
    length = float(np.linalg.norm(way))
    if length < SAME_POINT_M:
        raise OutputError(
            "heating model: a part of the manifold has no length; give the flow and return bars different heights "
            "(manifold.flow_bar_height_m, manifold.return_bar_height_m)"
        )
    radius, depth = model.lengths((radius_m, length))
    profile = model.make("IfcCircleProfileDef", "AREA", None, _flat_origin(model), radius)
    across = (0.0, 0.0, 1.0) if abs(way[2]) < 0.5 * length else (1.0, 0.0, 0.0)
    frame = model.axes(np.subtract(start, at), way / length, across)
    return model.make("IfcExtrudedAreaSolid", profile, frame, model.direction((0.0, 0.0, 1.0)), depth)


def _flat_origin(model: TradeModel) -> Any | None:
    """The position of a profile, which IFC2X3 wants even at the origin."""
    if not model.older:
        return None
    return model.make("IfcAxis2Placement2D", model.make("IfcCartesianPoint", (0.0, 0.0)), model.direction((1.0, 0.0)))


def run_curve(model: TradeModel, run: PipeRun, at: Vector) -> Any:
    """The pipe's way as one curve of lines and arcs, neighbours sharing their point."""
    if model.older:
        return composite_curve(model, run, at)
    points = [model.lengths(np.subtract(run.start, at))]
    segments = []
    for piece in run.pieces:
        first = len(points)
        points += [model.lengths(np.subtract(p, at)) for p in piece[1:]]
        kind = "IfcLineIndex" if len(piece) == 2 else "IfcArcIndex"
        segments.append(model.make(kind, list(range(first, first + len(piece)))))
    return model.make("IfcIndexedPolyCurve", model.make("IfcCartesianPointList3D", points), segments, False)


def composite_curve(model: TradeModel, run: PipeRun, at: Vector) -> Any:
    """The pipe's way as lines and trimmed circles, for the schema that has no indexed curves."""
    segments = []
    for number, piece in enumerate(run.pieces, start=1):
        spots = [np.subtract(p, at) for p in piece]
        part = _line(model, spots) if len(spots) == 2 else _arc(model, spots)
        # the last segment of an open curve has no neighbour
        transition = "CONTINUOUS" if number < len(run.pieces) else "DISCONTINUOUS"
        segments.append(model.make("IfcCompositeCurveSegment", transition, True, part))
    return model.make("IfcCompositeCurve", segments, False)


def _line(model: TradeModel, spots: list[Any]) -> Any:
    """A straight."""
    return model.make("IfcPolyline", [model.make("IfcCartesianPoint", model.lengths(p)) for p in spots])


def _arc(model: TradeModel, spots: list[Any]) -> Any:
    """The arc through three points, anticlockwise round its axis; trimmed by points, free of angle units."""
    start, middle, end = spots
    first, second = middle - start, end - start
    axis = np.cross(first, second)
    square = float(axis @ axis)
    reach = (first @ first) * np.cross(second, axis) + (second @ second) * np.cross(axis, first)
    centre = start + reach / (2 * square)
    radius = float(np.linalg.norm(start - centre))
    frame = model.axes(centre, axis / math.sqrt(square), (start - centre) / radius)
    circle = model.make("IfcCircle", frame, model.lengths((radius,))[0])
    ends = [[model.make("IfcCartesianPoint", model.lengths(p))] for p in (start, end)]
    return model.make("IfcTrimmedCurve", circle, *ends, True, "CARTESIAN")


def swept_disk(model: TradeModel, curve: Any, radius_m: float, inner_radius_m: float) -> Any:
    """The pipe's wall along its curve."""
    radius, inner = model.lengths((radius_m, inner_radius_m))
    solid = {"Directrix": curve, "Radius": radius, "InnerRadius": inner}
    if model.older:  # wants the parameters of both ends
        solid |= {"StartParam": 0.0, "EndParam": _parameter_range(model, curve)}
    return model.make("IfcSweptDiskSolid", **solid)


def _parameter_range(model: TradeModel, curve: Any) -> float:
    """Parameters of a composite curve from end to end: 1 for a straight, its angle for an arc.

    Source: ISO 10303-42, composite_curve: the sum of the segments' parameter ranges.
    """
    parts = [segment.ParentCurve for segment in curve.Segments]
    return sum(1.0 if part.is_a("IfcPolyline") else _angle(part) / model.units.angle_rad for part in parts)


def _angle(arc: Any) -> float:
    """Angle of an arc that starts on its circle's own x axis, anticlockwise [rad]."""
    frame = arc.BasisCurve.Position
    way = np.subtract(arc.Trim2[0].Coordinates, frame.Location.Coordinates)
    x, z = np.array(frame.RefDirection.DirectionRatios), np.array(frame.Axis.DirectionRatios)
    return float(np.arctan2(way @ np.cross(z, x), way @ x) % math.tau)


def ring_area(outside_m: float, inside_m: float = 0.0) -> float:
    """Area between two circles of given diameters [m²]."""
    return math.pi / 4 * (outside_m**2 - inside_m**2)
