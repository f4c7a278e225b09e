"""A second opinion on a laying plan, from what a fitter gets: outlines, cut sizes, and who is cut from what.

Shares no code with the package: areas by shapely, cuts followed step by step, studs as marks that must fall on marks.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon, box

MM = 1e-3


def faults(plan: Any, floor: Any = None) -> list[str]:
    """All that is wrong with a plan, one line each; `floor` is what must be covered, if it is known [m]."""
    found = covering_faults(plan, floor)
    for piece in plan.pieces:
        found += piece_faults(piece, plan)
    for panel in {p.from_panel for p in plan.pieces}:
        found += panel_faults(panel, plan)
    numbers = [p.number for p in plan.pieces]
    if len(set(numbers)) < len(numbers):
        found.append("numbers of pieces come twice")
    if {p.from_panel for p in plan.pieces} != set(range(1, plan.panels + 1)):
        found.append("panels are not numbered from 1 to their count")
    return found


def covering_faults(plan: Any, floor: Any) -> list[str]:
    """Every point under exactly one piece, to a thousandth of the floor."""
    found = []
    outlines = [p.outline for p in plan.pieces]
    # on a grid of 0.1 µm: without it the union of turned pieces that nearly touch may silently lose one
    whole = shapely.union_all(outlines, grid_size=1e-7) if outlines else Polygon()
    target = whole if floor is None else floor
    if target.area and shapely.difference(target, whole).area > 1e-3 * target.area:
        found.append(f"{shapely.difference(target, whole).area:.4f} m² are not covered")
    if shapely.difference(whole, target.buffer(MM)).area > 1e-6:
        found.append("pieces reach beyond the floor")
    twice = sum(o.area for o in outlines) - whole.area
    if twice > 1e-3 * max(whole.area, 1e-9):
        found.append(f"{twice:.4f} m² are covered twice")
    return found


def axes(plan: Any, piece: Any) -> tuple[np.ndarray, np.ndarray]:
    """The panel's own directions of a piece in the plan: along its length and across."""
    area = next(a for a in plan.areas if piece in a.pieces)
    x = np.array(area.heading)
    return x, np.array([-x[1], x[0]])


def piece_faults(piece: Any, plan: Any) -> list[str]:
    """Cut size is gap and lap, inside its panel, with its studs where the room's studs are."""
    found = []
    size, name = plan.size, piece.number
    west, south, east, north = piece.cut_m
    if abs(east - west - piece.length_m) > MM or abs(north - south - piece.width_m) > MM:
        found.append(f"{name}: its place in the panel is not as large as its cut size")
    lap = size.lap * size.stud_m
    limits = (-lap, -lap, size.long * size.stud_m, size.wide * size.stud_m)
    if min(west - limits[0], south - limits[1], limits[2] - east, limits[3] - north) < -MM:
        found.append(f"{name}: reaches over the edge of its panel")
    x, y = axes(plan, piece)
    points = shapely.get_coordinates(piece.outline)
    along, across = points @ x, points @ y
    w, s_, e, n = piece.lap_m
    for what, cut, gap, laps in (
        ("length", piece.length_m, np.ptp(along), (w, e)),
        ("width", piece.width_m, np.ptp(across), (s_, n)),
    ):
        if any(min(abs(one), abs(one - lap)) > 1e-5 for one in laps) or max(laps) > 2 * size.stud_m + 1e-6:
            found.append(f"{name}: a lap of {1000 * max(laps):.1f} mm")
        if abs(cut - gap - sum(laps)) > MM:
            found.append(f"{name}: its {what} is not its gap and its laps")
    area = next(a for a in plan.areas if piece in a.pieces)
    c, s = math.cos(area.angle_rad), math.sin(area.angle_rad)
    lattice = points @ np.array([[c, -s], [s, c]])
    if off_phase(lattice, points @ np.column_stack([x, y]), piece, size.stud_m):
        found.append(f"{name}: its studs are not where the floor's studs are")
    return found


def off_phase(lattice: np.ndarray, own: np.ndarray, piece: Any, stud: float) -> bool:
    """Whether a stud of the panel would fall beside the studs of the floor.

    Pipes lie on whole stud pitches of the plan turned by the area's angle, so studs stand half a pitch off them; on a
    panel they stand on whole pitches from its corner.
    """
    corner = own.max(axis=0)  # where the piece ends at its east and north, but for laps there
    east, north = piece.cut_m[2] - piece.lap_m[2], piece.cut_m[3] - piece.lap_m[3]
    stud_own = corner - np.array([east, north])  # the panel's corner on the floor, in the panel's directions
    # turn it back into the lattice's frame through two points of the outline
    a, b = own[0], lattice[0]
    rest = own - a
    k = int(np.argmax(np.hypot(*rest.T)))
    turn = math.atan2(*(lattice[k] - b)[::-1]) - math.atan2(*rest[k][::-1])
    c, s = math.cos(turn), math.sin(turn)
    spot = np.array([[c, -s], [s, c]]) @ (stud_own - a) + b
    phase = np.mod(spot / stud - 0.5 + 0.5, 1.0) - 0.5
    return bool(np.abs(phase).max() * stud > MM)


