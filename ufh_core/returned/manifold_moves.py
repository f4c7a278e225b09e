"""Where manifolds stand in an edited model: their cabinets tell it, else the places of their assemblies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.pipe_axis import Point
from ufh_core.exchange.edited_heating import EditedManifold
from ufh_core.zones.kept_pipes import KeptManifold

MOVED_M = 0.005
TURNED_RAD = math.radians(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A manifold's place before and now: the middle of its back, and its wall's normal [local frame, m]."""

    before: KeptManifold
    position: Point
    normal: Point

    @property
    def way_m(self) -> float:
        """How far it was moved [m]."""
        return math.dist(self.position, self.before.position)

    @property
    def turn_rad(self) -> float:
        """How far it was turned, anticlockwise [rad]."""
        (a, b), (c, d) = self.before.normal, self.normal
        return math.atan2(a * d - b * c, a * c + b * d)

    @property
    def still(self) -> bool:
        """Whether it stands where it stood."""
        return self.way_m < MOVED_M and abs(self.turn_rad) < TURNED_RAD

    @property
    def along_m(self) -> float:
        """Of the way what lies along the wall [m]."""
        (a, b), (x, y) = self.before.normal, np.subtract(self.position, self.before.position)
        return abs(float(b * x - a * y))

    def carried(self, point: Point) -> Point:
        """A point that was moved with the manifold."""
        c, s = math.cos(self.turn_rad), math.sin(self.turn_rad)
        x, y = np.subtract(point, self.before.position)
        return (float(self.position[0] + c * x - s * y), float(self.position[1] + s * x + c * y))

    def cabinet(self, depth_m: float) -> Polygon:
        """The floor on which its cabinet stands now."""
        out, half = np.array(self.normal), self.before.width_m / 2
        along, back = np.array([-out[1], out[0]]), np.array(self.position)
        return Polygon([back + a * half * along + o * depth_m * out for a, o in ((-1, 0), (1, 0), (1, 1), (-1, 1))])


def move_of(before: KeptManifold, now: EditedManifold) -> Move:
    """Where a manifold of an earlier design stands in the edited model."""
    if now.cabinet is None or now.cabinet.area <= 0:
        normal: Point = (float(before.normal[0]), float(before.normal[1]))
        return Move(before=before, position=now.placed, normal=normal)
    out = _front(now.cabinet, now.service, before)
    centre = np.array(now.cabinet.centroid.coords[0])
    back = centre - out * np.ptp(shapely.get_coordinates(now.cabinet) @ out) / 2
    return Move(before=before, position=(float(back[0]), float(back[1])), normal=(float(out[0]), float(out[1])))


def _front(cabinet: Polygon, service: Polygon | None, before: KeptManifold) -> NDArray[np.float64]:
    """The direction out of the wall: towards the space for service, else as it was, along a side of the cabinet."""
    wanted = np.array(before.normal, dtype=float)
    if service is not None and service.area > 0:
        wanted = np.subtract(service.centroid.coords[0], cabinet.centroid.coords[0])
    sides = _sides(cabinet)
    best = max(sides, key=lambda side: float(side @ wanted))
    return np.asarray(best)


def _sides(cabinet: Polygon) -> Sequence[NDArray[np.float64]]:
    """The four directions of a cabinet's sides."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(cabinet))
    along = (corners[1] - corners[0]) / np.linalg.norm(corners[1] - corners[0])
    across = np.array([-along[1], along[0]])
    return along, -along, across, -across
