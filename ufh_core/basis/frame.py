"""The local plan frame: metres, near the origin, main walls along the axes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalFrame:
    """A plan frame turned by `rotation` [rad] and moved to `origin` (world x, y, z) [m].

    world = origin + Rz(rotation) · local. Heights keep the world's zero: `origin` z is normally 0.
    """

    origin: tuple[float, float, float] = (0.0, 0.0, 0.0)
    rotation: float = 0.0

    def to_world(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """World points [m], shape (n, 2) or (n, 3), of local points of the same shape."""
        points = np.asarray(points, dtype=float)
        turned = points.copy()
        turned[:, :2] = points[:, :2] @ self._turn().T
        return np.asarray(turned + np.asarray(self.origin)[: points.shape[1]])

    def to_local(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Local points [m], shape (n, 2) or (n, 3), of world points of the same shape."""
        points = np.asarray(points, dtype=float) - np.asarray(self.origin)[: np.shape(points)[1]]
        turned = points.copy()
        turned[:, :2] = points[:, :2] @ self._turn()
        return turned

    def _turn(self) -> NDArray[np.float64]:
        c, s = math.cos(self.rotation), math.sin(self.rotation)
        return np.array([[c, -s], [s, c]])
