"""What every attempt to fill one territory shares: its grid, its rules, the costs of its lines."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from ufh_core.fields.bulbs import BulbRules, bulb_rules
from ufh_core.fields.compaction import Space
from ufh_core.fields.edges import Edges, edges_of, with_edges
from ufh_core.fields.grid import Bools, StudGrid, reachable, stud_grid
from ufh_core.fields.joint import Rules
from ufh_core.fields.lattice import AxisCosts, Gaps, axis_costs, gaps_for
from ufh_core.fields.rate import REACH, Wish
from ufh_core.fields.types import FieldRequest, Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Territory:
    """What all attempts share; no `wish` for a length where compaction decides on it."""

    request: FieldRequest
    grid: StudGrid
    floor: Bools
    gaps: Gaps
    rules: Rules
    space: Space
    costs_x: AxisCosts
    costs_y: AxisCosts
    edges: Edges | None
    wish: Wish | None
    bulbs: BulbRules

    @property
    def plain(self) -> bool:
        """Whether it is filled in counterflow on studs, at one pitch as wide as a turn."""
        asked, wide = self.request, self.rules.lattice_leg is None
        return wide and asked.on_studs and self.edges is None and asked.pattern is Pattern.COUNTERFLOW


def territory_of(request: FieldRequest) -> Territory:
    """The grid and the costs of the lines."""
    grid = stud_grid(request)
    stud = request.stud_pitch_m
    gaps = gaps_for(request.pitch_m, stud, request.least_radius_m, request.separation_m)
    floor = reachable(grid, max(gaps.turn, gaps.least), REACH * gaps.pitch, request)
    edges = edges_of(request, grid, floor)
    costs_x = axis_costs(grid.node, grid.ends_x, gaps, stud)
    costs_y = axis_costs(grid.node.T, grid.ends_y, gaps, stud)
    if edges is not None:
        costs_x = with_edges(costs_x, grid.node, edges.for_axis(0), edges.pitch)
        costs_y = with_edges(costs_y, grid.node.T, edges.for_axis(1).T, edges.pitch)
    rules = Rules(
        leg=gaps.turn,
        lattice_leg=gaps.least if gaps.least < gaps.turn else None,
        end_leg=request.least_radius_m / stud,
        apart=math.ceil(request.separation_share * request.pitch_m / stud - 1e-6),
    )
    return Territory(
        request=request,
        grid=grid,
        floor=floor,
        gaps=gaps,
        rules=rules,
        space=Space.of(grid, rules, gaps.pitch),
        costs_x=costs_x,
        costs_y=costs_y,
        edges=edges,
        wish=_wish(request, grid, floor, edges) if gaps.least >= gaps.turn else None,
        bulbs=bulb_rules(request, in_studs=True),
    )


def _wish(request: FieldRequest, grid: StudGrid, floor: Bools, edges: Edges | None) -> Wish:
    """The length that the floor in reach, its edge included, asks for."""
    whole = ndimage.binary_dilation(floor, np.ones((5, 5), bool)) & grid.floor
    length = max(1, int(np.count_nonzero(whole))) / request.pitch_m
    if edges is not None:
        length += int(np.count_nonzero(edges.floor)) * (1 / request.edge_pitch_m - 1 / request.pitch_m)
    return Wish(length_m=length * grid.stud_m**2, radius_m=request.least_radius_m)
