"""How a setting is declared: its default with what its comment and its check need."""

from __future__ import annotations

from dataclasses import field
from typing import Any

ROOM_KINDS = (
    "living", "bedroom", "kitchen", "bath", "wc", "hall", "utility", "office", "treatment", "waiting", "store",
    "stair", "shaft", "attic", "roof", "garage", "cellar", "technical", "outside", "area_scheme", "other",
)  # fmt: skip
"""The words for kinds of room; the same as `building.types.RoomKind` (a test keeps them so)."""

PATTERNS = ("counterflow", "meander", "facade meander")
"""How a circuit fills its floor; the same as `circuits.field_types.Pattern` (a test keeps them so)."""

BUILDING_AGES = ("before-1977", "1977-1994", "1995-2001", "from-2002")
EDGE_ZONES = ("none", "same circuit", "own circuit")
"""Whether the floor along outer walls is laid tighter, and by which pipe."""

PUMPS = ("constant pressure", "proportional pressure", "curve")
"""How a manifold's pump is run: at one pressure, at one that falls with the flow, or along its own curve."""

CP = "common practice"


def setting(
    default: Any,
    doc: str,
    source: str = "",
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    choices: tuple[str, ...] = (),
) -> Any:
    """Make a field with what its comment and its check need; `choices` bind text and the keys of tables."""
    meta = {"doc": doc, "source": source, "unit": unit, "low": low, "high": high, "choices": choices}
    if isinstance(default, dict):
        return field(default_factory=lambda: dict(default), metadata=meta)
    return field(default=default, metadata=meta)
