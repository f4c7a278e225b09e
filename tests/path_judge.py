"""A judge of one room: from the finished path and the room as it is built, nothing else.

It takes the corners of the pipe and its bend radius, the outline, what stands in the room and its door,
draws the true axis and measures on points of its own: hard rules, then the figures by which layouts are
compared. It shares no code with the layout and asks nothing of it.

*Reachable floor* is defined here: a place where a turn of the pipe fits. A turn is as wide as two least
radii, or as the least distance of two runs, and a stud wider still, because the grid lies where it lies;
a disc of that width must fit inside the wall clearance, and must be able to roll there from the door.
Floor within half a pitch of such a place can be warmed. The outermost
0.1 m are not looked at (an edge strip and a skirting stand there; common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import field_checks
import numpy as np
import shapely
from numpy.typing import NDArray
from room_cases import CLEARANCE, RADIUS, STUD, TAILS, WALL, RoomCase
from scipy import ndimage
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Point, Polygon

Floats = NDArray[np.float64]
Corners = tuple[tuple[float, float], ...]

PIPE_RADIUS, LONGEST = 0.008, 100.0
CLEARANCE_SLACK = 0.005
JAMB, BESIDE_DOOR = 0.03, 0.3
"""Clearance between jambs, and how far round a door it stands instead of the clearance of walls [m]."""
REACH, SEPARATION, OPENING = 0.75, 0.75, 0.6
"""Pitches that a pipe warms; least pitches between runs; run in which a pair opens out to the pitch [m]."""
PAIR = 0.08
"""Pipes nearer than that are a pair of tails: their spacing, and the mitre where both turn [m]."""
INSET, SAMPLE, ALONG = 0.1, 0.03, 0.01
ON_GRID, FROM_OTHER_GRID = 0.002, 1.5
"""How near to the grid is on it, and how far from its ends a pipe may be off it [m]."""
BLUR, BLUR_CUT = 0.7, 2.0


@dataclass(frozen=True)
class Verdict:
    """Broken hard rules in words, figures by name, and the places left cold [m]."""

    breaks: tuple[str, ...]
    figures: dict[str, float]
    cold: Floats


class Room:
    """What the judge makes of a room before it sees a pipe."""

    def __init__(self, case: RoomCase):
        self.case, self.floor = case, case.floor
        self.clear = self.floor.buffer(-CLEARANCE)
        doorway = case.door.ground(WALL, 1e-3)
        near = doorway.buffer(BESIDE_DOOR)
        self.doorway = doorway
        ways = self.floor.union(case.door.ground(WALL + 0.3, 1e-3))
        self.body = ways.buffer(5e-4 - PIPE_RADIUS)
        self.axis = self.clear.union(ways.buffer(-JAMB).intersection(near)).buffer(CLEARANCE_SLACK)
        self.turn_m = max(2 * RADIUS, SEPARATION * case.pitch_m) + (STUD if case.on_studs else 0.0)

    @cached_property
    def reachable(self) -> shapely.Geometry:
        """The floor that a pipe can warm (see the top)."""
        radius, front = self.turn_m / 2, self.case.door.ground(0, 0.5)
        rolled = [p.buffer(radius) for p in shapely.get_parts(self.clear.buffer(-radius)) if p.area > 0]
        places = [p for p in rolled if p.intersects(front)]
        return shapely.union_all(places).buffer(0.5 * self.case.pitch_m).intersection(self.floor)

    @cached_property
    def samples(self) -> Floats:
        """Points (n, 2) of the reachable floor, the edge of the floor left out where that leaves something."""
        inner = self.reachable.intersection(self.floor.buffer(-INSET))
        return grid_points(self.reachable if inner.is_empty else inner, SAMPLE)


def grid_points(area: shapely.Geometry, step: float) -> Floats:
    """Points (n, 2) of a square grid inside an area."""
    if area.is_empty:
        return np.zeros((0, 2))
    x0, y0, x1, y1 = area.bounds
    x, y = np.meshgrid(np.arange(x0 + step / 2, x1, step), np.arange(y0 + step / 2, y1, step))
    shapely.prepare(area)
    inside = shapely.contains_xy(area, x, y)
    return np.column_stack([x[inside], y[inside]])


def judge(case: RoomCase, corners: Corners, heated: Polygon | None = None, radius: float = RADIUS) -> Verdict:
    """What is wrong with a path in a room, and its figures; `heated` is the floor it is said to heat."""
    room = Room(case)
    bend = smallest_radius(corners, radius)
    line = field_checks.drawn(corners, radius)
    if line is None:
        line = LineString(corners)
    runs, xy = along(line, ALONG)
    tree = cKDTree(xy)
    apart, tails = separations(case, runs[::2], xy[::2])
    breaks = [
        *_bends(bend, radius, corners),
        *_shape(line),
        *_place(room, line),
        *_apart(case, apart, tails),
        *_ends(room, corners),
        *_studs(room, corners),
        *([f"{line.length:.1f} m long"] if line.length > LONGEST else []),
        *(_claims(case, heated, tree) if heated is not None else []),
    ]
    figures, cold = measured(room, corners, line, xy, tree)
    figures |= {"radius_mm": 1000 * bend, "separation": apart / case.pitch_m}
    return Verdict(tuple(breaks), figures, cold)


def along(line: LineString, step: float) -> tuple[Floats, Floats]:
    """(runs (n,) [m], points (n, 2)) every `step` along a line."""
    runs = np.append(np.arange(0, line.length, step), line.length)
    points = np.array(line.coords)
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return runs, np.column_stack([np.interp(runs, at, c) for c in points.T])


# --- hard rules ---------------------------------------------------------------------------------------


def smallest_radius(corners: Corners, radius: float) -> float:
    """The smallest bend that the legs leave room for, `radius` at most [m]."""
    ways = np.diff(np.array(corners), axis=0)
    legs, angles = np.hypot(*ways.T), np.arctan2(ways[:, 1], ways[:, 0])
    turns = np.abs((np.diff(angles) + math.pi) % (2 * math.pi) - math.pi)
    tangents = np.concatenate([[0.0], radius * np.tan(np.minimum(turns, 3.1) / 2), [0.0]])
    needed = tangents[:-1] + tangents[1:]
    share = np.where(needed > 1e-9, legs / np.maximum(needed, 1e-9), 1.0)
    return float(radius * min(1.0, share.min()))


def _bends(bend: float, radius: float, corners: Corners) -> list[str]:
    found = [f"bend of {1000 * bend:.0f} mm"] if bend < radius - 1e-5 else []
    return found + (["bend of less than the least radius"] if radius < RADIUS - 1e-6 and len(corners) > 2 else [])


def _shape(line: LineString) -> list[str]:
    return [] if line.is_simple else ["crossing: the pipe meets itself"]


def _place(room: Room, line: LineString) -> list[str]:
    out = line.difference(room.body).length
    near = line.difference(room.axis).difference(room.case.door.ground(WALL + 0.3, 0.0)).length
    found = [f"outside: {1000 * out:.0f} mm of pipe"] if out > 1e-3 else []
    return found + ([f"clearance: {1000 * near:.1f} mm nearer than allowed"] if near > 1e-3 else [])


def separations(case: RoomCase, runs: Floats, xy: Floats) -> tuple[float, float]:
    """(least distance between runs of the field, least distance where the pair comes in) [m].

    The pair is what both ends have in common, and 0.6 m more in which it opens out; places of the pair are
    only let off against the other pipe of the pair.
    """
    first, other, away = _two_runs(runs, xy, case.pitch_m)
    start, end = (run + OPENING for run in pair_runs(runs, xy))
    low, high = np.minimum(runs[first], runs[other]), np.maximum(runs[first], runs[other])
    pair = (low < start) & (high > runs[-1] - end)
    return float(away[~pair].min(initial=1.2 * case.pitch_m)), float(away[pair].min(initial=1.0))


def pair_runs(runs: Floats, xy: Floats) -> tuple[float, float]:
    """How far from its start, and from its end, a pipe stays within `PAIR` of its other half [m]."""
    half = len(runs) // 2
    found = []
    for mine, others in ((xy[:half], xy[half:]), (xy[half:][::-1], xy[:half])):
        leaves = np.nonzero(cKDTree(others).query(mine)[0] > PAIR)[0]
        found.append(float(runs[leaves[0] if len(leaves) else half]))
    return found[0], found[1]


def least_distance(runs: Floats, xy: Floats, pitch: float) -> float:
    """Least distance between two runs of a pipe, 1.2 pitches at most [m]."""
    return float(_two_runs(runs, xy, pitch)[2].min(initial=1.2 * pitch))


def paired(runs: Floats, xy: Floats, pitch: float) -> Floats:
    """The runs [m], in order, at which a pipe lies within `PAIR` of another run of its own."""
    one, other, apart = _two_runs(runs, xy, pitch)
    close = apart <= PAIR
    return np.unique(runs[np.concatenate([one[close], other[close]])])


def _two_runs(runs: Floats, xy: Floats, pitch: float) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats]:
    """(places, other places, distances [m]) that lie on two runs and are near to each other.

    Two places are on two runs where the pipe between them is longer than a turn.
    """
    turn = max(2.5 * SEPARATION * pitch, 2 * math.pi * RADIUS)
    pairs = cKDTree(xy).query_pairs(1.2 * pitch, output_type="ndarray")
    pairs = pairs[np.abs(runs[pairs[:, 0]] - runs[pairs[:, 1]]) > turn]
    return pairs[:, 0], pairs[:, 1], np.hypot(*(xy[pairs[:, 0]] - xy[pairs[:, 1]]).T)


def _apart(case: RoomCase, apart: float, tails: float) -> list[str]:
    found = []
    if apart < SEPARATION * case.pitch_m - 2e-3:
        found.append(f"separation: runs {1000 * apart:.0f} mm apart")
    return found + ([f"tails: {1000 * tails:.0f} mm apart"] if tails < TAILS - 1e-3 else [])


def _ends(room: Room, corners: Corners) -> list[str]:
    ends = [Point(corners[0]), Point(corners[-1])]
    found = [] if all(room.doorway.contains(p) for p in ends) else ["ends: not both in the door"]
    if abs(ends[0].distance(ends[1]) - TAILS) > 1e-3:
        found.append(f"ends: {1000 * ends[0].distance(ends[1]):.0f} mm apart")
    ways = [np.subtract(*legs[::-1]) for legs in (corners[:2], corners[:-3:-1])]
    if any(way @ np.array(room.case.door.inward) <= 0 for way in ways):
        found.append("ends: not into the room")
    return found


def _studs(room: Room, corners: Corners) -> list[str]:
    """Pipe between the studs, away from the ends, where it may still come from another room's grid."""
    if not room.case.on_studs:
        return []
    legs, good = grid_legs(corners)
    away = _away_from_ends(legs, FROM_OTHER_GRID)
    off = float(legs[~good & away].sum())
    return [f"studs: {off:.2f} m not on the grid"] if off > 1e-3 else []


