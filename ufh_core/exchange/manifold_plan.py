"""Where the parts of a manifold stand: bars, valves and mixing station along the wall.

Seen from the room the bars run level along the wall, a little behind the plane of the risers, so
that the risers of the upper bar pass before the lower one. The mixing station continues the bars
on its side: pump, mixing valve, thermometer, shut-off valve; a short bypass joins the return bar
to the mixing valve.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ufh_core.circuits.types import Manifold
from ufh_core.exchange.pipe_run import Point3

BAR_RADIUS_M = 0.015
BAR_SETBACK_M = 0.04
BAR_OVERHANG_M = 0.02
LEAST_STATION_M = 0.15
STATION_SHARES = {"pump": (0.0, 0.38), "mixing": (0.38, 0.62), "thermometer": (0.62, 0.76), "shut-off": (0.76, 0.95)}
"""Parts of the station from the bars outwards, as shares of its length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifoldPlan:
    """Directions and coordinates of the bars: along (to the station) and out of the wall, from the cabinet's back."""

    base: tuple[float, float]
    along: tuple[float, float]
    out: tuple[float, float]
    bar_out_m: float
    first_m: float
    last_m: float
    station_m: float
    flow_z: float
    return_z: float

    def spot(self, along_m: float, z: float, out_m: float | None = None) -> Point3:
        """A point of the plan frame; on the bars' axis unless `out_m` says otherwise."""
        out = self.bar_out_m if out_m is None else out_m
        return (
            self.base[0] + along_m * self.along[0] + out * self.out[0],
            self.base[1] + along_m * self.along[1] + out * self.out[1],
            z,
        )

    def station(self, part: str) -> tuple[float, float]:
        """(near, far) ends of a part of the station along the bars [m]."""
        near, far = STATION_SHARES[part]
        return self.last_m + near * self.station_m, self.last_m + far * self.station_m

    def at_bar(self, port: Point3) -> Point3:
        """Where the valve of a port meets the bar: the bar's surface, in front of or behind the port."""
        along = self._along(port)
        out = (port[0] - self.base[0]) * self.out[0] + (port[1] - self.base[1]) * self.out[1]
        side = BAR_RADIUS_M if out > self.bar_out_m else -BAR_RADIUS_M
        return self.spot(along, port[2], self.bar_out_m + side)

    def _along(self, point: Point3) -> float:
        return (point[0] - self.base[0]) * self.along[0] + (point[1] - self.base[1]) * self.along[1]

    def way(self, sign: float = 1.0) -> Point3:
        """The direction along the bars towards the station (or away from it)."""
        return (sign * self.along[0], sign * self.along[1], 0.0)


def plan_manifold(manifold: Manifold, station_m: float, heights: tuple[float, float]) -> ManifoldPlan:
    """The plan of a manifold; `heights` are the world heights of the flow and the return bar [m]."""
    out = np.asarray(manifold.normal, dtype=float)
    out = out / np.linalg.norm(out)
    right = np.array([-out[1], out[0]])
    along = right if manifold.station_side == "right" else -right
    points = _port_points(manifold)
    runs, depths = (points - manifold.position) @ along, (points - manifold.position) @ out
    setback = depths.min() - BAR_SETBACK_M
    return ManifoldPlan(
        base=manifold.position,
        along=(float(along[0]), float(along[1])),
        out=(float(out[0]), float(out[1])),
        bar_out_m=float(setback if setback > BAR_RADIUS_M else depths.max() + BAR_SETBACK_M),
        first_m=float(runs.min() - BAR_OVERHANG_M),
        last_m=float(runs.max() + BAR_OVERHANG_M),
        station_m=max(station_m - BAR_OVERHANG_M, LEAST_STATION_M),
        flow_z=heights[0],
        return_z=heights[1],
    )


def _port_points(manifold: Manifold) -> NDArray[np.float64]:
    """Plan points of all ports; the middle of the cabinet where there are none."""
    points = [p for port in manifold.ports for p in (port.flow, port.return_)]
    return np.array(points or [manifold.cabinet.centroid.coords[0]], dtype=float)
