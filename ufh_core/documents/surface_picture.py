"""The surface temperatures of a storey as a picture: the field in colours, walls, rooms with figures, a scale.

A picture and not lines, since it is made of cells. Places over their limit are hatched with a dark rim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.errors import OutputError
from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.lettering import clean
from ufh_core.documents.pen import polygons, united
from ufh_core.documents.plan_base import WALL_GREY
from ufh_core.documents.storey_view import StoreyView, storey_view
from ufh_core.documents.surface_palette import STEPS, coloured, palette
from ufh_core.surface_field.types import RoomSurface, SurfaceField
from ufh_core.words import number, say

LONG_SIDE_PX = 1700
MARGIN_PX, HEAD_PX, SCALE_PX, FOOT_PX = 24, 66, 190, 62
INK, RIM, PALE = (30, 30, 30), (10, 10, 10), (246, 246, 246)
FACES = ("DejaVuSans.ttf", "Verdana.ttf", "Arial.ttf")
LEAST_RANGE_K = 6.0
HATCH_PX = 9
OVER_K = 0.05  # as where findings tell it

Face = ImageFont.FreeTypeFont | ImageFont.ImageFont


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """Where the plan stands on the picture: `corner` [m] is its lower left, `metre_px` its scale."""

    corner: Point
    metre_px: float
    width: int
    height: int

    def at(self, x: float, y: float) -> Point:
        """Pixel of a point of the plan."""
        across = MARGIN_PX + (x - self.corner[0]) * self.metre_px
        return across, HEAD_PX + self.height - (y - self.corner[1]) * self.metre_px

    @property
    def size(self) -> tuple[int, int]:
        """The whole picture [px]."""
        return self.width + 2 * MARGIN_PX + SCALE_PX, self.height + HEAD_PX + FOOT_PX


def write_surface_picture(design: Design, storey: StoreyDesign, path: Path) -> None:
    """Write the picture of `storey` to `path`, a PNG. Raises: OutputError where it cannot be written."""
    whole = BytesIO()
    surface_picture(design, storey).save(whole, format="PNG", optimize=True)
    try:
        Path(path).write_bytes(whole.getvalue())
    except OSError as error:
        raise OutputError(f"{path}: the picture cannot be written ({error.strerror}); choose another folder") from error


def surface_picture(design: Design, storey: StoreyDesign) -> Image.Image:
    """The picture of a storey that has a surface field. Raises: OutputError where it has none."""
    field = storey.surface
    if field is None:
        raise OutputError("nothing is laid on the storey: there are no surface temperatures to draw")
    view = storey_view(design, storey)
    sheet = _sheet(view)
    low, high = scale_ends(field)
    picture = Image.new("RGB", sheet.size, (255, 255, 255))
    _paste_field(picture, sheet, field, low, high)
    _paste_walls(picture, sheet, view)
    draw = ImageDraw.Draw(picture)
    _draw_outlines(draw, sheet, view)
    for room in field.rooms:
        _draw_room(draw, sheet, view, room)
    _draw_scale(draw, sheet, field, low, high)
    _draw_words(draw, sheet, view)
    return picture


def scale_ends(field: SurfaceField) -> tuple[float, float]:
    """Whole degrees round all temperatures of the field [°C], at least `LEAST_RANGE_K` apart."""
    low = math.floor(min(room.coldest_c for room in field.rooms))
    high = math.ceil(max(room.peak_c for room in field.rooms))
    return float(low), float(max(high, low + LEAST_RANGE_K))


def _sheet(view: StoreyView) -> _Sheet:
    west, south, east, north = view.bounds
    metre_px = min(160.0, LONG_SIDE_PX / max(east - west, north - south))
    return _Sheet(
        corner=(west, south),
        metre_px=metre_px,
        width=math.ceil((east - west) * metre_px),
        height=max(480, math.ceil((north - south) * metre_px)),
    )


def _paste_field(picture: Image.Image, sheet: _Sheet, field: SurfaceField, low: float, high: float) -> None:
    """Every pixel of the plan in the colour of its cell; hatched and rimmed where that is over its limit."""
    rows, columns = np.arange(sheet.height), np.arange(sheet.width)
    x = sheet.corner[0] + (columns + 0.5) / sheet.metre_px
    y = sheet.corner[1] + (sheet.height - rows - 0.5) / sheet.metre_px
    column = np.floor((x - field.corner[0]) / field.cell_m).astype(int)
    row = np.floor((y - field.corner[1]) / field.cell_m).astype(int)
    values = _looked_up(field.surface_c, row, column)
    image = coloured(values, low, high)
    over = values > _looked_up(field.limit_c, row, column) + OVER_K
    hatch = (rows[:, None] + columns[None, :]) % HATCH_PX < 2
    image[(over & hatch) | _rim(over)] = RIM
    picture.paste(Image.fromarray(image), (MARGIN_PX, HEAD_PX))


def _looked_up(values: NDArray[np.float32], row: NDArray[np.int_], column: NDArray[np.int_]) -> NDArray[np.float32]:
    """Values of cells by row and column, not a number off the grid."""
    padded = np.pad(values, 1, constant_values=np.nan)
    row, column = np.clip(row + 1, 0, padded.shape[0] - 1), np.clip(column + 1, 0, padded.shape[1] - 1)
    return padded[np.ix_(row, column)]


def _rim(over: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Pixels of places that touch others, two wide."""
    inner = over.copy()
    for _ in range(2):
        padded = np.pad(inner, 1)
        inner = inner & padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
    return np.asarray(over & ~inner)


