"""The screed in the doorways of a storey: how much it is, and with which fields it is poured.

A doorway between two heated floors, or one through which a pipe runs, is screed of ours. The joint lies under the
door, so each side's field takes its half.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import shapely
from shapely.geometry import Polygon

from ufh_core.basis.areas import areas_only, polygons
from ufh_core.basis.pipe_axis import PipeAxis
from ufh_core.building.types import Passage
from ufh_core.floor import screed_volume
from ufh_core.floor.types import DoorwayFloor
from ufh_core.joints.types import PourField
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level, resized

LEAST_M2 = 0.005
NEAR_M = 0.1


def doorway_floors(
    levels: Iterable[Level],
    built: Collection[str],
    fields: Sequence[PourField],
    axes: Sequence[PipeAxis],
    settings: Settings,
) -> tuple[DoorwayFloor, ...]:
    """The screed of all doorways; `built` are the rooms with heated screed by GlobalId."""
    lines = shapely.union_all([axis.line() for axis in axes])
    found: list[DoorwayFloor] = []
    for level in levels:
        taken = [room.outline for room in level.rooms]
        for passage in level.passages:
            sides = tuple(guid for guid in passage.rooms if guid in built)
            outline = _outline(passage, [*taken, *(floor.outline for floor in found)], settings)
            if outline is None or not (len(sides) > 1 or (sides and shapely.intersects(lines, outline))):
                continue
            pipe = float(shapely.intersection(lines, outline).length)
            found.append(
                DoorwayFloor(
                    passage=passage.ifc_guid,
                    rooms=sides,
                    outline=outline,
                    screed_m3=screed_volume(float(outline.area), pipe, settings),
                    fields=_fields(outline, sides, fields),
                )
            )
    return tuple(found)


def _outline(passage: Passage, taken: Sequence[shapely.Geometry], settings: Settings) -> Polygon | None:
    """The floor between the edge strips at the jambs, without what is a room's; None where there is none."""
    if passage.kind in {"open", "sleeve"}:
        return None
    between = resized(passage, -settings.floor.edge_strip_thickness_m, 0.0)
    rest = areas_only(shapely.difference(between, shapely.union_all(taken)))
    parts = [part for part in polygons(rest) if part.area > LEAST_M2]
    return max(parts, key=lambda part: float(part.area), default=None)


def _fields(outline: Polygon, sides: Sequence[str], fields: Sequence[PourField]) -> tuple[int, ...]:
    """Places of the fields that share the doorway: the nearest one of each side."""
    found = []
    for room in sides:
        near = [(field.outline.distance(outline), k) for k, field in enumerate(fields) if room in field.rooms]
        if near and min(near)[0] <= NEAR_M:
            found.append(min(near)[1])
    return tuple(dict.fromkeys(found))


def doorway_share(doorways: Iterable[DoorwayFloor], field: int) -> tuple[float, float]:
    """Floor [m²] and screed [m³] of doorways that is poured with a field."""
    mine = [doorway for doorway in doorways if field in doorway.fields]
    area = sum(float(doorway.outline.area) / len(doorway.fields) for doorway in mine)
    return area, sum(doorway.screed_m3 / len(doorway.fields) for doorway in mine)
