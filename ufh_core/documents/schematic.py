"""The water's way through the whole heating, not to scale: source, mains, mixing stations, pumps, circuits, values.

One block for each manifold, one or two in a row; mains run down the left from row to row.
Coordinates are metres of paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import Design, ManifoldDesign
from ufh_core.documents.framed_page import Page, Plan, drawn
from ufh_core.documents.labels import Label
from ufh_core.documents.lettering import wrapped
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.plan_pipes import FLOW_SHADES, RETURN_SHADES
from ufh_core.documents.port_strip import HEADS_MM, PortCells, draw_strip, port_cells, strip_mm
from ufh_core.documents.schematic_words import draw_schematic_sign, schematic_blocks, source_lines
from ufh_core.documents.sheet import ON_PAPER, Sheet
from ufh_core.documents.storey_view import storey_view
from ufh_core.documents.water_signs import RIGHT, UP, SignPen
from ufh_core.words import number, say

FILE = "schematic"
CELL, STATION, MAINS = 0.018, 0.062, 0.022
BARS, COILS = 0.046, 0.017
OVER, UNDER = 0.026, 0.010
SOURCE = (0.074, 0.030)
BAR_MM, PIPE_MM = 0.9, 0.4
MOST_IN_A_ROW = 2


@dataclass(frozen=True, kw_only=True)
class Station:
    """One manifold with the texts under its ports, its block's width [m of paper]."""

    manifold: ManifoldDesign
    storey: str
    cells: tuple[PortCells, ...]

    @property
    def width(self) -> float:
        """Width of the block without the mains."""
        return max(STATION, HEADS_MM / 1000) + CELL * max(1, len(self.cells)) + 0.012


def drawn_schematic(design: Design, *, date: str = "") -> Plan:
    """The schematic of a design that has manifolds. Raises: OutputError where a storey is not in the building."""
    stations = tuple(
        Station(manifold=m, storey=view.storey.name, cells=port_cells(view, storey, m))
        for storey in design.storeys
        for view in [storey_view(design, storey)]
        for m in storey.manifolds
    )
    drawing = _Layout(design, stations)

    def draw(pen: Pen, _sheet: Sheet) -> tuple[Label, ...]:
        _Drawing(pen, drawing).draw()
        return ()

    page = Page(
        design=design,
        heading=say("Hydraulic schematic of the floor heating"),
        bounds=drawing.bounds,
        written=schematic_blocks(design),
        draw=draw,
        draw_sign=draw_schematic_sign,
        date=date,
        choices=ON_PAPER,
        to_scale=False,
    )
    return drawn(page)


class _Layout:
    """Rows of blocks, about as wide as they are high."""

    def __init__(self, design: Design, stations: tuple[Station, ...]) -> None:
        self.design = design
        self.high = OVER + BARS + UNDER + strip_mm() / 1000 + 0.012
        widest = max((s.width for s in stations), default=0.1)
        columns = math.ceil(math.sqrt(len(stations) * self.high / (widest * 1.2)))
        columns = min(MOST_IN_A_ROW, max(1, columns))
        self.rows = [stations[k : k + columns] for k in range(0, len(stations), columns)]
        self.width = max((sum(s.width + MAINS for s in row) for row in self.rows), default=0.1)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """What the sheet must hold, the source above."""
        return (-0.012, -len(self.rows) * self.high, max(self.width, SOURCE[0] + 0.04), SOURCE[1] + 0.012)


