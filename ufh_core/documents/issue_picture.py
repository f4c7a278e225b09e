"""A small picture of the plan round a finding: rooms, walls and pipes, with what is meant marked."""

from __future__ import annotations

import io
from collections.abc import Iterable

import shapely
from PIL import Image, ImageDraw

from ufh_core.basis.findings import Finding
from ufh_core.documents.finding_groups import circuits_named
from ufh_core.documents.issue_places import IssuePlace

SIDE_PX, TWICE = 600, 2
PAPER, WALL, ROOM, MEANT, PIPE, MARK = "white", "#8a8a8a", "#555555", "#ffe1a8", "#2b5fa8", "#c02020"


def issue_picture(place: IssuePlace, finding: Finding) -> bytes:
    """PNG of the place, plan north up as in the plans."""
    side = SIDE_PX * TWICE
    image = Image.new("RGB", (side, side), PAPER)
    sketch = _Sketch(ImageDraw.Draw(image), place, side)
    for room in place.shown.storey.rooms:
        sketch.area(room.outline, MEANT if room.ifc_guid in finding.ifc_guids else PAPER, ROOM)
    for wall in place.shown.storey.walls:
        sketch.area(wall.outline, WALL, WALL)
    for number, line in place.shown.pipes.items():
        meant = number in circuits_named(finding)
        sketch.line(line.coords, MARK if meant else PIPE, 6 if meant else 3)
    for cabinet in place.shown.cabinets:
        sketch.area(cabinet, ROOM, ROOM)
    if finding.at is not None:
        sketch.ring(finding.at)
    data = io.BytesIO()
    image.resize((SIDE_PX, SIDE_PX), Image.Resampling.LANCZOS).save(data, "PNG")
    return data.getvalue()


class _Sketch:
    """Plan coordinates onto the picture."""

    def __init__(self, pen: ImageDraw.ImageDraw, place: IssuePlace, side: int) -> None:
        self.pen, self.scale = pen, side / (2 * place.half_m)
        self.left, self.top = place.middle[0] - place.half_m, place.middle[1] + place.half_m

    def spots(self, points: Iterable[tuple[float, ...]]) -> list[tuple[float, float]]:
        """Pixels of plan points."""
        return [((p[0] - self.left) * self.scale, (self.top - p[1]) * self.scale) for p in points]

    def area(self, shape: shapely.Geometry, fill: str, edge: str) -> None:
        """An area; holes are shown by their edges."""
        for part in shapely.get_parts(shape):
            if part.geom_type == "Polygon" and not part.is_empty:
                self.pen.polygon(self.spots(part.exterior.coords), fill=fill, outline=edge, width=2)
                for hole in part.interiors:
                    self.line(hole.coords, edge, 2)

    def line(self, points: Iterable[tuple[float, ...]], colour: str, width: int) -> None:
        """A line."""
        self.pen.line(self.spots(points), fill=colour, width=width, joint="curve")

    def ring(self, at: tuple[float, float]) -> None:
        """A mark round a point."""
        x, y = self.spots([at])[0]
        self.pen.ellipse((x - 40, y - 40, x + 40, y + 40), outline=MARK, width=8)
