"""Pipes and manifolds on the plan.

The flow half of a circuit is solid, its return half dashed: told apart by line as well as by colour.
The halves meet half-way along the pipe, where the water turns back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight
from ufh_core.circuits.types import Manifold
from ufh_core.documents.lettering import text_width
from ufh_core.documents.pen import PAPER, Pen, united
from ufh_core.documents.storey_view import StoreyView

Pieces = tuple[Straight | Arc, ...]
# Two shades for each half, in turn from circuit to circuit, so that neighbours can be told apart.
FLOW_SHADES = ((190, 74, 8), (222, 120, 24))
RETURN_SHADES = ((0, 92, 128), (38, 128, 158))
ARROW_EVERY_MM = 45.0
ARROW_LEAST_RUN_MM = 5.0
ARROW_MM = 2.0
TURN_MM = 0.7
CABINET = (206, 196, 170)
PORT_TEXT_MM = 1.8
LEAST_SLEEVE_M = 0.03  # shorter stretches only touch a wall's corner


def halves(axis: PipeAxis) -> tuple[Pieces, Pieces]:
    """The pieces of the first and the second half of `axis` by length."""
    return parted(axis, axis.length_m / 2)


def parted(axis: PipeAxis, middle: float) -> tuple[Pieces, Pieces]:
    """The pieces of `axis` up to a way along it [m], and from there on."""
    before = 0.0
    first: list[Straight | Arc] = []
    second: list[Straight | Arc] = []
    for piece in axis.pieces:
        after = before + piece.length_m
        if after <= middle + 1e-9:
            first.append(piece)
        elif before >= middle - 1e-9:
            second.append(piece)
        else:
            near, far = _cut(piece, (middle - before) / piece.length_m)
            first.append(near)
            second.append(far)
        before = after
    return tuple(first), tuple(second)


def draw_pipes(pen: Pen, view: StoreyView) -> None:
    """Draw every circuit of the storey."""
    for k, circuit in enumerate(view.result.circuits):
        if not circuit.laid.axis.pieces:
            continue
        flow, back = halves(circuit.laid.axis)
        pen.axis(back, "PIPE-RETURN", colour=RETURN_SHADES[k % 2])
        pen.axis(flow, "PIPE-FLOW", colour=FLOW_SHADES[k % 2])
        if back:
            draw_turn_mark(pen, back[0].start)


def draw_attempts(pen: Pen, view: StoreyView) -> None:
    """Draw the best attempts at rooms that could not be laid: thin, grey and dashed, not to be taken for a pipe."""
    for failed in view.result.failed:
        if failed.best_attempt is not None:
            pen.axis(failed.best_attempt.pieces, "NOT-TO-LAY")


def draw_turn_mark(pen: Pen, at: Point) -> None:
    """The mark where the flow half ends and the return half begins."""
    pen.circle(at, TURN_MM, "PIPE-RETURN", linetype="CONTINUOUS", weight_mm=0.25)


def arrows(pen: Pen, axis: PipeAxis) -> list[tuple[Point, float, bool]]:
    """Where arrows stand, which way they point [rad], and whether in the flow half.

    One in the middle of a straight every `ARROW_EVERY_MM` on paper; at least one in each half.
    """
    found: list[tuple[Point, float, bool]] = []
    for half, is_flow in zip(halves(axis), (True, False), strict=True):
        straights = [piece for piece in half if isinstance(piece, Straight)]
        mine: list[Straight] = []
        since = pen.mm(ARROW_EVERY_MM) * 0.8
        for piece in half:
            since += piece.length_m
            if not isinstance(piece, Straight) or piece.length_m < pen.mm(ARROW_LEAST_RUN_MM):
                continue
            if since >= pen.mm(ARROW_EVERY_MM):
                mine.append(piece)
                since = piece.length_m / 2
        if not mine and straights:
            mine = [max(straights, key=lambda piece: piece.length_m)]
        found += [(_middle(piece), _direction(piece), is_flow) for piece in mine]
    return found


def draw_arrow(pen: Pen, at: Point, angle: float, *, is_flow: bool) -> None:
    """An arrowhead on the pipe: filled in the flow half, open in the return half."""
    long, half = pen.mm(ARROW_MM), pen.mm(ARROW_MM) * 0.28
    local = np.array([(long / 2, 0.0), (-long / 2, half), (-long / 2, -half)])
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    head = Polygon(local @ turn + np.array(at))
    pen.fill(head, "PIPE-FLOW" if is_flow else "PIPE-RETURN", FLOW_SHADES[0] if is_flow else PAPER)
    pen.outline(head, "PIPE-FLOW" if is_flow else "PIPE-RETURN", linetype="CONTINUOUS", weight_mm=0.18)


def draw_manifold(pen: Pen, manifold: Manifold) -> None:
    """Cabinet, service space, mixing station and the ports' ticks."""
    pen.outline(manifold.service_space, "MANIFOLD", linetype="SHORT_DASH", weight_mm=0.13)
    pen.fill(manifold.cabinet, "MANIFOLD", CABINET)
    pen.outline(manifold.cabinet, "MANIFOLD")
    station = _station(manifold)
    if station is not None:
        pen.outline(station, "MANIFOLD", weight_mm=0.18)
        corners = list(station.exterior.coords)
        pen.line([corners[0], corners[2]], "MANIFOLD", weight_mm=0.18)
        pen.line([corners[1], corners[3]], "MANIFOLD", weight_mm=0.18)