def _paste_walls(picture: Image.Image, sheet: _Sheet, view: StoreyView) -> None:
    """Walls less their openings, and columns; outer rings are filled and their holes cut out, the largest first."""
    walls = united([wall.outline for wall in view.storey.walls])
    gaps = united([opening.outline for opening in view.storey.openings])
    solid = united([walls.difference(gaps), *(column.outline for column in view.storey.columns)])
    mask = Image.new("L", picture.size, 0)
    draw = ImageDraw.Draw(mask)
    parts = polygons(solid.intersection(view.window))
    for part in sorted(parts, key=lambda p: p.envelope.area, reverse=True):
        draw.polygon([sheet.at(*p[:2]) for p in part.exterior.coords], fill=255)
        for hole in part.interiors:
            draw.polygon([sheet.at(*p[:2]) for p in hole.coords], fill=0)
    picture.paste(WALL_GREY, mask=mask)


def _draw_outlines(draw: ImageDraw.ImageDraw, sheet: _Sheet, view: StoreyView) -> None:
    """The outlines of rooms."""
    for room in view.rooms:
        if room.shown:
            for part in polygons(room.room.outline):
                draw.line([sheet.at(*p[:2]) for p in part.exterior.coords], fill=(120, 120, 120), width=1)


def _draw_room(draw: ImageDraw.ImageDraw, sheet: _Sheet, view: StoreyView, room: RoomSurface) -> None:
    """A room's name and figures on a pale ground, and a cross where its peak is."""
    own = next((v.room for v in view.rooms if v.room.ifc_guid == room.room), None)
    if own is None:
        return
    x, y = sheet.at(*room.peak_at)
    for width, colour in ((5, PALE), (2, RIM)):
        draw.line([(x - 7, y), (x + 7, y)], fill=colour, width=width)
        draw.line([(x, y - 7), (x, y + 7)], fill=colour, width=width)
    middle, wide = _place_for_words(own.outline)
    figures = [
        say("peak {peak:.1f}", peak=room.peak_c),
        say("mean {mean:.1f}", mean=room.mean_c),
        say("coldest {coldest:.1f}", coldest=room.coldest_c),
    ]
    lines = [clean(own.label), *figures]
    if wide * sheet.metre_px >= 270:
        lines = [clean(own.label), " · ".join(figures), say("limit {limit:.0f} °C", limit=room.limit_c)]
    face = _face(14 if wide * sheet.metre_px > 110 else 11)
    text = "\n".join(lines)
    at = sheet.at(*middle)
    box = draw.multiline_textbbox(at, text, font=face, anchor="mm", align="center", spacing=3)
    draw.rectangle([box[0] - 4, box[1] - 3, box[2] + 4, box[3] + 3], fill=PALE)
    draw.multiline_text(at, text, fill=INK, font=face, anchor="mm", align="center", spacing=3)


