"""The pen: one neutral drawing in millimetres of the building, with sizes of signs given in mm on paper.

Everything that is drawn goes through here, so that the drawing can be written as SVG, DXF or PDF.
Points come in metres of the local plan frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import shapely
from ezdxf import colors, filemanagement
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.pipe_axis import Arc, Point, Straight
from ufh_core.documents.dxf_drawing import without_clock
from ufh_core.documents.lettering import clean

UNITS_PER_METRE = 1000.0
LEAST_MM = 0.2  # smaller areas on paper are not drawn
INK = (38, 38, 38)
PAPER = (255, 255, 255)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerLook:
    """A layer's colour, line weight [mm on paper] and line type."""

    colour: tuple[int, int, int]
    weight_mm: float
    linetype: str = "CONTINUOUS"


# Line types as dash and gap lengths in mm on paper.
LINETYPES: dict[str, tuple[float, ...]] = {
    "RETURN_DASH": (2.2, -0.9),
    "FIELD_EDGE": (4.0, -0.8, 0.6, -0.8),
    "SHORT_DASH": (1.2, -0.8),
    "JOINT_CHAIN": (5.0, -1.0, 1.0, -1.0),
}
LAYERS: dict[str, LayerLook] = {
    "ROOM": LayerLook(colour=(150, 150, 150), weight_mm=0.13),
    "LEFT-OUT": LayerLook(colour=(120, 120, 120), weight_mm=0.09),
    "FIELD": LayerLook(colour=(126, 118, 92), weight_mm=0.13, linetype="FIELD_EDGE"),
    "OBSTACLE": LayerLook(colour=(110, 110, 110), weight_mm=0.18),
    "WALL": LayerLook(colour=(92, 92, 92), weight_mm=0.25),
    "OPENING": LayerLook(colour=(92, 92, 92), weight_mm=0.18),
    "MANIFOLD": LayerLook(colour=INK, weight_mm=0.35),
    "PIPE-FLOW": LayerLook(colour=(190, 74, 8), weight_mm=0.30),
    "PIPE-RETURN": LayerLook(colour=(0, 92, 128), weight_mm=0.30, linetype="RETURN_DASH"),
    "JOINT": LayerLook(colour=(112, 32, 122), weight_mm=0.5, linetype="JOINT_CHAIN"),
    "NOT-TO-LAY": LayerLook(colour=(120, 120, 120), weight_mm=0.18, linetype="SHORT_DASH"),
    "TEMPERATURE": LayerLook(colour=(150, 128, 112), weight_mm=0.09),
    "ISOTHERM": LayerLook(colour=(70, 40, 50), weight_mm=0.13),
    "PANEL": LayerLook(colour=(96, 96, 96), weight_mm=0.18),
    "SIGN": LayerLook(colour=INK, weight_mm=0.25),
    "FLOOR": LayerLook(colour=(120, 120, 120), weight_mm=0.18),
    "LABEL": LayerLook(colour=INK, weight_mm=0.13),
    "SHEET": LayerLook(colour=INK, weight_mm=0.18),
}


