"""Heat conduction in a rectangle of many materials as a network of nodes, conductances and capacities.

Finite volumes with a box round every node: the rectangle between four nodes is one element of one material,
and lets heat pass along its four edges. The sum over all elements is a symmetric matrix whose rows add up to
zero, so that no heat is lost whatever the grid. What lies outside (a room, water, the ground) is a *port*: one
more node, with a temperature that is given or, if it is not, found.
An element may bring a matrix of its own instead (`cut_elements`: the pipe).
Source: the method of balances over boxes, as EN ISO 10211 asks of a numerical method (annex A has its checks).
Cost: one sparse factorisation, some 20 ms for 4000 nodes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from ufh_core.basis.errors import NoSolution
from ufh_core.section.types import Array, Index, Mask

_NO_FILM_R = 1e-9  # stands for no resistance at all between a side and its port [m² K/W]
_IDLE = 1e-12  # a node that conducts less has but water round it, or a corner that rounds to nothing [W/K]
_ALONG_X = np.array([[1, -1, 0, 0], [-1, 1, 0, 0], [0, 0, 1, -1], [0, 0, -1, 1]], dtype=float)
_ALONG_Y = np.array([[1, 0, -1, 0], [0, 1, 0, -1], [-1, 0, 1, 0], [0, -1, 0, 1]], dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A stretch of one side of the rectangle that faces a port through a resistance [m² K/W].

    `where`: "left", "right", "bottom", "top". `between_m` [m] along that side, all of it without.
    """

    where: str
    port: str
    resistance: float
    between_m: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Elements:
    """The rectangles between the lines, row by row from below, each from left to right.

    `matrices` (n, 4, 4) [W/K for a metre of length], `capacities` (n, 4) [J/K for a metre]; corners in the order
    lower left, lower right, upper left, upper right.
    """

    x: Array
    y: Array
    matrices: Array
    capacities: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatNetwork:
    """Nodes of the grid (row by row from below), then ports.

    `conductances` [W/K] for a metre of length, symmetric, rows add up to zero; `capacities` [J/K] for a metre.
    `idle` marks nodes with nothing round them (those in the water).
    """

    x: Array
    y: Array
    conductances: sparse.csr_matrix
    capacities: Array
    ports: tuple[str, ...]
    idle: Mask

    @property
    def node_count(self) -> int:
        """Nodes of the grid, without ports."""
        return self.x.size * self.y.size

    def at(self, port: str) -> int:
        """Index of a port."""
        return self.node_count + self.ports.index(port)

    def row(self, index: int) -> slice:
        """Nodes of one row of the grid."""
        width = self.x.size
        start = range(self.y.size)[index] * width
        return slice(start, start + width)


def plain_elements(x: Array, y: Array, conductivity: Array, heat_capacity: Array) -> Elements:
    """Elements of whole rectangles: λ [W/(m K)] and ρ c [J/(m³ K)], both (rows, columns)."""
    width, height = np.broadcast_arrays(np.diff(x)[None, :], np.diff(y)[:, None])
    along_x = (conductivity * height / width / 2).reshape(-1, 1, 1)
    along_y = (conductivity * width / height / 2).reshape(-1, 1, 1)
    quarter = (heat_capacity * width * height / 4).reshape(-1, 1)
    return Elements(
        x=x, y=y, matrices=along_x * _ALONG_X + along_y * _ALONG_Y, capacities=np.repeat(quarter, 4, axis=1)
    )


def corners(x: Array, y: Array) -> Index:
    """Nodes (n, 4) of every element."""
    columns, rows = np.meshgrid(np.arange(x.size - 1), np.arange(y.size - 1))
    first = (rows * x.size + columns).reshape(-1, 1)
    return np.asarray(first + np.array([0, 1, x.size, x.size + 1]))


def assemble(
    elements: Elements, sides: Sequence[Side], ports: Sequence[str], links: Sequence[tuple[Index, Array]] = ()
) -> HeatNetwork:
    """Build the network. `links` are more matrices (n, k, k) with their nodes (n, k)."""
    x, y = elements.x, elements.y
    nodes = corners(x, y)
    size = x.size * y.size + len(ports)
    parts = [(nodes, elements.matrices), *links]
    parts += [_side_links(x, y, side, x.size * y.size + tuple(ports).index(side.port)) for side in sides]
    rows = np.concatenate([np.repeat(index, index.shape[1], axis=1).ravel() for index, _ in parts])
    columns = np.concatenate([np.tile(index, (1, index.shape[1])).ravel() for index, _ in parts])
    values = np.concatenate([matrix.ravel() for _, matrix in parts])
    matrix = sparse.csr_matrix((values, (rows, columns)), shape=(size, size))
    capacities = np.asarray(np.bincount(nodes.ravel(), elements.capacities.ravel(), minlength=size), dtype=float)
    idle = matrix.diagonal() < _IDLE
    idle[x.size * y.size :] = False
    return HeatNetwork(x=x, y=y, conductances=matrix, capacities=capacities, ports=tuple(ports), idle=idle)


