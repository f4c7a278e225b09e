"""The drilling depth map of a storey: pipes as bands to keep off, and in each room how deep one may drill."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from html import escape
from typing import Any

import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.documents.lettering import EM_PER_CAP_HEIGHT, text_width
from ufh_core.documents.setting_out_text import short
from ufh_core.site_pack.drilling import Depth
from ufh_core.words import mark, say

WIDTH_MM, HEIGHT_MM = 297.0, 210.0
BAND_M = 0.10
"""Width of the band to keep off at every pipe [m]: half of it on each side. Own rule."""
_SIDE, _TOP, _BOTTOM = 14.0, 30.0, 22.0
_FLOOR = 'fill="#f3f0e6" stroke="#222" stroke-width=".4" fill-rule="evenodd"'
_KEY = mark("Not to scale. Grey: a pipe may lie here, never drill. Depths in mm from the finished surface.")
_CARE = mark("Find the pipe with a detector first; a depth stop on the drill. In doubt do not drill.")
_FACES = "DejaVu Sans, Verdana, Arial, sans-serif"


def depth_map(storey: Mapping[str, Any], names: Mapping[str, str], found: Sequence[Depth]) -> str | None:
    """The map as SVG on A4, not to scale; None where the storey has no floor. `names` are those of rooms."""
    fields = [(row["rooms"], Polygon(row["outline"], row["holes"])) for row in storey["joints"]["pour_fields"]]
    pipes = [LineString(list(_line(row["path"]))) for row in storey["circuits"] if len(row["path"]) > 1]
    if not fields:
        return None
    to = _Scale(shapely.union_all([shape for _, shape in fields] + pipes).bounds)
    band, most = BAND_M * to.scale, {d.room: d for d in found if d.storey == storey["name"]}
    title = say("Drilling depth map: {storey}", storey=short(storey["name"]))
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_MM:g}mm" height="{HEIGHT_MM:g}mm" '
        f'viewBox="0 0 {WIDTH_MM:g} {HEIGHT_MM:g}"><rect width="100%" height="100%" fill="white"/>',
        _text(_SIDE, 16.0, title, 4.0, "start"),
        _text(_SIDE, 23.0, say(_KEY), 2.4, "start"),
        *(f'<path d="{to.ring(shape)}" {_FLOOR}/>' for _, shape in fields),
        *(f'<path d="{to.path(p.coords)}" fill="none" stroke="#9a9a9a" stroke-width="{band:.2f}" '
          'stroke-linejoin="round" stroke-linecap="round"/>' for p in pipes),
        *(f'<path d="{to.path(p.coords)}" fill="none" stroke="#222" stroke-width=".25"/>' for p in pipes),
        *(line for rooms, shape in fields for line in _label(to, shape, [names[r] for r in rooms if r in names], most)),
        _text(_SIDE, HEIGHT_MM - 11.0, say(_CARE), 2.4, "start"),
        "</svg>",
    ]  # fmt: skip
    return "".join(lines)


class _Scale:
    """From metres of the plan to mm on the sheet."""

    def __init__(self, bounds: Sequence[float]) -> None:
        west, south, east, north = bounds
        wide, high = max(east - west, 0.1), max(north - south, 0.1)
        self.scale = min((WIDTH_MM - 2 * _SIDE) / wide, (HEIGHT_MM - _TOP - _BOTTOM) / high)
        self.west, self.north = west - (WIDTH_MM / self.scale - wide) / 2, north + _TOP / self.scale

    def at(self, point: Sequence[float]) -> tuple[float, float]:
        """A point on the sheet [mm]."""
        return (point[0] - self.west) * self.scale, (self.north - point[1]) * self.scale

    def path(self, points: Sequence[Sequence[float]]) -> str:
        """A line on the sheet."""
        return "M" + "L".join("{:.2f} {:.2f}".format(*self.at(point)) for point in points)

    def ring(self, shape: Polygon) -> str:
        """An outline with its holes."""
        return "".join(self.path(ring.coords) + "Z" for ring in (shape.exterior, *shape.interiors))


def _line(path: Sequence[Any]) -> Iterator[tuple[float, float]]:
    """A circuit's axis as points; of an arc its ends and its middle, which is enough for a band to keep off."""
    for piece in path:
        points = piece["arc"] if isinstance(piece, dict) else [piece]
        yield from ((float(point[0]), float(point[1])) for point in points)


def _label(to: _Scale, shape: Polygon, rooms: Sequence[str], most: Mapping[str, Depth]) -> Iterator[str]:
    """The rooms of a field and the least of their depths."""
    own = [most[room].most_mm for room in rooms if room in most]
    proved = [depth for depth in own if depth is not None]
    depth = say("{depth:.0f} mm", depth=min(proved)) if own and len(proved) == len(own) else say("no drilling")
    x, y = to.at((shape.representative_point().x, shape.representative_point().y))
    name = short(", ".join(rooms))[:28]
    wide = max(text_width(name, 2.0), text_width(depth, 3.4, bold=True)) + 3
    box = f'x="{x - wide / 2:.2f}" y="{y - 5:.2f}" width="{wide:.2f}" height="9.6"'
    yield f'<rect {box} fill="white" stroke="#222" stroke-width=".2"/>'
    yield _text(x, y - 1.6, name, 2.0)
    yield _text(x, y + 3.2, depth, 3.4, weight="bold")


def _text(x: float, y: float, text: str, height_mm: float, anchor: str = "middle", weight: str = "normal") -> str:
    size = height_mm * EM_PER_CAP_HEIGHT
    style = f'font-family="{_FACES}" font-size="{size:.2f}" font-weight="{weight}" text-anchor="{anchor}"'
    return f'<text x="{x:.2f}" y="{y:.2f}" {style}>{escape(text)}</text>'
