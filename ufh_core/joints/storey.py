"""The screed of a storey: doorways first, then each floor divided as little as its rules need.

All of it before there are pipes, so that circuits can end at the joints; what crosses them all the same is told after.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.building.types import Storey
from ufh_core.circuits.types import LaidCircuit
from ufh_core.joints.crossings import crossing_findings, crossings
from ufh_core.joints.division import Cut, Region, divide, keeps
from ufh_core.joints.doorways import ScreedRoom, one_floor, passage_joints, poured_together
from ufh_core.joints.rules import field_rules
from ufh_core.joints.shape import SHARP_RAD, main_direction, parted, sides, turning_in
from ufh_core.joints.types import FieldRules, Joint, PourField, StoreyJoints
from ufh_core.settings.types import Settings

SMALL_HOLE_M = 1.0  # a hole no wider than this is a column or a duct, and no reason for a joint by itself [m]
_GRID_M = 1e-4
_THIN_M = 1e-3  # thinner hairs and cracks of a floor are noise [m]
Shape = TypeVar("Shape", bound=BaseGeometry)


def planned_joints(storey: Storey, rooms: Sequence[ScreedRoom], settings: Settings) -> StoreyJoints:
    """Pour fields and joints of a storey, without pipes."""
    joints = passage_joints(rooms, storey.passages, settings)
    columns = [c.outline.centroid for c in storey.columns]
    fields: list[PourField] = []
    for group in poured_together(rooms, storey.passages, settings):
        together = [rooms[k] for k in group]
        rules = field_rules([room.finish_r for room in together], settings)
        for floor in one_floor([room.outline for room in together]):
            new_fields, new_joints = _poured(floor, together, rules, columns, settings)
            fields += new_fields
            joints += new_joints
    return StoreyJoints(fields=tuple(fields), joints=tuple(joints))


def crossed_joints(
    planned: StoreyJoints, storey: Storey, circuits: Sequence[LaidCircuit], settings: Settings
) -> tuple[StoreyJoints, list[Finding]]:
    """The joints of a storey with the pipes that cross them, and what is wrong with joints and crossings."""
    found = crossings(circuits, planned.joints, settings.joints.sleeve_m)
    labels = {room.ifc_guid: room.label for room in storey.rooms}
    findings = [*crossing_findings(found, planned.joints, labels), *_broken_rules(planned.fields, labels)]
    return replace(planned, crossings=tuple(found)), findings


def divided(
    floor: Polygon, rules: FieldRules, least_leg_m: float, columns: Sequence[shapely.Point] = ()
) -> tuple[list[tuple[Polygon, bool]], list[Cut]]:
    """(fields [m] with whether they keep the rules, joints) of one floor.

    Re-entrant corners with a wall shorter than `least_leg_m` [m] count for nothing.
    """
    turn = main_direction(floor)
    region_floor, holes = _plain(_turned(floor, -turn))
    corners, legs = turning_in(region_floor, SHARP_RAD)
    middles = [*holes, *(_turned(point, -turn) for point in columns)]
    region = Region(
        rules=rules,
        corners=corners[legs >= least_leg_m - _THIN_M],
        columns=np.array([(p.x, p.y) for p in middles]).reshape(-1, 2),
    )
    cuts = divide(region_floor, region)
    parts = [region_floor]
    for line, _ in cuts:
        parts = [piece for part in parts for piece in _cut_or_whole(part, line)]
    fields = [(_turned(part, turn), keeps(part, region)) for part in parts]
    return fields, [(_turned(line, turn), reason) for line, reason in cuts]


def _poured(
    floor: Polygon,
    together: Sequence[ScreedRoom],
    rules: FieldRules,
    columns: Sequence[shapely.Point],
    settings: Settings,
) -> tuple[list[PourField], list[Joint]]:
    """The fields and joints of one floor of some rooms."""
    columns_here = [c for c in columns if floor.covers(c)]
    parts, cuts = divided(floor, rules, settings.joints.least_corner_leg_m, columns_here)
    turn = main_direction(floor)
    fields = [_pour_field(part, fine, turn, floor, together) for part, fine in parts]
    joints = [
        Joint(line=piece, reason=reason, rooms=_rooms_at(piece, together))
        for line, reason in cuts
        for piece in shapely.get_parts(line.intersection(floor.buffer(1e-3)))
        if piece.length > 0.05
    ]
    return fields, joints


def _pour_field(part: Polygon, fine: bool, turn: float, floor: Polygon, together: Sequence[ScreedRoom]) -> PourField:
    length, width = sides(_turned(part, -turn))
    clear = max(shapely.get_parts(part.intersection(floor)), key=lambda p: float(p.area), default=part)
    return PourField(
        rooms=_rooms_at(part.buffer(-0.02), together),
        outline=clear,
        length_m=length,
        width_m=width,
        keeps_rules=fine,
    )


def _rooms_at(where: BaseGeometry, rooms: Sequence[ScreedRoom]) -> tuple[str, ...]:
    return tuple(room.room for room in rooms if room.outline.intersects(where)) or tuple(r.room for r in rooms)


def _plain(floor: Polygon) -> tuple[Polygon, list[shapely.Point]]:
    """A floor on a grid of 0.1 mm without hairs, cracks and small holes, and the middles of these."""
    thick = floor.buffer(-_THIN_M, join_style="mitre").buffer(2 * _THIN_M, join_style="mitre")
    snapped = shapely.set_precision(thick.buffer(-_THIN_M, join_style="mitre").simplify(_GRID_M), _GRID_M)
    whole = max(shapely.get_parts(snapped), key=lambda p: float(p.area))
    small = [Polygon(ring) for ring in whole.interiors if sides(Polygon(ring))[0] <= SMALL_HOLE_M]
    large = [ring for ring in whole.interiors if sides(Polygon(ring))[0] > SMALL_HOLE_M]
    return Polygon(whole.exterior, large), [hole.centroid for hole in small]


def _cut_or_whole(part: Polygon, line: LineString) -> list[Polygon]:
    """The parts of a field on both sides of a joint that lies in it; the field itself where the joint does not."""
    if not part.buffer(1e-3).covers(line) or part.boundary.buffer(1e-3).covers(line):
        return [part]
    pieces = parted(part, line)
    return pieces if len(pieces) > 1 else [part]


def _turned(shape: Shape, angle: float) -> Shape:
    turned: Shape = shape if angle == 0.0 else affinity.rotate(shape, math.degrees(angle), origin=(0.0, 0.0))
    return turned


def _broken_rules(fields: Sequence[PourField], labels: dict[str, str]) -> list[Finding]:
    """A warning for each field that no division found makes keep its rules."""
    return [
        Finding(
            code="joints.rules",
            severity=Severity.WARNING,
            message=(
                Message(
                    "{room}: a field of screed of {area:.1f} m², {length:.1f} x {width:.1f} m, keeps not all "
                    "rules for movement joints: have the joints planned by hand",
                    room=", ".join(labels.get(room, room) for room in field.rooms),
                    area=field.area_m2,
                    length=field.length_m,
                    width=field.width_m,
                )
            ),
            ifc_guids=field.rooms,
        )
        for field in fields
        if not field.keeps_rules
    ]
