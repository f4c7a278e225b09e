"""A chart on a sheet: axes with ticks, curves told apart by line type and by words at their ends, marked points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.lettering import text_width, wrapped
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.sheet import Sheet
from ufh_core.words import say

WIDE_MM, HIGH_MM = 297.0, 210.0
LEFT_MM, RIGHT_MM, LOW_MM, TOP_MM = 26.0, 62.0, 34.0, 40.0
TICK_MM, TEXT_MM, APART_MM, NOTE_MM = 1.5, 2.0, 3.6, 3.2
BESIDE_MM, OVER_MM = 2.4, 2.2  # a mark's name from it
LINETYPES = ("CONTINUOUS", "RETURN_DASH", "SHORT_DASH", "FIELD_EDGE")
COLOURS = ((150, 62, 6), (0, 92, 128), (70, 110, 30), (96, 70, 130), (38, 38, 38), (150, 20, 60))
"""Told apart by colour-blind people too with the line types and the words at the ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis from `low` to `high` with a tick every `step`."""

    label: str
    low: float
    high: float
    step: float

    def ticks(self) -> list[float]:
        """Where the ticks stand."""
        first = math.ceil(self.low / self.step - 1e-9)
        return [k * self.step for k in range(first, math.floor(self.high / self.step + 1e-9) + 1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A named line through points; those out of the axes' range are left out where the line is cut."""

    name: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A point with a word beside it."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """What is drawn: `notes` stand under the axes, `lists` of short lines under the notes."""

    title: str
    x: Axis
    y: Axis
    curves: tuple[Curve, ...]
    marks: tuple[Mark, ...] = ()
    notes: tuple[str, ...] = ()
    lists: tuple[tuple[str, ...], ...] = ()


def nice_axis(label: str, greatest: float, count: int = 6, low: float = 0.0) -> Axis:
    """An axis from `low` to beyond the greatest value with about so many ticks at 1, 2 or 5 times a power of ten."""
    span = max(greatest - low, 1e-9)
    rough = span / count
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= rough - 1e-12)
    return Axis(label=label, low=low, high=low + step * math.ceil(span / step + 1e-9), step=step)


def chart_drawing(chart: Chart) -> Plan:
    """The chart on an A4 sheet in landscape, as a drawing at full size."""
    whole = (0.0, 0.0, WIDE_MM, HIGH_MM)
    sheet = Sheet(paper="A4", width=WIDE_MM, height=HIGH_MM, scale=1, corner=(0.0, 0.0), plan=whole, columns=())
    drawing = _Drawing(Pen(1), sheet, chart)
    drawing.draw()
    return Plan(document=drawing.pen.document, sheet=sheet, labels=(), title=chart.title)


class _Drawing:
    """Places on the sheet, and what is drawn there."""

    def __init__(self, pen: Pen, sheet: Sheet, chart: Chart) -> None:
        self.pen, self.sheet, self.chart = pen, sheet, chart
        self.written = self._notes()
        more = max(0.0, NOTE_MM * len(self.written) - (LOW_MM - 25.0))
        self.left, self.right, self.low, self.top = LEFT_MM, WIDE_MM - RIGHT_MM, LOW_MM + more, HIGH_MM - TOP_MM

    def draw(self) -> None:
        """All of it."""
        self.pen.fill(shapely.box(*self.sheet.at(0, 0), *self.sheet.at(WIDE_MM, HIGH_MM)), "SHEET", PAPER)
        self._text(LEFT_MM, HIGH_MM - 16, self.chart.title, 3.5, bold=True)
        self._axes()
        self._curves()
        self._marks()
        for k, note in enumerate(self.written):
            self._text(LEFT_MM, self.low - 17 - NOTE_MM * k, note, 1.8)

    def _marks(self) -> None:
        """Marks with their names to the left above them, from the left on; one that would meet another goes higher."""
        written: list[tuple[float, float]] = []  # where each name ends, and how high it stands
        for x, y, name in sorted((*self._place(mark.at), mark.name) for mark in self.chart.marks):
            self.pen.circle(self.sheet.at(x, y), 1.2, "SHEET", weight_mm=0.35)
            end, own = x - BESIDE_MM, y + OVER_MM
            start = end - text_width(name, TEXT_MM, bold=True) - TEXT_MM
            high = own
            for other, level in written:
                high = max(high, level + APART_MM) if start < other and abs(high - level) < APART_MM else high
            if high > own:
                middle = high + TEXT_MM / 2
                self._line([(x, y + 1.2), (x, middle), (end + 1.0, middle)], 0.09)
            self._text(end, high, name, TEXT_MM, align="right", bold=True)
            written.append((end, high))

    def _notes(self) -> list[str]:
        room = WIDE_MM - 2 * LEFT_MM
        listed = [line for lines in self.chart.lists for line in lines]
        return [line for note in (*self.chart.notes, *listed) for line in wrapped(note, room, 1.8)]

    def _place(self, point: Point) -> Point:
        """Where a point of the chart lies on the sheet [mm]."""
        x, y = self.chart.x, self.chart.y
        across = (point[0] - x.low) / (x.high - x.low) * (self.right - self.left)
        up = (point[1] - y.low) / (y.high - y.low) * (self.top - self.low)
        return self.left + across, self.low + up

    def _text(
        self, x: float, y: float, words: str, height: float, *, align: str = "left", bold: bool = False, turn: float = 0
    ) -> None:
        self.pen.text(self.sheet.at(x, y), words, height, "SHEET", align=align, bold=bold, turn_deg=turn)

    def _line(self, points: Sequence[Point], weight: float, **look: Any) -> None:
        self.pen.line([self.sheet.at(*p) for p in points], "SHEET", weight_mm=weight, **look)

    def _axes(self) -> None:
        chart = self.chart
        for value in chart.x.ticks():
            x, _ = self._place((value, chart.y.low))
            self._line([(x, self.low), (x, self.top)], 0.09, colour=(190, 190, 190))
            self._text(x, self.low - 5, say("{value:g}", value=value), TEXT_MM, align="middle")
        for value in chart.y.ticks():
            _, y = self._place((chart.x.low, value))
            self._line([(self.left, y), (self.right, y)], 0.09, colour=(190, 190, 190))
            self._text(self.left - 2, y - 0.9, say("{value:g}", value=value), TEXT_MM, align="right")
        self._line([(self.left, self.top), (self.left, self.low), (self.right, self.low)], 0.35)
        self._text(self.right, self.low - 10, chart.x.label, TEXT_MM, align="right", bold=True)
        self._text(self.left, self.top + 3, chart.y.label, TEXT_MM, bold=True)

    def _curves(self) -> None:
        ends: list[tuple[float, str, Point, int]] = []
        for n, curve in enumerate(self.chart.curves):
            look = {"linetype": LINETYPES[n % len(LINETYPES)], "colour": COLOURS[n % len(COLOURS)]}
            parts = self._inside(curve)
            for part in parts:
                self._line(part, 0.5, **look)
            if parts:
                end = parts[-1][-1]
                ends.append((end[1], curve.name, end, n))
        self._names(ends)

    def _inside(self, curve: Curve) -> list[list[Point]]:
        """The parts of a curve within the axes [mm on the sheet]."""
        line = shapely.LineString([self._place(p) for p in curve.points])
        cut = line.intersection(shapely.box(self.left, self.low, self.right, self.top))
        parts = [p for p in shapely.get_parts(cut) if isinstance(p, shapely.LineString)]
        return [[(float(x), float(y)) for x, y in part.coords] for part in parts]

    def _names(self, ends: list[tuple[float, str, Point, int]]) -> None:
        """The curves' names right of the axes, as high as their ends as far as they do not meet."""
        written = math.inf
        for height, name, end, n in sorted(ends, key=lambda row: (-row[0], row[3])):
            written = min(height, written - APART_MM)
            x = self.right + 4
            self._line([end, (self.right + 1, end[1]), (x - 0.6, written)], 0.09)
            room = WIDE_MM - x - 3
            size = TEXT_MM if text_width(name, TEXT_MM) <= room else TEXT_MM * room / text_width(name, TEXT_MM)
            colour = COLOURS[n % len(COLOURS)]
            at = self.sheet.at(x, written - 0.9)
            self.pen.text(at, name, size, "SHEET", colour=colour, bold=False)
