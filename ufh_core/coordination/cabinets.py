"""Cabinets against the building: walls, columns, openings, doors that swing, stairs, units."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon

from ufh_core.basis.areas import polygons
from ufh_core.basis.findings import Finding
from ufh_core.building.types import Obstacle, Opening, Storey, Wall
from ufh_core.coordination.rules import Place, broken, middle_of
from ufh_core.coordination.scene import FloorScene, called, wall_called
from ufh_core.coordination.types import CabinetPart

TOUCH_M = 0.005  # bodies that overlap by less only touch
TOUCH_M2 = 0.0005
BEHIND_M = 0.12  # what stands this far behind a cabinet is what it hangs on
COVERED_M = 0.03  # an opening that the cabinet covers by less is beside it
SWEPT_M2 = 0.002
REST_M = 0.03  # of a wall behind a recess: a board and its finish; common practice
CARRIED = 0.5  # share of a cabinet's width that needs a wall behind it


def cabinet_findings(cabinet: CabinetPart, scene: FloorScene) -> Iterator[Finding]:
    """What is wrong with the place of one cabinet."""
    yield from _walls(cabinet, scene)
    for column in scene.storey.columns:
        if _high(cabinet, column.bottom_m, column.top_m) and _met(cabinet.outline, column.outline):
            yield _say("cabinet-in-column", cabinet, called("column", column.name, column.ifc_guid), column.ifc_guid)
    for opening in scene.storey.openings:
        yield from _opening(cabinet, opening, scene)
    for thing in scene.storey.obstacles:
        if _high(cabinet, thing.bottom_m, thing.top_m) and _met(cabinet.outline, thing.outline):
            yield _say(_thing_rule(thing), cabinet, called(_kind(thing), thing.name, thing.ifc_guid), thing.ifc_guid)


def cabinets_meet(cabinets: tuple[CabinetPart, ...]) -> Iterator[Finding]:
    """Cabinets that take the same place."""
    for one, other in combinations(cabinets, 2):
        if _high(one, other.bottom_m, other.top_m) and _met(one.outline, other.outline):
            guids = (one.ifc_guid, other.ifc_guid)
            place = Place(ifc_guids=guids, storey=one.storey, at=middle_of(one.outline))
            yield broken("cabinets-meet", place, manifold=f"{one.manifold} and {other.manifold}")


def off_storey(cabinet: CabinetPart, storey: Storey) -> Finding | None:
    """A cabinet that stands on no floor of its storey."""
    under = [r for r in storey.rooms if abs(r.floor_m - cabinet.bottom_m) <= 0.3]
    if any(r.outline.buffer(0.3).intersects(cabinet.outline) for r in under):
        return None
    return _say("cabinet-off-storey", cabinet, called("storey", storey.name, storey.ifc_guid), storey.ifc_guid)


def _say(rule: str, cabinet: CabinetPart, what: str, guid: str, **values: object) -> Finding:
    """The finding for a cabinet and what it meets."""
    place = Place(ifc_guids=(guid, cabinet.ifc_guid), storey=cabinet.storey, at=middle_of(cabinet.outline))
    return broken(rule, place, manifold=cabinet.manifold, what=what, **values)


def _high(cabinet: CabinetPart, bottom_m: float, top_m: float) -> bool:
    """Whether heights overlap."""
    return bottom_m < cabinet.top_m - TOUCH_M and top_m > cabinet.bottom_m + TOUCH_M


def _met(outline: Polygon, shape: shapely.Geometry) -> bool:
    """Whether a shape lies in an outline by more than a touch."""
    shared = outline.intersection(shape)
    return bool(shared.area > TOUCH_M2) and not shared.buffer(-TOUCH_M / 2).is_empty


def _thing_rule(thing: Obstacle) -> str:
    if thing.kind in ("stair", "void"):
        return "cabinet-on-stair"
    return "cabinet-behind-furniture" if thing.movable else "cabinet-in-unit"


def _kind(thing: Obstacle) -> str:
    return "opening in the floor" if thing.kind == "void" else "movable furniture" if thing.movable else thing.kind


# --- walls --------------------------------------------------------------------------------------


def _walls(cabinet: CabinetPart, scene: FloorScene) -> Iterator[Finding]:
    """Walls in the cabinet, and whether one stands behind it."""
    behind: list[shapely.Geometry] = []
    strip = _behind(cabinet)
    for wall in scene.storey.walls:
        if not _high(cabinet, wall.bottom_m, wall.top_m):
            continue
        behind.append(wall.outline.intersection(strip))
        if _met(cabinet.outline, wall.outline):
            yield from _in_wall(cabinet, wall)
    held = _span(shapely.union_all(behind), cabinet)
    wide = _span(cabinet.outline, cabinet)
    if cabinet.normal is not None and held[1] - held[0] < CARRIED * (wide[1] - wide[0]):
        yield _say("cabinet-without-wall", cabinet, "", "")


def _behind(cabinet: CabinetPart) -> Polygon:
    """The cabinet's outline drawn out backwards; the outline itself where its front is not known."""
    if cabinet.normal is None:
        return cabinet.outline
    shift = [-BEHIND_M * c for c in cabinet.normal]
    return shapely.union_all([cabinet.outline, translate(cabinet.outline, *shift)]).convex_hull


