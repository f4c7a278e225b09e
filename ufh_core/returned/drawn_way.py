"""A circuit's way as a hand has drawn it, judged by the rules that every circuit keeps, before anything is changed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from ufh_core.basis.errors import UfhError
from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, Straight
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.building.types import Storey
from ufh_core.circuits.rules import free_area, pair_faults
from ufh_core.design_result import Design
from ufh_core.exchange.pipe_run import Piece, circuit_run
from ufh_core.returned.carrying_on import way_row
from ufh_core.returned.changed_fields import Fields, changed_fields
from ufh_core.returned.laid_rows import laid_rows
from ufh_core.returned.own_runs import changed_gap
from ufh_core.returned.plan_way import plan_way
from ufh_core.returned.spine import corners_of, pieces_along
from ufh_core.revision.touched import State, faults_in_state, state_of
from ufh_core.settings.earlier_run import EarlierCircuit, circuits_of
from ufh_core.zones.kept_pipes import KeptPipe, pipe_of
from ufh_core.zones.laid_ways import laid_ways

AT_PORT_M = 0.05
"""An end that lies this near to its port is meant to be on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnWay:
    """A way that may be laid: `row` is what design.json would hold of it (path, fields), `length_m` with its risers."""

    number: str
    axis: PipeAxis
    fields: Fields
    length_m: float
    row: Mapping[str, Any]


class WayRefused(UfhError):
    """A way that breaks a rule, in one line; `at` is where [local frame, m]."""

    def __init__(self, text: str, at: Point) -> None:
        super().__init__(text)
        self.at = at


@dataclass(frozen=True, slots=True)
class _Fault:
    """A rule that is broken, in words, where, and what to do."""

    words: str
    at: Point
    remedy: str


def drawn_way(design: Design, number: str, points: Sequence[Point]) -> DrawnWay:
    """Judge the way of a circuit through corners [m, the design's plan frame], from port to port, either way round.

    Raises: WayRefused with one line: the rule, the place and what to do; UfhError where there is no such circuit.
    """
    storey, circuit, pipes = _circuit(design, number)
    was, settings = pipes[number], design.settings
    points = _from_port_to_port(points, was, circuit, design)
    least = settings.pipe.least_bend_radius_m
    axis = PipeAxis(pieces_along(points, corners_of(was.axis), least))
    way = plan_way([_lying(piece) for piece in axis.pieces], least)
    if way is None or (way.fault and way.fault_at is not None):
        words, at = (way.fault, way.fault_at) if way is not None else ("", None)
        fault = _Fault(words or "it has no length", at or was.axis.start, "move its corners apart or take one out")
    else:
        state = state_of(design.building, settings)
        found = _fault(replace(was, axis=axis), pipes, state)
        if found is None:
            now = {**pipes, number: replace(was, axis=axis)}
            fields = changed_fields(was, now, state.floors)
            turn = plan_to_storey(design.building, storey)
            length = _run_m(design, number, axis)
            return DrawnWay(number=number, axis=axis, fields=fields, length_m=length, row=way_row(axis, fields, turn))
        fault = found
    raise _refused(number, fault, design)


def spine(design: Design, number: str) -> list[Point]:
    """The corners of a circuit's way [m, the design's plan frame], from flow port to return port.

    Raises: UfhError where there is no such circuit.
    """
    _, _, pipes = _circuit(design, number)
    return [point for point, _ in corners_of(pipes[number].axis)]


def _circuit(design: Design, number: str) -> tuple[Storey, EarlierCircuit, dict[str, KeptPipe]]:
    """(storey of a circuit, the circuit, the pipes of its storey by number)."""
    circuits = circuits_of(laid_rows(design), "the design")
    mine = next((c for c in circuits if c.number == number), None)
    if mine is None:
        raise UfhError(f'there is no circuit "{number}" in the design; its circuits are {_listed(circuits)}')
    storey = next(s for s in design.building.storeys if s.ifc_guid == mine.storey)
    beside = [c for c in circuits if c.storey == mine.storey]
    return storey, mine, {c.number: replace(pipe_of(c, storey, design.building), label=c.number) for c in beside}


def _run_m(design: Design, number: str, axis: PipeAxis) -> float:
    """Length of the pipe with its risers [m], as heating.ifc and design.json have it."""
    pairs = ((storey, circuit) for storey in design.storeys for circuit in storey.circuits)
    storey, circuit = next((s, c) for s, c in pairs if c.laid.number == number)
    return circuit_run(design, storey, replace(circuit, laid=replace(circuit.laid, axis=axis))).length_m


