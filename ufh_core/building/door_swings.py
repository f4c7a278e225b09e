"""The floor over which doors swing.

Source: ISO 16739, IfcDoor and IfcDoorTypeOperationEnum: the leaf opens towards the positive y axis of the door's
placement; "left" has its hinge on the left as seen along that axis, which is where the x axis starts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.pipe_axis import Point
from ufh_core.building.model_file import ModelFile
from ufh_core.building.types import Opening, Storey, SweptFloor

CHORDS = 16  # of a quarter circle
ALONG = 0.9  # cosine from which the placement's x axis runs along the wall
STOP_BACK_M = 0.10  # a stop on the floor stands this far inside the tip of the open leaf; common practice

Vector = NDArray[np.float64]

# leaves by kind: (hinge at the start of x, part of the width, towards +y)
_LEFT, _RIGHT = (True, 1.0, True), (False, 1.0, True)
_LEFT_BACK, _RIGHT_BACK = (True, 1.0, False), (False, 1.0, False)
_PAIR, _PAIR_BACK = ((True, 0.5, True), (False, 0.5, True)), ((True, 0.5, False), (False, 0.5, False))
_LEAVES: dict[str, tuple[tuple[bool, float, bool], ...]] = {
    "SINGLE_SWING_LEFT": (_LEFT,),
    "SINGLE_SWING_RIGHT": (_RIGHT,),
    "DOUBLE_DOOR_SINGLE_SWING": _PAIR,
    "DOUBLE_PANEL_SINGLE_SWING": _PAIR,
    "DOUBLE_DOOR_SINGLE_SWING_OPPOSITE_LEFT": (_PAIR[0], _PAIR_BACK[1]),
    "DOUBLE_PANEL_SINGLE_SWING_OPPOSITE_LEFT": (_PAIR[0], _PAIR_BACK[1]),
    "DOUBLE_DOOR_SINGLE_SWING_OPPOSITE_RIGHT": (_PAIR_BACK[0], _PAIR[1]),
    "DOUBLE_PANEL_SINGLE_SWING_OPPOSITE_RIGHT": (_PAIR_BACK[0], _PAIR[1]),
    "DOUBLE_SWING_LEFT": (_LEFT, _LEFT_BACK),
    "DOUBLE_SWING_RIGHT": (_RIGHT, _RIGHT_BACK),
    "DOUBLE_DOOR_DOUBLE_SWING": (*_PAIR, *_PAIR_BACK),
    "DOUBLE_PANEL_DOUBLE_SWING": (*_PAIR, *_PAIR_BACK),
    "SWING_FIXED_LEFT": ((True, 0.5, True),),
    "SWING_FIXED_RIGHT": ((False, 0.5, True),),
}
_STILL = ("SLIDING", "FOLDING", "REVOLVING", "ROLLINGUP", "LIFTING")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DoorSwing:
    """The ways in which a door may swing, each the floor that its leaves sweep; one way where the model tells.

    `stops` are where stops on the floor would be screwed, for a door of which the way is known.
    """

    ifc_guid: str
    ways: tuple[Polygon, ...]
    stops: tuple[Point, ...] = ()

    @property
    def known(self) -> bool:
        """Whether the model tells which way it opens."""
        return len(self.ways) == 1


def door_swings(source: ModelFile, frame: LocalFrame, storeys: Sequence[Storey]) -> dict[str, DoorSwing]:
    """How the doors of a building swing, by GlobalId; sliding doors are absent."""
    doors = {d.GlobalId: d for d in source.of_class("IfcDoor")}
    openings = {o.ifc_guid: o for s in storeys for o in s.openings if o.kind == "door" and o.ifc_guid in doors}
    found = {guid: _swing(source, frame, doors[guid], opening) for guid, opening in openings.items()}
    return {guid: swing for guid, swing in found.items() if swing is not None}


def with_swings(storeys: Sequence[Storey], source: ModelFile, frame: LocalFrame) -> tuple[Storey, ...]:
    """The storeys with the floor over which their doors swing, where the model says which way."""
    swings = door_swings(source, frame, storeys)
    return tuple(replace(s, swings=tuple(_swept(s.openings, swings))) for s in storeys)


def _swept(openings: Sequence[Opening], swings: Mapping[str, DoorSwing]) -> Iterator[SweptFloor]:
    for o in openings:
        swing = swings.get(o.ifc_guid)
        if swing is not None and swing.known:
            yield SweptFloor(ifc_guid=o.ifc_guid, outline=swing.ways[0], bottom_m=o.bottom_m, top_m=o.top_m)


def _swing(source: ModelFile, frame: LocalFrame, door: Any, opening: Opening) -> DoorSwing | None:
    """How one door swings; None where it does not."""
    kind = _operation(door)
    if any(kind.startswith(word) or f"_{word}" in kind for word in _STILL):
        return None
    axes = _axes(source, frame, door, opening)
    if kind not in _LEAVES or axes is None:
        x, y = _wall_axes(opening)
        options = [_sector(opening, (x, y), leaf) for leaf in (_LEFT, _RIGHT, _LEFT_BACK, _RIGHT_BACK)]
        return DoorSwing(ifc_guid=opening.ifc_guid, ways=tuple(s for s, _ in options))
    leaves = [_sector(opening, axes, leaf) for leaf in _LEAVES[kind]]
    swept = shapely.union_all([s for s, _ in leaves])
    return DoorSwing(ifc_guid=opening.ifc_guid, ways=(swept,), stops=tuple(stop for _, stop in leaves))


def _operation(door: Any) -> str:
    """How a door opens: by the door itself, else by its type or style."""
    own = getattr(door, "OperationType", None)
    if own and own not in ("NOTDEFINED", "USERDEFINED"):
        return str(own)
    relations = [*(getattr(door, "IsTypedBy", None) or ()), *(getattr(door, "IsDefinedBy", None) or ())]
    kinds = [r.RelatingType for r in relations if r.is_a("IfcRelDefinesByType") and r.RelatingType is not None]
    return next((str(k.OperationType) for k in kinds if getattr(k, "OperationType", None)), "")


def _wall_axes(opening: Opening) -> tuple[Vector, Vector]:
    """Unit vectors along the wall and across it: the opening's outline begins along the wall."""
    corners = np.asarray(opening.outline.exterior.coords)
    along = (corners[1] - corners[0]) / np.linalg.norm(corners[1] - corners[0])
    return along, np.array([-along[1], along[0]])


