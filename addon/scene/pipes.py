"""Circuits as round curves of the pipe's true diameter at its true height, a flow half and a return half each.

The halves meet half-way along the pipe, where the water turns back, as on the plan. The return half wears rings, so
that it is told from the flow half by its shape too; rings are a sign, not a part.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import bpy
import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.design_result import CircuitDesign, Design, StoreyDesign
from ufh_core.exchange.pipe_run import PipeRun, circuit_run

from . import names
from .looks import dressed
from .objects import placed

Points = NDArray[np.float64]

CHORD_RAD = np.radians(9)
CHORD_ERROR_M = 0.001
WAY, WAY_THIN = "way", 0.3
"""Kind of the curve by which a circuit's way is drawn, and its thickness in pipes."""
RING_EVERY_M, RING_LONG_M, RING_STEP_M, RING_WIDER = 0.30, 0.05, 0.001, 1.6


def show_pipes(
    parts: Mapping[str, bpy.types.Collection], design: Design, storey: StoreyDesign, project_guid: str
) -> None:
    """Every circuit of a storey, its halves in the parts `flow` and `return`."""
    labels = {room.ifc_guid: room.label for s in design.building.storeys for room in s.rooms}
    radius = design.settings.pipe.outside_diameter_m / 2
    for circuit in storey.circuits:
        if not circuit.laid.axis.pieces:
            continue
        run = circuit_run(design, storey, circuit)
        marks = _marks(circuit, storey, run.length_m, labels, project_guid)
        for key, half in zip(("flow", "return"), halves(run_points(run)), strict=True):
            curve = _curve(f"{circuit.laid.number} {key}", *(ringed(half) if key == "return" else _plain(half)), radius)
            made = placed(parts[key], curve.name, curve, "pipe", {**marks, "ufh_half": key})
            dressed(made, f"{key} pipe")


def run_points(run: PipeRun) -> Points:
    """Points (n, 3) [m] along a pipe: ends of straights; arcs in chords within `CHORD_ERROR_M` of them."""
    straight = np.array([len(piece) == 2 for piece in run.pieces])
    ends = np.array([piece[-1] for piece in run.pieces])
    counts = np.ones(len(run.pieces), dtype=np.int64)
    arcs = np.array([piece for piece in run.pieces if len(piece) == 3]).reshape(-1, 3, 3)
    centres, u, v, sweeps = _circles(arcs)
    steps = np.minimum(CHORD_RAD, 2 * np.arccos(1 - CHORD_ERROR_M / np.maximum(np.linalg.norm(u, axis=1), 0.01)))
    counts[~straight] = np.maximum(2, np.ceil(sweeps / steps))
    points = np.repeat(ends, counts, axis=0)
    number = np.arange(len(points)) - np.repeat(np.cumsum(counts) - counts, counts) + 1
    on_arc = np.repeat(~straight, counts)
    own = np.repeat(np.arange(len(arcs)), counts[~straight])
    angle = (sweeps[own] * number[on_arc] / counts[~straight][own])[:, None]
    points[on_arc] = centres[own] + np.cos(angle) * u[own] + np.sin(angle) * v[own]
    points[np.cumsum(counts) - 1] = ends
    return np.vstack([run.start, points])


def halves(points: Points) -> tuple[Points, Points]:
    """The parts of a pipe before and behind the middle of its way in plan, where it turns back."""
    way = _ways(points[:, :2])
    middle = way[-1] / 2
    turn = np.array([np.interp(middle, way, points[:, k]) for k in range(3)])
    return np.vstack([points[way < middle], turn]), np.vstack([turn, points[way > middle]])


def ringed(points: Points) -> tuple[Points, NDArray[np.float64]]:
    """(points, thickness at each in pipes) of a pipe with rings; its way is the same."""
    way = _ways(points)
    starts = np.arange(RING_EVERY_M / 2, way[-1] - RING_LONG_M - RING_STEP_M, RING_EVERY_M)
    if not len(starts):
        return _plain(points)
    offsets = np.array([-RING_STEP_M, 0.0, RING_LONG_M, RING_LONG_M + RING_STEP_M])
    knots = (starts[:, None] + offsets).ravel()
    thick = np.tile([1.0, RING_WIDER, RING_WIDER, 1.0], len(starts))
    whole = np.union1d(way, knots)
    return np.column_stack([np.interp(whole, way, points[:, k]) for k in range(3)]), np.interp(whole, knots, thick)


