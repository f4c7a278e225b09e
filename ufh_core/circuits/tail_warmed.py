"""Rooms, or parts of rooms, in which no circuit opens because tails of other circuits have taken the floor.

A hall full of tails needs no loop of its own: an installer leaves it at that, since the pairs that pass warm it
(common practice). Where no piece of such a room stays cold that a loop would be worth, nothing has failed.
"""

from __future__ import annotations

from dataclasses import replace

import shapely

from ufh_core.basis.areas import Area
from ufh_core.circuits.branches import pipes_near
from ufh_core.circuits.cold_pieces import cold_floors, cold_pieces
from ufh_core.circuits.types import LevelLayout

LEAST_WARM_SHARE = 0.5  # of a room's floor that fields and the strips of tails must take; our own choice
NEAR_M, LEAST_NEAR_SHARE = 0.3, 0.85  # so much of it lies so near to a pipe; our own choice
INSET_M = 0.1  # along the walls no pipe may lie


def with_tail_warmed(laid: LevelLayout) -> LevelLayout:
    """The layout, with rooms told as warmed by tails instead of as failed where no floor worth a loop stays cold."""
    rooms = frozenset(failed.room for failed in laid.failed)
    cold = cold_floors(laid, rooms)
    floors = laid.level.floors
    taken = {guid for guid in rooms if cold[guid].area <= (1 - LEAST_WARM_SHARE) * floors[guid].area}
    near = {guid for guid in taken if near_share(laid, floors[guid]) >= LEAST_NEAR_SHARE}
    warmed = near - {guid for guid, _ in cold_pieces(laid, rooms)}
    if not warmed:
        return laid
    left = tuple(failed for failed in laid.failed if failed.room not in warmed)
    return replace(laid, failed=left, tail_warmed=tuple(sorted(warmed)))


def near_share(laid: LevelLayout, floor: Area) -> float:
    """Share of a floor, off its edge, that lies near to a pipe of any circuit, or to one laid before."""
    inner = floor.buffer(-INSET_M)
    inner = floor if inner.is_empty else inner
    lines = [*(c.axis.line() for c in laid.circuits), *laid.level.laid.geoms]
    return float(shapely.intersection(inner, pipes_near(lines, floor).buffer(NEAR_M)).area / inner.area)
