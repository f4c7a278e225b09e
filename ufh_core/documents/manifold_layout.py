"""Where everything stands on the front of one manifold, and what is written under its ports.

Metres: to the right from the cabinet's middle as seen from the room, up from the finished floor. Bars, ports and
station come from the heating model (`exchange/manifold_plan.py`), so that drawing and model agree.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import ManifoldDesign, StoreyDesign
from ufh_core.documents.port_strip import HEADS_MM, PortCells, port_cells, strip_mm
from ufh_core.documents.storey_view import StoreyView
from ufh_core.exchange.manifold_plan import ManifoldPlan, plan_manifold
from ufh_core.exchange.pipe_run import circuit_levels, manifold_floor

BESIDE_M, ABOVE_M = 0.06, 0.13
STRIP_GAP_M = 0.05
LEAST_CELL_M = 0.06
USUAL_DEPTH_M = 0.08  # of the pipe under the floor, where the manifold has no circuit that would tell


@dataclass(frozen=True, kw_only=True)
class Front:
    """Where everything stands on the front of one manifold [m]."""

    view: StoreyView
    storey: StoreyDesign
    manifold: ManifoldDesign

    @cached_property
    def cells(self) -> tuple[PortCells, ...]:
        """What is written under each port."""
        return port_cells(self.view, self.storey, self.manifold)

    @cached_property
    def plan(self) -> ManifoldPlan:
        """Bars and station as in the heating model, heights over the finished floor."""
        own = self.view.design.settings.manifold
        heights = (own.flow_bar_height_m, own.return_bar_height_m)
        return plan_manifold(self.manifold.manifold, own.mixing_station_m, heights)

    @property
    def side(self) -> float:
        """1 where the station stands on the right, -1 where on the left."""
        return 1.0 if self.manifold.manifold.station_side == "right" else -1.0

    @property
    def half(self) -> float:
        """Half the cabinet's width."""
        return self.manifold.manifold.width_m / 2

    @property
    def top(self) -> float:
        """Height of the cabinet."""
        return self.view.design.settings.manifold.cabinet_height_m

    @cached_property
    def depth(self) -> float:
        """How far the pipes lie under the finished floor."""
        circuit = next((cell.circuit for cell in self.cells if cell.circuit), None)
        if circuit is None:
            return USUAL_DEPTH_M
        design, floor = self.view.design, manifold_floor(self.view.design, self.storey, self.manifold.manifold)
        return floor - circuit_levels(design, self.storey, circuit.laid).pipe_m

    def across(self, point: Point) -> float:
        """How far right of the cabinet's middle a point of the plan stands."""
        normal = np.asarray(self.manifold.manifold.normal, dtype=float)
        normal = normal / np.linalg.norm(normal)
        return float((np.asarray(point) - self.manifold.manifold.position) @ np.array([-normal[1], normal[0]]))

    def port_x(self, cell: PortCells) -> float:
        """Middle of a port."""
        return (self.across(cell.port.flow) + self.across(cell.port.return_)) / 2

    @cached_property
    def cell_m(self) -> float:
        """Width of a cell of the strip: the least distance of two ports."""
        xs = sorted(self.port_x(cell) for cell in self.cells)
        return max(LEAST_CELL_M, min((b - a for a, b in pairwise(xs)), default=0.1))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """What the sheet must hold at 1:5, the scale of every cabinet that the settings allow."""
        foot = -self.depth - STRIP_GAP_M - strip_mm() / 200 - 0.01
        heads = min((self.port_x(cell) for cell in self.cells), default=0.0) - HEADS_MM / 200 - self.cell_m / 2
        return (min(-self.half - 0.26, heads), foot, self.half + BESIDE_M + 0.04, self.top + ABOVE_M)
