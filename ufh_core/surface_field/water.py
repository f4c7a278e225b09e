"""The water along the pipes: it cools piece by piece towards the floor that it passes.

Along a piece, θ falls towards the floor's t with exp(−U l/(m c)), exactly. With the fall a and 1 − a = b,
θ_k = a_k θ_{k−1} + b_k t_k is solved for all pipes at once by running products.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ufh_core.surface_field.cells import Floats, Ints
from ufh_core.surface_field.stations import Stations
from ufh_core.surface_field.types import FloorPipe
from ufh_core.thermal_output.water_side import WATER_HEAT

_MOST_UNITS = 50.0  # transfer units of a pipe after which nothing of the flow's temperature is left
_LEAST_FLOW = 1e-6  # [kg/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterRun:
    """The water of all pipes: capacity rate m c [W/K] and share b given off at each station, flow temperatures."""

    first: Ints  # each pipe's first station
    pipe: Ints  # each station's pipe
    capacity: Floats  # of each pipe
    given: Floats  # b of each station
    kept: Floats  # a a a ... from the pipe's start to the end of each station
    flow_c: Floats  # of each pipe

    def into(self, floor: Floats, flow_c: Floats) -> Floats:
        """Temperature of the water that enters each station, with floors `floor` and flows `flow_c` [°C]."""
        gained = np.cumsum(self.given * floor / self.kept)
        before = np.where(self.first > 0, gained[self.first - 1], 0.0)
        out = self.kept * (flow_c[self.pipe] + gained - before[self.pipe])
        into = np.empty_like(out)
        into[1:] = out[:-1]
        into[self.first] = flow_c
        return into

    def heat(self, floor: Floats, flow_c: Floats) -> Floats:
        """Heat [W] that each station gives to its floor."""
        return self.capacity[self.pipe] * self.given * (self.into(floor, flow_c) - floor)


def water_run(pipes: Sequence[FloorPipe], stations: Stations) -> WaterRun:
    """The run of the water; pipes without water give nothing."""
    flows = np.array([pipe.mass_flow for pipe in pipes])
    running = flows > _LEAST_FLOW
    capacity = np.where(running, flows, 0.0) * WATER_HEAT
    rate = np.where(running, capacity, 1.0)[stations.pipe]
    units = np.where(running[stations.pipe], stations.conductance / rate, 0.0)
    first = np.searchsorted(stations.pipe, np.arange(len(pipes)))
    passed = np.cumsum(units)
    passed -= np.where(first > 0, passed[first - 1], 0.0)[stations.pipe]
    return WaterRun(
        first=first,
        pipe=stations.pipe,
        capacity=capacity,
        given=-np.expm1(-units),
        kept=np.exp(-np.minimum(passed, _MOST_UNITS)),
        flow_c=np.array([pipe.flow_c for pipe in pipes]),
    )
