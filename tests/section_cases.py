"""Sections for the tests: a pipe 16 x 2 mm in screed on insulation, and the same by finite elements.

The finite elements are independent of the project: a mesh fitted to the round pipe, quadratic triangles and the
library scikit-fem; wall and all are solid there.
"""

import math
from itertools import pairwise

import numpy as np

from ufh_core.section import TURBULENT, Layer, PipeInSection, Section

FINISH_CONDUCTIVITY = 0.23


def a_section(
    pitch: float = 0.15,
    finish_r: float = 0.0,
    *,
    gap: float = 0.0005,
    insulation_r: float = 1.25,
    cover: float = 0.045,
    screed: float = 1.2,
    outside: float = 0.016,
    wall: float = 0.002,
    pipe: float = 0.35,
    film: float = TURBULENT,
    solid_finish: bool = True,
    solid_insulation: bool = True,
) -> Section:
    layers = []
    if solid_insulation:
        layers.append(Layer(thickness_m=insulation_r * 0.04, conductivity=0.04, heat_capacity_volumetric=3e4))
    base = sum(layer.thickness_m for layer in layers)
    layers.append(Layer(thickness_m=gap + outside + cover, conductivity=screed, heat_capacity_volumetric=2e6))
    if solid_finish and finish_r > 0:
        finish = FINISH_CONDUCTIVITY * finish_r
        layers.append(Layer(thickness_m=finish, conductivity=FINISH_CONDUCTIVITY, heat_capacity_volumetric=1.5e6))
    return Section(
        pitch_m=pitch,
        layers=tuple(layers),
        pipe=PipeInSection(
            outside_m=outside, wall_m=wall, conductivity=pipe, centre_m=base + gap + outside / 2, film=film
        ),
        below_r=0.17 + (0.0 if solid_insulation else insulation_r),
        finish_r=0.0 if solid_finish else finish_r,
    )


class FiniteElements:
    """The same section, water 1 K over room and below: fluxes [W/m²] up and down, surface and the warmest [K]."""

    def __init__(self, section: Section, density: int = 12) -> None:
        import skfem
        from skfem.helpers import dot, grad

        points, triangles = fitted_mesh(section, density)
        mesh = skfem.MeshTri(points.T, triangles.T)
        basis = skfem.Basis(mesh, skfem.ElementTriP2())
        middle = points[triangles].mean(axis=1)
        conductivity = basis.with_element(skfem.ElementTriP0()).zeros() + conductivity_at(section, middle)

        @skfem.BilinearForm
        def conduction(u, v, w):
            return w.conductivity * dot(grad(u), grad(v))

        @skfem.BilinearForm
        def film(u, v, w):
            return w.transmittance * u * v

        @skfem.LinearForm
        def load(v, w):
            return v

        height, below = section.height_m, section.below_r or math.inf
        top = basis.boundary(mesh.facets_satisfying(lambda x: np.abs(x[1] - height) < 1e-9))
        bottom = basis.boundary(mesh.facets_satisfying(lambda x: np.abs(x[1]) < 1e-9))
        to_room = 1 / (section.room_film_r + section.finish_r)
        field = basis.with_element(skfem.ElementTriP0()).interpolate(conductivity)
        matrix = conduction.assemble(basis, conductivity=field)
        matrix = matrix + film.assemble(top, transmittance=to_room) + film.assemble(bottom, transmittance=1 / below)
        centre, bore = section.pipe.centre_m, section.pipe.bore_radius_m

        def at_water(x):
            return np.hypot(x[0], x[1] - centre) < bore * (1 + 1e-6)

        water = basis.get_dofs(mesh.facets_satisfying(at_water, boundaries_only=True)).all()
        known = basis.zeros()
        known[water] = 1.0
        solution = skfem.solve(*skfem.condense(matrix, basis.zeros(), x=known, D=water))
        width = section.half_pitch_m
        self.up = float(load.assemble(top) @ solution) * to_room / width
        self.down = float(load.assemble(bottom) @ solution) / below / width
        surface = np.flatnonzero(np.abs(points[:, 1] - height) < 1e-9)
        surface = surface[np.argsort(points[surface, 0])]
        self.x = points[surface, 0]
        outside = np.hypot(points[:, 0], points[:, 1] - centre) > section.pipe.radius_m * (1 - 1e-6)
        self.warmest = float(solution[basis.nodal_dofs[0][outside]].max())
        self.surface = solution[basis.nodal_dofs[0][surface]] * section.room_film_r * to_room


