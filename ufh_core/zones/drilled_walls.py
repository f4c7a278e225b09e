"""Which walls sleeves may go through: never through what bears or bounds a fire compartment, by the model's word.

A wall of which the model does not say whether it bears is open to sleeves, and each is reported so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely.geometry import Polygon

from ufh_core.basis.message import Message, note
from ufh_core.building.types import Column, Opening, Passage, Wall

OPENING_CLEAR_M = 0.10
WALLED = 0.85  # share of a way that lies in walls
TOUCHED = 0.02  # share of a way that a wall takes before it counts as gone through


_FIRE = {
    (False, False): note("the wall resists fire"),
    (False, True): note("the wall resists fire {rated}"),
    (True, False): note("the wall {named} resists fire"),
    (True, True): note("the wall {named} resists fire {rated}"),
}
"""By whether the wall has a name and a rating."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SleeveWay(Passage):
    """A straight way through `walls` for pipes in sleeves; `reason` says why there is one."""

    walls: tuple[Wall, ...]
    reason: str


@dataclass(frozen=True, kw_only=True)
class DrilledWalls:
    """The walls of a level, and the openings and columns that sleeves keep clear of.

    `fire` allows sleeves through walls that resist fire.
    """

    walls: tuple[Wall, ...]
    openings: Sequence[Opening] = ()
    columns: Sequence[Column] = ()
    fire: bool = False

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree([w.outline for w in self.walls])

    @cached_property
    def _spared(self) -> shapely.Geometry:
        near = [o.outline.buffer(OPENING_CLEAR_M) for o in self.openings]
        return shapely.union_all([*near, *(c.outline for c in self.columns)])

    def through(self, way: Polygon) -> tuple[Wall, ...]:
        """The walls that a way goes through; () where it leaves them or comes near an opening or a column."""
        near = [self.walls[k] for k in sorted(self._tree.query(way))]
        met = [w for w in near if w.outline.intersection(way).area > TOUCHED * way.area]
        solid = shapely.union_all([w.outline for w in met]).intersection(way)
        return tuple(met) if solid.area > WALLED * way.area and not self._spared.intersects(way) else ()

    def refusal(self, walls: Sequence[Wall]) -> str:
        """Why some walls must not be drilled, in words; "" where they may be."""
        for wall in walls:
            if wall.construction.load_bearing:
                return Message(
                    note('the wall "{name}" is load-bearing') if wall.name else note("the wall is load-bearing"),
                    name=wall.name,
                )
            if (wall.construction.fire_rating or wall.construction.compartment) and not self.fire:
                named = f'"{wall.name}"' if wall.name else ""
                rated = f"({wall.construction.fire_rating})" if wall.construction.fire_rating else ""
                return Message(_FIRE[bool(named), bool(rated)], named=named, rated=rated)
        return ""


def unknown(walls: Sequence[Wall]) -> bool:
    """Whether the model leaves open if one of some walls bears."""
    return any(w.construction.load_bearing is None for w in walls)
