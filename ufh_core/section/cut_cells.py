"""The round pipe in a rectangular grid: elements that its outer circle cuts, and the links to the water.

An element that the circle cuts keeps the bilinear temperature of its four nodes, but only the part outside
the circle conducts and stores: its matrix is the integral of grad φ_i · grad φ_j over that part (nodes that
lie in the pipe only carry the temperature on to the circle). Along the circle heat passes from the water through
film and wall: the integral of U φ_i φ_j along the arc, U by the exact resistance of a round wall. This is
Galerkin's method with a natural boundary condition, so it is consistent for any place of the circle in the grid,
lets no heat get lost, and the sum over all arcs is the exact resistance of the wall.
Heat that flows round within the wall is left out. It changes the output by less than 0.1 %; the warmest point of the
screed, under a pipe that lies on insulation, comes out too warm by up to 0.8 % of what the water is over the room
(the safe side). See tests/section/test_section_finite_elements.py.
"""

from __future__ import annotations

import math

import numpy as np

from ufh_core.section.network import Elements, corners
from ufh_core.section.types import Array, Index, PipeInSection

_GAUSS_AT = (np.polynomial.legendre.leggauss(4)[0] + 1) / 2
_GAUSS_WEIGHT = np.polynomial.legendre.leggauss(4)[1] / 2
_SAME_ANGLE = 1e-7
_MIRRORED, _SWAPPED = [2, 3, 0, 1], [0, 2, 1, 3]  # order of the corners seen from below, and with x and y exchanged


def wall_transmittance(pipe: PipeInSection) -> float:
    """U of film and wall by area of the pipe's outside [W/(m² K)].

    Source: radial conduction: R' = ln(r_a/r_i)/(2 π λ) + 1/(2 π r_i h) for a metre of pipe.

    >>> pipe = PipeInSection(outside_m=0.016, wall_m=0.002, conductivity=0.35, centre_m=0.1)
    >>> round(1 / (wall_transmittance(pipe) * math.pi * 0.016), 4)  # K m/W
    0.1308
    """
    wall = math.log(pipe.radius_m / pipe.bore_radius_m) / (2 * math.pi * pipe.conductivity)
    film = 1 / (2 * math.pi * pipe.bore_radius_m * pipe.film)
    return 1 / ((wall + film) * 2 * math.pi * pipe.radius_m)


def with_pipe(elements: Elements, conductivity: Array, heat_capacity: Array, pipe: PipeInSection) -> Elements:
    """Elements of a section with the pipe at x = 0 taken out of them. A line of the grid passes its centre."""
    left, right, low, high = _edges(elements.x, elements.y)
    far = _farthest(left, right, low, high, pipe)
    near = np.hypot(left, np.maximum(0.0, np.maximum(low - pipe.centre_m, pipe.centre_m - high)))
    inside = far <= pipe.radius_m
    cut = np.flatnonzero(~inside & (near < pipe.radius_m))
    matrices, capacities = elements.matrices.copy(), elements.capacities.copy()
    matrices[inside], capacities[inside] = 0.0, 0.0
    stiffness, mass = _part_outside(left[cut], right[cut], low[cut], high[cut], pipe)
    matrices[cut] = stiffness * conductivity.ravel()[cut, None, None]
    capacities[cut] = mass * heat_capacity.ravel()[cut, None]
    return Elements(x=elements.x, y=elements.y, matrices=matrices, capacities=capacities)


def water_links(x: Array, y: Array, pipe: PipeInSection, port: int) -> tuple[Index, Array, Array]:
    """Nodes (n, 5) and matrices (n, 5, 5) of the links along the half circle, and the arc [m] of each node.

    The arc is shared by the squares of φ_i: a node that hardly reaches the circle gets as little of its wall to
    heat as it gets heat from it.
    """
    angle, length = _arc_points(x, y, pipe)
    at_x, at_y = pipe.radius_m * np.cos(angle), pipe.centre_m + pipe.radius_m * np.sin(angle)
    column, row = _element_at(x, at_x), _element_at(y, at_y)
    shapes = _shapes((at_x - x[column]) / np.diff(x)[column], (at_y - y[row]) / np.diff(y)[row])
    ends = np.concatenate([shapes, np.full((angle.size, 1), -1.0)], axis=1)
    matrices = (wall_transmittance(pipe) * length)[:, None, None] * ends[:, :, None] * ends[:, None, :]
    nodes = corners(x, y)[row * (x.size - 1) + column]
    stores = length[:, None] * shapes**2 / (shapes**2).sum(axis=1, keepdims=True)
    return np.concatenate([nodes, np.full((angle.size, 1), port)], axis=1), matrices, stores


def _element_at(lines: Array, at: Array) -> Index:
    """Which interval each place lies in; one that misses the outermost line by rounding lies in the last."""
    return np.clip(np.searchsorted(lines, at, side="right") - 1, 0, lines.size - 2)


