"""What a body covers between two heights, against points in a triangulated convex body (scipy, published library)."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from scipy.spatial import ConvexHull, Delaunay

from ufh_core.coordination.bands import band_area


def box_mesh(low: tuple[float, ...], high: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    corners = np.array(
        [[(low, high)[i][0], (low, high)[j][1], (low, high)[k][2]] for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    )
    return corners, ConvexHull(corners).simplices


@pytest.mark.parametrize("seed", range(6))
def test_convex_bodies_cover_what_points_inside_say(seed: int) -> None:
    """A plan point is covered where some height of the band is inside; 41 heights are asked."""
    random = np.random.default_rng(seed)
    points = random.uniform(-1, 1, (14, 3))
    hull, inside = ConvexHull(points), Delaunay(points)
    low, high = sorted(random.uniform(-0.7, 0.7, 2))
    area = band_area(points, hull.simplices, low, high)
    asked = random.uniform(-1, 1, (600, 2))
    heights = np.linspace(low, high, 41)
    spots = np.concatenate([np.repeat(asked, 41, axis=0), np.tile(heights, 600)[:, None]], axis=1)
    covered = (inside.find_simplex(spots) >= 0).reshape(600, 41).any(axis=1)
    clear = shapely.distance(shapely.points(asked), area.boundary) > 0.02
    told = shapely.contains_xy(area, asked[:, 0], asked[:, 1])
    assert clear.sum() > 400 and covered.any() and not covered.all()
    assert (told[clear] == covered[clear]).all()


def test_tall_box_is_covered_where_only_its_sides_cross_the_band() -> None:
    vertices, faces = box_mesh((0, 0, -5), (2, 1, 5))
    assert band_area(vertices, faces, 0.1, 0.2).area == pytest.approx(2.0, abs=0.01)


def test_nothing_above_and_below() -> None:
    vertices, faces = box_mesh((0, 0, 0), (2, 1, 1))
    assert band_area(vertices, faces, 1.1, 1.2).is_empty and band_area(vertices, faces, -0.2, -0.1).is_empty


def test_pipe_stays_hollow() -> None:
    """A square tube standing upright covers its wall, not its inside."""
    outer, faces = box_mesh((0, 0, -1), (1, 1, 1))
    inner, inner_faces = box_mesh((0.1, 0.1, -1), (0.9, 0.9, 1))
    sides = [np.abs(np.cross(b - a, c - a)[2]) < 1e-9 for a, b, c in outer[faces]]
    mesh = np.vstack([outer, inner]), np.vstack([faces[sides], inner_faces[sides] + 8])
    area = band_area(*mesh, -0.1, 0.1)
    assert area.area == pytest.approx(1 - 0.64, abs=0.01) and not area.contains(shapely.Point(0.5, 0.5))
