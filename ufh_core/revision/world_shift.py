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
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, Passage, Room, Storey
from ufh_core.revision.types import TOLERANCE_M

MOST_ENDS = 14  # elements of which pairs are tried: the farthest from the middle
FEWEST = 3  # elements that must agree on a motion
LIFTED_M = 0.5  # a single storey that lies higher by more was moved with its model, not raised
Points = NDArray[np.float64]
Placed = TypeVar("Placed")


@dataclass(frozen=True, slots=True, kw_only=True)
class WorldShift:
    """A motion of the world: turned by `turn_rad` about the origin, then moved by `by_m`, then lifted by `up_m`."""

    turn_rad: float = 0.0
    by_m: tuple[float, float] = (0.0, 0.0)
    up_m: float = 0.0

    @property
    def in_plan(self) -> bool:
        """Whether it moves or turns anything in plan."""
        return self.turn_rad != 0.0 or self.by_m != (0.0, 0.0)

    def frame_before(self, frame: LocalFrame) -> LocalFrame:
        """The plan frame that this motion carries onto `frame`."""
        back = LocalFrame(origin=(*self.by_m, 0.0), rotation=self.turn_rad)
        x, y = back.to_local(np.array([frame.origin[:2]]))[0]
        return LocalFrame(origin=(float(x), float(y), frame.origin[2]), rotation=frame.rotation - self.turn_rad)


def world_shift(old: Building, new: Building) -> WorldShift:
    """The motion that carries most of the old state onto the new one; none where most of it stayed."""
    before, after = _places(old, new)
    turn, by = _in_plan(before[:, :2], after[:, :2]) if len(before) else (0.0, (0.0, 0.0))
    shift = WorldShift(turn_rad=turn, by_m=by)
    return replace(shift, up_m=_lift(old, new, shift))


def moved_building(old: Building, new: Building, shift: WorldShift) -> Building:
    """The old state in the plan frame and at the heights of the new one."""
    frame = shift.frame_before(new.frame)

    def carried(points: Points) -> Points:
        return frame.to_local(old.frame.to_world(points))

    turn = old.frame.rotation - frame.rotation
    storeys = tuple(_storey(s, carried, turn, shift.up_m) for s in old.storeys)
    return replace(old, frame=frame, storeys=storeys)


def _storey(storey: Storey, carried: Any, turn: float, up_m: float) -> Storey:
    return replace(
        storey,
        elevation_m=storey.elevation_m + up_m,
        rooms=tuple(_placed(r, carried, up_m) for r in storey.rooms),
        walls=tuple(_placed(w, carried, up_m) for w in storey.walls),
        columns=tuple(_placed(c, carried, up_m) for c in storey.columns),
        openings=tuple(_placed(o, carried, up_m) for o in storey.openings),
        passages=tuple(_turned(_placed(p, carried, up_m), turn) for p in storey.passages),
        obstacles=tuple(_placed(o, carried, up_m) for o in storey.obstacles),
        slabs=tuple(_placed(s, carried, up_m) for s in storey.slabs),
    )


def _placed(element: Placed, carried: Any, up_m: float) -> Placed:
    """An element elsewhere: its outline carried along, its heights lifted."""
    thing: Any = element
    heights = ("floor_m", "slab_top_m") if isinstance(thing, Room) else ("bottom_m", "top_m")
    lifted = {k: v + up_m for k in heights if (v := getattr(thing, k)) is not None}
    moved: Placed = replace(thing, outline=shapely.transform(thing.outline, carried), **lifted)
    return moved


def _turned(passage: Passage, turn: float) -> Passage:
    c, s = math.cos(turn), math.sin(turn)
    x, y = passage.direction
    return replace(passage, direction=(c * x - s * y, s * x + c * y))


def _places(old: Building, new: Building) -> tuple[Points, Points]:
    """World places of elements that both states have: by GlobalId, or by a name that each has once."""
    before, after = dict(_by_guid(old)), dict(_by_guid(new))
    both = [key for key in before if key in after]
    if len(both) < min(len(before), len(after)) / 2:
        before, after = _by_name(old), _by_name(new)
        both = [key for key in before if key in after]
    rows = [(before[key], after[key]) for key in both]
    pairs = np.array(rows, dtype=float).reshape(-1, 2, 2)
    return pairs[:, 0], pairs[:, 1]


def _elements(building: Building) -> Iterator[Any]:
    for storey in building.storeys:
        yield from (*storey.rooms, *storey.walls)


def _by_guid(building: Building) -> Iterator[tuple[str, tuple[float, float]]]:
    for element in _elements(building):
        yield element.ifc_guid, _place(element, building)


def _by_name(building: Building) -> dict[str, tuple[float, float]]:
    named = [(_name(element), element) for element in _elements(building)]
    counts = Counter(name for name, _ in named)
    return {name: _place(element, building) for name, element in named if name and counts[name] == 1}


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
    floors = {r.ifc_guid: r.floor_m for s in old.storeys for r in s.rooms}
    rises = [r.floor_m - floors[r.ifc_guid] for s in new.storeys for r in s.rooms if r.ifc_guid in floors]
    if not rises or max(rises) - min(rises) > TOLERANCE_M or abs(rises[0]) <= TOLERANCE_M:
        return 0.0
    storeys = sum(bool(s.rooms) for s in new.storeys)
    return float(np.median(rises)) if shift.in_plan or storeys > 1 or abs(rises[0]) > LIFTED_M else 0.0