def _claims(case: RoomCase, heated: Polygon, tree: cKDTree) -> list[str]:
    """Floor that is said to be heated and is not."""
    found = [] if heated.geom_type == "Polygon" and heated.is_valid else ["claim: heated floor is no polygon"]
    if heated.difference(case.floor.buffer(1e-6)).area > 1e-5:
        found.append("claim: heats beyond the floor")
    inner = heated.buffer(-INSET)
    points = grid_points(heated if inner.is_empty else inner, SAMPLE)
    share = float((tree.query(points)[0] <= REACH * case.pitch_m + 1e-3).mean()) if len(points) else 1.0
    return found + ([f"claim: {share:.3f} of the floor called heated is near a pipe"] if share < 0.97 else [])


# --- figures ------------------------------------------------------------------------------------------


def measured(
    room: Room, corners: Corners, line: LineString, xy: Floats, tree: cKDTree
) -> tuple[dict[str, float], Floats]:
    """(figures by name, cold places (n, 2))."""
    pitch, samples = room.case.pitch_m, room.samples
    away = tree.query(samples)[0] if len(samples) else np.zeros(0)
    whole = grid_points(room.floor, SAMPLE)
    warm = tree.query(whole)[0] <= REACH * pitch
    area = float(warm.mean()) * room.floor.area
    inside = float(line.intersection(room.floor).length)
    cold = samples[away > REACH * pitch + 5e-4]
    figures = {
        "covered": 1 - len(cold) / len(samples) if len(samples) else math.nan,
        "greatest": float(away.max() / pitch) if len(samples) else math.nan,
        "length": inside * pitch / area if area else math.nan,
        "on_grid": on_grid(corners) if room.case.on_studs else math.nan,
        "bends": turned(corners) / line.length,
        "least_bends": least_turned(room.floor, line.length) / line.length,
        "uneven": unevenness(xy, samples[away <= 2 * REACH * pitch], pitch),
        "reachable": room.reachable.area / room.floor.area,
    }
    return figures, cold