class Pen:
    """Draws on a document at one scale (1:`scale`)."""

    def __init__(self, scale: float) -> None:
        self.scale = scale
        self._least_m2 = min(1e-4, self.mm(LEAST_MM) ** 2)
        with without_clock():
            self.document: Drawing = filemanagement.new("R2010")
        self.document.header["$INSUNITS"] = 4
        self.document.header["$MEASUREMENT"] = 1
        self._space = self.document.modelspace()
        self._set_up()

    def mm(self, on_paper: float) -> float:
        """Metres of the building that `on_paper` mm stand for."""
        return on_paper * self.scale / 1000.0

    def line(self, points: Iterable[Sequence[float]], layer: str, *, closed: bool = False, **look: Any) -> None:
        """A polyline through `points`."""
        scaled = [_scaled(point) for point in points]
        if len(scaled) > 1:
            self._space.add_lwpolyline(scaled, close=closed, dxfattribs=_attributes(layer, **look))

    def axis(self, pieces: Sequence[Straight | Arc], layer: str, **look: Any) -> None:
        """A polyline of straights and true arcs."""
        rows = [(*_scaled(piece.start), _bulge(piece)) for piece in pieces]
        if rows:
            rows.append((*_scaled(pieces[-1].end), 0.0))
            self._space.add_lwpolyline(rows, format="xyb", dxfattribs=_attributes(layer, **look))

    def outline(self, area: BaseGeometry, layer: str, **look: Any) -> None:
        """The edges of `area`, holes too."""
        for polygon in polygons(area, self._least_m2):
            for ring in (polygon.exterior, *polygon.interiors):
                self.line(list(ring.coords)[:-1], layer, closed=True, **look)

    def fill(self, area: BaseGeometry, layer: str, colour: tuple[int, int, int]) -> None:
        """`area` in one colour."""
        for polygon in polygons(area, self._least_m2):
            hatch = self._space.add_hatch(dxfattribs=_attributes(layer))
            hatch.rgb = colour
            _add_rings(hatch, polygon)

    def hatch(self, area: BaseGeometry, layer: str, *, angles_deg: Sequence[float], gap_mm: float) -> None:
        """`area` under straight lines `gap_mm` apart on paper, one family per angle."""
        gap = gap_mm * self.scale
        lines = [_hatch_family(angle, gap) for angle in angles_deg]
        for polygon in polygons(area, self._least_m2):
            hatch = self._space.add_hatch(dxfattribs=_attributes(layer))
            hatch.set_pattern_fill(layer, scale=1.0, definition=lines)
            _add_rings(hatch, polygon)

    def circle(self, centre: Point, radius_mm: float, layer: str, **look: Any) -> None:
        """A circle of `radius_mm` on paper."""
        radius = radius_mm * self.scale
        self._space.add_circle(_scaled(centre), radius, dxfattribs=_attributes(layer, **look))

    def text(
        self,
        at: Point,
        content: str,
        height_mm: float,
        layer: str = "LABEL",
        *,
        align: str = "left",
        turn_deg: float = 0.0,
        bold: bool = False,
        colour: tuple[int, int, int] | None = None,
    ) -> None:
        """One line of text with its baseline at `at`, capitals `height_mm` high on paper."""
        content = clean(content)
        if not content:
            return
        attributes = _attributes(layer, colour=colour)
        attributes |= {"style": "PLAN-BOLD" if bold else "PLAN", "rotation": turn_deg}
        entity = self._space.add_text(content, height=height_mm * self.scale, dxfattribs=attributes)
        entity.set_placement(_scaled(at), align=_ALIGN[align])

    def _set_up(self) -> None:
        for name, dashes in LINETYPES.items():
            lengths = [dash * self.scale for dash in dashes]
            self.document.linetypes.add(name, pattern=[sum(map(abs, lengths)), *lengths])
        for name, look in LAYERS.items():
            layer = self.document.layers.add(name, linetype=look.linetype, lineweight=round(look.weight_mm * 100))
            layer.rgb = look.colour
        self.document.styles.add("PLAN", font="DejaVuSans.ttf")
        self.document.styles.add("PLAN-BOLD", font="DejaVuSans-Bold.ttf")


_ALIGN = {
    "left": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}


def polygons(area: BaseGeometry, least_m2: float = 1e-4) -> list[Polygon]:
    """The polygons of `area` that are large enough to draw [m²]: 1 cm² of a building."""
    return [part for part in shapely.get_parts(area) if part.geom_type == "Polygon" and part.area > least_m2]


def united(areas: Iterable[BaseGeometry]) -> BaseGeometry:
    """The union of `areas`, made valid first."""
    return shapely.union_all([shapely.make_valid(area) for area in areas])


def _scaled(point: Sequence[float]) -> tuple[float, float]:
    return (round(float(point[0]) * UNITS_PER_METRE, 3), round(float(point[1]) * UNITS_PER_METRE, 3))


def _bulge(piece: Straight | Arc) -> float:
    return math.tan(piece.sweep / 4) if isinstance(piece, Arc) else 0.0


def _attributes(
    layer: str,
    *,
    colour: tuple[int, int, int] | None = None,
    linetype: str | None = None,
    weight_mm: float | None = None,
) -> dict[str, Any]:
    attributes: dict[str, Any] = {"layer": layer}
    if colour is not None:
        attributes["true_color"] = colors.rgb2int(colour)
    if linetype is not None:
        attributes["linetype"] = linetype
    if weight_mm is not None:
        attributes["lineweight"] = _known_weight(weight_mm)
    return attributes


def _known_weight(weight_mm: float) -> int:
    """The nearest line weight of the file format [1/100 mm]."""
    return min((9, 13, 18, 25, 30, 35, 50, 70, 100), key=lambda known: abs(known - weight_mm * 100))


def _hatch_family(angle_deg: float, gap: float) -> list[Any]:
    across = math.radians(angle_deg + 90.0)
    return [angle_deg, (0.0, 0.0), (gap * math.cos(across), gap * math.sin(across)), []]


def _add_rings(hatch: Any, polygon: Polygon) -> None:
    hatch.paths.add_polyline_path([_scaled(p) for p in polygon.exterior.coords], is_closed=True)
    for ring in polygon.interiors:
        hatch.paths.add_polyline_path([_scaled(p) for p in ring.coords], is_closed=True, flags=16)
