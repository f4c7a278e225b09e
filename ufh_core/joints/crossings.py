"""Pipes that cross joints: sleeves for tails, a finding where a circuit's field does so.

Source: EN 1264-4: only connecting pipes cross movement joints, in sleeves; 0.3 m on each side, from memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, joined, note
from ufh_core.circuits.types import LaidCircuit
from ufh_core.joints.types import Crossing, Joint

LEAST_FIELD_M2 = 0.25
"""A field is parted by a joint where at least this much of it lies on each side; less is a ragged border [m²]."""


def crossings(circuits: Sequence[LaidCircuit], joints: Sequence[Joint], sleeve_m: float) -> list[Crossing]:
    """Every place where a pipe crosses a joint, circuit by circuit along the pipe; sleeves reach `sleeve_m` [m]."""
    tree = shapely.STRtree([joint.line for joint in joints])
    found = []
    for circuit in circuits:
        if not circuit.axis.pieces:
            continue
        axis = circuit.axis.line()
        own = MultiPolygon() if not circuit.fields else shapely.union_all([f.outline for f in circuit.fields])
        for k in sorted(int(k) for k in tree.query(axis, predicate="intersects")):
            parted = _is_parted(own, joints[k].line)
            for at in _places(axis, joints[k].line):
                point = axis.interpolate(at)
                found.append(
                    Crossing(
                        circuit=circuit.number,
                        joint=k,
                        at=(float(point.x), float(point.y)),
                        in_field=parted and bool(own.covers(point)),
                        sleeve=substring(axis, max(0.0, at - sleeve_m), min(axis.length, at + sleeve_m)),
                    )
                )
    return found


def crossing_findings(found: Sequence[Crossing], joints: Sequence[Joint], labels: Mapping[str, str]) -> list[Finding]:
    """One warning for each circuit whose field joints of a room part: which, where, how to mend it."""
    groups: dict[tuple[str, tuple[str, ...]], list[Crossing]] = defaultdict(list)
    for crossing in found:
        if crossing.in_field:
            groups[crossing.circuit, joints[crossing.joint].rooms].append(crossing)
    return [_finding(circuit, crossed, joints, labels) for (circuit, _), crossed in groups.items()]


def _finding(circuit: str, crossed: Sequence[Crossing], joints: Sequence[Joint], labels: Mapping[str, str]) -> Finding:
    parting = [joints[k] for k in dict.fromkeys(crossing.joint for crossing in crossed)]
    rooms = ", ".join(labels[room] for room in parting[0].rooms if room in labels)
    joint = Message("a movement joint")
    if len(parting) > 1:
        joint = Message("{count} movement joints", count=len(parting))
    words = note("{length:.1f} m for {reason}")
    places = joined(Message(words, length=j.line.length, reason=Message(j.reason.value)) for j in parting)
    middle = parting[0].line.interpolate(0.5, normalized=True)
    message = Message(
        "{circuit}: its field in {rooms} lies across {joint} ({places}), {crossed} pipes cross, "
        "and only tails may: lay it anew instead of keeping it, or have the screed layer agree "
        "to another place for the joint; otherwise sleeve every pipe there",
        circuit=circuit,
        rooms=rooms,
        joint=joint,
        places=places,
        crossed=len(crossed),
    )
    return Finding(
        code="joints.crossed",
        severity=Severity.WARNING,
        message=message,
        ifc_guids=parting[0].rooms,
        at=(float(middle.x), float(middle.y)),
        source="EN 1264-4, from memory",
    )


def _is_parted(own: BaseGeometry, line: LineString) -> bool:
    """Whether a joint leaves a good piece of a circuit's fields on each of its sides."""
    near = line.buffer(1.0, cap_style="flat", single_sided=True), line.buffer(-1.0, cap_style="flat", single_sided=True)
    return all(float(side.intersection(own).area) >= LEAST_FIELD_M2 for side in near)


def _places(axis: LineString, line: LineString) -> list[float]:
    """Ways along the axis [m] at which it crosses a joint; a stretch along the joint counts once."""
    parts = shapely.get_parts(shapely.intersection(axis, line))
    return sorted({round(float(axis.project(part.centroid)), 4) for part in parts})
