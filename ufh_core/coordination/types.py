"""The finished heating as coordination sees it: bodies only, whoever made them.

Plan points and shapes are in the building's plan frame [m], heights are world heights [m]. A design and a
heating model that was read from a file are both brought into this form.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PipePart:
    """One circuit's pipe: its axis as points (n, 3) [m] from port to port, arcs in short chords."""

    ifc_guid: str
    number: str
    manifold: str
    storey: str
    points: NDArray[np.float64]
    radius_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CabinetPart:
    """One manifold's cabinet and the space in front of it; `service` is None where the model has none."""

    ifc_guid: str
    manifold: str
    storey: str
    outline: Polygon
    bottom_m: float
    top_m: float
    service: Polygon | None = None

    @property
    def normal(self) -> Point | None:
        """Unit vector from the cabinet to the space in front of it; None where that is not known."""
        if self.service is None or self.service.is_empty:
            return None
        way = np.subtract(self.service.centroid.coords[0], self.outline.centroid.coords[0])
        size = float(np.hypot(*way))
        return (float(way[0]) / size, float(way[1]) / size) if size > 1e-6 else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScreedPart:
    """The screed of one room."""

    ifc_guid: str
    label: str
    storey: str
    outline: Area
    bottom_m: float
    top_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SleevePart:
    """A hole that is asked for in a wall."""

    ifc_guid: str
    storey: str
    outline: Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingParts:
    """All of the heating. `unread` names elements whose shape could not be read."""

    pipes: tuple[PipePart, ...] = ()
    cabinets: tuple[CabinetPart, ...] = ()
    screeds: tuple[ScreedPart, ...] = ()
    sleeves: tuple[SleevePart, ...] = ()
    unread: tuple[str, ...] = field(default=())
