"""A manifold's network fitted to flows that were measured on it.

Pipes lie otherwise than drawn, valves scatter about their table, pumps are set by hand, meters err. So each circuit
gets two unknowns, by how much its pipe resists more than designed and by how much its valve opens more than its table
says, and the manifold one, by how much its pump gives more. Algorithm: maximum a posteriori by Levenberg and
Marquardt: readings of all rounds weigh by the meter's error, unknowns by how far reality usually is from a design.
The pressure between the bars is one unknown more in each round, held to what the pump gives for the sum of the
model's flows. So a circuit's flow depends on three unknowns only, and four sweeps over all circuits make the Jacobian.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from ufh_core.basis.errors import NoSolution
from ufh_core.hydraulics.pipe import flow_at
from ufh_core.network.pump import pump_pressure
from ufh_core.network.types import Branch, Entry, Pump

METER_ERROR = 0.03
PIPE_DOUBT = 0.10
VALVE_DOUBT = 0.10
PUMP_DOUBT = 0.20
"""Standard deviations, as shares: of a meter that shows within 5 %; of a circuit's resistance, a valve's Kv and a
pump's pressure about their designs. Own assumptions: they weigh readings against each other and against the design."""
_CLOSED = 1e-3  # share of the bars' pressure to which a round's pressures close
_STEP = 1e-4
_LEAST_SHARE = 0.05

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One round of readings with all circuits open: flows [kg/s] and the balancing valves' Kv [m³/h] by circuit."""

    flows: Mapping[str, float]
    kvs: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The network as it seems to be, its balancing valves as in the last round.

    `valve_factors`: Kv over the table's, by circuit; `doubts`: standard deviations of the last round's flows, as
    shares.
    """

    branches: Mapping[str, Branch]
    pump: Pump
    pump_factor: float
    valve_factors: Mapping[str, float]
    doubts: Mapping[str, float]


def fitted_network(
    branches: Mapping[str, Branch], entry: Entry, pump: Pump, rounds: Sequence[Round], meter_error: float = METER_ERROR
) -> Fitted:
    """The network that explains the readings best.

    `branches` hold the balancing valve first among their Kv. `meter_error` is a standard deviation, as a share.
    Raises: NoSolution without a round, or where one lacks a circuit or a flow.
    """
    _check(branches, rounds)
    task = _Task(tuple(branches), tuple(branches.values()), entry, pump, tuple(rounds), meter_error)
    found = least_squares(task.misfit, task.start(), jac=task.jacobian, method="lm", xtol=1e-8, ftol=1e-8)
    count, many = len(branches), len(branches) * len(rounds)
    spread = np.linalg.inv(found.jac.T @ found.jac)
    last = found.jac[many - count : many] * meter_error
    sigma = np.sqrt(np.einsum("ij,jk,ik->i", last, spread, last))
    pipes, valves, factor = found.x[:count], np.exp(found.x[count : 2 * count]), math.exp(found.x[2 * count])
    kvs = rounds[-1].kvs
    return Fitted(
        branches={n: _with(branches[n], kvs[n] * valves[k], pipes[k]) for k, n in enumerate(branches)},
        pump=replace(pump, pressures_pa=tuple(factor * pressure for pressure in pump.pressures_pa)),
        pump_factor=factor,
        valve_factors=dict(zip(branches, valves.tolist(), strict=True)),
        doubts=dict(zip(branches, sigma.tolist(), strict=True)),
    )


def _check(branches: Mapping[str, Branch], rounds: Sequence[Round]) -> None:
    if not rounds or not branches:
        raise NoSolution("nothing was measured that a manifold could be balanced by")
    for each in rounds:
        for name in branches:
            if each.flows.get(name, 0.0) <= 0 or each.kvs.get(name, 0.0) <= 0:
                raise NoSolution(f"circuit {name} has no flow: look for air, a shut valve or a shut actuator first")


@dataclass(frozen=True, slots=True)
class _Task:
    """The least squares: unknowns are logarithms of pipes, valves, pump, and of the bars' pressure round by round."""

    names: tuple[str, ...]
    branches: tuple[Branch, ...]
    entry: Entry
    pump: Pump
    rounds: tuple[Round, ...]
    meter_error: float

    def start(self) -> Array:
        """The design, with the pressures that the sums of the readings leave of its pump's."""
        least = _LEAST_SHARE * max(self.pump.pressures_pa)
        heads = [self._left(np.array([each.flows[n] for n in self.names]), 0.0) for each in self.rounds]
        return np.concatenate([np.zeros(2 * len(self.names) + 1), np.log([max(head, least) for head in heads])])

    def misfit(self, at: Array) -> Array:
        """Readings, unknowns and closures, each over its doubt."""
        flows, count = self._flows(at), len(self.names)
        read = np.array([[each.flows[n] for n in self.names] for each in self.rounds])
        readings = np.log(flows / read) / self.meter_error
        closures = [
            (self._left(row, at[2 * count]) * math.exp(-z) - 1) / _CLOSED
            for row, z in zip(flows, at[2 * count + 1 :], strict=True)
        ]
        return np.concatenate([readings.ravel(), at[: 2 * count + 1] / self._doubts(), closures])

    def jacobian(self, at: Array) -> Array:
        """Slopes of `misfit`."""
        count, rounds, size = len(self.names), len(self.rounds), len(at)
        flows = self._flows(at)
        own, which = np.tile(np.arange(count), rounds), np.repeat(np.arange(rounds), count)
        logs = np.zeros((count * rounds, size))
        for columns in (own, count + own, 2 * count + 1 + which):
            step = np.zeros(size)
            step[columns] = _STEP
            logs[np.arange(count * rounds), columns] = (np.log(self._flows(at + step) / flows) / _STEP).ravel()
        closures = np.zeros((rounds, size))
        for k, row in enumerate(flows):
            here, z = self._left(row, at[2 * count]), at[2 * count + 1 + k]
            more = (self._left(row * (1 + _STEP), at[2 * count]) - here) / (_STEP * row.sum())  # Pa by kg/s
            closures[k] = more * row @ logs[k * count : (k + 1) * count]
            closures[k, 2 * count] += self._left(row, at[2 * count] + _STEP) / _STEP - here / _STEP
            closures[k, 2 * count + 1 + k] -= here
            closures[k] *= math.exp(-z) / _CLOSED
        priors = np.hstack([np.diag(1 / self._doubts()), np.zeros((2 * count + 1, rounds))])
        return np.vstack([logs / self.meter_error, priors, closures])

    def _doubts(self) -> Array:
        count = len(self.names)
        return np.concatenate([np.full(count, PIPE_DOUBT), np.full(count, VALVE_DOUBT), [PUMP_DOUBT]])

    def _flows(self, at: Array) -> Array:
        """Flows (rounds, circuits) [kg/s] by the model."""
        count = len(self.names)
        return np.array(
            [
                [
                    self._flow(k, each.kvs[n] * math.exp(at[count + k]), at[k], math.exp(z))
                    for k, n in enumerate(self.names)
                ]
                for each, z in zip(self.rounds, at[2 * count + 1 :], strict=True)
            ]
        )

    def _flow(self, k: int, kv: float, unknown: float, pressure: float) -> float:
        own = _with(self.branches[k], kv, unknown)
        return flow_at(pressure, own.pipe, own.kvs)

    def _left(self, flows: Array, pump: float) -> float:
        """What the pump leaves between the bars [Pa] at flows [kg/s]; `pump` is the logarithm of its factor."""
        volume = sum(float(flow) / b.pipe.density for flow, b in zip(flows, self.branches, strict=True))
        return math.exp(pump) * pump_pressure(self.pump, volume) - self.entry.drop(float(flows.sum()))


def _with(branch: Branch, kv: float, unknown: float) -> Branch:
    """The branch with its balancing valve at `kv` [m³/h] and a pipe that resists exp(unknown) as much."""
    pipe = replace(branch.pipe, length_m=branch.pipe.length_m * math.exp(unknown))
    return replace(branch, pipe=pipe, kvs=(kv, *branch.kvs[1:]))
