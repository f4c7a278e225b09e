"""One section through a floor: layers to scale, from the wall on, with words beside them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from ufh_core.documents.lettering import wrapped
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.plan_base import WALL_GREY
from ufh_core.documents.plan_pipes import FLOW_SHADES, RETURN_SHADES
from ufh_core.documents.sheet import PAPERS, Sheet
from ufh_core.floor.fixing import PANELS, RAILS, STAPLES
from ufh_core.floor.types import BuildUp, Layer
from ufh_core.settings.types import Settings
from ufh_core.words import mark, number, said, say

SCALE = 5
LEFT_MM, RIGHT_MM = 14.0, 14.0
WALL_MM, SHOWN_MM, BASE_MM = 8.0, 66.0, 7.0
HEIGHTS_MM, BESIDE_MM = 36.0, 6.0  # room for heights left of the wall, and between the floor and its words
ROW_MM, HEAD_MM, UNDER_MM, APART_MM = 5.2, 22.0, 12.0, 3.2
STAPLE_LEG_M = 0.02  # how deep a staple is drawn into the insulation
STUD_M, STUD_OVER_PIPE_M = 0.022, 0.002  # a stud is drawn so wide, and so much higher than the pipe
THIN_MM = 0.6  # layers thinner than that on paper are drawn as a line
BELOW = {
    "ground": mark("on ground"),
    "heated": mark("over heated rooms"),
    "unheated": mark("over unheated rooms"),
    "outside": mark("over air"),
}
LOOKS = {
    "insulation": ((252, 246, 226), (45.0, 135.0), 2.2),
    "panel": ((233, 236, 240), (), 0.0),
    "screed": ((240, 240, 238), (20.0,), 3.0),
    "finish": ((214, 196, 170), (), 0.0),
}
"""Ground colour, directions and distance [mm on paper] of lines by role."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorKind:
    """Rooms with one build-up. `floor_m` is the model's floor, `pitch_m` the tightest of their pitches."""

    build_up: BuildUp
    labels: tuple[str, ...]
    floor_m: float
    pitch_m: float


def height_mm(kind: FloorKind, settings: Settings) -> float:
    """Height on paper of a section with its words."""
    drawn = kind.build_up.height_m * 1000 / SCALE + BASE_MM
    return HEAD_MM + max(drawn, ROW_MM * (len(kind.build_up.layers) + 2)) + UNDER_MM


