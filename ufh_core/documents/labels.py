"""Places for labels: on free floor where there is some, never on one another.

Algorithm: every label tries a grid of places and two directions in its area, for each of its
wordings, longest first. A place costs what pipe its lines would hide (read from a summed-area table
of inked cells, so any box costs four look-ups), how far it is from the middle, and whether it
leaves its area. Places on other labels are out. Cost: places x wordings, vectorised.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.pipe_axis import Point
from ufh_core.documents.clear_lines import Boxes, ClearLines, InkMap
from ufh_core.documents.label_places import boxes_of, chunks, grid, places_of, point_of, turned_size
from ufh_core.documents.lettering import reach_mm, text_width

ACROSS_MM, ALONG_MM = 0.12, 1.0
INK_WEIGHT = 12.0
USUAL_LINE_MM = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a label; `height` of capitals [mm]; `pale` for what is not ours."""

    text: str
    height: float
    bold: bool = False
    pale: bool = False

    @property
    def width(self) -> float:
        """Width [mm]."""
        return text_width(self.text, self.height, self.bold)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """A way to word a label: lines `step` [mm] apart, and what it costs to say less."""

    lines: tuple[Line, ...]
    step: float
    penalty: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A label that wants a place in `area` [m]; one that lands off `about` gets a leader to it.

    One with `inside_only` is left away where its area has no place for it.
    """

    key: str
    area: BaseGeometry
    wordings: tuple[Wording, ...]
    framed: bool = False
    about: BaseGeometry | None = None
    inside_only: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A placed label: middle [m], turned by 0 or 90 degrees; `target` is what a leader points to, if it needs one."""

    key: str
    wording: Wording
    middle: Point
    turned: bool
    box: Polygon
    line_boxes: tuple[Polygon, ...]
    framed: bool
    target: Point | None = None