def _axes(source: ModelFile, frame: LocalFrame, door: Any, opening: Opening) -> tuple[Vector, Vector] | None:
    """The door's own x and y in plan, set square to the wall; None where its placement does not fit the wall."""
    matrix = source.world(door)
    if matrix is None:
        return None
    spots = frame.to_local(np.array([[0.0, 0, 0], matrix[:3, 0], matrix[:3, 1]]))[:, :2]
    x, y = spots[1] - spots[0], spots[2] - spots[0]
    along, across = _wall_axes(opening)
    if abs(x @ along) < ALONG or abs(y @ across) < ALONG:
        return None
    return along * math.copysign(1, x @ along), across * math.copysign(1, y @ across)


def _sector(opening: Opening, axes: tuple[Vector, Vector], leaf: tuple[bool, float, bool]) -> tuple[Polygon, Point]:
    """(the quarter circle that a leaf sweeps, where its stop would stand). The hinge is at the face of the wall."""
    (x, y), (at_start, part, forward) = axes, leaf
    y = y if forward else -y
    corners = np.asarray(opening.outline.exterior.coords)[:-1]
    runs, depths = corners @ x, corners @ y
    hinge = x * (runs.min() if at_start else runs.max()) + y * depths.max()
    shut = x if at_start else -x
    radius = opening.width_m * part
    turns = np.linspace(0.0, math.pi / 2, CHORDS + 1)[:, None]
    arc = hinge + radius * (np.cos(turns) * shut + np.sin(turns) * y)
    stop = hinge + max(radius - STOP_BACK_M, radius / 2) * y
    return Polygon([hinge, *arc]), (float(stop[0]), float(stop[1]))
