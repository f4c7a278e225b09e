"""Floor and water solved together, and the upward flux smoothed: two sparse linear systems.

The coupled system is not symmetric (water carries only onward), so BiCGSTAB solves it; the smoothing is, so
conjugate gradients do. Both are scaled by their diagonal. Room and ground sink heat in every cell, which
keeps the systems well conditioned whatever the storey's size: about 80 steps, each as long as the cells are many.
Source: van der Vorst 1992 (BiCGSTAB), Hestenes and Stiefel 1952 (conjugate gradients), both from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import scipy.sparse as sp

from ufh_core.basis.errors import NoSolution
from ufh_core.surface_field.cells import Floats
from ufh_core.surface_field.stations import Stations
from ufh_core.surface_field.water import WaterRun

CLOSENESS = 3e-9
"""Residual against the right side at which a solution counts as found."""

MOST_STEPS = 3000
_Times = Callable[[Floats], Floats]


def plane_temperature(passive: sp.csr_matrix, sunk: Floats, stations: Stations, water: WaterRun) -> Floats:
    """Temperature of the pipe plane in every cell [°C].

    `passive` is conduction and sinks [W/K], `sunk` their heat at the rooms' and the ground's temperature [W].

    Raises: NoSolution where the iteration does not end.
    """
    back = stations.shares.T.tocsr()
    no_flow = np.zeros_like(water.flow_c)
    nothing = np.zeros(stations.shares.shape[0])

    def coupled(t: Floats) -> Floats:
        return np.asarray(passive @ t - back @ water.heat(stations.shares @ t, no_flow))

    right = sunk + back @ water.heat(nothing, water.flow_c)
    own = water.capacity[water.pipe] * water.given
    diagonal = passive.diagonal() + stations.shares.power(2).T @ own
    start = sunk / np.asarray(passive.sum(axis=1)).ravel()
    return _solved(_stabilised, coupled, right, diagonal, start)


def smoothed(matrix: sp.csr_matrix, right: Floats, start: Floats) -> Floats:
    """The solution of a symmetric positive system.

    Raises: NoSolution where the iteration does not end.
    """
    return _solved(_conjugate, lambda x: np.asarray(matrix @ x), right, matrix.diagonal(), start)


def _solved(
    method: Callable[[_Times, Floats, float], Floats], times: _Times, right: Floats, diagonal: Floats, start: Floats
) -> Floats:
    """The system scaled by its diagonal on both sides, solved for what is missing from `start`."""
    scale = 1 / np.sqrt(diagonal)
    missing = scale * (right - times(start))
    small = CLOSENESS * _size(scale * right)
    return np.asarray(start + scale * method(lambda x: scale * times(scale * x), missing, small))


def _conjugate(times: _Times, right: Floats, small: float) -> Floats:
    """Conjugate gradients from zero until the residual is `small`."""
    x, residual = np.zeros_like(right), right.copy()
    way, before = right.copy(), _dot(right, right)
    for _ in range(MOST_STEPS):
        if before <= small**2:
            return x
        ahead = times(way)
        step = before / _dot(way, ahead)
        x += step * way
        residual -= step * ahead
        now = _dot(residual, residual)
        way *= now / before
        way += residual
        before = now
    raise _endless()


def _stabilised(times: _Times, right: Floats, small: float) -> Floats:
    """BiCGSTAB from zero until the residual is `small`; the shadow residual is the first one."""
    x, residual, shadow = np.zeros_like(right), right.copy(), right
    way = right.copy()
    before = _dot(shadow, residual)
    for _ in range(MOST_STEPS):
        if _size(residual) <= small:
            return x
        ahead = times(way)
        step = before / _dot(shadow, ahead)
        residual -= step * ahead
        turned = times(residual)
        weight = _dot(turned, residual) / max(_dot(turned, turned), 1e-300)
        x += step * way
        x += weight * residual
        residual -= weight * turned
        now = _dot(shadow, residual)
        way -= weight * ahead
        way *= now / before * step / weight if weight else 0.0
        way += residual
        before = now
    raise _endless()


def _dot(a: Floats, b: Floats) -> float:
    """Product of two vectors on one core: many small calls are slower on several."""
    return float(np.einsum("i,i->", a, b))


def _size(a: Floats) -> float:
    return math.sqrt(_dot(a, a))


def _endless() -> NoSolution:
    return NoSolution("the temperatures of the floor were not found: the iteration did not end")
