"""The way of a pipe in space: the plan axis at its height in the floor, with a riser at each end.

A riser stands at the port and turns into the floor in an upright arc of the least bend radius
where rise and first straight leave room for it, in a smaller one where they do not, and in a
corner where even that does not fit (the bend then lies in a bend guide).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ufh_core.basis.pipe_axis import Arc, PipeAxis, Straight
from ufh_core.building.types import Room
from ufh_core.circuits.types import LaidCircuit, Manifold
from ufh_core.design_result import CircuitDesign, Design, StoreyDesign
from ufh_core.settings.types import Settings

Point3 = tuple[float, float, float]
Piece = tuple[Point3, ...]

SHORTEST_M = 1e-6
FLATTEST_M = 2e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeRun:
    """Pieces in the local frame [m]: two points make a straight, three an arc; `length_m` along them [m]."""

    pieces: tuple[Piece, ...]
    length_m: float

    @property
    def start(self) -> Point3:
        """The flow end."""
        return self.pieces[0][0]

    @property
    def end(self) -> Point3:
        """The return end."""
        return self.pieces[-1][-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """World heights of a circuit [m]: the axis in the floor and the two connections at the bars."""

    pipe_m: float
    flow_m: float
    return_m: float


def circuit_levels(design: Design, storey: StoreyDesign, laid: LaidCircuit) -> Levels:
    """Heights of a circuit: the pipe's from the build-up of its rooms, the bars' from the manifold's floor."""
    settings = design.settings.manifold
    manifold = next(m.manifold for m in storey.manifolds if m.manifold.name == laid.manifold)
    floor = manifold_floor(design, storey, manifold)
    return Levels(
        pipe_m=_pipe_height(design, storey, (*laid.rooms, manifold.room)),
        flow_m=floor + settings.flow_bar_height_m,
        return_m=floor + settings.return_bar_height_m,
    )


def manifold_floor(design: Design, storey: StoreyDesign, manifold: Manifold) -> float:
    """World height of the finished floor at a manifold [m]."""
    rooms = {room.ifc_guid: room for s in design.building.storeys for room in s.rooms}
    if manifold.room in rooms:
        return rooms[manifold.room].floor_m
    return next(s.elevation_m for s in design.building.storeys if s.ifc_guid == storey.storey)


def _pipe_height(design: Design, storey: StoreyDesign, rooms: Iterable[str]) -> float:
    """The axis height of the first room with a build-up; without any, the settings' cover below the floor."""
    build_ups = {room.room: room.build_up for room in storey.rooms if room.build_up is not None}
    wanted = [guid for guid in rooms if guid in build_ups] or list(build_ups)
    if wanted:
        return build_ups[wanted[0]].pipe_axis_m
    room: Room = next(r for s in design.building.storeys if s.ifc_guid == storey.storey for r in s.rooms)
    return room.floor_m - _cover(design.settings)


def _cover(settings: Settings) -> float:
    """Finish, screed over the pipe and half the pipe [m]."""
    floor = settings.floor
    return floor.finish_thickness_m + floor.screed_cover_m + settings.pipe.outside_diameter_m / 2


def circuit_run(design: Design, storey: StoreyDesign, circuit: CircuitDesign) -> PipeRun:
    """The pipe of a circuit in space, from the flow bar to the return bar."""
    pipe = design.settings.pipe
    levels = circuit_levels(design, storey, circuit.laid)
    return pipe_run(circuit.laid.axis, levels, pipe.least_bend_radius_m, pipe.outside_diameter_m)


def pipe_run(axis: PipeAxis, levels: Levels, bend_radius_m: float, tightest_m: float) -> PipeRun:
    """The axis at its height with both risers.

    `bend_radius_m` is wanted at the foot of a riser, `tightest_m` the least that is drawn as an arc.
    """
    pieces = list(axis.pieces)
    alone = len(pieces) == 1
    first, pieces = _riser(pieces, levels.flow_m, levels.pipe_m, (bend_radius_m, tightest_m), half=alone)
    turned, pieces = _riser(
        [_reversed(p) for p in reversed(pieces)],
        levels.return_m,
        levels.pipe_m,
        (bend_radius_m, tightest_m),
        half=False,
    )
    floor = [_lifted(_reversed(p), levels.pipe_m) for p in reversed(pieces)]
    last = [tuple(reversed(p)) for p in reversed(turned)]
    kept = tuple(p for p in (*first, *floor, *last) if _piece_length(p) > SHORTEST_M)
    return PipeRun(pieces=kept, length_m=math.fsum(_piece_length(p) for p in kept))


def _riser(
    pieces: list[Straight | Arc], top: float, foot: float, radii: tuple[float, float], *, half: bool
) -> tuple[list[Piece], list[Straight | Arc]]:
    """(riser from the top down, plan pieces that remain behind its bend)."""
    x, y = pieces[0].start
    rise = top - foot
    if rise <= SHORTEST_M:
        return [], pieces
    room = pieces[0].length_m * (0.5 if half else 1.0) if isinstance(pieces[0], Straight) else 0.0
    radius = min(radii[0], room, rise)
    if not isinstance(pieces[0], Straight) or radius < radii[1]:
        return [((x, y, top), (x, y, foot))], pieces
    bend, rest = _foot_bend(pieces[0], foot, radius)
    return [((x, y, top), bend[0]), bend], [rest, *pieces[1:]]


def _foot_bend(straight: Straight, foot: float, radius: float) -> tuple[Piece, Straight]:
    """(upright quarter arc from the riser into the straight, the rest of the straight)."""
    (x, y), (u, v) = straight.start, straight.end
    along = ((u - x) / straight.length_m, (v - y) / straight.length_m)
    side = radius * (1 - math.sqrt(0.5))
    bend = (
        (x, y, foot + radius),
        (x + along[0] * side, y + along[1] * side, foot + side),
        (x + along[0] * radius, y + along[1] * radius, foot),
    )
    return bend, Straight((bend[2][0], bend[2][1]), straight.end)


def _reversed(piece: Straight | Arc) -> Straight | Arc:
    """The piece run the other way."""
    if isinstance(piece, Arc):
        return Arc(piece.end, piece.middle, piece.start, piece.centre, -piece.sweep)
    return Straight(piece.end, piece.start)


def _lifted(piece: Straight | Arc, z: float) -> Piece:
    """The piece at a height; an arc as good as straight becomes a straight."""
    ends = ((*piece.start, z), (*piece.end, z))
    if not isinstance(piece, Arc):
        return ends
    sagitta = piece.radius_m * (1 - math.cos(min(abs(piece.sweep), math.pi) / 2))
    return ends if sagitta < FLATTEST_M else (ends[0], (*piece.middle, z), ends[1])


def _piece_length(piece: Piece) -> float:
    """Length of a straight or of an arc through three points [m].

    Source: circumscribed circle of a triangle, R = a b c / (4 A); inscribed angle.
    """
    if len(piece) == 2:
        return math.dist(*piece)
    start, middle, end = piece
    a, b, c = math.dist(start, middle), math.dist(middle, end), math.dist(start, end)
    half = (a + b + c) / 2
    area = math.sqrt(max(half * (half - a) * (half - b) * (half - c), 0.0))
    radius = a * b * c / (4 * area)
    return 2 * radius * (math.asin(min(1.0, a / (2 * radius))) + math.asin(min(1.0, b / (2 * radius))))
