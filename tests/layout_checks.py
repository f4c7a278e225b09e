"""A second opinion on a laid level: from the plan and the drawn pipes alone, with shapely.

It shares no code with the layout and repeats none of its rules' wording: lengths are measured on
points of its own, radii from three points of every arc, clearances against the floor as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import Any

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.ops import substring

PIPE_RADIUS, LEAST_RADIUS, MOST_LENGTH = 0.008, 0.075, 100.0
MARGIN, AT_MANIFOLD, APART = 0.045, 0.3, 0.045
BESIDE_DOOR, OPENING_OUT = 0.3, 0.6
PAIR_APART, TAILS_APART, BESIDE_JOINT, MOST_ALONG, AT_PORTS = 0.2, 0.08, 0.02, 0.4, 1.2
NEAR_TAILS, TAIL_WARMED = 0.3, 0.85
"""Floor so near to a pipe takes its warmth [m]; share of a room that lies so where tails are said to warm it."""
COVERED, REACH, INSET = 0.97, 0.75, 0.1
HAIR = 1e-4
"""Samples in the middle between two runs 1.5 pitches apart are within 0.75 pitch of both, whatever the rounding [m]."""


def faults(storey: Any, layout: Any, heated: Sequence[str], most_ports: int = 12) -> list[str]:
    """All that is wrong with a level as laid, one line each."""
    plan = Plan(storey)
    found = list(room_faults(layout, heated))
    for circuit in layout.circuits:
        found += [f"{circuit.number}: {text}" for text in circuit_faults(circuit, plan)]
    found += pair_faults(layout.circuits)
    found += zone_faults(layout.circuits, plan)
    for manifold in layout.manifolds:
        found += [f"{manifold.name}: {text}" for text in manifold_faults(manifold, layout, plan, most_ports)]
    return found


def joint_faults(layout: Any, joints: Sequence[LineString]) -> Iterator[str]:
    """Circuits whose field a movement joint parts: a pipe that crosses one and is not one of a pair side by side.

    The pair of tails crosses together, as often as its way asks, also where a branch parts one of them for a while,
    and so does the neck of each branch, once; nothing else of a circuit may, but the pipe from one port where a joint
    meets the wall between the two ports of a circuit.
    """
    for circuit in layout.circuits:
        line, pairs = drawn(circuit.axis), 1 + len(circuit.branch_choices)
        tails = tails_of(line)
        for joint in joints:
            every = [p for p in shapely.get_parts(line.intersection(joint)) if isinstance(p, Point)]
            at = [p for p in every if not tails[0] > line.project(p) and not line.length - tails[1] < line.project(p)]
            inner = [p for p in at if AT_PORTS < line.project(p) < line.length - AT_PORTS]
            lone = [p for p in inner if all(q is p or p.distance(q) > PAIR_APART for q in every)]
            if lone or len(at) > 2 * len(circuit.branch_choices):
                yield f"{circuit.number}: {len(at)} pipes cross the joint at {joint.wkt}, {len(lone)} of them alone"
            if line.intersection(joint.buffer(BESIDE_JOINT, cap_style="flat")).length > 2 * MOST_ALONG * pairs:
                yield f"{circuit.number}: runs along the joint at {joint.wkt}"


def tails_of(line: LineString) -> tuple[float, float]:
    """How far from its start, and from its end, a pipe lies beside its other half, or near its ports [m]."""
    runs = np.arange(0.0, line.length / 2, 0.01)
    there = [line.interpolate(run) for run in runs]
    back = [line.interpolate(line.length - run) for run in runs]
    halves = substring(line, 0, line.length / 2), substring(line, line.length / 2, line.length)
    found = []
    for mine, other in ((there, halves[1]), (back, halves[0])):
        away = shapely.distance(np.array(mine), other)
        leaves = np.nonzero((away > TAILS_APART) & (runs > AT_PORTS))[0]
        found.append(float(runs[leaves[0]]) if len(leaves) else line.length / 2)
    return found[0], found[1]


def covered_share(storey: Any, layout: Any, heated: Sequence[str]) -> float:
    """Heated floor as a share of the free floor of the rooms to heat."""
    solid = Plan(storey).solid
    free = sum(r.outline.difference(solid).area for r in storey.rooms if r.ifc_guid in heated)
    return float(sum(f.outline.area for c in layout.circuits for f in c.fields) / free)


class Plan:
    """The floor of a storey: rooms less what stands on it, and the doors between."""

    def __init__(self, storey: Any):
        self.solid = shapely.union_all([o.outline for o in storey.obstacles]) if storey.obstacles else Polygon()
        rooms = shapely.union_all([r.outline for r in storey.rooms])
        closed = rooms.buffer(0.015, join_style="mitre").buffer(-0.015, join_style="mitre")
        self.floor = closed.difference(self.solid)
        self.doors = shapely.union_all([p.outline for p in storey.passages]) if storey.passages else Polygon()
        self.openings = [o.outline for o in storey.openings]
        self.ways = self.floor.union(self.doors.buffer(0.002, join_style="mitre"))
        self.rooms = {r.ifc_guid: r.outline.difference(self.solid) for r in storey.rooms}


# --- one pipe ---------------------------------------------------------------------------------------


def circle(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> tuple[complex, float]:
    """Centre and radius of the circle through three points."""
    x, y, z = complex(*a), complex(*b), complex(*c)
    w = (z - x) / (y - x)
    if abs(w.imag) < 1e-9:
        return complex(math.inf, math.inf), math.inf
    centre = (x - y) * (w - abs(w) ** 2) / (2j * w.imag) - x
    return -centre, abs(x + centre)


def drawn(axis: Any) -> LineString:
    """The pipe in chords of 5 degrees or less."""
    points = [tuple(axis.pieces[0].start)]
    for piece in axis.pieces:
        if hasattr(piece, "middle"):
            for a, b in ((piece.start, piece.middle), (piece.middle, piece.end)):
                points += arc_points(circle(piece.start, piece.middle, piece.end)[0], a, b)
        else:
            points.append(tuple(piece.end))
    return LineString(points)


def arc_points(centre: complex, a: Sequence[float], b: Sequence[float]) -> list[tuple[float, float]]:
    """Points between two points of a circle, the shorter way round."""
    p, q = complex(*a) - centre, complex(*b) - centre
    angle = np.angle(q / p)
    count = max(1, math.ceil(abs(angle) / math.radians(5)))
    between = [centre + p * np.exp(1j * angle * k / count) for k in range(1, count)]
    return [*((z.real, z.imag) for z in between), (float(b[0]), float(b[1]))]


def circuit_faults(circuit: Any, plan: Plan) -> Iterator[str]:
    pieces = circuit.axis.pieces
    gap = max((math.dist(a.end, b.start) for a, b in pairwise(pieces)), default=0.0)
    if gap > 1e-6:
        yield f"a gap of {gap:.6f} m"
    kink = max((turned(a, b) for a, b in pairwise(pieces)), default=0.0)
    if kink > 1.0:
        yield f"a kink of {kink:.0f} degrees"
    radius = min((circle(p.start, p.middle, p.end)[1] for p in pieces if hasattr(p, "middle")), default=1.0)
    if radius < LEAST_RADIUS - 1e-4:
        yield f"bent to {radius:.3f} m"
    line = drawn(circuit.axis)
    if not line.is_simple:
        yield "meets itself"
    if line.length + circuit.riser_length_m > MOST_LENGTH:
        yield f"{line.length + circuit.riser_length_m:.1f} m long"
    core = substring(line, AT_MANIFOLD, line.length - AT_MANIFOLD)
    if (out := core.buffer(PIPE_RADIUS - 0.001).difference(plan.ways).area) > 1e-6:
        yield f"leaves the floor ({1e4 * out:.2f} cm²)"
    near = core.difference(plan.doors.buffer(BESIDE_DOOR)).difference(plan.floor.buffer(-MARGIN))
    if near.length > 1e-3:
        yield f"{near.length:.3f} m nearer than {MARGIN} m to an edge, at {near.representative_point().wkt}"
    yield from own_run_faults(circuit, line, plan)


def tangent(piece: Any, *, at_end: bool) -> complex:
    start, end = complex(*piece.start), complex(*piece.end)
    if not hasattr(piece, "middle"):
        return (end - start) / abs(end - start)
    centre, _ = circle(piece.start, piece.middle, piece.end)
    out = (end if at_end else start) - centre
    way = complex(*piece.middle) - start
    side = 1j if (way.conjugate() * 1j * (start - centre)).real > 0 else -1j
    return side * out / abs(out)


def turned(one: Any, other: Any) -> float:
    """Angle between the end of one piece and the start of the next [degrees]."""
    return abs(math.degrees(float(np.angle(tangent(other, at_end=False) / tangent(one, at_end=True)))))


def own_run_faults(circuit: Any, line: LineString, plan: Plan) -> Iterator[str]:
    """Places of one pipe far apart along it but close in plan."""
    runs = np.arange(AT_MANIFOLD, line.length - AT_MANIFOLD, 0.02)
    xy = shapely.get_coordinates(shapely.line_interpolate_point(line, runs))
    apart = np.full(len(xy), APART)  # half a pitch in each of its fields
    for field in circuit.fields:
        wide = shapely.contains_xy(field.outline.difference(plan.doors.buffer(OPENING_OUT)), xy[:, 0], xy[:, 1])
        apart[wide] = 0.5 * (field.pitch_m or circuit.pitch_m)
    pitch = circuit.pitch_m
    pairs = cKDTree(xy).query_pairs(0.5 * pitch, output_type="ndarray")
    far = pairs[np.abs(runs[pairs[:, 0]] - runs[pairs[:, 1]]) > 3 * pitch]
    gaps = np.hypot(*(xy[far[:, 0]] - xy[far[:, 1]]).T)
    needed = np.minimum(apart[far[:, 0]], apart[far[:, 1]]) - 1e-3
    if (gaps < needed).any():
        worst = int(np.argmin(gaps - needed))
        yield f"own runs {1000 * gaps[worst]:.0f} mm apart at {xy[far[worst, 0]].round(2)}"


# --- circuits together ------------------------------------------------------------------------------


def pair_faults(circuits: Sequence[Any]) -> list[str]:
    lines = {c.number: drawn(c.axis) for c in circuits}
    cores = {n: substring(line, AT_MANIFOLD, line.length - AT_MANIFOLD) for n, line in lines.items()}
    found = []
    for a, b in combinations(lines, 2):
        gap = min(cores[a].distance(lines[b]), cores[b].distance(lines[a]))
        if gap < APART - 1e-3:
            found.append(f"{a} and {b}: {1000 * gap:.0f} mm apart")
    return found


def room_faults(layout: Any, heated: Sequence[str]) -> Iterator[str]:
    laid = {f.room for c in layout.circuits for f in c.fields}
    reported = {f.room: f.reason for f in layout.failed}
    for guid in heated:
        if guid not in laid and not reported.get(guid) and guid not in layout.tail_warmed:
            yield f"room {guid}: neither laid nor reported"
    pipes = [(drawn(c.axis), NEAR_TAILS) for c in layout.circuits]
    for guid in layout.tail_warmed:
        if (share := coverage(layout.level.floors[guid], pipes)) < TAIL_WARMED:
            yield f"room {guid}: said to be warmed by tails, but {100 * share:.0f} % of it lie near a pipe"
    for guid in laid - set(heated):
        yield f"room {guid}: laid though it is not to be heated"
    numbers = [c.number for c in layout.circuits]
    if len(numbers) != len(set(numbers)):
        yield "two circuits have one number"


def zone_faults(circuits: Sequence[Any], plan: Plan) -> Iterator[str]:
    fields = [(c, f) for c in circuits for f in c.fields]
    for (c, one), (d, other) in combinations(fields, 2):
        if (shared := one.outline.intersection(other.outline).area) > 1e-3:
            yield f"fields of {c.number} and {d.number} share {shared:.3f} m²"
    every = [(c, drawn(c.axis)) for c in circuits]
    for circuit, field in fields:
        if field.outline.difference(plan.rooms[field.room].buffer(0.002)).area > 1e-3:
            yield f"field of {circuit.number} leaves the free floor of room {field.room}"
        pitch = field.pitch_m or circuit.pitch_m  # where a circuit has fields of several pitches
        reaches = [(line, REACH * (pitch if c is circuit else c.pitch_m)) for c, line in every]
        share = coverage(field.outline, reaches)
        if share < COVERED:
            yield f"{100 * share:.1f} % of the field of {circuit.number} are near a pipe"


def coverage(area: Polygon | MultiPolygon, pipes: Sequence[tuple[LineString, float]]) -> float:
    """Share of the samples well inside an area that lie within reach of a pipe."""
    inner = area.buffer(-INSET)
    inner = area if inner.is_empty else inner
    left, low, right, high = inner.bounds
    grid = np.meshgrid(np.arange(left, right, 0.04), np.arange(low, high, 0.04))
    x, y = (g.ravel() for g in grid)
    inside = shapely.contains_xy(inner, x, y)
    if not inside.any():
        return 1.0
    warm = shapely.union_all([line.buffer(reach + HAIR) for line, reach in pipes if line.distance(inner) < reach])
    return float(shapely.contains_xy(warm, x[inside], y[inside]).mean()) if not warm.is_empty else 0.0


# --- manifolds --------------------------------------------------------------------------------------


def manifold_faults(manifold: Any, layout: Any, plan: Plan, most_ports: int) -> Iterator[str]:
    mine = {c.port: c for c in layout.circuits if c.manifold == manifold.name}
    if len(manifold.ports) > most_ports:
        yield f"{len(manifold.ports)} ports"
    if [p.number for p in manifold.ports] != sorted(mine):
        yield f"ports {[p.number for p in manifold.ports]} but circuits at {sorted(mine)}"
    for port in manifold.ports:
        axis = mine[port.number].axis if port.number in mine else None
        if axis is not None and max(math.dist(port.flow, axis.start), math.dist(port.return_, axis.end)) > 2e-3:
            yield f"the pipe of port {port.number} does not end at it"
    ends = [p for port in manifold.ports for p in (port.flow, port.return_)]
    if any(math.dist(a, b) < 0.04 for a, b in combinations(ends, 2)):
        yield "two connections in one place"
    if any(not manifold.cabinet.buffer(0.01).covers(Point(p)) for p in ends):
        yield "a connection beside the cabinet"
    right = np.array([-manifold.normal[1], manifold.normal[0]])
    places = [float(np.asarray(p.flow) @ right) for p in manifold.ports]
    if places != sorted(places) and not any(c.kept for c in mine.values()):  # what stays keeps its number
        yield "ports are not in order"
    if manifold.service_space.difference(plan.floor.buffer(0.03)).area > 1e-3:
        yield "the floor in front is not free"
    across = np.array([manifold.normal[1], -manifold.normal[0]]) * manifold.width_m / 2
    back = LineString([np.array(manifold.position) - across, np.array(manifold.position) + across])
    if not manifold.cabinet.buffer(1e-3).covers(back):
        yield "the cabinet is elsewhere"
    step = np.array(manifold.normal) * 0.06
    if not plan.floor.covers(Point(np.array(manifold.position) + step)):
        yield "faces away from its room"
    if plan.floor.covers(Point(np.array(manifold.position) - step)):
        yield "no wall behind it"
    if any(o.distance(back) < 0.01 for o in [plan.doors, *plan.openings] if not o.is_empty):
        yield "stands in front of an opening"