def turned(corners: Corners) -> float:
    """The turning of a path in right angles."""
    return sum(field_checks._turn(*corners[k - 1 : k + 2]) for k in range(1, len(corners) - 1)) / (math.pi / 2)


def least_turned(floor: Polygon, length: float) -> float:
    """What any pipe of a length turns at least inside a floor, in right angles.

    A closed curve of length L inside a circle of radius r has a total curvature of L / r at least (I. Fary, 1950,
    from memory). A pipe is closed at its door by two right angles at most.
    """
    radius = float(shapely.minimum_bounding_radius(floor))
    return max(0.0, length / radius / (math.pi / 2) - 2)


def on_grid(corners: Corners) -> float:
    """Share of the length that lies on one stud grid, but for the ends, where the pair opens out."""
    legs, good = grid_legs(corners)
    away = _away_from_ends(legs, OPENING)
    return float(legs[good & away].sum() / legs[away].sum()) if away.any() else 1.0


def _away_from_ends(legs: Floats, distance: float) -> NDArray[np.bool_]:
    """Legs of which some part is farther than that along the pipe from both ends."""
    run = np.concatenate([[0.0], np.cumsum(legs)])
    away: NDArray[np.bool_] = (run[1:] > distance) & (run[:-1] < run[-1] - distance)
    return away


