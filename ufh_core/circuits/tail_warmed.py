"""Rooms, or parts of rooms, in which no circuit opens because tails of other circuits have taken the floor.

A hall full of tails needs no loop of its own: an installer leaves it at that, since the pairs that pass warm it
(common practice). Where no piece of such a room stays cold that a loop would be worth, nothing has failed.
"""

from __future__ import annotations

from dataclasses import replace

from ufh_core.circuits.cold_pieces import cold_floors, cold_pieces
from ufh_core.circuits.types import LevelLayout

LEAST_WARM_SHARE = 0.5  # of a room's floor that fields and the strips of tails must take; our own choice


def with_tail_warmed(laid: LevelLayout) -> LevelLayout:
    """The layout, with rooms told as warmed by tails instead of as failed where no floor worth a loop stays cold."""
    rooms = frozenset(failed.room for failed in laid.failed)
    cold = cold_floors(laid, rooms)
    taken = {guid for guid in rooms if cold[guid].area <= (1 - LEAST_WARM_SHARE) * laid.level.floors[guid].area}
    warmed = taken - {guid for guid, _ in cold_pieces(laid, rooms)}
    if not warmed:
        return laid
    left = tuple(failed for failed in laid.failed if failed.room not in warmed)
    return replace(laid, failed=left, tail_warmed=tuple(sorted(warmed)))
