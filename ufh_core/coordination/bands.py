"""What a body of triangles covers of the plan between two heights.

Exact for closed bodies: a plumb line through a point meets the body between two heights either where it
crosses its surface there, so that the point lies in the plan of the surface cut to the band, or nowhere,
and then the line runs inside all the way and the point lies in the section at the band's bottom.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.areas import Area, joined, polygons, polygons_only
from ufh_core.building.bodies import union_of_triangles

SNAP_M = 1e-6
HAIR_M = 5e-4  # half the width of a surface that stands upright, so that open shells count too
FLAT_M2 = 1e-8  # plan area below which a surface stands upright

Points = NDArray[np.float64]


def band_area(vertices: Points, faces: NDArray[np.int32], low_m: float, high_m: float) -> Area:
    """Plan area of a body between two heights [m]; empty where it has nothing there."""
    corners = vertices[faces]
    inside = (corners[:, :, 2].min(axis=1) < high_m) & (corners[:, :, 2].max(axis=1) > low_m)
    cut = [piece for piece in (_clipped(t, low_m, high_m) for t in corners[inside]) if len(piece) >= 3]
    if not cut:
        return _section(corners, (low_m + high_m) / 2)
    fans = np.array([piece[[0, k, k + 1], :2] for piece in cut for k in range(1, len(piece) - 1)])
    upright = [shapely.LineString(piece[:, :2]) for piece in cut if _plan_area(piece) < FLAT_M2]
    shell = polygons_only(shapely.union_all(shapely.buffer(upright, HAIR_M, quad_segs=1)))
    return joined([union_of_triangles(fans), shell, _section(corners, low_m + SNAP_M)])


def _plan_area(piece: Points) -> float:
    """Plan area of a polygon [m²]."""
    x, y = piece[:, 0], piece[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def _clipped(triangle: Points, low_m: float, high_m: float) -> Points:
    """A triangle cut to a band of heights: its corners (n, 3). Sutherland-Hodgman on two planes."""
    piece = triangle
    for sign, limit in ((1.0, low_m), (-1.0, -high_m)):
        if len(piece):
            piece = _half(piece, sign * piece[:, 2] - limit)
    return piece


def _half(piece: Points, over: Points) -> Points:
    """The part of a polygon where `over` (n,) is not negative."""
    kept = []
    for k, (here, height) in enumerate(zip(piece, over, strict=True)):
        after, next_height = piece[(k + 1) % len(piece)], over[(k + 1) % len(piece)]
        if height >= 0:
            kept.append(here)
        if (height > 0) != (next_height > 0) and height != next_height:
            kept.append(here + (after - here) * (height / (height - next_height)))
    return np.array(kept).reshape(-1, 3)


def _section(corners: Points, height_m: float) -> Area:
    """The section of a closed body at a height: the faces that its cut lines enclose, by even and odd."""
    over = corners[:, :, 2] - height_m
    crossed = corners[(over.min(axis=1) < 0) & (over.max(axis=1) > 0)]
    lines = [line for line in (_cut_line(t, height_m) for t in crossed) if line is not None]
    if not lines:
        return shapely.Polygon()
    noded = shapely.node(shapely.MultiLineString(lines))
    faces = polygons(shapely.polygonize(list(shapely.get_parts(shapely.set_precision(noded, SNAP_M)))))
    return joined([face for face in faces if _inside(face, lines)])


def _cut_line(triangle: Points, height_m: float) -> list[tuple[float, float]] | None:
    """The line in which a level plane cuts a triangle that lies on both sides of it."""
    found = []
    for k in range(3):
        here, after = triangle[k], triangle[(k + 1) % 3]
        if (here[2] - height_m) * (after[2] - height_m) < 0:
            share = (height_m - here[2]) / (after[2] - here[2])
            found.append((float(here[0] + share * (after[0] - here[0])), float(here[1] + share * (after[1] - here[1]))))
        elif here[2] == height_m:
            found.append((float(here[0]), float(here[1])))
    return found[:2] if len(found) >= 2 and found[0] != found[1] else None


def _inside(face: shapely.Polygon, lines: list[list[tuple[float, float]]]) -> bool:
    """Whether a face lies inside the body: a ray from it crosses the cut lines an odd number of times."""
    x, y = face.representative_point().coords[0]
    ends = np.array(lines)
    low, high = ends[:, 0], ends[:, 1]
    straddles = (low[:, 1] > y) != (high[:, 1] > y)
    low, high = low[straddles], high[straddles]
    at = low[:, 0] + (y - low[:, 1]) / (high[:, 1] - low[:, 1]) * (high[:, 0] - low[:, 0])
    return int((at > x).sum()) % 2 == 1