class _Drawing:
    """Draws the schematic with `pen`."""

    def __init__(self, pen: Pen, layout: _Layout) -> None:
        self.pen, self.layout, self.signs = pen, layout, SignPen(pen)

    def draw(self) -> None:
        """Source, mains from row to row, and every block."""
        self._source()
        last = -(len(self.layout.rows) - 1) * self.layout.high - OVER
        self._line([(0.0, 0.0), (0.0, last)], flow=True)
        self._line([(0.008, 0.0), (0.008, last - BARS)], flow=False)
        for k, row in enumerate(self.layout.rows):
            self._row(row, -k * self.layout.high - OVER)

    def _source(self) -> None:
        """The source by others, with vessel and safety valve for the water of the circuits."""
        box = shapely.box(-0.006, 0.0, SOURCE[0], SOURCE[1])
        self.pen.fill(box, "SIGN", PAPER)
        self.pen.outline(box, "SIGN", weight_mm=0.35)
        lines = [line for text in source_lines(self.layout.design) for line in wrapped(text, 62.0, 1.8)]
        for k, line in enumerate(lines):
            self.pen.text((-0.003, SOURCE[1] - 0.005 - 0.0032 * k), line, 1.8, "SIGN", bold=k == 0)
        self.signs.arrow((0.0, -0.006), -UP)
        self.signs.arrow((0.008, -0.006), UP)

    def _row(self, row: tuple[Station, ...], z: float) -> None:
        """Blocks side by side; their mains pass over the blocks before them."""
        over, under = z + 0.018, z - BARS - UNDER + 0.006
        self._tee((0.0, z), flow=True)
        self._tee((0.008, z - BARS), flow=False)
        self._block(row[0], ((0.0, z), (0.008, z - BARS)), MAINS)
        for second in row[1:]:
            x = 2 * MAINS + row[0].width
            left, right = x - MAINS + 0.006, x - MAINS + 0.014
            self._line([(0.0, z), (0.0, over), (left, over), (left, z)], flow=True)
            self._line([(0.008, z - BARS), (0.008, under), (right, under), (right, z - BARS)], flow=False)
            self._tee((0.0, over), flow=True)
            self._block(second, ((left, z), (right, z - BARS)), x)

    def _block(self, station: Station, ends: tuple[Point, Point], x: float) -> None:
        """Station, bars, circuits and the strip of values of one manifold."""
        (flow_x, z), (back_x, low) = ends
        first = x + STATION
        last = first + CELL * max(1, len(station.cells))
        self._broken(flow_x, first, z, (x + 0.013, x + 0.052), flow=True)
        self._broken(first, back_x, low, (x + 0.013,), flow=False)
        mixing, pump = x + 0.024, x + 0.040
        self._line([(mixing, low), (mixing, z)], flow=False)
        self.signs.arrow((mixing, (z + low) / 2), UP)
        for at in ((x + 0.004, z), (x + 0.004, low)):
            self.signs.valve(at, RIGHT, 4.4)
        for at in ((x + 0.013, z), (x + 0.013, low)):
            self.signs.instrument(at, "TI")
        self.signs.mixing_valve((mixing, z), RIGHT)
        self.signs.pump((pump, z), RIGHT)
        self.signs.instrument((x + 0.052, z), "TZ")
        self._values(station, x, z, low)
        for height, name in ((z, say("F")), (low, say("R"))):
            self.pen.line([(first, height), (last, height)], "SIGN", weight_mm=BAR_MM)
            self.pen.text((last + 0.0015, height - 0.0008), name, 1.8, "SIGN", bold=True)
        self.signs.vent((last - 0.0015, z), 2.6)
        for k, cell in enumerate(station.cells):
            if cell.circuit is not None:
                self._circuit(first + CELL * (k + 0.5), z, low)
        xs = {cell.port.number: first + CELL * (k + 0.5) for k, cell in enumerate(station.cells)}
        draw_strip(self.pen, station.cells, lambda cell: xs[cell.port.number], CELL, low - UNDER)

    def _values(self, station: Station, x: float, z: float, low: float) -> None:
        own, pump = station.manifold, station.manifold.pump
        head = say("Manifold {name} · {storey}", name=own.manifold.name, storey=station.storey)
        self.pen.text(
            (x + 0.004, z + 0.0125),
            wrapped(head, 1000 * (station.width - 0.03), 2.2, 1, bold=True)[0],
            2.2,
            "SIGN",
            bold=True,
        )
        duty = f"{number(pump.volume_flow * 60_000, 1)} l/min, {number(pump.pressure_pa / 1000, 1)} kPa"
        self.pen.text((x + 0.036, z + 0.0072), duty, 1.8, "SIGN", align="middle")
        self.pen.text((x + 0.047, z - 0.0075), f"{number(own.flow_c, 1)} °C", 1.8, "SIGN", align="middle")
        self.pen.text((x + 0.013, low + 0.0045), f"{number(own.return_c, 1)} °C", 1.8, "SIGN", align="middle")

    def _circuit(self, x: float, z: float, low: float) -> None:
        """From the flow bar through balancing valve, floor and driven valve to the return bar."""
        top, foot = (z + low) / 2 + COILS / 2, (z + low) / 2 - COILS / 2
        turns = 5
        points = [(x, top)]
        for n in range(turns):
            y = top - (n + 0.5) * COILS / turns
            points.append((x + (0.0042 if n % 2 else -0.0042), y))
        half = len(points) // 2
        points.append((x, foot))
        self._line([(x, z), *points[: half + 1]], flow=True)
        self._line([*points[half:], (x, low)], flow=False)
        self.signs.setting_valve((x, z - 0.0075), UP, 4.0)
        self.signs.driven_valve((x, low + 0.0075), UP, 4.0, side=-1.0)

    def _line(self, points: list[Point], *, flow: bool) -> None:
        layer, shade = ("PIPE-FLOW", FLOW_SHADES[0]) if flow else ("PIPE-RETURN", RETURN_SHADES[0])
        self.pen.line(points, layer, colour=shade, weight_mm=PIPE_MM)

    def _broken(self, start: float, end: float, z: float, meters: tuple[float, ...], *, flow: bool) -> None:
        """A level line that leaves the instruments on it free."""
        line = shapely.LineString([(start, z), (end, z)])
        gaps = shapely.union_all([shapely.Point(at, z).buffer(0.0025) for at in meters])
        for part in shapely.get_parts(line.difference(gaps)):
            self._line([(px, py) for px, py in part.coords], flow=flow)

    def _tee(self, at: Point, *, flow: bool) -> None:
        colour = FLOW_SHADES[0] if flow else RETURN_SHADES[0]
        self.pen.fill(shapely.Point(at).buffer(0.0006), "PIPE-FLOW" if flow else "PIPE-RETURN", colour)
