"""Floor and water solved together, and the upward flux smoothed: two sparse linear systems.

The coupled system is not symmetric (water carries only onward), so BiCGSTAB with a diagonal preconditioner
solves it; room and ground sink heat in every cell, which keeps it well conditioned whatever the storey's
size. Source: van der Vorst 1992 (BiCGSTAB), Hestenes and Stiefel 1952 (conjugate gradients), both from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from inspect import signature

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import LinearOperator, bicgstab, cg

from ufh_core.basis.errors import NoSolution
from ufh_core.surface_field.cells import Floats
from ufh_core.surface_field.stations import Stations
from ufh_core.surface_field.water import WaterRun

CLOSENESS = 1e-9
"""Residual against the right side at which a solution counts as found."""

MOST_STEPS = 3000


def plane_temperature(passive: sp.csr_matrix, sunk: Floats, stations: Stations, water: WaterRun) -> Floats:
    """Temperature of the pipe plane in every cell [°C].

    `passive` is conduction and sinks [W/K], `sunk` their heat at the rooms' and the ground's temperature [W].

    Raises: NoSolution where the iteration does not end.
    """
    back = stations.shares.T.tocsr()
    no_flow = np.zeros_like(water.flow_c)
    nothing = np.zeros(stations.shares.shape[0])
    coupled = lambda t: passive @ t - back @ water.heat(stations.shares @ t, no_flow)  # noqa: E731
    right = sunk + back @ water.heat(nothing, water.flow_c)
    own = water.capacity[water.pipe] * water.given
    diagonal = passive.diagonal() + stations.shares.power(2).T @ own
    start = sunk / np.asarray(passive.sum(axis=1)).ravel()
    return _solved(bicgstab, coupled, right, diagonal, start)


def smoothed(matrix: sp.csr_matrix, right: Floats, start: Floats) -> Floats:
    """The solution of a symmetric positive system.

    Raises: NoSolution where the iteration does not end.
    """
    return _solved(cg, lambda x: matrix @ x, right, matrix.diagonal(), start)


def _solved(
    method: Callable[..., tuple[Floats, int]],
    times: Callable[[Floats], Floats],
    right: Floats,
    diagonal: Floats,
    start: Floats,
) -> Floats:
    """The system scaled by its diagonal on both sides, solved for what is missing from `start`."""
    scale = 1 / np.sqrt(diagonal)
    missing = scale * (right - times(start))
    size = float(np.linalg.norm(scale * right))
    if np.linalg.norm(missing) <= CLOSENESS * size:
        return start
    operator = LinearOperator((len(right), len(right)), matvec=lambda x: scale * times(scale * x), dtype=float)
    step, failed = method(operator, missing, atol=CLOSENESS * size, maxiter=MOST_STEPS, **_relative(method))
    if failed:
        raise NoSolution("the temperatures of the floor were not found: the iteration did not end")
    return np.asarray(start + scale * step)


def _relative(method: Callable[..., tuple[Floats, int]]) -> dict[str, float]:
    """No tolerance relative to the start; the name of it is `tol` before version 1.12 of the library."""
    return {"rtol" if "rtol" in signature(method).parameters else "tol": 0.0}