def panel_faults(number: int, plan: Any) -> list[str]:
    """Pieces of one panel lie apart, and straight cuts from edge to edge part them all."""
    found = []
    mine = [p for p in plan.pieces if p.from_panel == number]
    boxes = [box(*p.cut_m) for p in mine]
    for a, b in combinations(range(len(mine)), 2):
        if shapely.intersection(boxes[a], boxes[b]).area > 1e-6:
            found.append(f"panel {number}: {mine[a].number} and {mine[b].number} overlap")
    if not parted([p.cut_m for p in mine]):
        found.append(f"panel {number}: no straight cuts from edge to edge part its pieces")
    cuts = {c.number: c for c in plan.cut_panels}.get(number)
    if cuts is None:
        return found if all(p.whole for p in mine) else [*found, f"panel {number} is cut, but not on the list"]
    return found + followed(number, mine, cuts, plan.size)


def parted(boxes: list[tuple[float, ...]]) -> bool:
    """Whether straight cuts from edge to edge part boxes: a cut that hits none, then each side."""
    if len(boxes) < 2:
        return True
    for low, high in ((0, 2), (1, 3)):
        for at in sorted({b[high] for b in boxes})[:-1]:
            if all(b[high] <= at + MM or b[low] >= at - MM for b in boxes):
                first = [b for b in boxes if b[high] <= at + MM]
                rest = [b for b in boxes if b[high] > at + MM]
                if first and rest:
                    return parted(first) and parted(rest)
    return False


def followed(number: int, pieces: list[Any], cuts: Any, size: Any) -> list[str]:
    """The parts that the listed cuts really leave are the pieces and the off-cuts."""
    lap = size.lap * size.stud_m
    parts = [(-lap, -lap, size.long * size.stud_m, size.wide * size.stud_m)]
    for cut in cuts.cuts:
        at = next((k for k, part in enumerate(parts) if np.allclose(part, cut.part_m, atol=MM)), None)
        if at is None:
            return [f"panel {number}: a cut of a part that is not there"]
        w, s, e, n = parts.pop(at)
        if cut.across:
            parts += [(w, s, cut.at_m, n), (cut.at_m, s, e, n)]
        else:
            parts += [(w, s, e, cut.at_m), (w, cut.at_m, e, n)]
    for wanted in (*(p.cut_m for p in pieces), *cuts.left_m):
        at = next((k for k, part in enumerate(parts) if np.allclose(part, wanted, atol=MM)), None)
        if at is None:
            return [f"panel {number}: its cuts do not leave its pieces"]
        parts.pop(at)
    return [f"panel {number}: its cuts leave more than is listed"] if parts else []


def pipes_across_studs(plan: Any, pipes: list[Any]) -> float:
    """Length of straight pipe [m] that does not run half-way between the studs of the panel under its middle.

    Studs stand on whole pitches from the corner of the panel that a piece is cut from; a run under 45 degrees passes
    half-way between them where it meets the crossings of their gaps.
    """
    wrong = 0.0
    stud = plan.size.stud_m
    straight = [p for axis in pipes for p in axis.pieces if not hasattr(p, "sweep") and math.dist(p.start, p.end) > 0.1]
    ends = np.array([(*p.start, *p.end) for p in straight])
    middles = (ends[:, :2] + ends[:, 2:]) / 2
    for piece in plan.pieces:
        x, y = axes(plan, piece)
        points = shapely.get_coordinates(piece.outline)
        frame = np.column_stack([x, y])
        corner = (points @ frame).max(axis=0) - np.array(piece.cut_m[2:]) + np.array(piece.lap_m[2:])
        shapely.prepare(piece.outline)
        for w, s, e, n in ends[shapely.contains_xy(piece.outline, *middles.T)]:
            a, b = np.array([(w, s), (e, n)]) @ frame - corner
            (u, v), way = a / stud, np.abs(b - a)
            if min(way) > 0.002 and abs(way[0] - way[1]) < 0.002:
                half = min(off(u - v), off(u + v))
            else:
                half = off((v if way[1] < way[0] else u) - 0.5)
            if half * stud > 0.002 or (min(way) > 0.002 and abs(way[0] - way[1]) >= 0.002):
                wrong += float(np.hypot(*way))
    return wrong


def off(value: float) -> float:
    """Distance to the nearest whole number."""
    return float(abs(value - round(value)))
