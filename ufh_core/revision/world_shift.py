"""Whether the whole model was moved or turned in the world, and the old state brought into the new one's plan frame.

The move is found from places of elements that both states have: each pair of far apart elements proposes a rigid
motion, and the one that carries most elements to their new places within the tolerance is taken, if it carries
half of them (a vote as in RANSAC, over few pairs and without chance).
Source: M. A. Fischler and R. C. Bolles, Random sample consensus, Comm. ACM 24 (1981).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.reframing import in_frame, lifted
from ufh_core.building.types import Building, Room
from ufh_core.revision.types import TOLERANCE_M, WorldShift

MOST_ENDS = 14  # elements of which pairs are tried: the farthest from the middle
FEWEST = 3  # elements that must agree on a motion
LIFTED_M = 0.5  # a single storey that lies higher by more was moved with its model, not raised
Points = NDArray[np.float64]


def world_shift(old: Building, new: Building) -> WorldShift:
    """The motion that carries most of the old state onto the new one; none where most of it stayed."""
    before, after = _places(old, new)
    turn, by = _in_plan(before[:, :2], after[:, :2]) if len(before) else (0.0, (0.0, 0.0))
    shift = WorldShift(turn_rad=turn, by_m=by)
    return replace(shift, up_m=_lift(old, new, shift))


def moved_building(old: Building, new: Building, shift: WorldShift) -> Building:
    """The old state in the plan frame and at the heights of the new one."""
    return lifted(in_frame(old, shift.frame_before(new.frame)), shift.up_m)


def _places(old: Building, new: Building) -> tuple[Points, Points]:
    """World places of rooms and walls that both states have."""
    before, after = _shared(old, new)
    rows = [(_place(before[key], old), _place(after[key], new)) for key in before if key in after]
    pairs = np.array(rows, dtype=float).reshape(-1, 2, 2)
    return pairs[:, 0], pairs[:, 1]


def _shared(old: Building, new: Building) -> tuple[dict[str, Any], dict[str, Any]]:
    """Rooms and walls of both states by what they have in common: GlobalIds, else names."""
    before, after = ({e.ifc_guid: e for e in _elements(b)} for b in (old, new))
    both = sum(key in after for key in before)
    return (before, after) if both * 2 >= min(len(before), len(after)) else (_by_name(old), _by_name(new))


def _elements(building: Building) -> Iterator[Any]:
    for storey in building.storeys:
        yield from (*storey.rooms, *storey.walls)


def _by_name(building: Building) -> dict[str, Any]:
    named = [(_name(element), element) for element in _elements(building)]
    counts = Counter(name for name, _ in named)
    return {name: element for name, element in named if name and counts[name] == 1}


def _name(element: Any) -> str:
    """What an element is called, kinds told apart."""
    if isinstance(element, Room):
        return f"room {element.name} {element.long_name}" if element.name or element.long_name else ""
    return f"wall {element.name}" if element.name else ""


def _place(element: Any, building: Building) -> tuple[float, float]:
    middle = np.array([element.outline.centroid.coords[0]])
    x, y = building.frame.to_world(middle)[0]
    return (float(x), float(y))


def _in_plan(before: Points, after: Points) -> tuple[float, tuple[float, float]]:
    """(turn, move) of the plan."""
    none = (0.0, (0.0, 0.0))
    if _agree(before, after, *none).sum() * 2 >= len(before):
        return none
    best, most = none, max(FEWEST, math.ceil(len(before) / 2)) - 1
    far = np.argsort(-np.hypot(*(before - before.mean(axis=0)).T), kind="stable")[:MOST_ENDS]
    for i, j in combinations(far.tolist(), 2):
        motion = _motion(before[[i, j]], after[[i, j]])
        agree = int(_agree(before, after, *motion).sum())
        if agree > most:
            best, most = motion, agree
    if best == none:
        return none
    inside = _agree(before, after, *best)
    return _motion(before[inside], after[inside])


def _motion(before: Points, after: Points) -> tuple[float, tuple[float, float]]:
    """The rigid motion that carries points onto others with least squares (Procrustes, plane)."""
    p, q = before - before.mean(axis=0), after - after.mean(axis=0)
    turn = math.atan2(float((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum()), float((p * q).sum()))
    turned = LocalFrame(rotation=turn).to_world(before.mean(axis=0)[None])[0]
    x, y = after.mean(axis=0) - turned
    return turn, (float(x), float(y))


def _agree(before: Points, after: Points, turn: float, by: tuple[float, float]) -> NDArray[np.bool_]:
    moved = LocalFrame(origin=(*by, 0.0), rotation=turn).to_world(before)
    return np.asarray(np.hypot(*(moved - after).T) <= TOLERANCE_M)


def _lift(old: Building, new: Building, shift: WorldShift) -> float:
    """How much higher the whole model lies [m]: the same for all floors; 0.0 where a storey was raised alone."""
    before, after = _shared(old, new)
    rises = [after[k].floor_m - before[k].floor_m for k in before if isinstance(before[k], Room) and k in after]
    if not rises or max(rises) - min(rises) > TOLERANCE_M or abs(rises[0]) <= TOLERANCE_M:
        return 0.0
    storeys = sum(bool(s.rooms) for s in new.storeys)
    return float(np.median(rises)) if shift.in_plan or storeys > 1 or abs(rises[0]) > LIFTED_M else 0.0