def linked(network: HeatNetwork, first: str, second: str, conductance: float) -> HeatNetwork:
    """The network with a conductance [W/K for a metre] between two ports, the second of which may be new."""
    if second not in network.ports:
        grown = network.node_count + len(network.ports) + 1
        wider = network.conductances.copy()
        wider.resize((grown, grown))
        network = replace(
            network,
            conductances=wider,
            capacities=np.append(network.capacities, 0.0),
            idle=np.append(network.idle, False),
            ports=(*network.ports, second),
        )
    a, b = network.at(first), network.at(second)
    values = conductance * np.array([1.0, 1.0, -1.0, -1.0])
    extra = sparse.csr_matrix((values, ([a, b, a, b], [a, b, b, a])), shape=network.conductances.shape)
    return replace(network, conductances=(network.conductances + extra).tocsr())


def storing(network: HeatNetwork, port: str, capacity: float) -> HeatNetwork:
    """The network with a port that stores heat [J/K for a metre]."""
    capacities = network.capacities.copy()
    capacities[network.at(port)] += capacity
    return replace(network, capacities=capacities)


def free_nodes(network: HeatNetwork, given: Mapping[str, float] | Sequence[str]) -> Index:
    """Indices of all nodes and ports whose temperature is to be found."""
    free = ~network.idle
    free[[network.at(port) for port in given]] = False
    return np.flatnonzero(free)


def solve(network: HeatNetwork, given: Mapping[str, float], powers: Mapping[str, float] | None = None) -> Array:
    """Steady temperatures [°C] of all nodes and ports; idle nodes are not a number.

    `given` temperatures [°C] by port, `powers` [W for a metre] that are put in at ports that are not given.
    Raises: NoSolution where no port is given, or one that is not a number.
    """
    if not given:
        raise NoSolution("a section needs a temperature on at least one side")
    if not np.isfinite([*given.values(), *(powers or {}).values()]).all():
        raise NoSolution("a temperature or power of the section is not a number")
    free = free_nodes(network, given)
    temperatures = np.where(network.idle, np.nan, 0.0)
    for port, value in given.items():
        temperatures[network.at(port)] = value
    source = -(network.conductances @ np.nan_to_num(temperatures))
    for port, power in (powers or {}).items():
        source[network.at(port)] += power
    temperatures[free] = factorised(network.conductances[free][:, free])(source[free])
    return temperatures


def factorised(matrix: sparse.csr_matrix) -> Callable[[Array], Array]:
    """Solver of a symmetric positive matrix, as a function of the right-hand side.

    Raises: NoSolution where the matrix is singular.
    """
    try:
        factors = splu(
            matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
    except RuntimeError as error:
        raise NoSolution("a part of the section has no way for its heat to leave") from error
    solver: Callable[[Array], Array] = factors.solve
    return solver


def heat_from(network: HeatNetwork, temperatures: Array, port: str) -> float:
    """Heat that a port sends into the section [W for a metre]."""
    row = network.conductances[[network.at(port)]]
    return float((row @ np.nan_to_num(temperatures))[0])


def _side_links(x: Array, y: Array, side: Side, port: int) -> tuple[Index, Array]:
    """Matrices (n, 2, 2) and nodes of the links of one side: each node with half the edges beside it."""
    nodes = {
        "bottom": np.arange(x.size),
        "top": (y.size - 1) * x.size + np.arange(x.size),
        "left": np.arange(y.size) * x.size,
        "right": np.arange(y.size) * x.size + x.size - 1,
    }[side.where]
    along = x if side.where in {"bottom", "top"} else y
    length = np.diff(along)
    if side.between_m is not None:
        middle = (along[1:] + along[:-1]) / 2
        length = np.where((middle > side.between_m[0]) & (middle < side.between_m[1]), length, 0.0)
    share = (np.append(length, 0.0) + np.append(0.0, length)) / 2
    conductance = (share / max(side.resistance, _NO_FILM_R)).reshape(-1, 1, 1)
    index = np.stack([nodes, np.full(nodes.size, port)], axis=1)
    return index[share > 0], (conductance * np.array([[1.0, -1.0], [-1.0, 1.0]]))[share > 0]
