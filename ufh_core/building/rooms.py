"""Rooms from spaces: outline less what stands in it, level, slab below, and the model's own figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shapely.geometry import Point

from ufh_core.basis.areas import Area, collected, common, joined, polygons, polygons_only, without
from ufh_core.building.bodies import PlanShape
from ufh_core.building.model_file import ModelFile
from ufh_core.building.properties import (
    AREA_NAMES,
    area_scale,
    figures,
    first_number,
    heat_load,
    indoor_temperature,
    number,
    truth,
    unit_scale,
)
from ufh_core.building.room_kinds import room_kind
from ufh_core.building.solids import Fabric
from ufh_core.building.types import Room, RoomKind, Slab

LEAST_PART = 0.3  # a smaller part of a room beside a greater one is a sliver [m²]
HAIR = 0.02  # strips narrower than twice this are not floor [m]
SLAB_BELOW, SLAB_ABOVE = 0.7, 0.5  # a slab top this far below or above the space base is its floor [m]


@dataclass(frozen=True, slots=True)
class RoomRead:
    """A room with the figures that were refused, None where none was."""

    room: Room
    space: Any
    gross: Area
    refused_c: float | None = None
    refused_w: float | None = None


def read_rooms(
    source: ModelFile, spaces: Sequence[Any], shapes: Mapping[int, PlanShape], fabric: Fabric, slabs: Sequence[Slab]
) -> tuple[RoomRead, ...]:
    """Every space that has a shape, as a room."""
    scales = (area_scale(source), unit_scale(source, "POWERUNIT"))
    found = []
    for space in spaces:
        shape = shapes.get(space.id())
        if shape is not None:
            found.append(_room(space, shape, fabric, slabs, scales))
    return tuple(found)


def _room(space: Any, shape: PlanShape, fabric: Fabric, slabs: Sequence[Slab], scales: tuple[float, float]) -> RoomRead:
    """One room."""
    values = figures(space)
    outline = clear_floor(shape.area, shape.bottom_m, fabric)
    indoor, refused_c = indoor_temperature(values)
    load, refused_w = heat_load(values, outline.area, scales[1])
    external = is_external(space, values)
    stated = first_number(values, AREA_NAMES)
    room = Room(
        ifc_guid=space.GlobalId,
        name=(space.Name or "").strip(),
        long_name=(space.LongName or "").strip(),
        kind=kind_of(space, external=external),
        outline=outline,
        floor_m=shape.bottom_m,
        height_m=shape.top_m - shape.bottom_m,
        slab_top_m=slab_top_under(outline, shape.bottom_m, slabs),
        external=external,
        heat_load_w=load,
        indoor_c=indoor,
        stated_area_m2=stated * scales[0] if stated else None,
    )
    return RoomRead(room, space, shape.area, refused_c, refused_w)


def is_external(space: Any, values: Mapping[str, Any]) -> bool:
    """Whether the model calls a space external."""
    kinds = {getattr(space, "PredefinedType", None), getattr(space, "InteriorOrExteriorSpace", None)}
    return "EXTERNAL" in kinds or truth(values, "isexternal") is True


def kind_of(space: Any, *, external: bool) -> RoomKind:
    """Kind of room by what the schema says, else by its names."""
    predefined = getattr(space, "PredefinedType", None)
    if external:
        return RoomKind.OUTSIDE
    if predefined == "GFA" or space.CompositionType == "COMPLEX":
        return RoomKind.AREA_SCHEME
    if predefined == "PARKING":
        return RoomKind.GARAGE
    return room_kind(space.Name or "", space.LongName or "", space.ObjectType or "")


def clear_floor(gross: Area, floor_m: float, fabric: Fabric) -> Area:
    """The floor of a space less walls and columns in it; parts that a doorway joins stay joined."""
    standing = joined([*fabric.walls_near(gross, floor_m), *fabric.columns_near(gross, floor_m)])
    floor = without_slivers(without(gross, standing))
    if floor.is_empty or floor.geom_type == "Polygon":
        return floor if not floor.is_empty else gross
    ways = [common(h.area, gross) for h in fabric.holes_near(gross, floor_m)]
    columns = joined(fabric.columns_near(gross, floor_m))
    bridges = [w for w in (without(w, columns) for w in ways) if sum(w.distance(p) < 1e-3 for p in polygons(floor)) > 1]
    return polygons_only(joined([floor, *bridges]))


def without_slivers(area: Area) -> Area:
    """An area without hair-thin strips and without small parts beside a greater one."""
    opened = area.buffer(-HAIR, join_style="mitre").buffer(HAIR, join_style="mitre")
    opened = common(polygons_only(opened), area)  # a mitre may overshoot where a strip was cut off
    parts = polygons(opened if opened.area > 0.8 * area.area else area)
    kept = [p for k, p in enumerate(parts) if k == 0 or p.area > LEAST_PART]
    return polygons_only(collected(kept).simplify(1e-4))


def slab_top_under(outline: Area, floor_m: float, slabs: Sequence[Slab]) -> float | None:
    """Height of the slab top under most of a room, the nearest to its base where there are several."""
    points = [Point(p) for p in _samples(outline)]
    best: tuple[int, float, float] | None = None
    for slab in slabs:
        if slab.kind == "roof" or not floor_m - SLAB_BELOW <= slab.top_m <= floor_m + SLAB_ABOVE:
            continue
        under = sum(slab.outline.covers(p) for p in points)
        if under:
            rank = (under, -round(abs(slab.top_m - floor_m), 4), slab.top_m)
            best = rank if best is None else max(best, rank)
    return best[2] if best is not None else None


def _samples(outline: Area) -> list[tuple[float, float]]:
    """Points in a room: one inside each part, and the inner ones of a 3 × 3 grid."""
    points = [(p.representative_point().x, p.representative_point().y) for p in polygons(outline)]
    if outline.is_empty:
        return points
    x0, y0, x1, y1 = outline.bounds
    grid = [(x0 + (x1 - x0) * u, y0 + (y1 - y0) * v) for u in (0.2, 0.5, 0.8) for v in (0.2, 0.5, 0.8)]
    return points + [p for p in grid if outline.covers(Point(p))]


def height_of(space: Any) -> float | None:
    """A stated clear height, in file units."""
    return number(figures(space).get("height"))