def show_way(
    inside: bpy.types.Collection, number: str, corners: Points, height_m: float, radius_m: float
) -> bpy.types.Object:
    """A circuit's way by its corners (n, 2) [m], as a thin curve in front of all else, for a hand to move them."""
    curve = bpy.data.curves.new(names.shown_name(f"way of {number}"), "CURVE")
    curve.dimensions, curve.bevel_depth = "3D", radius_m * WAY_THIN
    spline = curve.splines.new("POLY")
    spline.points.add(len(corners) - 1)
    heights = np.full(len(corners), height_m)
    spline.points.foreach_set("co", np.column_stack([corners, heights, np.ones(len(corners))]).ravel())
    made = placed(inside, curve.name, curve, WAY, {names.NUMBER: number})
    made.show_in_front = True
    return made


def _plain(points: Points) -> tuple[Points, NDArray[np.float64]]:
    return points, np.ones(len(points))


def _curve(name: str, points: Points, thickness: NDArray[np.float64], radius: float) -> bpy.types.Curve:
    """A round curve through points; `radius` [m] is the pipe's."""
    curve = bpy.data.curves.new(names.shown_name(name), "CURVE")
    curve.dimensions, curve.bevel_depth, curve.bevel_resolution, curve.use_fill_caps = "3D", radius, 2, True
    spline = curve.splines.new("POLY")
    spline.points.add(len(points) - 1)
    spline.points.foreach_set("co", np.column_stack([points, np.ones(len(points))]).ravel())
    spline.points.foreach_set("radius", thickness)
    return curve


def _marks(
    circuit: CircuitDesign, storey: StoreyDesign, length_m: float, labels: Mapping[str, str], project_guid: str
) -> dict[str, Any]:
    """What the object of a circuit says of it."""
    laid, flow = circuit.laid, circuit.flow
    return {
        names.GUID: deterministic_guid(project_guid, "IfcPipeSegment", storey.storey, laid.number),
        names.STOREY: storey.storey,
        names.NUMBER: laid.number,
        "ufh_rooms": "; ".join(labels.get(room, room) for room in laid.rooms),
        "ufh_length_m": length_m,
        "ufh_mass_flow_kg_s": flow.mass_flow,
        "ufh_volume_flow_l_min": flow.volume_flow * 60000,
        "ufh_pressure_drop_pa": flow.pressure_drop_pa,
        "ufh_flow_c": circuit.flow_c,
        "ufh_return_c": circuit.return_c,
        "ufh_valve_setting": circuit.valve_setting,
    }


def _ways(points: Points) -> NDArray[np.float64]:
    """The way to each point along all before it [m]."""
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def _circles(arcs: Points) -> tuple[Points, Points, Points, NDArray[np.float64]]:
    """(centres, radius vectors to the starts, the same a quarter on, sweeps [rad]) of arcs through three points.

    Source: circumcentre of a triangle in space by its edge vectors.
    """
    start, middle, end = arcs[:, 0], arcs[:, 1], arcs[:, 2]
    a, b = start - end, middle - end
    normal = np.cross(a, b)
    twice = 2 * np.sum(normal**2, axis=1, keepdims=True)
    tall = np.sum(a**2, axis=1, keepdims=True) * b - np.sum(b**2, axis=1, keepdims=True) * a
    centres = end + np.cross(tall, normal) / twice
    u = start - centres
    v = np.cross(normal / np.linalg.norm(normal, axis=1, keepdims=True), u)
    last = end - centres
    sweeps = np.arctan2(np.sum(last * v, axis=1), np.sum(last * u, axis=1)) % (2 * np.pi)
    return centres, u, v, sweeps
