"""From the plan frame to the plan of a storey's own placement: the frame in which results are written."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ufh_core.building.types import Building, Storey


def plan_to_storey(building: Building, storey: Storey) -> NDArray[np.float64]:
    """3x3 matrix from the plan frame to the plan of the storey's placement [m]."""
    c, s = math.cos(building.frame.rotation), math.sin(building.frame.rotation)
    x, y, _ = building.frame.origin
    frame = np.array([[c, -s, 0, x], [s, c, 0, y], [0, 0, 1, 0], [0, 0, 0, 1]], dtype=float)
    whole = np.linalg.inv(np.array(storey.placement, dtype=float)) @ frame
    return np.asarray(whole[np.ix_((0, 1, 3), (0, 1, 3))])