def _place_for_words(outline: BaseGeometry) -> tuple[Point, float]:
    """Middle and length [m] of the longest level line through a room at a third, half or two thirds of its height."""
    west, south, east, north = outline.bounds
    chords: list[BaseGeometry] = []
    for share in (1 / 2, 1 / 3, 2 / 3):
        y = south + share * (north - south)
        chord = outline.intersection(shapely.LineString([(west - 1, y), (east + 1, y)]))
        chords += [part for part in shapely.get_parts(chord) if part.length > 0]
    longest = max(chords, key=lambda chord: round(chord.length, 3))
    middle = longest.interpolate(0.5, normalized=True)
    return (middle.x, middle.y), float(longest.length)


def _draw_scale(draw: ImageDraw.ImageDraw, sheet: _Sheet, field: SurfaceField, low: float, high: float) -> None:
    """The colours with their degrees, and the rooms' limits beside them."""
    left, top = sheet.width + 2 * MARGIN_PX, HEAD_PX + 22
    tall = min(sheet.height - 30, 640)
    colours = palette()
    for k in range(tall):
        colour = colours[STEPS - 1 - k * STEPS // tall]
        draw.line([(left, top + k), (left + 34, top + k)], fill=(int(colour[0]), int(colour[1]), int(colour[2])))
    draw.rectangle([left, top, left + 34, top + tall], outline=INK)
    draw.text((left, HEAD_PX - 2), say("surface, °C"), fill=INK, font=_face(14))
    step = 1 if high - low <= 16 else 2

    def height_of(c: float) -> float:
        return top + tall * (high - c) / (high - low)

    for degree in range(int(low), int(high) + 1, step):
        draw.line([(left + 34, height_of(degree)), (left + 40, height_of(degree))], fill=INK)
        draw.text((left + 44, height_of(degree)), str(degree), fill=INK, font=_face(14), anchor="lm")
    for limit in sorted({room.limit_c for room in field.rooms if low <= room.limit_c <= high}):
        y = height_of(limit)
        draw.polygon([(left + 72, y), (left + 82, y - 5), (left + 82, y + 5)], fill=INK)
        draw.text((left + 86, y), say("limit {limit:.0f}", limit=limit), fill=INK, font=_face(13), anchor="lm")


def _draw_words(draw: ImageDraw.ImageDraw, sheet: _Sheet, view: StoreyView) -> None:
    """What it is, for which water, and what it does not hold."""
    flows = sorted({round(circuit.flow_c, 1) for circuit in view.result.circuits})
    name = clean(view.storey.name) or say("Storey")
    title = say("{storey}: temperature of the floor's surface", storey=name)
    draw.text((MARGIN_PX, 14), title, fill=INK, font=_face(22))
    under = say(
        "calculated, steady, water at {water} °C flow and its design flow rate in every circuit; + is a room's peak",
        water=", ".join(number(flow, 1) for flow in flows),
    )
    draw.text((MARGIN_PX, 42), under, fill=INK, font=_face(14))
    places = len(view.result.surface.hot_places) if view.result.surface else 0
    over = say("hatched: {places} places over the limit", places=places)
    if places < 2:
        over = say("hatched: 1 place over the limit") if places else say("no place is over its limit")
    notes = (
        say(
            "{over} of EN 1264-2: 9 K over the room, 15 K in edge zones along outer walls, or what the settings say.",
            over=over,
        ),
        say("Rugs, furniture and sun make floors warmer than this. To be checked by a competent person."),
    )
    for k, note in enumerate(notes):
        draw.text((MARGIN_PX, HEAD_PX + sheet.height + 12 + 20 * k), note, fill=INK, font=_face(14))


def _face(height: float) -> Face:
    """A face for figures and room names; the built-in one where the machine has none of the common ones."""
    for name in FACES:
        try:
            return ImageFont.truetype(name, round(height))
        except OSError:
            continue
    return ImageFont.load_default(height)
