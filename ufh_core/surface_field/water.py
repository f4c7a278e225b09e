"""The water along the pipes: it cools piece by piece towards the floor that it passes.

Along a piece, θ falls towards the floor's t with exp(−U l/(m c)), exactly. With the fall a and 1 − a = b,
θ_k = a_k θ_{k−1} + b_k t_k is a triangular system of two diagonals, solved for all pipes at once, piece after piece:
sound for any flow, however small.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import lapack

from ufh_core.surface_field.cells import Floats, Ints
from ufh_core.surface_field.stations import Stations
from ufh_core.surface_field.types import FloorPipe

_LEAST_FLOW = 1e-6  # [kg/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterRun:
    """The water of all pipes: capacity rate m c [W/K] and share b given off at each station, flow temperatures."""

    first: Ints  # each pipe's first station
    pipe: Ints  # each station's pipe
    capacity: Floats  # of each pipe
    given: Floats  # b of each station
    bands: Floats  # (2, stations): the system's diagonals, 1 and what each station hands on
    flow_c: Floats  # of each pipe

    def into(self, floor: Floats, flow_c: Floats) -> Floats:
        """Temperature of the water that enters each station, with floors `floor` and flows `flow_c` [°C]."""
        gained = self.given * floor
        gained[self.first] += (1 - self.given[self.first]) * flow_c
        out, _ = lapack.dtbtrs(self.bands, gained, uplo="L", diag="U")
        into = np.empty_like(gained)
        into[1:] = np.ravel(out)[:-1]
        into[self.first] = flow_c
        return into

    def heat(self, floor: Floats, flow_c: Floats) -> Floats:
        """Heat [W] that each station gives to its floor."""
        return self.capacity[self.pipe] * self.given * (self.into(floor, flow_c) - floor)


def water_run(pipes: Sequence[FloorPipe], stations: Stations) -> WaterRun:
    """The run of the water; pipes without water give nothing."""
    flows = np.array([pipe.mass_flow for pipe in pipes])
    running = flows > _LEAST_FLOW
    capacity = np.where(running, flows, 0.0) * np.array([pipe.heat_capacity for pipe in pipes])
    rate = np.where(running, capacity, 1.0)[stations.pipe]
    units = np.where(running[stations.pipe], stations.conductance / rate, 0.0)
    first = np.searchsorted(stations.pipe, np.arange(len(pipes)))
    handed = np.exp(-units)
    handed[first] = 0.0  # nothing comes from another pipe
    return WaterRun(
        first=first,
        pipe=stations.pipe,
        capacity=capacity,
        given=-np.expm1(-units),
        bands=np.stack([np.ones_like(units), np.append(-handed[1:], 0.0)]),
        flow_c=np.array([pipe.flow_c for pipe in pipes]),
    )
