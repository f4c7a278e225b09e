"""Joints in doorways and open sides, and which rooms' screed is poured as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.basis.areas import Area
from ufh_core.building.types import Passage
from ufh_core.joints.rules import least_side_with_door_joint
from ufh_core.joints.shape import sides
from ufh_core.joints.types import Joint, JointReason
from ufh_core.settings.types import Settings

TOUCH_M = 0.006  # rooms this near to each other are open to each other [m]
_LEAST_JOINT_M = 0.2
_LEAST_FLOOR_M2 = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreedRoom:
    """A room as its screed sees it: floor [m], heated or not, room temperature [°C], finish [m² K/W]."""

    room: str
    outline: Area
    heated: bool
    indoor_c: float
    finish_r: float


def passage_joints(rooms: Sequence[ScreedRoom], passages: Sequence[Passage], settings: Settings) -> list[Joint]:
    """A joint in each doorway that needs one, and between rooms open to each other that are heated differently."""
    known = {room.room: room for room in rooms}
    found = []
    for passage in passages:
        beside = [known[guid] for guid in passage.rooms if guid in known]
        if len(beside) < 2 or not any(room.heated for room in beside):
            continue
        reason = _reason(passage, beside, settings)
        line = _line(passage, beside) if reason is not None else None
        if reason is not None and line is not None:
            found.append(Joint(line=line, reason=reason, rooms=passage.rooms))
    return found


def poured_together(rooms: Sequence[ScreedRoom], passages: Sequence[Passage], settings: Settings) -> list[list[int]]:
    """Places in `rooms` of those that are heated, those together whose floors are open to each other."""
    at = {room.room: k for k, room in enumerate(rooms) if room.heated}
    group = {k: k for k in at.values()}
    for passage in passages:
        beside = [at[guid] for guid in passage.rooms if guid in at]
        if passage.kind != "open" or len(beside) < 2 or _differ([rooms[k] for k in beside], settings):
            continue
        low, high = sorted(group[k] for k in beside)
        group = {k: low if g == high else g for k, g in group.items()}
    return [[k for k in group if group[k] == g] for g in sorted(set(group.values()))]


def _reason(passage: Passage, beside: Sequence[ScreedRoom], settings: Settings) -> JointReason | None:
    """Why a passage needs a joint, None where it needs none."""
    if passage.kind == "sleeve":
        return None
    if _differ(beside, settings):
        return JointReason.HEATING if passage.kind == "open" else JointReason.DOOR
    if passage.kind == "open":
        return None
    least = least_side_with_door_joint([room.finish_r for room in beside], settings)
    return JointReason.DOOR if any(_longest_side(room.outline) > least for room in beside) else None


def _differ(beside: Sequence[ScreedRoom], settings: Settings) -> bool:
    """Whether floors are heated differently: one is not, or the rooms' temperatures are apart."""
    if not all(room.heated for room in beside):
        return True
    temperatures = [room.indoor_c for room in beside]
    return max(temperatures) - min(temperatures) >= settings.joints.difference_k - 1e-9


def _longest_side(outline: Area) -> float:
    return max((sides(part)[0] for part in shapely.get_parts(outline)), default=0.0)


def _line(passage: Passage, beside: Sequence[ScreedRoom]) -> LineString | None:
    """Across a passage: half-way through the wall, or where two rooms touch."""
    ux, uy = passage.direction
    middle = _middle(passage, beside)
    far = passage.width_m + 1.0
    across = LineString([(middle[0] - far * uy, middle[1] + far * ux), (middle[0] + far * uy, middle[1] - far * ux)])
    parts = [p for p in shapely.get_parts(across.intersection(passage.outline)) if p.length >= _LEAST_JOINT_M]
    return max(parts, key=lambda p: float(p.length)) if parts else None


def _middle(passage: Passage, beside: Sequence[ScreedRoom]) -> tuple[float, float]:
    """The point half-way between the rooms within a passage."""
    direction = np.asarray(passage.direction)
    one, other = (room.outline.intersection(passage.outline) for room in beside[:2])
    centre = np.asarray(passage.outline.centroid.coords[0])
    if one.is_empty or other.is_empty:
        return float(centre[0]), float(centre[1])
    reaches = [np.sort(shapely.get_coordinates(part) @ direction)[[0, -1]] for part in (one, other)]
    first, second = sorted(reaches, key=lambda reach: float(reach.sum()))
    shift = (first[1] + second[0]) / 2 - centre @ direction
    return float(centre[0] + shift * direction[0]), float(centre[1] + shift * direction[1])


def one_floor(outlines: Sequence[Area]) -> list[Polygon]:
    """The floor of rooms poured together [m]: gaps of a few millimetres closed, what is as thin as that left out."""
    wide = shapely.union_all([outline.buffer(TOUCH_M, join_style="mitre") for outline in outlines])
    thick = wide.buffer(-2 * TOUCH_M, join_style="mitre").buffer(TOUCH_M, join_style="mitre")
    return [part for part in shapely.get_parts(thick) if part.area > _LEAST_FLOOR_M2]