def _arc_points(x: Array, y: Array, pipe: PipeInSection) -> tuple[Array, Array]:
    """Gauss points on the half circle, four between two lines of the grid: angle from the horizontal, length [m]."""
    crossed_x = np.arccos(np.minimum(x[x <= pipe.radius_m] / pipe.radius_m, 1.0))
    heights = (y - pipe.centre_m) / pipe.radius_m
    crossed_y = np.arcsin(heights[np.abs(heights) <= 1])
    stops = np.unique(np.concatenate([crossed_x, -crossed_x, crossed_y]))  # x = 0 brings both ends
    stops = stops[np.append(True, np.diff(stops) > _SAME_ANGLE)]
    spans = np.diff(stops)
    angles = stops[:-1, None] + spans[:, None] * _GAUSS_AT
    return angles.ravel(), (pipe.radius_m * spans[:, None] * _GAUSS_WEIGHT).ravel()


def _edges(x: Array, y: Array) -> tuple[Array, Array, Array, Array]:
    left, low = np.meshgrid(x[:-1], y[:-1])
    right, high = np.meshgrid(x[1:], y[1:])
    return left.ravel(), right.ravel(), low.ravel(), high.ravel()


def _farthest(left: Array, right: Array, low: Array, high: Array, pipe: PipeInSection) -> Array:
    """Distance from the pipe's centre to the farthest corner [m]."""
    return np.asarray(np.hypot(right, np.maximum(np.abs(low - pipe.centre_m), np.abs(high - pipe.centre_m))))


def _part_outside(left: Array, right: Array, low: Array, high: Array, pipe: PipeInSection) -> tuple[Array, Array]:
    """Integrals of grad φ_i · grad φ_j and of φ_i over the part of each element outside the circle.

    Every element is turned until the circle passes it from left to right and lies below.
    """
    under = (low + high) / 2 < pipe.centre_m
    near = np.where(under, pipe.centre_m - high, low - pipe.centre_m)
    far = np.where(under, pipe.centre_m - low, high - pipe.centre_m)
    steep = left + right > near + far
    start, end = np.where(steep, near, left), np.where(steep, far, right)
    bottom, top = np.where(steep, left, near), np.where(steep, right, far)
    stiffness, mass = _part_over(start, end, bottom, top, pipe.radius_m)
    order = np.tile(np.arange(4), (left.size, 1))
    order = np.where(steep[:, None], order[:, _SWAPPED], order)
    order = np.where(under[:, None], order[:, _MIRRORED], order)
    every = np.arange(left.size)[:, None]
    return stiffness[every[..., None], order[:, :, None], order[:, None, :]], mass[every, order]


def _part_over(start: Array, end: Array, low: Array, high: Array, radius: float) -> tuple[Array, Array]:
    """The same for the part of each element over a circle about the origin, by upright strips.

    Strips begin where the circle leaves by the element's top and are parted where it leaves by its bottom.
    """
    first = np.clip(np.sqrt(np.maximum(0.0, radius**2 - high**2)), start, end)
    middle = np.clip(np.sqrt(np.maximum(0.0, radius**2 - low**2)), first, end)
    u = np.concatenate([_between(first, middle), _between(middle, end)], axis=1)
    wide = np.concatenate([_weights(first, middle), _weights(middle, end)], axis=1)
    floor = np.clip(np.sqrt(np.maximum(0.0, radius**2 - u**2)), low[:, None], high[:, None])
    v = _between(floor, np.broadcast_to(high[:, None], floor.shape))
    weight = wide[..., None] * _weights(floor, np.broadcast_to(high[:, None], floor.shape))
    width, height = (end - start)[:, None, None], (high - low)[:, None, None]
    across = np.broadcast_to((u[..., None] - start[:, None, None]) / width, v.shape)
    up = (v - low[:, None, None]) / height
    by_u, by_v = _slopes(across, up, width, height)
    stiffness = sum(np.einsum("esg,esgi,esgj->eij", weight, slope, slope) for slope in (by_u, by_v))
    return np.asarray(stiffness), np.einsum("esg,esgi->ei", weight, _shapes(across, up))


def _between(start: Array, end: Array) -> Array:
    """Gauss points from start to end, along a new last axis."""
    return start[..., None] + (end - start)[..., None] * _GAUSS_AT


def _weights(start: Array, end: Array) -> Array:
    return (end - start)[..., None] * _GAUSS_WEIGHT


def _shapes(across: Array, up: Array) -> Array:
    """Bilinear φ_1 … φ_4 at a place in the element, 0 … 1 both ways."""
    return np.stack([(1 - across) * (1 - up), across * (1 - up), (1 - across) * up, across * up], axis=-1)


def _slopes(across: Array, up: Array, width: Array, height: Array) -> tuple[Array, Array]:
    """Slopes of φ_1 … φ_4 [1/m] along x and y."""
    by_x = np.stack([up - 1, 1 - up, -up, up], axis=-1) / width[..., None]
    by_y = np.stack([across - 1, -across, 1 - across, across], axis=-1) / height[..., None]
    return by_x, by_y
