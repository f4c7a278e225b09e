"""Names of collections, and the custom properties by which objects are found again."""

from __future__ import annotations

FLOW_PIPES = "Flow pipes"
RETURN_PIPES = "Return pipes"
MANIFOLDS = "Manifolds"
HEATED_FIELDS = "Heated fields"
PANELS = "Panels"
SURFACE_TEMPERATURE = "Surface temperature"
FINDINGS = "Findings"

PARTS: tuple[tuple[str, str], ...] = (
    ("flow", FLOW_PIPES),
    ("return", RETURN_PIPES),
    ("manifolds", MANIFOLDS),
    ("fields", HEATED_FIELDS),
    ("panels", PANELS),
    ("surface", SURFACE_TEMPERATURE),
    ("findings", FINDINGS),
)
"""Parts of a shown design in the order of their toggles: key, and the name of their collection."""

HIDDEN_AT_FIRST = frozenset({"panels", "surface"})
"""Parts that would cover others, so they are hidden until they are asked for."""

BUILDING, DESIGN = "building", "heating"

ROOT = "ufh_root"
"""On a top collection: `BUILDING` or `DESIGN`."""
NAME = "ufh_name"
"""On a top collection: the `name` that it was shown with."""
PART = "ufh_part"
"""On the collection of a part: its key."""
GUID = "ufh_guid"
"""On an object: the GlobalId of what it shows."""
KIND = "ufh_kind"
"""On everything made here: what it shows (room, wall, door, pipe, ...)."""
STOREY = "ufh_storey"
"""On an object of a design: GlobalId of its storey."""
NUMBER = "ufh_number"
"""On a pipe: number of its circuit. On the marker of a finding: its place in the design's findings, from 1."""
FRAME_ORIGIN, FRAME_ROTATION = "ufh_frame_origin_m", "ufh_frame_rotation_rad"
"""On a top collection: where the shown plan lies in the world, as `ufh_core.basis.frame.LocalFrame` has it."""

LONGEST_BYTES = 58


def shown_name(text: str, otherwise: str = "unnamed") -> str:
    """A name that the host takes as it stands: printable, not empty, short enough for a running number behind it."""
    return one_line(text).encode()[:LONGEST_BYTES].decode(errors="ignore").strip() or otherwise


def one_line(text: str) -> str:
    """A text without line breaks and anything else that cannot be printed."""
    return "".join(letter if letter.isprintable() else " " for letter in text).strip()