def _lying(piece: Straight | Arc) -> Piece:
    """A piece of the plan as one in space."""
    points = (piece.start, piece.middle, piece.end) if isinstance(piece, Arc) else (piece.start, piece.end)
    return tuple((x, y, 0.0) for x, y in points)


def _listed(circuits: Sequence[EarlierCircuit]) -> str:
    return ", ".join(c.number for c in circuits) or "none"


def _from_port_to_port(points: Sequence[Point], was: KeptPipe, circuit: EarlierCircuit, design: Design) -> list[Point]:
    """Corners from flow to return, the ends put on their ports. Raises: WayRefused where one is not near its port."""
    ports = (was.axis.start, was.axis.end)
    there = math.dist(points[0], ports[0]) + math.dist(points[-1], ports[1])
    back = math.dist(points[-1], ports[0]) + math.dist(points[0], ports[1])
    found = list(points if there <= back else points[::-1])
    for end, port in ((found[0], ports[0]), (found[-1], ports[1])):
        if (off := math.dist(end, port)) > AT_PORT_M:
            words = f"an end lies {1000 * off:.0f} mm off its port of manifold {circuit.manifold.name}"
            raise _refused(circuit.number, _Fault(words, end, "begin and end it at the circuit's own ports"), design)
    return [ports[0], *found[1:-1], ports[1]]


def _fault(pipe: KeptPipe, pipes: Mapping[str, KeptPipe], state: State) -> _Fault | None:
    """The first rule that a pipe breaks: by itself, among its own runs, among the others."""
    own = faults_in_state({pipe.label: pipe}, state)[pipe.label]
    if own:
        return _Fault(own, *_place(pipe, state))
    pitch = pipe.pitch_m or 0.0
    near = changed_gap(pipe.axis, pipes[pipe.label].axis.line(), pitch)
    if near is not None:
        words = f"its runs lie {1000 * near[0]:.0f} mm apart, at a pitch of {1000 * pitch:.0f} mm"
        return _Fault(words, near[1], "move that run away from its own pipe")
    others = {n: p.axis for n, p in pipes.items() if n != pipe.label}
    among = pair_faults({**others, pipe.label: pipe.axis}, state.settings)
    if pipe.label not in among:
        return None
    nearest = min(others, key=lambda n: others[n].line().distance(pipe.axis.line()))
    at = shapely.get_coordinates(shapely.shortest_line(pipe.axis.line(), others[nearest].line()))[0]
    words = among[pipe.label].replace("another circuit", f"circuit {nearest}")
    return _Fault(words, (float(at[0]), float(at[1])), "move it away from that pipe")


def _place(pipe: KeptPipe, state: State) -> tuple[Point, str]:
    """(where a pipe by itself breaks a rule, what to do), asked in the order of the rules."""
    line, settings = pipe.axis.line(), state.settings
    if not line.is_simple:
        return _crossing(line), "draw it so that it does not cross itself"
    tight = [
        p for p in pipe.axis.pieces if isinstance(p, Arc) and p.radius_m < settings.pipe.least_bend_radius_m - 1e-4
    ]
    if tight:
        return min(tight, key=lambda p: p.radius_m).middle, "give that corner longer legs"
    for level in state.levels:
        if any(r.ifc_guid == pipe.room for r in level.rooms):
            drilled = laid_ways([line], level, settings) if pipe.sleeves else ()
            free = free_area(replace(level, sleeve_ways=(*level.sleeve_ways, *drilled)), settings)
            outside = shapely.get_parts(line.difference(free))
            if len(outside) and sum(p.length for p in outside) > settings.layout.wall_clearance_m:
                return _middle(max(outside, key=lambda p: p.length)), "move it away from there"
    return _middle(line), "take a shorter way"


def _crossing(line: shapely.LineString) -> Point:
    """Where a line meets itself: an end of its parts that is not its own."""
    parts = shapely.get_parts(shapely.node(line))
    ends = [tuple(p.coords[k]) for p in parts for k in (0, -1)]
    own = {line.coords[0], line.coords[-1]}
    x, y = next((e for e in ends if e not in own), line.coords[0])[:2]
    return float(x), float(y)


def _middle(line: shapely.LineString) -> Point:
    at = line.interpolate(0.5, normalized=True)
    return float(at.x), float(at.y)


def _refused(number: str, fault: _Fault, design: Design) -> WayRefused:
    x, y = design.building.frame.to_world(np.array([fault.at], dtype=float))[0]
    text = f"circuit {number} cannot lie so: {fault.words}, at [{x:.2f}, {y:.2f}]; {fault.remedy}. Nothing was changed"
    return WayRefused(text, fault.at)
