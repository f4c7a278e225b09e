"""What changed of the model as a whole: its place in the world, its georeference, its GlobalIds. A line each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building
from ufh_core.revision.element_changes import Sides
from ufh_core.revision.types import TOLERANCE_M, Change, Effect, WorldShift

LEAST_TURN_RAD = 1e-6
AGAIN = "heating.ifc is to be written again"
MANY = 0.5  # of all elements with new GlobalIds is told as one thing


def whole_model_changes(old: Building, new: Building, shift: WorldShift, sides: Sides) -> Iterator[Change]:
    """What is true of all of the model."""
    if shift.in_plan or shift.up_m:
        yield Change(code="revision.model-moved", words=_moved(old, sides, shift), effect=Effect.FIGURES)
    if old.georeference != new.georeference:
        words = f"the model's georeference (map conversion) changed: {_said(old)} -> {_said(new)}"
        words = f"{words}; nothing moves in the building, {AGAIN}"
        yield Change(code="revision.georeference-changed", words=words, effect=Effect.FIGURES)
    yield from _new_ids(sides)


def _moved(old: Building, sides: Sides, shift: WorldShift) -> str:
    """The motion as one sees it at the building: how far its rooms lie from where they were."""
    parts = []
    if abs(shift.turn_rad) > LEAST_TURN_RAD:
        parts.append(f"turned by {math.degrees(shift.turn_rad):.3f}°")
    by = math.dist(_middle(old, old.frame), _middle(sides.old, sides.new.frame))
    if by > TOLERANCE_M:
        parts.append(f"moved by {by:.2f} m")
    if shift.up_m:
        parts.append(f"{'lifted' if shift.up_m > 0 else 'lowered'} by {abs(shift.up_m):.3f} m")
    what = " and ".join(parts) or "moved"
    return f"the whole model was {what} in the world; {AGAIN}, and all else is compared as if it had not been"


def _middle(building: Building, frame: LocalFrame) -> tuple[float, float]:
    """Middle of all rooms in the world [m], their plan laid in a frame."""
    rooms = [r for s in building.storeys for r in s.rooms]
    middles = np.array([r.outline.centroid.coords[0] for r in rooms] or [(0.0, 0.0)])
    x, y = frame.to_world(middles).mean(axis=0)
    return (float(x), float(y))


def _said(building: Building) -> str:
    if not building.georeference:
        return "none"
    east, north, height, turn = building.georeference[:4]
    return f"east {east:.3f}, north {north:.3f}, height {height:.3f}, turned {math.degrees(turn):.4f}°"


def _new_ids(sides: Sides) -> Iterator[Change]:
    """One line where an exporter has given many elements new GlobalIds."""
    pairs: list[tuple[Any, Any]] = [(p.old, p.new) for p in sides.rooms]
    pairs += [(o, n) for some in sides.elements.values() for o, n, _ in some]
    both = [(o, n) for o, n in pairs if o is not None and n is not None]
    other = [n for o, n in both if o.ifc_guid != n.ifc_guid]
    if other and len(other) >= MANY * len(both):
        words = (
            f"{len(other)} of {len(both)} elements have new GlobalIds: matched by place and name, check what is told"
        )
        yield Change(code="revision.new-ids", words=f"{words}; {AGAIN}", effect=Effect.FIGURES)
    elif other:
        names = ", ".join(f'"{e.name or e.ifc_guid}"' for e in other[:5]) + (", …" if len(other) > 5 else "")
        words = f"{len(other)} elements have new GlobalIds ({names}): matched by place and name"
        yield Change(code="revision.new-ids", words=words, elements=tuple(e.ifc_guid for e in other))
