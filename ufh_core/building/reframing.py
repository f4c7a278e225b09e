"""A building in another plan frame, or higher: the same building, other numbers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.findings import Finding
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, Passage, Room, Storey

Points = NDArray[np.float64]
Carry = Callable[[Points], Points]
Placed = TypeVar("Placed")
GROUPS = ("rooms", "walls", "columns", "openings", "passages", "obstacles", "slabs", "swings")


def in_frame(building: Building, frame: LocalFrame) -> Building:
    """The building with all plan shapes in `frame`; its place in the world stays."""
    if frame == building.frame:
        return building

    def carried(points: Points) -> Points:
        return frame.to_local(building.frame.to_world(points))

    turn = building.frame.rotation - frame.rotation
    north = building.north_rad
    return replace(
        building,
        frame=frame,
        north_rad=None if north is None else math.atan2(math.sin(north + turn), math.cos(north + turn)),
        storeys=tuple(_turned_storey(s, carried, turn) for s in building.storeys),
        findings=tuple(_finding(f, carried) for f in building.findings),
    )


def lifted(building: Building, up_m: float) -> Building:
    """The building with all heights greater by `up_m` [m]; storeys' placements stay."""
    if up_m == 0.0:
        return building
    return replace(building, storeys=tuple(_higher(s, up_m) for s in building.storeys))


def _turned_storey(storey: Storey, carried: Carry, turn: float) -> Storey:
    groups: dict[str, Any] = {
        name: tuple(_placed(element, carried) for element in getattr(storey, name)) for name in GROUPS
    }
    groups["passages"] = tuple(_turned(p, turn) for p in groups["passages"])
    return replace(storey, **groups)


def _placed(element: Placed, carried: Carry) -> Placed:
    thing: Any = element
    placed: Placed = replace(thing, outline=shapely.transform(thing.outline, carried))
    return placed


def _turned(passage: Passage, turn: float) -> Passage:
    c, s = math.cos(turn), math.sin(turn)
    x, y = passage.direction
    return replace(passage, direction=(c * x - s * y, s * x + c * y))


def _finding(finding: Finding, carried: Carry) -> Finding:
    if finding.at is None:
        return finding
    x, y = carried(np.array([finding.at], dtype=float))[0]
    return replace(finding, at=(float(x), float(y)))


def _higher(storey: Storey, up_m: float) -> Storey:
    groups: dict[str, Any] = {name: tuple(_lift(e, up_m) for e in getattr(storey, name)) for name in GROUPS}
    return replace(storey, elevation_m=storey.elevation_m + up_m, **groups)


def _lift(element: Placed, up_m: float) -> Placed:
    thing: Any = element
    heights = ("floor_m", "slab_top_m") if isinstance(thing, Room) else ("bottom_m", "top_m")
    higher = {key: value + up_m for key in heights if (value := getattr(thing, key)) is not None}
    placed: Placed = replace(thing, **higher)
    return placed
