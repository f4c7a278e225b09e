"""Rooms and pipes as SVG: the pipe from red (flow) to blue (return), keep-outs grey, cold floor hatched.

Coordinates are whole millimetres, y up in the plan and down in the drawing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any
from xml.sax.saxutils import escape

import numpy as np
import shapely
from shapely.geometry import LineString, box

COLOURS = 24
MARGIN = 250
FINE = 4e-4
"""Arcs are drawn in chords that stay this near to them [m]."""
HATCH = (
    '<defs><pattern id="cold" width="60" height="60" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<path d="M0 0V60" stroke="#06c" stroke-width="22"/></pattern></defs>'
)


@dataclass
class Sheet:
    """Shapes of a drawing in order, later ones on top."""

    caption: str
    shapes: list[str] = field(default_factory=list)
    bounds: list[tuple[float, ...]] = field(default_factory=list)

    def area(self, area: shapely.Geometry, style: str) -> None:
        """A filled area."""
        for part in shapely.get_parts(area):
            if part.geom_type == "Polygon" and not part.is_empty:
                self.bounds.append(part.bounds)
                rings = " ".join(path(ring.coords) + "Z" for ring in (part.exterior, *part.interiors))
                self.shapes.append(f'<path d="{rings}" fill-rule="evenodd" {style}/>')

    def pipe(self, line: LineString) -> None:
        """A pipe from red to blue, and its whole axis as a thin line."""
        points = np.array(line.simplify(FINE).coords)
        at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        ends = np.linspace(0, at[-1], COLOURS + 1)
        for k, (low, high) in enumerate(pairwise(ends)):
            between = points[(at > low) & (at < high)]
            first, last = ([np.interp(e, at, c) for c in points.T] for e in (low, high))
            share = k / (COLOURS - 1)
            colour = f"rgb({round(220 * (1 - share))},{round(40 * (1 - abs(2 * share - 1)))},{round(220 * share)})"
            d = path([first, *between, last])
            self.shapes.append(f'<path d="{d}" fill="none" stroke="{colour}" stroke-width="16"/>')
        self.shapes.append(f'<path class="pipe" d="{path(points)}" fill="none" stroke="#fff" stroke-width="2"/>')

    def cold(self, points: Any, step: float) -> None:
        """Cold places hatched."""
        if len(points):
            half = 0.51 * step
            cells = shapely.union_all([box(x - half, y - half, x + half, y + half) for x, y in points])
            self.area(cells, 'fill="url(#cold)" stroke="#06c" stroke-width="4"')

    def text(self) -> str:
        """The drawing as text."""
        x0, y0, x1, y1 = (round(1000 * v) for v in shapely.union_all([box(*b) for b in self.bounds]).bounds)
        lines = self.caption.splitlines()
        size = max(70, (x1 - x0) // 45)
        low, high = -y1 - MARGIN, -y0 + MARGIN + round(1.4 * size * len(lines))
        left, width = x0 - MARGIN, max(x1 - x0 + 2 * MARGIN, 48 * size)
        words = [
            f'<text x="{x0}" y="{-y0 + MARGIN + round(1.4 * size * k)}" font-size="{size}">{escape(line)}</text>'
            for k, line in enumerate(lines)
        ]
        return "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left} {low} {width} {high - low}"',
                'font-family="sans-serif">',
                HATCH,
                f'<rect x="{left}" y="{low}" width="100%" height="100%" fill="#fff"/>',
                *self.shapes,
                *words,
                "</svg>\n",
            ]
        )


def path(points: Any) -> str:
    """Points [m] as path data in whole millimetres."""
    return "M" + "L".join(f"{round(1000 * x)} {round(-1000 * y)}" for x, y in points)


FLOOR, SOLID, DOOR = (
    'fill="#f6f1e7" stroke="#222" stroke-width="30"',
    'fill="#999" stroke="#444" stroke-width="10"',
    'fill="#fff" stroke="#888" stroke-width="8"',
)


def room_sheet(case: Any, line: LineString | None, cold: Any = (), caption: str = "") -> Sheet:
    """One room with its pipe."""
    sheet = Sheet(caption)
    sheet.area(case.outline, FLOOR)
    for thing in case.keep_outs:
        sheet.area(thing, SOLID)
    sheet.area(case.door.ground(0.12, 0), DOOR)
    sheet.cold(cold, 0.03)
    if line is not None:
        sheet.pipe(line)
    return sheet


def level_sheet(storey: Any, layout: Any, lines: Sequence[LineString], cold: Any = (), caption: str = "") -> Sheet:
    """A storey with all of its circuits; rooms that failed are red."""
    sheet = Sheet(caption)
    failed = {f.room for f in layout.failed}
    for room in storey.rooms:
        sheet.area(room.outline, FLOOR.replace("#f6f1e7", "#f6b0a0") if room.ifc_guid in failed else FLOOR)
    for passage in storey.passages:
        sheet.area(passage.outline, DOOR)
    for thing in storey.obstacles:
        sheet.area(thing.outline, SOLID)
    for manifold in layout.manifolds:
        sheet.area(manifold.cabinet, 'fill="#fd5" stroke="#444" stroke-width="8"')
    sheet.cold(cold, 0.05)
    for line in lines:
        sheet.pipe(line)
    return sheet


def figures(values: dict[str, float]) -> Iterator[str]:
    """Figures as `name value`."""
    return (f"{name} {value:.3g}" for name, value in values.items())
