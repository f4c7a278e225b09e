"""Storeys: which rooms are theirs, and what stands on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.building.model_file import ModelFile
from ufh_core.building.types import Column, Matrix, Opening, Room, Slab, Storey, Wall

TOUCH = 0.6  # a slab this near to a storey's floor or ceiling belongs to it [m]
BESIDE = 0.6  # an opening this near to a room is in its walls [m]
USUAL_HEIGHT = 2.8  # of a storey with no other above and no walls [m]


@dataclass(frozen=True, slots=True)
class StoreyPlace:
    """A storey as the file has it; heights in metres. `entity` is None where the file has no storeys."""

    entity: Any
    ifc_guid: str
    name: str
    elevation_m: float
    placement: Matrix


def read_places(source: ModelFile) -> tuple[StoreyPlace, ...]:
    """The storeys from the lowest to the highest."""
    places = [_place(source, s) for s in source.of_class("IfcBuildingStorey")]
    if len({p.elevation_m for p in places}) == 1 and len(places) > 1:
        places = [_by_attribute(source, p) for p in places]
    return tuple(sorted(places, key=lambda p: (p.elevation_m, p.entity.id())))


def _place(source: ModelFile, storey: Any) -> StoreyPlace:
    """One storey by its placement, by its Elevation where it has none."""
    placed = source.world(storey)
    matrix = np.eye(4) if placed is None else placed
    elevation = float(matrix[2, 3]) if placed is not None else float(storey.Elevation or 0.0) * source.scale
    rows = tuple(tuple(float(v) for v in row) for row in matrix)
    return StoreyPlace(storey, storey.GlobalId, storey.Name or storey.LongName or "", elevation, rows)


def _by_attribute(source: ModelFile, place: StoreyPlace) -> StoreyPlace:
    """A storey at its Elevation, where all placements have one and the same height."""
    given = float(place.entity.Elevation or 0.0) * source.scale
    return StoreyPlace(place.entity, place.ifc_guid, place.name, given, place.placement)


def stand_in_places(rooms: Sequence[Room], walls: Sequence[Wall], project_guid: str) -> tuple[StoreyPlace, ...]:
    """Storeys made from the floors of the rooms, or of the walls, where the file has none."""
    heights = sorted({round(r.floor_m, 1) for r in rooms} or {round(w.bottom_m, 1) for w in walls})
    kept: list[float] = []
    for height in heights:
        if not kept or height > kept[-1] + 1.0:
            kept.append(height)
    return tuple(
        StoreyPlace(None, deterministic_guid(project_guid, "storey", f"{z:.1f}"), f"Level {z:+.2f} m", z, _level(z))
        for z in kept
    )


def _level(height_m: float) -> Matrix:
    """The placement of a level at a height."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, height_m), (0.0, 0.0, 0.0, 1.0))


def storey_of(space: Any, room: Room, places: Sequence[StoreyPlace]) -> StoreyPlace:
    """The storey that a space is part of, else the nearest by height."""
    known = {p.ifc_guid: p for p in places}
    whole = space
    while whole is not None:
        if whole.GlobalId in known:
            return known[whole.GlobalId]
        whole = next((r.RelatingObject for r in getattr(whole, "Decomposes", None) or ()), None)
    return min(places, key=lambda p: abs(p.elevation_m - room.floor_m))


def contained_guids(storey: Any) -> frozenset[str]:
    """GlobalIds of what a storey contains directly."""
    if storey is None:
        return frozenset()
    return frozenset(e.GlobalId for r in storey.ContainsElements or () for e in r.RelatedElements)


def storey_height(place: StoreyPlace, places: Sequence[StoreyPlace], walls: Sequence[Wall]) -> float:
    """Height [m] to the next storey at least 1.8 m above, else to the top of the walls."""
    above = [p.elevation_m for p in places if p.elevation_m > place.elevation_m + 1.8]
    if above:
        return min(above) - place.elevation_m
    tops = sorted(w.top_m for w in walls if w.bottom_m < place.elevation_m + 1.0 < w.top_m)
    return max(1.8, tops[len(tops) // 2] - place.elevation_m) if tops else USUAL_HEIGHT


def _between(opening: Opening, floor_m: float, ceiling_m: float) -> bool:
    """Whether an opening lies between a floor and the ceiling over it."""
    return opening.bottom_m < ceiling_m - 0.1 and opening.top_m > floor_m + 0.1


@dataclass(frozen=True, slots=True)
class Levels:
    """The floors of a storey and the ceilings over them [m]."""

    floors: tuple[float, ...]
    ceilings: tuple[float, ...]

    def walls(self, walls: Sequence[Wall]) -> tuple[Wall, ...]:
        """Walls that stand on one of the floors."""
        return tuple(w for w in walls if self._stands(w.bottom_m, w.top_m))

    def columns(self, columns: Sequence[Column]) -> tuple[Column, ...]:
        """Columns that stand on one of the floors."""
        return tuple(c for c in columns if self._stands(c.bottom_m, c.top_m))

    def openings(self, openings: Sequence[Opening], rooms: Sequence[Room]) -> tuple[Opening, ...]:
        """Openings between a floor and the ceiling over it, in or beside a room where there are rooms."""
        if not rooms:
            pairs = list(zip(self.floors, self.ceilings, strict=True))
            return tuple(o for o in openings if any(_between(o, f, c) for f, c in pairs))
        near = [(r.outline.buffer(BESIDE), r.floor_m, r.floor_m + r.height_m) for r in rooms]
        return tuple(o for o in openings if any(_between(o, f, c) and a.intersects(o.outline) for a, f, c in near))

    def slabs(self, slabs: Sequence[Slab], own: frozenset[str]) -> tuple[Slab, ...]:
        """Slabs that touch a floor from below or a ceiling from above, or that the storey contains."""
        heights = (*self.floors, *self.ceilings)
        return tuple(
            s for s in slabs if s.ifc_guid in own or any(s.bottom_m - TOUCH <= z <= s.top_m + TOUCH for z in heights)
        )

    def _stands(self, bottom_m: float, top_m: float) -> bool:
        """Whether a height range overlaps the band over one of the floors."""
        return any(bottom_m < f + 0.25 and top_m > f + 0.02 for f in self.floors)


def levels_of(place: StoreyPlace, rooms: Sequence[Room], height_m: float) -> Levels:
    """Levels by a storey's rooms, else by its elevation."""
    if not rooms:
        return Levels((place.elevation_m,), (place.elevation_m + height_m,))
    pairs = sorted({(round(r.floor_m, 3), round(r.floor_m + r.height_m, 3)) for r in rooms})
    return Levels(tuple(f for f, _ in pairs), tuple(c for _, c in pairs))


def storey(place: StoreyPlace, rooms: Sequence[Room]) -> Storey:
    """A storey with its rooms alone."""
    return Storey(
        ifc_guid=place.ifc_guid,
        name=place.name,
        elevation_m=place.elevation_m,
        placement=place.placement,
        rooms=tuple(rooms),
    )