def conductivity_at(section: Section, points: np.ndarray) -> np.ndarray:
    tops = np.cumsum([layer.thickness_m for layer in section.layers])
    layers = np.array([layer.conductivity for layer in section.layers])[np.searchsorted(tops, points[:, 1])]
    distance = np.hypot(points[:, 0], points[:, 1] - section.pipe.centre_m)
    return np.where(distance < section.pipe.radius_m, section.pipe.conductivity, layers)


def fitted_mesh(section: Section, density: int) -> tuple[np.ndarray, np.ndarray]:
    """Rays from the pipe to a box in the screed round it, rectangles beyond the box; all cut into triangles."""
    pipe = section.pipe
    levels = np.concatenate([[0.0], np.cumsum([layer.thickness_m for layer in section.layers])])
    low = levels[levels < pipe.centre_m - pipe.radius_m + 1e-12].max()
    high, right = pipe.centre_m + 2 * pipe.radius_m, 2 * pipe.radius_m
    across, up = np.linspace(0, right, density + 1), np.linspace(low, high, 2 * density + 1)
    box = np.concatenate(
        [
            np.stack([across, np.full(across.size, low)], axis=1),
            np.stack([np.full(up.size, right), up], axis=1)[1:-1],
            np.stack([across, np.full(across.size, high)], axis=1)[::-1],
        ]
    )
    centre = np.array([0.0, pipe.centre_m])
    outward = (box - centre) / np.hypot(*(box - centre).T)[:, None]
    radii = np.linspace(pipe.bore_radius_m, pipe.radius_m, 5)
    rings = [centre + radius * outward for radius in radii]
    edge = centre + pipe.radius_m * outward
    rings += [edge + (box - edge) * share for share in np.linspace(0, 1, density + 1)[1:] ** 1.3]
    quads = [np.stack([inner[:-1], inner[1:], outer[1:], outer[:-1]], axis=1) for inner, outer in pairwise(rings)]
    x = np.concatenate([across, stretch(right, section.half_pitch_m, density)])
    above = [
        stretch(a, b, density)
        for a, b in zip([high, *levels[levels > high + 1e-12][:-1]], levels[levels > high + 1e-12], strict=True)
    ]
    under = [np.linspace(a, b, density, endpoint=False) for a, b in pairwise(levels) if b < low + 1e-12]
    y = np.concatenate([*under, up, *above])
    quads.append(rectangles(x, y, right, low, high))
    return triangles_of(np.concatenate(quads))


def stretch(start: float, end: float, count: int) -> np.ndarray:
    return start + (end - start) * np.linspace(0, 1, count + 1)[1:] ** 1.4


def rectangles(x: np.ndarray, y: np.ndarray, right: float, low: float, high: float) -> np.ndarray:
    left_x, low_y = np.meshgrid(x[:-1], y[:-1])
    right_x, high_y = np.meshgrid(x[1:], y[1:])
    x0, x1, y0, y1 = (values.ravel() for values in (left_x, right_x, low_y, high_y))
    quads = np.stack([np.stack(p, axis=1) for p in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))], axis=1)
    middle = quads.mean(axis=1)
    return quads[~((middle[:, 0] < right) & (middle[:, 1] > low) & (middle[:, 1] < high))]


def triangles_of(quads: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    keys, index = np.unique(np.round(quads.reshape(-1, 2), 10), axis=0, return_inverse=True)
    corners = np.asarray(index).reshape(-1, 4)
    return keys, np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
