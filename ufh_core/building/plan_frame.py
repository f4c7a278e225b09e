"""The local plan frame: main walls along the axes, coordinates near zero, and where north is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.message import Message
from ufh_core.building.bodies import Body

QUARTER = math.pi / 2
BIN = math.radians(0.2)
NEAR_ZERO = 200.0  # a model this close to the world's origin keeps it [m]


def local_frame(bodies: Sequence[Body]) -> LocalFrame:
    """The frame in which most of the upright faces' length lies along the axes."""
    angles, weights = _upright_faces(bodies)
    rotation = main_direction(angles, weights)
    points = np.concatenate([b.vertices[:, :2] for b in bodies]) if bodies else np.zeros((1, 2))
    if abs(rotation) < 1e-7:
        rotation = 0.0
    if np.abs(points).max() < NEAR_ZERO:
        return LocalFrame(rotation=rotation)
    turned = LocalFrame(rotation=rotation).to_local(points - points[0])
    corner = LocalFrame(rotation=rotation).to_world(turned.min(axis=0)[None, :])[0] + points[0]
    return LocalFrame(origin=(math.floor(corner[0]), math.floor(corner[1]), 0.0), rotation=rotation)


def main_direction(angles: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    """Weighted main direction [rad], modulo a right angle, in (-45°, 45°]; 0 where there is none.

    The fullest bin of 0.2° (with its neighbours), then the weighted median in it, which is the
    exact direction of the majority.
    """
    if not len(angles) or weights.sum() <= 0:
        return 0.0
    count = round(QUARTER / BIN)
    bins = np.floor(angles % QUARTER / BIN).astype(int) % count
    filled = np.bincount(bins, weights, count)
    centre = (int(np.argmax(filled + np.roll(filled, 1) + np.roll(filled, -1))) + 0.5) * BIN
    offset = (angles - centre + QUARTER / 2) % QUARTER - QUARTER / 2
    near = np.abs(offset) <= 1.5 * BIN
    order = np.argsort(offset[near], kind="stable")
    running = np.cumsum(weights[near][order])
    chosen = offset[near][order][int(np.searchsorted(running, running[-1] / 2))]
    angle = (centre + float(chosen)) % QUARTER
    return angle - QUARTER if angle > QUARTER / 2 + 1e-9 else angle


def _upright_faces(bodies: Sequence[Body]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Directions [rad] of upright faces in plan and their areas [m²]."""
    if not bodies:
        return np.zeros(0), np.zeros(0)
    corners = np.concatenate([b.vertices[b.faces] for b in bodies])
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1)
    upright = (length > 1e-6) & (np.abs(normal[:, 2]) < 0.02 * length)
    normal, length = normal[upright], length[upright]
    return np.arctan2(normal[:, 1], normal[:, 0]), length / 2


def north_angle(model: Any, frame: LocalFrame) -> float | None:
    """Angle [rad] from the local +y axis to true north, anticlockwise; None where the file is silent."""
    for context in model.by_type("IfcGeometricRepresentationContext", include_subtypes=False):
        north = context.TrueNorth
        if north is None or len(north.DirectionRatios) < 2:
            continue
        x, y = north.DirectionRatios[:2]
        if math.hypot(x, y) > 1e-9:
            angle = math.atan2(y, x) - math.pi / 2 - frame.rotation
            return math.atan2(math.sin(angle), math.cos(angle))
    return None


def map_conversion(model: Any) -> tuple[float, ...]:
    """East, north, height, turn [rad] and scale of the model's map conversion, in the file's units; empty for none."""
    try:
        conversions = model.by_type("IfcMapConversion")
    except RuntimeError:  # IFC2X3 has none
        return ()
    if not conversions:
        return ()
    c = conversions[0]
    turn = math.atan2(c.XAxisOrdinate or 0.0, 1.0 if c.XAxisAbscissa is None else c.XAxisAbscissa)
    place = (c.Eastings or 0.0, c.Northings or 0.0, c.OrthogonalHeight or 0.0)
    return (*map(float, place), turn, float(c.Scale or 1.0))


def placing_findings(model: Any, frame: LocalFrame) -> tuple[Finding, ...]:
    """Notes on georeferencing and on coordinates far from zero."""
    notes = []
    if conversion := map_conversion(model):
        turn = math.degrees(conversion[3])
        words = Message(
            "The model is georeferenced (map conversion turned by {turn:.1f}°); the design keeps it unchanged.",
            turn=turn,
        )
        notes.append(Finding(code="building.georeferenced", severity=Severity.NOTE, message=words))
    if max(map(abs, frame.origin)) > 10_000:
        words = Message("The model lies far from its origin; the design keeps the place and works in a local frame.")
        notes.append(Finding(code="building.far-from-origin", severity=Severity.NOTE, message=words))
    return tuple(notes)
