"""What stands on a floor: walls and columns in the band just above it, and the holes in the walls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from ufh_core.basis.areas import Area, joined, without
from ufh_core.building.openings import WallHole, holes_at
from ufh_core.building.types import Column, Wall

BAND = (0.02, 0.25)  # a body that overlaps this band over the floor stands on it [m]


def stands_on(bottom_m: float, top_m: float, floor_m: float) -> bool:
    """Whether a body's height range overlaps the band just above a floor."""
    return bottom_m < floor_m + BAND[1] and top_m > floor_m + BAND[0]


@dataclass(frozen=True, slots=True)
class Fabric:
    """Walls, columns and wall holes of the whole building, with search trees over the plan."""

    walls: tuple[Wall, ...]
    columns: tuple[Column, ...]
    holes: tuple[WallHole, ...]
    wall_tree: shapely.STRtree
    column_tree: shapely.STRtree
    hole_tree: shapely.STRtree

    def walls_near(self, area: Area, floor_m: float) -> list[Area]:
        """Outlines of walls that stand on a floor and touch an area."""
        chosen = [self.walls[k] for k in _found(self.wall_tree, area)]
        return [w.outline for w in chosen if stands_on(w.bottom_m, w.top_m, floor_m)]

    def columns_near(self, area: Area, floor_m: float) -> list[Area]:
        """Outlines of columns that stand on a floor and touch an area."""
        chosen = [self.columns[k] for k in _found(self.column_tree, area)]
        return [c.outline for c in chosen if stands_on(c.bottom_m, c.top_m, floor_m)]

    def holes_near(self, area: Area, floor_m: float) -> list[WallHole]:
        """Holes that a pipe on this floor can pass, touching an area."""
        return holes_at(floor_m, [self.holes[k] for k in _found(self.hole_tree, area)])

    def solid(self, area: Area, floor_m: float) -> Area:
        """What is solid on a floor round an area: walls less passable holes, and columns."""
        walls = joined(self.walls_near(area, floor_m))
        open_ = joined(h.area for h in self.holes_near(area, floor_m))
        return joined([without(walls, open_), *self.columns_near(area, floor_m)])


def _found(tree: shapely.STRtree, area: Area) -> list[int]:
    """Indices of what touches an area, in order."""
    return sorted(int(k) for k in tree.query(area, predicate="intersects"))


def make_fabric(walls: Sequence[Wall], columns: Sequence[Column], holes: Sequence[WallHole]) -> Fabric:
    """The fabric with its search trees."""
    return Fabric(
        tuple(walls),
        tuple(columns),
        tuple(holes),
        shapely.STRtree([w.outline for w in walls]),
        shapely.STRtree([c.outline for c in columns]),
        shapely.STRtree([h.area for h in holes]),
    )
