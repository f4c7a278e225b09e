"""Signs of valves, pumps and instruments, drawn about a point, along a direction.

After the graphical symbols of ISO 14617 (valve as two triangles, pump as a circle with a triangle the way of the
water, instruments as circles with letters as in ISO 14617-6 and ISO 3511: T temperature, F flow, P pressure,
I shown, Z made safe) and of EN 1861; from memory, drawn anew here. Nothing is told by colour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely

from ufh_core.basis.pipe_axis import Point
from ufh_core.documents.pen import INK, PAPER, Pen

LAYER = "SIGN"
SIZE_MM = 5.0
LETTERS_MM = 1.3
UP, RIGHT = math.pi / 2, 0.0


class SignPen:
    """Draws signs with `pen`; sizes in mm on paper."""

    def __init__(self, pen: Pen) -> None:
        self.pen = pen

    def valve(self, at: Point, angle: float = RIGHT, size: float = SIZE_MM) -> None:
        """A valve that shuts: two triangles, tip to tip."""
        half, wide = size / 2, size * 0.3
        self._shape(at, angle, [(-half, -wide), (-half, wide), (half, -wide), (half, wide)], order=(0, 1, 2, 3))

    def setting_valve(self, at: Point, angle: float = RIGHT, size: float = SIZE_MM) -> None:
        """A valve that is set: with an arrow across."""
        self.valve(at, angle, size)
        tail, tip = (-size * 0.42, -size * 0.55), (size * 0.42, size * 0.55)
        self._stroke(at, angle, [tail, tip])
        self._shape(at, angle, [tip, (tip[0] - 0.9, tip[1] - 0.35), (tip[0] - 0.25, tip[1] - 1.05)], filled=True)

    def driven_valve(self, at: Point, angle: float = RIGHT, size: float = SIZE_MM, side: float = 1.0) -> None:
        """A valve with a drive: a box on a stem."""
        self.valve(at, angle, size)
        low, high, half = side * size * 0.45, side * size * 0.95, size * 0.28
        self._stroke(at, angle, [(0.0, 0.0), (0.0, low)])
        self._shape(at, angle, [(-half, low), (half, low), (half, high), (-half, high)])

    def mixing_valve(self, at: Point, angle: float = RIGHT, size: float = SIZE_MM, third: float = -1.0) -> None:
        """A valve of three ways, its third on the right of the direction (`third` -1) or the left (1)."""
        half, wide = size / 2, size * 0.3
        self._shape(at, angle, [(0.0, 0.0), (-wide, third * half), (wide, third * half)])
        self.valve(at, angle, size)

    def pump(self, at: Point, angle: float = RIGHT, size: float = SIZE_MM * 1.4) -> None:
        """A pump: the triangle points where the water goes."""
        self._disc(at, size / 2)
        r = size / 2
        self._shape(at, angle, [(r, 0.0), (-r * 0.5, r * 0.866), (-r * 0.5, -r * 0.866)])

    def instrument(self, at: Point, letters: str, size: float = SIZE_MM) -> None:
        """A circle with what is measured in letters."""
        self._disc(at, size / 2)
        height = min(LETTERS_MM, size * 0.26)
        self.pen.text(self._spot(at, 0.0, (0.0, -height / 2)), letters, height, LAYER, align="middle", bold=True)

    def vent(self, at: Point, size: float = SIZE_MM * 0.7) -> None:
        """An air vent on a stub that goes up from a point."""
        self._stroke(at, 0.0, [(0.0, 0.0), (0.0, size * 0.5)])
        self.valve(self._spot(at, 0.0, (0.0, size)), UP, size)
        self._stroke(at, 0.0, [(0.0, size * 1.5), (0.0, size * 2.1)])
        tip = (0.0, size * 2.6)
        self._shape(at, 0.0, [tip, (-0.55, size * 2.1), (0.55, size * 2.1)])

    def drain(self, at: Point, size: float = SIZE_MM * 0.7) -> None:
        """A cock to fill and drain on a stub that goes down from a point, with its cap."""
        self._stroke(at, 0.0, [(0.0, 0.0), (0.0, -size * 0.5)])
        self.valve(self._spot(at, 0.0, (0.0, -size)), UP, size)
        self._stroke(at, 0.0, [(0.0, -size * 1.5), (0.0, -size * 1.9)])
        self._stroke(at, 0.0, [(-size * 0.35, -size * 1.9), (size * 0.35, -size * 1.9)])

    def vessel(self, at: Point, size: float = SIZE_MM * 1.4) -> None:
        """A closed expansion vessel: a circle with its membrane."""
        self._disc(at, size / 2)
        self._stroke(at, 0.0, [(-size / 2, 0.0), (-size / 6, size / 10), (size / 6, -size / 10), (size / 2, 0.0)])

    def safety_valve(self, at: Point, size: float = SIZE_MM) -> None:
        """A safety valve: in from below, out to the right, loaded by a spring above."""
        half, wide = size / 2, size * 0.3
        self._shape(at, 0.0, [(0.0, 0.0), (-wide, -half), (wide, -half)])
        self._shape(at, 0.0, [(0.0, 0.0), (half, wide), (half, -wide)])
        self._stroke(at, 0.0, [(0.0, 0.0), (0.0, size * 0.7)])
        for k in (0.25, 0.4, 0.55):
            self._stroke(at, 0.0, [(-wide * 0.7, size * (k - 0.05)), (wide * 0.7, size * (k + 0.05))])

    def towards(self, at: Point, size: float = 2.4) -> None:
        """The end of a pipe that goes on towards the reader: a circle with a dot."""
        self._disc(at, size / 2)
        dot = shapely.Point(at).buffer(self.pen.mm(size * 0.16))
        self.pen.fill(dot, LAYER, INK)

    def arrow(self, at: Point, angle: float, size: float = 2.2) -> None:
        """The way of the water on a line."""
        self._shape(at, angle, [(size / 2, 0.0), (-size / 2, size * 0.3), (-size / 2, -size * 0.3)], filled=True)

    def _disc(self, at: Point, radius: float) -> None:
        self.pen.fill(shapely.Point(at).buffer(self.pen.mm(radius)), LAYER, PAPER)
        self.pen.circle(at, radius, LAYER)

    def _spot(self, at: Point, angle: float, local: Point) -> Point:
        """A point that lies `local` mm (along, to the left) from another."""
        turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        moved = turn @ np.array(local) * self.pen.mm(1.0)
        return (at[0] + float(moved[0]), at[1] + float(moved[1]))

    def _stroke(self, at: Point, angle: float, points: Sequence[Point]) -> None:
        self.pen.line([self._spot(at, angle, point) for point in points], LAYER)

    def _shape(
        self,
        at: Point,
        angle: float,
        points: Sequence[Point],
        *,
        filled: bool = False,
        order: Sequence[int] | None = None,
    ) -> None:
        """A closed shape on white ground; `order` may cross itself, as a valve does."""
        spots = [self._spot(at, angle, point) for point in points]
        ring = [spots[k] for k in (order or range(len(spots)))]
        area = shapely.make_valid(shapely.Polygon(ring))
        self.pen.fill(area, LAYER, INK if filled else PAPER)
        self.pen.line(ring, LAYER, closed=True)
