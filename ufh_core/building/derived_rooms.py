"""Rooms found from the walls, for models that have none.

How: the walls, and the doors and windows that stand in gaps between them, are joined to one solid; gaps up to
0.3 m are closed (a morphological closing with half of that); what the solid encloses and a slab carries is floor.
Where wall pieces leave doorways or windows open to the floor, the gaps between facing wall ends are bridged
as well. Cost: a few unions and buffers of a storey's walls, under a second for 300 walls.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely import STRtree, union_all
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.areas import common
from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.building.types import Column, Opening, Room, RoomKind, Slab, Wall
from ufh_core.building.wall_gaps import Bridge, find_bridges

CLOSING_M = 0.15  # half of the widest gap that is no doorway
LEAST_WIDTH_M = 0.6
LEAST_AREA_M2 = 1.0
SHAFT_AREA_M2 = 4.0  # smaller, with no door where others have doors: a shaft
CORE_AREA_M2 = 8.0  # smaller, between walls that run on past the storey: a shaft or a lift
LOW_WALL_M = 1.5  # walls that end lower are parapets or stand under windows
SLAB_REACH_M = (-0.8, 0.3)  # slab top against the floor


def find_rooms(
    storey_guid: str,
    floor_m: float,
    height_m: float,
    walls: Sequence[Wall],
    columns: Sequence[Column],
    openings: Sequence[Opening],
    slabs: Sequence[Slab],
) -> tuple[Room, ...]:
    """Find the closed regions between the walls' inner faces of one storey, named R01, R02… from top left.

    `floor_m` and `height_m` [m] are the storey's; elements that do not stand at that floor are ignored.
    """
    standing = [w for w in walls if w.bottom_m <= floor_m + 1.0 and w.top_m >= floor_m + 0.3 and w.outline.area > 0]
    posts = [c.outline for c in columns if c.bottom_m <= floor_m + 1.0 and c.top_m >= floor_m + 0.3]
    fillings = [o for o in openings if o.bottom_m <= floor_m + height_m and o.top_m >= floor_m + 0.3]
    under = [s for s in slabs if s.kind != "roof" and SLAB_REACH_M[0] <= s.top_m - floor_m <= SLAB_REACH_M[1]]
    if not standing:
        return ()
    solid = union_all([w.outline for w in standing] + posts + [o.outline for o in fillings]).buffer(0)
    high = union_all([w.outline for w in standing if w.top_m >= floor_m + LOW_WALL_M] + [o.outline for o in fillings])
    bridges = find_bridges(solid)
    closed = union_all([solid, *(b.outline for b in bridges)])
    floors = [floor for region in _enclosed(closed) for floor in _floors(region, closed, under)]
    roofs = union_all([s.outline for s in slabs if s.kind == "roof" and s.top_m > floor_m + LOW_WALL_M])
    floors = [floor for floor in floors if _walled_in(floor, closed, high, roofs)]
    floors = _with_doorways(floors, bridges, solid)
    ordered = _in_order(floors)
    shafts = _shafts(ordered, standing, openings, floor_m, height_m)
    return tuple(
        _room(storey_guid, k, *pair, floor_m, height_m, under)
        for k, pair in enumerate(zip(ordered, shafts, strict=True), 1)
    )


def _enclosed(solid: BaseGeometry) -> list[Polygon]:
    """The parts of the plan that a solid, made thicker by half of the widest gap, closes off from outside."""
    thick = solid.buffer(CLOSING_M, join_style="mitre")
    left, low, right, top = thick.bounds
    frame = box(left - 1, low - 1, right + 1, top + 1)
    cores = [p for p in _polygons(frame.difference(thick)) if not p.exterior.intersects(frame.exterior)]
    grown = [core.buffer(CLOSING_M, join_style="mitre").difference(solid) for core in cores]
    tree = STRtree(grown)
    regions: list[Polygon] = []
    for k, region in enumerate(grown):  # two that meet in a gap: the first one has it
        before = [grown[other] for other in sorted(tree.query(region, predicate="intersects")) if other < k]
        regions += _polygons(region.difference(union_all(before)) if before else region)
    return regions


def _floors(region: Polygon, solid: BaseGeometry, slabs: Sequence[Slab]) -> list[Polygon]:
    """The floor of a region: without walls, on a slab where slabs are known, wide and large enough."""
    clear = region.difference(solid)
    if slabs and not clear.is_empty:
        carried = common(clear, union_all([s.outline for s in slabs]).buffer(0.05, join_style="mitre"))
        if carried.area < 0.5 * clear.area:  # strips of a foundation are no floor
            return []
        clear = clear if carried.area > 0.95 * clear.area else carried
    cleaned = common(clear.buffer(-0.02, join_style="mitre").buffer(0.02, join_style="mitre"), clear)
    return [p.simplify(0.001) for p in _polygons(cleaned) if _roomy(p)]


def _with_doorways(floors: list[Polygon], bridges: Sequence[Bridge], solid: BaseGeometry) -> list[Polygon]:
    """Floors with their half of every bridged gap that has floor on both sides: a doorway, not a window."""
    grown = list(floors)
    for bridge in bridges:
        sides = [_touching(half, floors) for half in bridge.halves]
        if None in sides:
            continue
        for half, side in zip(bridge.halves, sides, strict=True):
            joined = union_all([grown[side], half.difference(solid)], grid_size=1e-4)  # type: ignore[index]
            grown[side] = max(_polygons(joined), key=lambda p: p.area)  # type: ignore[index]
    return grown


def _touching(half: Polygon, floors: list[Polygon]) -> int | None:
    """Which floor lies along a half of a bridge."""
    shared = [half.buffer(0.03, join_style="mitre").intersection(floor).area for floor in floors]
    best = max(range(len(floors)), key=lambda k: shared[k], default=None)
    return best if best is not None and shared[best] > 0.005 else None


def _roomy(floor: Polygon) -> bool:
    """Whether one could stand and turn in it."""
    return bool(floor.area >= LEAST_AREA_M2 and floor.buffer(-LEAST_WIDTH_M / 2 + 0.001).area > 0.01)


def _walled_in(floor: Polygon, solid: BaseGeometry, high: BaseGeometry, roofs: BaseGeometry) -> bool:
    """Whether real walls, not parapets, make half of the walled boundary, or a part of it under a roof."""
    edge = floor.exterior
    walled = edge.intersection(solid.buffer(0.05)).length
    under_roof = floor.intersection(roofs).area > 0.5 * floor.area
    real = edge.intersection(high.buffer(0.05)).length
    return bool(walled > 0.3 * edge.length and real >= (0.2 if under_roof else 0.5) * walled)


def _in_order(floors: list[Polygon]) -> list[Polygon]:
    """Floors from the top left, in rows of about two metres."""
    return sorted(floors, key=lambda p: (-round(p.centroid.y / 2), round(p.centroid.x, 2), round(p.centroid.y, 2)))


def _shafts(
    floors: list[Polygon], walls: Sequence[Wall], openings: Sequence[Opening], floor_m: float, height_m: float
) -> list[bool]:
    """Which floors are shafts: small and without a door where others have one, or between walls that run on."""
    doors = [o.outline.buffer(0.1) for o in openings if o.kind != "window" and o.bottom_m <= floor_m + 0.3]
    with_door = [any(floor.intersects(door) for door in doors) for floor in floors]
    middle, span = floor_m + height_m / 2, 1.6 * height_m
    running = [w.outline for w in walls if w.top_m - middle > span or middle - w.bottom_m > span]
    core = union_all(running).buffer(0.05)
    no_door = [any(with_door) and not has and f.area < SHAFT_AREA_M2 for f, has in zip(floors, with_door, strict=True)]
    inner = [f.area < CORE_AREA_M2 and f.exterior.intersection(core).length > 0.75 * f.exterior.length for f in floors]
    between = [is_inner and not has for is_inner, has in zip(inner, with_door, strict=True)]
    return [a or b for a, b in zip(no_door, between, strict=True)]


def _room(
    storey_guid: str, number: int, floor: Polygon, shaft: bool, floor_m: float, height_m: float, slabs: Sequence[Slab]
) -> Room:
    """Make a room of a floor; its id comes from its place, so that a second run and a revision keep it."""
    point = floor.centroid
    return Room(
        ifc_guid=deterministic_guid(storey_guid, "room", f"{point.x:.1f}", f"{point.y:.1f}", f"{floor.area:.0f}"),
        name=f"R{number:02d}",
        long_name="",
        kind=RoomKind.SHAFT if shaft else RoomKind.OTHER,
        outline=floor,
        floor_m=floor_m,
        height_m=height_m,
        slab_top_m=_slab_top(floor, slabs),
        derived=True,
    )


def _slab_top(floor: Polygon, slabs: Sequence[Slab]) -> float | None:
    """The top [m] of the slabs that carry most of a floor, the highest where several do."""
    carried = [(round(s.outline.intersection(floor).area / floor.area, 1), s.top_m) for s in slabs]
    carried = [pair for pair in carried if pair[0] > 0]
    return max(carried)[1] if carried else None


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    """The polygons of any shape."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    parts = shape.geoms if isinstance(shape, MultiPolygon) else getattr(shape, "geoms", ())
    return [p for p in parts if isinstance(p, Polygon) and not p.is_empty]
