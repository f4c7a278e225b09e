"""The last word on a loop, on its rounded axis and independent of how it was made."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely.geometry import LineString

from ufh_core.basis.areas import along
from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Arc, PipeAxis, Point, lines_of, rounded, sampled
from ufh_core.fields.grid import BEND_SLACK_M
from ufh_core.fields.pair import pair_legs, run_in
from ufh_core.fields.types import FieldRequest

SLACK = 1e-4
OPENING_SHARE = 0.5  # least distance of the first runs of the two pipes, in pitches
STEP_SHARE = 1.42  # pieces nearer along the pipe are those of one step
JOINT_PIECES = 3  # bend, straight and bend after a tail
OPENS_WITHIN_M = 0.6
TURN_SHARE = 2.5  # longest way round one turn, in least distances of runs
SAMPLE_M, SAMPLE_SLACK_M = 0.02, 1e-3
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
CHORD = 4e-4  # arcs drawn in chords of six degrees
REMEMBERED = 500  # loops of which the verdict is kept: a thorough search often ends with the loop of the quick one


@lru_cache(maxsize=REMEMBERED)
def fault(corners: tuple[Point, ...], request: FieldRequest) -> str:
    """What is wrong with a loop, in words; empty when it is legal."""
    axis = rounded(list(corners), request.least_radius_m)
    tightest = min((p.radius_m for p in axis.pieces if isinstance(p, Arc)), default=1.0)
    if tightest < request.least_radius_m - 1e-6:
        return Message("a bend of {radius:.0f} mm", radius=1000 * tightest)
    line = axis.line()
    if not line.is_simple:
        return Message("the pipe meets itself")
    outside = _outside(corners, axis, request)
    if outside > SLACK:
        return Message("{outside:.0f} mm of pipe leave the area", outside=1000 * outside)
    near = _too_near(axis, 2 * (pair_legs(corners) - 1), request)
    if not near:
        near = _too_near_with_bends(line, LineString(run_in(corners)).length, request)
    return Message("runs {apart:.0f} mm apart", apart=1000 * near) if near else ""


def _outside(corners: tuple[Point, ...], axis: PipeAxis, request: FieldRequest) -> float:
    """Length outside the axis area, or at the joint outside the lane area as well [m].

    Bends may cut `BEND_SLACK_M` into the clearance at re-entrant corners.
    """
    count = 1 + pair_legs(corners)
    legs = shapely.union_all([LineString(corners[:count]), LineString(corners[-count:])])
    joint = legs.buffer(request.least_radius_m + SLACK)
    stray = 0.0
    for bends, slack in ((False, SLACK), (True, BEND_SLACK_M + CHORD)):
        pieces = [p for p in axis.pieces if isinstance(p, Arc) == bends]
        lines = shapely.multilinestrings(lines_of(pieces))
        field = lines.difference(request.axis_area.buffer(slack, join_style="mitre"))
        stray += field.difference(joint).length
        beside = along(field, joint)
        if not beside.is_empty:
            stray += beside.difference(request.lane_area.buffer(slack, join_style="mitre")).length
    return float(stray)


def _too_near(axis: PipeAxis, pair: int, request: FieldRequest) -> float:
    """Least distance between two runs that is too small, 0 if there is none [m].

    The pair's own pieces are 0 to `pair`, from either end.
    """
    least = request.separation_m
    number = np.array([n for n, p in enumerate(axis.pieces) if not isinstance(p, Arc)])
    ends = np.array([(axis.pieces[n].start, axis.pieces[n].end) for n in number.tolist()])
    pieces = shapely.linestrings(ends)
    i, j = shapely.STRtree(pieces).query(pieces, predicate="dwithin", distance=least - SLACK)
    i, j = i[i < j], j[i < j]
    run = np.concatenate([[0.0], np.cumsum([p.length_m for p in axis.pieces])])
    step = run[number[j]] - run[number[i] + 1] <= STEP_SHARE * least
    step[step] = ~_side_by_side(ends[i[step]], ends[j[step]], least)
    i, j = i[~step], j[~step]
    gaps = shapely.distance(pieces[i], pieces[j])
    near = gaps[(gaps < _least_at_joint(len(axis.pieces) - 1, pair, number[i], number[j], request)) & (gaps > 0)]
    return float(near.min()) if len(near) else 0.0


def _too_near_with_bends(line: LineString, pair_m: float, request: FieldRequest) -> float:
    """Least distance of two runs that is too small, bends included, 0 if there is none [m].

    Sampled, since a run may meet a bend's inside. Two places are on two runs where the pipe between them is
    longer than a turn. Where the pair runs, and a little on while it opens out, its two pipes may be
    their own spacing apart, but no other run may come that near to them.
    """
    run, places = sampled(shapely.get_coordinates(line), SAMPLE_M)
    tree = cKDTree(places, balanced_tree=False, compact_nodes=False)
    near = tree.query_pairs(request.separation_m - SAMPLE_SLACK_M, output_type="ndarray")
    first, last = run[near[:, 0]], run[near[:, 1]]  # pairs come in order
    turn = max(TURN_SHARE * request.separation_m, 2 * math.pi * request.least_radius_m)
    opened = pair_m + OPENS_WITHIN_M
    near = near[(last - first > turn) & ~((first < opened) & (last > line.length - opened))]
    return float(np.hypot(*(places[near[:, 0]] - places[near[:, 1]]).T).min()) if len(near) else 0.0


def _side_by_side(first: Floats, second: Floats, least: float) -> Bools:
    """Whether two runs joined by a turn-round stay too near beyond it; runs by their ends, (n, 2, 2) [m]."""
    ways = [runs[:, 1] - runs[:, 0] for runs in (first, second)]
    lengths = [np.hypot(*way.T) for way in ways]
    long: Bools = np.minimum(*lengths) > 2 * least
    share = [least / np.maximum(length, least)[:, None] for length in lengths]
    before = np.stack([first[:, 0], first[:, 1] - ways[0] * share[0]], axis=1)
    after = np.stack([second[:, 0] + ways[1] * share[1], second[:, 1]], axis=1)
    beyond: Floats = shapely.distance(shapely.linestrings(before), shapely.linestrings(after))
    return long & (beyond < least - SLACK)


def _least_at_joint(last: int, pair: int, first: Ints, other: Ints, request: FieldRequest) -> Floats:
    """Least distances of pieces by number, 0..last, where the pair opens out; no limit elsewhere [m]."""
    opened = pair + JOINT_PIECES
    beside = ((first <= pair) & (other >= last - opened)) | ((first <= opened) & (other >= last - pair))
    opening = (first <= opened) & (other >= last - opened)
    wide = np.where(opening, OPENING_SHARE * request.pitch_m - SLACK, math.inf)
    return np.where(beside, request.tail_spacing_m - SLACK, wide)