def port_numbers(pen: Pen, manifold: Manifold) -> list[tuple[str, Point, float]]:
    """Text, middle [m] and direction [rad] of the port numbers behind the cabinet.

    Where ports stand too close on paper for a number each, as many have theirs as fit, first and last for sure.
    """
    right = (-manifold.normal[1], manifold.normal[0])
    ports = sorted(manifold.ports, key=lambda port: port.flow[0] * right[0] + port.flow[1] * right[1])
    middles = [((p.flow[0] + p.return_[0]) / 2, (p.flow[1] + p.return_[1]) / 2) for p in ports]
    numbered = _apart(middles, pen.mm(PORT_TEXT_MM * 1.2))
    ports, middles = [ports[k] for k in numbered], [middles[k] for k in numbered]
    nx, ny = manifold.normal
    along = math.atan2(-ny, -nx)
    angle = along if -math.pi / 2 < along <= math.pi / 2 + 1e-9 else along - math.pi
    placed = []
    for port, middle in zip(ports, middles, strict=True):
        text = str(port.number)
        depth = (middle[0] - manifold.position[0]) * nx + (middle[1] - manifold.position[1]) * ny
        back = depth + pen.mm(0.8) + pen.mm(text_width(text, PORT_TEXT_MM)) / 2
        placed.append((text, (middle[0] - back * nx, middle[1] - back * ny), angle))
    return placed


def _apart(middles: Sequence[Point], least: float) -> list[int]:
    """Numbers of the first, the last, and those between that are `least` [m] from each other, evenly counted."""
    last = len(middles) - 1
    if last < 1:
        return list(range(len(middles)))
    mean = math.dist(middles[0], middles[last]) / last
    every = max(1, math.ceil(least / max(mean, 1e-9) - 1e-6))
    inner = [k for k in range(every, last, every) if math.dist(middles[k], middles[last]) >= least]
    kept = [0]
    for k in inner:
        if math.dist(middles[k], middles[kept[-1]]) >= least:
            kept.append(k)
    return [*kept, last]


def sleeve_spots(view: StoreyView) -> list[LineString]:
    """Where pipes go through walls off all doors and openings: the stretches of their axes within walls [m]."""
    laid = [circuit.laid for circuit in view.result.circuits if circuit.laid.sleeves and circuit.laid.axis.pieces]
    if not laid:
        return []
    ways = united([o.outline for o in view.storey.openings] + [p.outline for p in view.storey.passages])
    solid = united([wall.outline for wall in view.storey.walls]).difference(ways)
    found = [shapely.get_parts(circuit.axis.line().intersection(solid)) for circuit in laid]
    return [part for parts in found for part in parts if part.length > LEAST_SLEEVE_M]


def draw_sleeves(pen: Pen, view: StoreyView) -> None:
    """A box round every stretch of pipe within a wall."""
    for stretch in sleeve_spots(view):
        pen.outline(stretch.buffer(pen.mm(0.8), cap_style="flat"), "MANIFOLD", weight_mm=0.25)


def _station(manifold: Manifold) -> Polygon | None:
    """The end of the cabinet that the mixing station fills, in plan."""
    nx, ny = manifold.normal
    along = np.array((ny, -nx)) * (1.0 if manifold.station_side == "left" else -1.0)
    ends = [
        float(np.subtract(p, manifold.position) @ along) for port in manifold.ports for p in (port.flow, port.return_)
    ]
    inner, outer = (max(ends) + 0.04 if ends else -manifold.width_m / 2), manifold.width_m / 2
    if outer - inner < 0.08:
        return None
    base, out = np.array(manifold.position), np.array((nx, ny)) * manifold.depth_m
    rows = [base + along * inner, base + along * outer, base + along * outer + out, base + along * inner + out]
    return Polygon(rows)


def _cut(piece: Straight | Arc, share: float) -> tuple[Straight | Arc, Straight | Arc]:
    """`piece` in two at `share` of its length."""
    if isinstance(piece, Straight):
        at = _between(piece.start, piece.end, share)
        return Straight(piece.start, at), Straight(at, piece.end)
    at = _on_arc(piece, share)
    near = Arc(piece.start, _on_arc(piece, share / 2), at, piece.centre, piece.sweep * share)
    far = Arc(at, _on_arc(piece, (1 + share) / 2), piece.end, piece.centre, piece.sweep * (1 - share))
    return near, far


def _on_arc(arc: Arc, share: float) -> Point:
    first = math.atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    angle = first + arc.sweep * share
    return (arc.centre[0] + arc.radius_m * math.cos(angle), arc.centre[1] + arc.radius_m * math.sin(angle))


def _between(a: Sequence[float], b: Sequence[float], share: float) -> Point:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def _middle(piece: Straight) -> Point:
    return _between(piece.start, piece.end, 0.5)


def _direction(piece: Straight) -> float:
    return math.atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0])