class SectionDrawing:
    """One section with its words, its upper left corner at `x`, `top` [mm on the sheet]."""

    def __init__(self, pen: Pen, sheet: Sheet, kind: FloorKind, settings: Settings, x: float, top: float) -> None:
        self.pen, self.sheet, self.kind, self.settings = pen, sheet, kind, settings
        self.x, self.top = x, top
        self.layers = kind.build_up.layers
        self.left = x + LEFT_MM + HEIGHTS_MM
        self.floor_left = self.left + WALL_MM
        self.right = self.floor_left + SHOWN_MM
        self.foot = top - HEAD_MM - kind.build_up.height_m * 1000 / SCALE

    def draw(self, number: int) -> None:
        """Draw the section, its words above and beside it and its heights."""
        self._words_above(number)
        self._base_and_wall()
        for layer in self.layers:
            self._layer(layer)
        self._edge_strip()
        self._studs()
        self._rail()
        self._pipes()
        self._words_beside()
        self._heights()

    def up(self, height_m: float) -> float:
        """Place on the sheet [mm] of a height in the world."""
        return self.foot + (height_m - self.layers[0].bottom_m) * 1000 / SCALE

    def box(self, left: float, low: float, right: float, high: float) -> shapely.Polygon:
        """A rectangle of the sheet [mm] in the drawing."""
        return shapely.box(*self.sheet.at(left, low), *self.sheet.at(right, high))

    def text(self, x: float, y: float, words: str, *, align: str = "left", head: bool = False) -> None:
        """A line of text on the sheet [mm]."""
        self.pen.text(self.sheet.at(x, y), words, 2.2 if head else 1.8, "SHEET", align=align, bold=head)

    def _words_above(self, number: int) -> None:
        build_up = self.kind.build_up
        below, rooms = said(BELOW.get(build_up.below, build_up.below)), ", ".join(self.kind.labels)
        name = say("Floor {number}, {below}: {rooms}", number=number, below=below, rooms=rooms)
        lines = 1
        for k, line in enumerate(wrapped(name, PAPERS["A4"][0] - LEFT_MM - RIGHT_MM, 2.2, 2, bold=True)):
            lines = k + 1
            self.text(self.x + LEFT_MM, self.top - 4 - 3.8 * k, line, head=True)
        figures = say(
            "height {height:.0f} mm, mass {mass:.0f} kg/m² without pipe water; resistance below the pipes "
            "{below:.2f} m²K/W",
            height=1000 * build_up.height_m,
            mass=build_up.mass_kg_m2,
            below=build_up.r_below,
        )
        self.text(self.x + LEFT_MM, self.top - 8 - 3.8 * (lines - 1), figures)

    def _base_and_wall(self) -> None:
        base = self.box(self.left, self.foot - BASE_MM, self.right, self.foot)
        wall = self.box(self.left, self.foot, self.floor_left, self.up(self.layers[-1].top_m) + 5)
        self.pen.fill(shapely.union(base, wall), "WALL", WALL_GREY)
        self.pen.outline(shapely.union(base, wall), "WALL")

    def _layer(self, layer: Layer) -> None:
        strip = self._strip_mm() if layer.role in {"panel", "screed", "finish"} else 0.0
        low, high = self.up(layer.bottom_m), self.up(layer.top_m)
        if high - low < THIN_MM:
            ends = [self.sheet.at(self.floor_left, (low + high) / 2), self.sheet.at(self.right, (low + high) / 2)]
            self.pen.line(ends, "SHEET", weight_mm=0.35)
            return
        area = self.box(self.floor_left + strip, low, self.right, high)
        colour, angles, gap = LOOKS.get(layer.role, (PAPER, (), 0.0))
        self.pen.fill(area, "SHEET", colour)
        if angles:
            self.pen.hatch(area, "ROOM", angles_deg=angles, gap_mm=gap)
        self.pen.outline(area, "SHEET")

    def _strip_mm(self) -> float:
        return self.settings.floor.edge_strip_thickness_m * 1000 / SCALE

    def _edge_strip(self) -> None:
        parted = [layer for layer in self.layers if layer.role in {"panel", "screed", "finish"}]
        if parted:
            high = self.up(self.layers[-1].top_m) + 2
            area = self.box(self.floor_left, self.up(parted[0].bottom_m), self.floor_left + self._strip_mm(), high)
            self.pen.fill(area, "SHEET", (190, 205, 215))
            self.pen.outline(area, "SHEET", weight_mm=0.13)

    def _studs(self) -> None:
        """The panel's studs, in principle: a stud pitch apart, a little higher than the pipe between them."""
        panel = next((layer for layer in self.layers if layer.role == "panel"), None)
        if panel is None:
            return
        top = self.up(panel.top_m + self.settings.pipe.outside_diameter_m + STUD_OVER_PIPE_M)
        wide, apart = (1000 / SCALE * m for m in (STUD_M, self.settings.layout.stud_pitch_m))
        left = self.floor_left + self._strip_mm()
        while left + wide < self.right:
            area = self.box(left, self.up(panel.top_m), left + wide, top)
            self.pen.fill(area, "SHEET", LOOKS["panel"][0])
            self.pen.outline(area, "SHEET", weight_mm=0.13)
            left += apart

    def _rail(self) -> None:
        """A clip rail across the pipes, in principle: its foot under them all."""
        if self.kind.build_up.fixing == RAILS:
            low = self._pipe_foot() - self.settings.floor.rail_seat_m
            area = self.box(
                self.floor_left + self._strip_mm() + 1, self.up(low), self.right, self.up(self._pipe_foot())
            )
            self.pen.fill(area, "SHEET", (60, 62, 66))

    def _pipe_foot(self) -> float:
        """World height of the pipes' underside [m]."""
        return self.kind.build_up.pipe_axis_m - self.settings.pipe.outside_diameter_m / 2

    def _holder(self, at: tuple[float, float]) -> None:
        """What holds one pipe, in principle: a staple's bow and legs, or a clip of the rail."""
        fixing, radius = self.kind.build_up.fixing, self.settings.pipe.outside_diameter_m / 2
        if fixing == PANELS:
            return
        out, foot = radius + 0.001, at[1] - radius
        if fixing == STAPLES:
            turn = [math.pi * (1 - k / 12) for k in range(13)]
            bow = [(at[0] + out * math.cos(t), at[1] + out * math.sin(t)) for t in turn]
            low = foot - STAPLE_LEG_M
            self.pen.line([(at[0] - out, low), *bow, (at[0] + out, low)], "SHEET", weight_mm=0.35)
            return
        for side in (-out, out):
            self.pen.line([(at[0] + side, foot), (at[0] + side, at[1] + 0.4 * radius)], "SHEET", weight_mm=0.5)

    def _pipes(self) -> None:
        """Pipes at their pitch, flow and return in turn."""
        radius, wall = self.settings.pipe.outside_diameter_m / 2, self.floor_left + self._strip_mm()
        for n, away in enumerate(self._places((self.right - wall) * SCALE / 1000)):
            at = self.sheet.at(wall + away * 1000 / SCALE, self.up(self.kind.build_up.pipe_axis_m))
            layer, shade = ("PIPE-RETURN", RETURN_SHADES[0]) if n % 2 else ("PIPE-FLOW", FLOW_SHADES[0])
            self.pen.fill(shapely.Point(at).buffer(radius), "SHEET", shade)
            self.pen.fill(shapely.Point(at).buffer(radius - self.settings.pipe.wall_m), "SHEET", PAPER)
            self.pen.circle(at, radius * 1000 / SCALE, layer, colour=shade, linetype="CONTINUOUS")
            self._holder(at)
            self.pen.text(
                (at[0], at[1] - 0.0035), say("R") if n % 2 else say("F"), 1.2, "SHEET", align="middle", bold=True
            )

    def _places(self, shown_m: float) -> Iterator[float]:
        """Distances of the pipes from the edge strip [m], between two studs each where there are any."""
        pitch, stud = self.kind.pitch_m, self.settings.layout.stud_pitch_m
        first = pitch / 2
        if self.kind.build_up.fixing == PANELS:
            first = (stud + STUD_M) / 2 + stud * max(0, round((pitch / 2 - stud) / stud))
        count = max(0, int((shown_m - first) / pitch) + 1)
        yield from (at for at in (first + n * pitch for n in range(count)) if at < shown_m - 0.01)

    def _words_beside(self) -> None:
        """A row for each layer from above, with a line to it."""
        rows = [
            (self._said(layer), (self.up(layer.bottom_m) + self.up(layer.top_m)) / 2) for layer in self.layers[::-1]
        ]
        rows.append((say("load-bearing base"), self.foot - BASE_MM / 2))
        above = max(self.up(self.layers[-1].top_m), self.foot + ROW_MM * len(self.layers))
        first = min(self.top - HEAD_MM - 2, above)
        for k, (words, middle) in enumerate(rows):
            y = first - ROW_MM * k
            start, knee = self.sheet.at(self.right - 3, middle), self.sheet.at(self.right + BESIDE_MM - 2, y + 0.7)
            self.pen.line([start, knee, self.sheet.at(self.right + BESIDE_MM - 0.8, y + 0.7)], "SHEET", weight_mm=0.09)
            self.pen.circle(start, 0.35, "SHEET")
            room = PAPERS["A4"][0] - RIGHT_MM - (self.right - self.x) - BESIDE_MM
            for n, line in enumerate(wrapped(words, room, 1.8, 2)):
                self.text(self.right + BESIDE_MM, y - 2.3 * n, line)

    def _said(self, layer: Layer) -> str:
        """What is written of a layer."""
        thick, material = 1000 * layer.thickness_m, said(layer.material)
        words = say("{thick:.4g} mm {material}", thick=thick, material=material)
        if layer.role == "screed":
            floor = self.settings.floor
            over = say("{cover:.4g} mm over the pipe", cover=1000 * floor.screed_cover_m)
            return f"{words} {floor.screed_strength}, {over}"
        if layer.role in {"insulation", "panel"} or (layer.role == "finish" and layer.r_value > 0):
            return f"{words}, R {number(layer.r_value, 2)}"
        return words

    def _heights(self) -> None:
        """The whole height as a dimension, and heights over the model's floor [mm]."""
        low, high, x = self.foot, self.up(self.layers[-1].top_m), self.left - 3.5
        self.pen.line([self.sheet.at(x, low), self.sheet.at(x, high)], "SHEET", weight_mm=0.13)
        for y in (low, high):
            self.pen.line([self.sheet.at(x - 1, y - 0.7), self.sheet.at(x + 1, y + 0.7)], "SHEET", weight_mm=0.25)
        middle = self.sheet.at(x - 0.8, low + 0.75 * (high - low))
        self.pen.text(middle, f"{1000 * self.kind.build_up.height_m:.0f}", 1.8, "SHEET", align="middle", turn_deg=90.0)
        written = math.inf
        for over, names in sorted(self._marks().items(), reverse=True):
            y = self.up(self.kind.floor_m + over / 1000)
            written = min(y, written - APART_MM)
            ends = [self.sheet.at(self.left - 8, written), self.sheet.at(self.left - 6, y), self.sheet.at(self.left, y)]
            self.pen.line(ends, "SHEET", weight_mm=0.09)
            height = f"{over:+d}" if over else "±0"
            named = ", ".join(map(say, names))
            self.text(self.left - 8.6, written - 0.8, f"{named} {height}", align="right")
            if over == 0 and "finish" not in names:
                across = [self.sheet.at(self.left, y), self.sheet.at(self.right, y)]
                self.pen.line(across, "SHEET", linetype="SHORT_DASH", weight_mm=0.25)

    def _marks(self) -> dict[int, list[str]]:
        """What lies at which height over the model's floor [mm]."""
        marks: dict[int, list[str]] = {}
        named = {
            mark("finish"): self.layers[-1].top_m,
            mark("pipe axis"): self.kind.build_up.pipe_axis_m,
            mark("base"): self.layers[0].bottom_m,
            mark("model's floor"): self.kind.floor_m,
        }
        for name, height in named.items():
            marks.setdefault(round(1000 * (height - self.kind.floor_m)), []).append(name)
        return marks