def _span(shape: shapely.Geometry, cabinet: CabinetPart, across: bool = False) -> tuple[float, float]:
    """Least and greatest coordinate of a shape along the cabinet (`across`: out of the wall) [m]; (0, 0) if empty."""
    points = shapely.get_coordinates(shape)
    if not len(points):
        return (0.0, 0.0)
    out = np.array(cabinet.normal or (0.0, 1.0))
    reach = points @ (out if across else np.array([-out[1], out[0]]))
    return (float(reach.min()), float(reach.max()))


def _in_wall(cabinet: CabinetPart, wall: Wall) -> Iterator[Finding]:
    """A wall in a cabinet: all along it, so that the cabinet stands in a recess, or across it."""
    shared = cabinet.outline.intersection(wall.outline)
    deep, wide = _span(shared, cabinet, across=True), _span(shared, cabinet)
    body, whole = _span(cabinet.outline, cabinet, across=True), _span(cabinet.outline, cabinet)
    all_along = wide[1] - wide[0] > 0.9 * (whole[1] - whole[0])
    if cabinet.normal is None or not all_along:
        yield _say("cabinet-in-wall", cabinet, wall_called(wall), wall.ifc_guid)
        return
    depth, thick = deep[1] - body[0], _thickness(cabinet, wall)
    rule = _recess_rule(wall, depth, thick)
    if rule:
        sizes = {"deep_mm": 1000 * depth, "thick_mm": 1000 * thick, "rest_mm": 1000 * REST_M}
        yield _say(rule, cabinet, wall_called(wall), wall.ifc_guid, **sizes)


def _recess_rule(wall: Wall, depth: float, thick: float) -> str:
    """The gravest rule that a recess breaks, or none."""
    made = wall.construction
    if depth + REST_M > thick + TOUCH_M:
        return "cabinet-too-deep"
    if made.fire_rating or made.compartment:
        return "recess-in-fire-wall"
    if made.load_bearing:
        return "recess-in-bearing-wall"
    if made.external:
        return "recess-in-outer-wall"
    return "recess-maybe-bearing" if made.load_bearing is None else ""


def _thickness(cabinet: CabinetPart, wall: Wall) -> float:
    """Thickness of a wall at a cabinet, square to it [m]."""
    assert cabinet.normal is not None
    x, y = cabinet.outline.centroid.coords[0]
    u, v = cabinet.normal
    ray = LineString([(x - 2 * u, y - 2 * v), (x + 2 * u, y + 2 * v)])
    parts = shapely.get_parts(ray.intersection(wall.outline))
    near = [p for p in parts if p.distance(cabinet.outline) < TOUCH_M]
    return max((float(p.length) for p in near), default=0.0)


# --- openings -----------------------------------------------------------------------------------


def _opening(cabinet: CabinetPart, opening: Opening, scene: FloorScene) -> Iterator[Finding]:
    """An opening behind a cabinet, or a door that swings against it."""
    if not _high(cabinet, opening.bottom_m, opening.top_m):
        return
    name = called(opening.kind, opening.name, opening.ifc_guid)
    covered = _behind(cabinet).intersection(opening.outline)
    if covered.area > TOUCH_M2 and np.subtract(*_span(covered, cabinet)[::-1]) > COVERED_M:
        rule = "cabinet-in-window" if opening.kind == "window" else "cabinet-in-doorway"
        yield _say(rule, cabinet, name, opening.ifc_guid)
        return
    swing = scene.swings.get(opening.ifc_guid)
    if swing is None:
        return
    hit = [way.intersection(cabinet.outline).area > SWEPT_M2 for way in swing.ways]
    if all(hit):
        yield _say("cabinet-in-door-swing", cabinet, name, opening.ifc_guid)
    elif any(hit) and not _walled_off(cabinet, opening, scene):
        yield _say("cabinet-maybe-in-door-swing", cabinet, name, opening.ifc_guid)


def _walled_off(cabinet: CabinetPart, opening: Opening, scene: FloorScene) -> bool:
    """Whether a wall stands between a door and a cabinet, so that no leaf can reach it."""
    ends = [opening.outline.centroid.coords[0], cabinet.outline.centroid.coords[0]]
    way = LineString(ends).difference(opening.outline).difference(cabinet.outline)
    solid = [s for w, s in scene.walls if w.ifc_guid != opening.wall_guid]
    return any(way.intersection(s).length > TOUCH_M for s in solid if polygons(s))
