"""Rows of design.json for movement joints, pour fields and crossing pipes; places in the storey's frame [m]."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from ufh_core.exchange.plan_points import moved
from ufh_core.joints.types import StoreyJoints


def joints_rows(joints: StoreyJoints, turn: NDArray[np.float64]) -> dict[str, Any]:
    """The pour fields, the joints numbered from 1, and the sleeves where pipes cross these."""
    return {
        "pour_fields": [
            {
                "rooms": field.rooms,
                "area_m2": field.area_m2,
                "length_m": field.length_m,
                "width_m": field.width_m,
                "ratio": field.ratio,
                "keeps_rules": field.keeps_rules,
                "outline": _points(field.outline.exterior, turn)[:-1],
                "holes": [_points(ring, turn)[:-1] for ring in field.outline.interiors],
            }
            for field in joints.fields
        ],
        "lines": [
            {
                "number": number,
                "reason": str(joint.reason),
                "rooms": joint.rooms,
                "length_m": joint.line.length,
                "line": _points(joint.line, turn),
            }
            for number, joint in enumerate(joints.joints, 1)
        ],
        "sleeves": [
            {
                "circuit": crossing.circuit,
                "joint": crossing.joint + 1,
                "at": moved(turn, crossing.at),
                "length_m": crossing.sleeve.length,
                "in_field": crossing.in_field,
            }
            for crossing in joints.crossings
        ],
    }


def _points(line: BaseGeometry, turn: NDArray[np.float64]) -> list[Any]:
    return [moved(turn, (x, y)) for x, y in line.coords]
