"""The pipes of a storey as DXF in the model's own coordinates, in metres, with true arcs.

Each circuit is two polylines that meet at its turning point: the way in and, dashed on a layer of its own, the way
back. Arcs are bulges, so that both lengths in any reader make up the pipe's length in plan.
Layers are agent (2), element (6), presentation (2) as in ISO 13567-2 (from memory): `H-PIPE-FE-`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.document import Drawing
from ezdxf.filemanagement import new as new_drawing
from shapely.geometry import Polygon

from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.pipe_axis import Arc, Point, Straight
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.dxf_drawing import without_clock
from ufh_core.documents.plan_pipes import halves

FLOW, RETURN, NUMBERS = "H-PIPE-FE-", "H-PIPE-RE-", "H-PIPE--T-"
FIELDS, MANIFOLDS = "H-FIELD-E-", "H-MANIF-E-"
_COLOURS = {FLOW: 1, RETURN: 5, NUMBERS: 7, FIELDS: 8, MANIFOLDS: 3}
DASHED, DASHES_M = "DASHED", (0.12, 0.08, -0.04)
"""The line of the way back: length of the pattern, of its dash and of its gap."""
_TEXT_M = 0.12


def write_plan_dxf(design: Design, storey: StoreyDesign, path: Path) -> None:
    """Write pipes, their numbers, heated fields and cabinets of a storey; the same design gives the same bytes.

    Raises: OSError where the file cannot be written.
    """
    with without_clock():
        _drawing(design, storey).saveas(path)


def _drawing(design: Design, storey: StoreyDesign) -> Drawing:
    """The storey on its layers."""
    drawing = new_drawing("R2010", units=ezdxf.units.M)
    drawing.linetypes.add(DASHED, DASHES_M, description="the way back")
    for name, colour in _COLOURS.items():
        drawing.layers.add(name, color=colour, linetype=DASHED if name == RETURN else "Continuous")
    space, frame = drawing.modelspace(), design.building.frame
    for circuit in storey.circuits:
        for layer, half in zip((FLOW, RETURN), halves(circuit.laid.axis), strict=True):
            if half:
                space.add_lwpolyline(pipe_points(half, frame), format="xyb", dxfattribs={"layer": layer})
        for field in circuit.laid.fields:
            inside = field.outline.representative_point()
            at = {"layer": NUMBERS, "insert": _world(frame, (inside.x, inside.y))}
            space.add_text(circuit.laid.number, height=_TEXT_M, dxfattribs=at)
            for ring in (field.outline.exterior, *field.outline.interiors):
                space.add_lwpolyline(_ring(Polygon(ring), frame), close=True, dxfattribs={"layer": FIELDS})
    for manifold in storey.manifolds:
        outline = _ring(manifold.manifold.cabinet, frame)
        space.add_lwpolyline(outline, close=True, dxfattribs={"layer": MANIFOLDS})
    drawing.classes.add_required_classes(drawing.dxfversion)  # ezdxf adds them from a set, in any order
    drawing.classes.classes = dict(sorted(drawing.classes.classes.items()))
    return drawing


def pipe_points(pieces: Sequence[Straight | Arc], frame: LocalFrame) -> list[tuple[float, float, float]]:
    """Corners (x, y, bulge) in the model's coordinates [m]; a bulge is the tangent of a quarter of the sweep."""
    bulges = [math.tan(piece.sweep / 4) if isinstance(piece, Arc) else 0.0 for piece in pieces]
    corners = [*(piece.start for piece in pieces), pieces[-1].end]
    return [(*_world(frame, at), bulge) for at, bulge in zip(corners, [*bulges, 0.0], strict=True)]


def _world(frame: LocalFrame, at: Point) -> Point:
    """A plan point in the model's coordinates [m]."""
    x, y, *_ = frame.to_world(np.array([[at[0], at[1], 0.0]]))[0]
    return float(x), float(y)


def _ring(outline: Polygon, frame: LocalFrame) -> list[Point]:
    """Corners of an outline in the model's coordinates [m], the first not repeated."""
    return [_world(frame, (x, y)) for x, y, *_ in outline.exterior.coords[:-1]]
