"""The way of a pipe from a curve of any schema: straights and arcs, whoever wrote it.

Read are polylines, indexed curves, composite curves of those, and trimmed lines and circles, by points or parameters.
Source: ISO 10303-42 and ISO 16739, trimmed and composite curves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import ifcopenshell.util.placement as ifc_placement
import ifcopenshell.util.unit as ifc_unit
import numpy as np
from numpy.typing import NDArray

from ufh_core.exchange.pipe_run import Piece, Point3

PIPE, OLDER_PIPE, OLDER_TYPE = "IfcPipeSegment", "IfcFlowSegment", "IfcPipeSegmentType"
CIRCUIT, OLDER_CIRCUIT = "IfcDistributionCircuit", "HEATING CIRCUIT"
Number = NDArray[np.float64]


def heating_pipes(model: Any) -> list[Any]:
    """The pipes of heating circuits; all pipes where a file says of none that it is in a circuit."""
    pipes = _all(model, PIPE) or [e for e in _all(model, OLDER_PIPE) if _is_typed(e)]
    ours = [p for p in pipes if any(_is_circuit(g) for g in groups_of(p))]
    return ours or pipes


def groups_of(element: Any) -> list[Any]:
    """The systems and circuits to which an element is assigned."""
    return [r.RelatingGroup for r in element.HasAssignments or () if r.is_a("IfcRelAssignsToGroup")]


def pipe_curve(element: Any) -> tuple[Any | None, float]:
    """(axis curve of a pipe, radius of its body in the file's unit, 0 where unknown)."""
    shown = element.Representation.Representations if element.Representation is not None else ()
    items = {r.RepresentationIdentifier: [_mapped(i) for i in r.Items] for r in shown}
    disks = [i for i in items.get("Body", []) if i.is_a("IfcSweptDiskSolid")]
    radius = float(disks[0].Radius) if disks else 0.0
    curves = [*items.get("Axis", []), *(d.Directrix for d in disks)]
    return next((c for c in curves if c is not None and c.is_a("IfcCurve")), None), radius


def curve_pieces(curve: Any) -> list[Piece]:
    """Straights and arcs of a curve in the file's unit; none for a curve of another kind."""
    if curve.is_a("IfcPolyline"):
        return list(pairwise([_spot(p.Coordinates) for p in curve.Points]))
    if curve.is_a("IfcIndexedPolyCurve"):
        return _indexed(curve)
    if curve.is_a("IfcCompositeCurve"):
        return _composite(curve)
    return _trimmed(curve) if curve.is_a("IfcTrimmedCurve") else []


def _mapped(item: Any) -> Any:
    """What a mapped item shows where it shows it in place, else the item itself."""
    if not item.is_a("IfcMappedItem"):
        return item
    inner = item.MappingSource.MappedRepresentation.Items
    still = np.allclose(ifc_placement.get_mappeditem_transformation(item), np.eye(4), atol=1e-9)
    return inner[0] if len(inner) == 1 and still else item


def _indexed(curve: Any) -> list[Piece]:
    points = [_spot(c) for c in curve.Points.CoordList]
    if curve.Segments is None:
        return list(pairwise(points))
    found: list[Piece] = []
    for segment in curve.Segments:
        spots = [points[k - 1] for k in segment.wrappedValue]
        found += [tuple(spots)] if segment.is_a("IfcArcIndex") else list(pairwise(spots))
    return found


def _composite(curve: Any) -> list[Piece]:
    """All segments, each in the sense in which it is used; none where one of them cannot be read."""
    found: list[Piece] = []
    for segment in curve.Segments:
        parent = getattr(segment, "ParentCurve", None)
        pieces = curve_pieces(parent) if parent is not None else []
        if not pieces:
            return []
        found += pieces if segment.SameSense else [tuple(reversed(p)) for p in reversed(pieces)]
    return found


def _trimmed(curve: Any) -> list[Piece]:
    """A part of a line or of a circle."""
    basis, forward = curve.BasisCurve, bool(curve.SenseAgreement)
    if basis.is_a("IfcLine"):
        ends = [_on_line(basis, trim) for trim in (curve.Trim1, curve.Trim2)]
        return [(ends[0], ends[1])]
    if not basis.is_a("IfcCircle"):
        return []
    frame, turn = _frame(basis.Position), float(ifc_unit.calculate_unit_scale(curve.file, "PLANEANGLEUNIT"))
    first, last = (_angle(frame, trim, turn) for trim in (curve.Trim1, curve.Trim2))
    sweep = (last - first) % math.tau if forward else -((first - last) % math.tau)
    on = (_on_circle(frame, float(basis.Radius), first + share * sweep) for share in (0.0, 0.5, 1.0))
    return [tuple(on)]


def _on_line(line: Any, trim: Sequence[Any]) -> Point3:
    """Where a line is cut: the point that is given, else the one at a parameter."""
    if points := [t for t in trim if hasattr(t, "Coordinates")]:
        return _spot(points[0].Coordinates)
    along = np.array(_spot(line.Dir.Orientation.DirectionRatios))
    way = float(trim[0].wrappedValue) * float(line.Dir.Magnitude) / float(np.linalg.norm(along))
    return _spot(np.array(_spot(line.Pnt.Coordinates)) + way * along)


def _angle(frame: Number, trim: Sequence[Any], turn_rad: float) -> float:
    """Where a circle is cut [rad]; `turn_rad` is the file's unit of angles."""
    if points := [t for t in trim if hasattr(t, "Coordinates")]:
        x, y, *_ = np.linalg.inv(frame) @ np.array([*_spot(points[0].Coordinates), 1.0])
        return math.atan2(y, x)
    return float(trim[0].wrappedValue) * turn_rad


def _on_circle(frame: Number, radius: float, angle: float) -> Point3:
    point = frame @ np.array([radius * math.cos(angle), radius * math.sin(angle), 0.0, 1.0])
    return _spot(point[:3])


def _frame(position: Any) -> Number:
    return np.asarray(ifc_placement.get_axis2placement(position), dtype=float)


def _spot(coordinates: Any) -> Point3:
    """A point in space."""
    x, y, *z = (float(c) for c in coordinates)
    return (x, y, z[0] if z else 0.0)


def _all(model: Any, kind: str) -> list[Any]:
    """Elements of a class; none where the schema does not have it."""
    try:
        return list(model.by_type(kind))
    except RuntimeError:
        return []


def _is_typed(element: Any) -> bool:
    """Whether an element of the older schema is a pipe by its type."""
    bound = [r for r in element.IsDefinedBy or () if r.is_a("IfcRelDefinesByType")]
    return any(r.RelatingType.is_a(OLDER_TYPE) for r in bound)


def _is_circuit(group: Any) -> bool:
    return bool(group.is_a() == CIRCUIT or group.ObjectType == OLDER_CIRCUIT)