def grid_legs(corners: Corners) -> tuple[Floats, NDArray[np.bool_]]:
    """(lengths of the legs [m], whether they lie on lines of one stud grid, its axes or its diagonals).

    The grid lies where it suits best, since panels are laid room by room: its angle is that of the longest
    ways of the pipe, its phase the one on which most corners lie. The ends come from another room.
    """
    points = np.array(corners)
    ways = np.diff(points, axis=0)
    legs, angles = np.hypot(*ways.T), np.arctan2(ways[:, 1], ways[:, 0])
    frame = _frame(legs, angles)
    turn = np.array([[math.cos(frame), math.sin(frame)], [-math.sin(frame), math.cos(frame)]])
    studs = points @ turn.T / STUD
    u, v = (c - _phase(c) for c in studs.T)
    kinds = np.rint((angles - frame) / (math.pi / 4)).astype(int) % 4
    beside = np.array([v, (v - u), u, (u + v)])  # what stays the same along a leg of each kind
    off = np.abs((beside + 0.5) % 1 - 0.5) * STUD
    each = np.arange(len(legs))
    good = np.maximum(off[kinds, each], off[kinds, each + 1]) <= ON_GRID
    return legs, good & (np.abs(beside[kinds, each + 1] - beside[kinds, each]) * STUD <= ON_GRID)


def _frame(legs: Floats, angles: Floats) -> float:
    """The angle modulo 90 degrees along which most of the length runs [rad]."""
    folded = angles % (math.pi / 2)
    order = np.argsort(folded)
    folded, weights = folded[order], legs[order]
    spread = np.abs((folded[:, None] - folded + math.pi / 4) % (math.pi / 2) - math.pi / 4)
    best = int(np.argmax((spread < math.radians(0.2)) @ weights))
    return float(folded[best])


def _phase(coordinates: Floats) -> float:
    """The grid phase on which most coordinates [studs] lie."""
    inner = coordinates[1:-1] if len(coordinates) > 2 else coordinates
    apart = np.abs((inner[:, None] - inner + 0.5) % 1 - 0.5)
    return float(inner[int(np.argmax((apart < ON_GRID / STUD).sum(axis=0)))])


def unevenness(xy: Floats, samples: Floats, pitch: float) -> float:
    """Standard deviation of the local water temperature over the floor, in parts of the drop.

    The local temperature is the mean of the pipe round a place, weighted by a bell 0.7 pitches wide (cut
    at two), since screed evens out what is nearer.
    """
    if not len(samples):
        return math.nan
    low = np.minimum(xy.min(axis=0), samples.min(axis=0)) - SAMPLE
    shape = np.ceil((np.maximum(xy.max(axis=0), samples.max(axis=0)) - low) / SAMPLE).astype(int) + 2
    cells, heat, pipe = ((xy - low) / SAMPLE).astype(int), np.zeros(shape), np.zeros(shape)
    np.add.at(heat, tuple(cells.T), np.linspace(1, 0, len(xy)))
    np.add.at(pipe, tuple(cells.T), 1.0)
    blur = {"sigma": BLUR * pitch / SAMPLE, "truncate": BLUR_CUT / BLUR, "mode": "constant"}
    heat, pipe = ndimage.gaussian_filter(heat, **blur), ndimage.gaussian_filter(pipe, **blur)
    at = tuple(((samples - low) / SAMPLE).astype(int).T)
    near = pipe[at] > 1e-9
    return float(np.std(heat[at][near] / pipe[at][near])) if near.any() else math.nan