class Placer:
    """Places labels one after another on a plan part `bounds` [m]; `metres_per_mm` is the scale.

    No label touches what is to be kept `clear`.
    """

    def __init__(
        self,
        bounds: tuple[float, float, float, float],
        metres_per_mm: float,
        ink: InkMap,
        clear: ClearLines | None = None,
    ) -> None:
        self._bounds = bounds
        self._clear = clear
        self._mm = metres_per_mm
        self._ink = ink
        self._taken: list[tuple[float, float, float, float]] = []

    def reserve(self, box: tuple[float, float, float, float]) -> None:
        """Keep labels off `box` [m]."""
        self._taken.append(box)

    def place(self, wish: Wish) -> Label | None:
        """The cheapest free place of `wish`; outside its area with a leader where there is none in it."""
        best: tuple[float, Wording, bool, Point] | None = None
        for wording in wish.wordings:
            for turned in (False, True):
                if best is not None and best[0] <= wording.penalty:
                    continue  # no place costs less than nothing
                found = self._best_inside(wish, wording, turned)
                if found and (best is None or found[0] < best[0]):
                    best = (found[0], wording, turned, found[1])
        if best is not None:
            return self._keep(wish, best[1], best[3], best[2], None)
        return None if wish.inside_only else self._outside(wish)

    def _best_inside(self, wish: Wish, wording: Wording, turned: bool) -> tuple[float, Point] | None:
        area, size = wish.area, self._size(wording, turned)
        places = self._candidates(area.bounds, size, turned)
        places = places[self._may_be_clear(places, wish, wording, turned)]
        places = places[self._free(boxes_of(places, size))]
        if not len(places):
            return None
        cost = self._cost(places, wording, turned, wish)
        order = np.argsort(cost, kind="stable")
        shapely.prepare(area)
        for chunk in chunks(order):
            fine = chunk[shapely.covers(area, shapely.box(*boxes_of(places[chunk], size).T))]
            fine = fine[self._is_clear(places[fine], wish, wording, turned)]
            if len(fine):
                return float(cost[fine[0]]) + wording.penalty, point_of(places[fine[0]])
        return None

    def _outside(self, wish: Wish) -> Label | None:
        """The nearest free place round the area, with the shortest wording; its leader crosses no label."""
        wording = wish.wordings[-1]
        size = self._size(wording, False)
        target = wish.area.representative_point()
        for reach in (6, 14, 30, 60, 120, 240):
            window = shapely.box(*wish.area.bounds).buffer(reach * self._mm + max(size)).bounds
            places = self._candidates(window, size, False)
            boxes = boxes_of(places, size)
            places = places[self._free(boxes) & self._on_sheet(boxes)]
            places = places[self._may_be_clear(places, wish, wording, False)]
            far = np.hypot(places[:, 0] - target.x, places[:, 1] - target.y)
            cost = far / (10 * self._mm) + 4 * self._ink.share(boxes_of(places, size))
            for chunk in chunks(np.argsort(cost, kind="stable")):
                fine = chunk[self._is_clear(places[chunk], wish, wording, False)]
                for middle in map(point_of, places[fine]):
                    if self._leads_freely(middle, (target.x, target.y)):
                        return self._keep(wish, wording, middle, False, (target.x, target.y))
        return None

    def _candidates(self, bounds: Sequence[float], size: tuple[float, float], turned: bool) -> Boxes:
        """Middles to try: close to each other across the lines of text where these must fit between pipes."""
        if self._clear is None:
            return places_of(bounds, size, 0.4 * self._mm)
        across, along = ACROSS_MM * self._mm, ALONG_MM * self._mm
        return grid(bounds, size, (across, along) if turned else (along, across))

    def _may_be_clear(self, places: Boxes, wish: Wish, wording: Wording, turned: bool) -> NDArray[np.bool_]:
        """Whether no cell well inside a box has ink: quick, and never wrong about a place that is clear."""
        fine = np.ones(len(places), dtype=bool)
        if self._clear is None:
            return fine
        for boxes in self._inked_boxes(places, wish, wording, turned):
            rim = np.array([1.0, 1.0, -1.0, -1.0]) * self._clear.map.cell
            fine[fine] = self._clear.map.share(boxes[fine] + rim) == 0.0
        return fine

    def _is_clear(self, places: Boxes, wish: Wish, wording: Wording, turned: bool) -> NDArray[np.bool_]:
        """Whether each place keeps clear of lines and of the leaders of other labels."""
        fine = np.ones(len(places), dtype=bool)
        if self._clear is None:
            return fine
        for boxes in self._inked_boxes(places, wish, wording, turned):
            fine &= self._clear.free(boxes)
        return fine

    def _inked_boxes(self, places: Boxes, wish: Wish, wording: Wording, turned: bool) -> list[Boxes]:
        """What a label covers: all of its box where it has a frame, else the letters of each line."""
        if wish.framed:
            return [boxes_of(places, self._size(wording, turned))]
        found = []
        for k, line in enumerate(wording.lines):
            up = ((len(wording.lines) - 1) / 2 - k) * wording.step
            low, high = reach_mm(line.text, line.height)
            wide = line.width / 2 + 0.3
            west, south, east, north = (
                (line.height / 2 - up - high, -wide, line.height / 2 - up - low, wide)
                if turned
                else (-wide, up - line.height / 2 + low, wide, up - line.height / 2 + high)
            )
            found.append(np.hstack([places, places]) + np.array([west, south, east, north]) * self._mm)
        return found

    def _leads_freely(self, middle: Point, target: Point) -> bool:
        """Whether a leader between two points crosses no label."""
        leader = shapely.LineString([middle, target])
        return not (self._taken and bool(shapely.intersects(leader, shapely.box(*np.array(self._taken).T)).any()))

    def _cost(self, places: Boxes, wording: Wording, turned: bool, wish: Wish) -> NDArray[np.float64]:
        """A frame hides all that is under it, a label without one only what is under its lines."""
        area, hidden = wish.area, np.zeros(len(places))
        whole = self._ink.share(boxes_of(places, self._size(wording, turned)))
        for line, (offset, size) in zip(wording.lines, self._line_sizes(wording, turned), strict=True):
            share = whole if wish.framed else self._ink.share(boxes_of(places + np.array(offset), size))
            hidden += share * line.width / USUAL_LINE_MM
        middle = shapely.get_coordinates(area.representative_point())[0]
        span = max(area.bounds[2] - area.bounds[0], area.bounds[3] - area.bounds[1])
        far = np.hypot(*(places - middle).T) / span
        ink = INK_WEIGHT * hidden + 2.0 * whole
        return np.asarray(ink + 0.25 * far + (0.12 if turned else 0.0))

    def _keep(self, wish: Wish, wording: Wording, middle: Point, turned: bool, target: Point | None) -> Label:
        places = np.array([middle])
        box = boxes_of(places, self._size(wording, turned))[0]
        if wish.about is not None and not shapely.box(*box).intersects(wish.about):
            near = shapely.shortest_line(shapely.Point(middle), wish.about)
            target = point_of(shapely.get_coordinates(near)[-1])
        self._taken.append((float(box[0]), float(box[1]), float(box[2]), float(box[3])))
        if self._clear is not None and target is not None:
            self._clear.add(shapely.LineString([middle, target]))
        lines = [
            shapely.box(*boxes_of(places + np.array(offset), size)[0])
            for offset, size in self._line_sizes(wording, turned)
        ]
        return Label(
            key=wish.key, wording=wording, middle=middle, turned=turned, box=shapely.box(*box),
            line_boxes=tuple(lines), framed=wish.framed, target=target,
        )  # fmt: skip

    def _size(self, wording: Wording, turned: bool) -> tuple[float, float]:
        width = max(line.width for line in wording.lines) + 1.6
        height = (len(wording.lines) - 1) * wording.step + max(line.height for line in wording.lines) * 1.3 + 0.8
        return turned_size((width * self._mm, height * self._mm), turned)

    def _line_sizes(self, wording: Wording, turned: bool) -> list[tuple[tuple[float, float], tuple[float, float]]]:
        """Offset and size of the box behind each line [m]."""
        rows = []
        for k, line in enumerate(wording.lines):
            up = ((len(wording.lines) - 1) / 2 - k) * wording.step * self._mm
            size = ((line.width + 0.8) * self._mm, (line.height * 1.12 + 0.3) * self._mm)
            rows.append(((-up, 0.0) if turned else (0.0, up), turned_size(size, turned)))
        return rows

    def _free(self, boxes: Boxes) -> NDArray[np.bool_]:
        if not self._taken or not len(boxes):
            return np.ones(len(boxes), dtype=bool)
        taken = np.array(self._taken)
        low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        taken = taken[((taken[:, :2] < high) & (taken[:, 2:] > low)).all(axis=1)]
        apart = (
            (boxes[:, None, 0] >= taken[None, :, 2])
            | (boxes[:, None, 2] <= taken[None, :, 0])
            | (boxes[:, None, 1] >= taken[None, :, 3])
            | (boxes[:, None, 3] <= taken[None, :, 1])
        )
        return np.asarray(apart.all(axis=1))

    def _on_sheet(self, boxes: Boxes) -> NDArray[np.bool_]:
        west, south, east, north = self._bounds
        low = (boxes[:, 0] >= west) & (boxes[:, 1] >= south)
        return np.asarray(low & (boxes[:, 2] <= east) & (boxes[:, 3] <= north))
