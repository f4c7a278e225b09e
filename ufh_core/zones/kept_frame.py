"""The plan frame of the run whose circuits stay: in it the lattices of pipes and tails fall where they fell.

A model's own plan frame follows from all its walls; it may shift when a wall does, or when the model is moved in the
world. New circuits would then not fit beside those that stay.
"""

from __future__ import annotations

import math

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.reframing import in_frame
from ufh_core.building.types import Building
from ufh_core.settings.earlier_run import earlier_frame
from ufh_core.settings.types import Settings

QUARTER = math.pi / 2
ASKEW_RAD = 1e-5  # walls of the model may stand so far askew in the earlier frame, which is turned to them then
FAR_M = 10_000.0  # a frame so far from the model's own is of another place


def in_kept_frame(building: Building, settings: Settings) -> Building:
    """The building in the plan frame of the first earlier run whose circuits stay, as far as its walls suit it.

    Raises: SettingsError where a file of an earlier run cannot be read.
    """
    for keep in settings.circuits.keep:
        earlier = earlier_frame(keep.file) if keep.file is not None else None
        if earlier is not None and (frame := _suited(earlier, building.frame)) is not None:
            return in_frame(building, frame)
    return building


def _suited(earlier: LocalFrame, own: LocalFrame) -> LocalFrame | None:
    """The earlier frame, turned exactly as the model's own but for right angles; None for one of another place."""
    turn = earlier.rotation - own.rotation
    quarters = round(turn / QUARTER)
    if abs(turn - quarters * QUARTER) > ASKEW_RAD or math.dist(earlier.origin, own.origin) > FAR_M:
        return None
    return LocalFrame(origin=earlier.origin, rotation=own.rotation + quarters * QUARTER)
