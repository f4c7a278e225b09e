"""What a pour field may be, by kind of screed and finish.

Source: EN 1264-4 (40 m², 8 m, 2:1, at doorways and re-entrant corners), from memory, and common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from ufh_core.joints.types import FieldRules
from ufh_core.settings.types import Settings

CEMENT = "cement"


def field_rules(finish_r: Iterable[float], settings: Settings) -> FieldRules:
    """The rules under finishes of these resistances [m² K/W]; one rigid finish binds the whole field."""
    joints = settings.joints
    rigid = is_rigid(finish_r, settings)
    if settings.floor.screed == CEMENT:
        return FieldRules(
            area_m2=joints.greatest_area_m2,
            side_m=joints.greatest_side_m,
            ratio=joints.greatest_ratio if rigid else math.inf,
            ratio_free_side_m=joints.ratio_free_side_m,
        )
    side = joints.sulphate_rigid_side_m if rigid else joints.sulphate_side_m
    return FieldRules(area_m2=math.inf, side_m=side, ratio=math.inf, ratio_free_side_m=0.0)


def is_rigid(finish_r: Iterable[float], settings: Settings) -> bool:
    """Whether one of the finishes [m² K/W] is tiles or stone."""
    return any(r <= settings.joints.rigid_finish_r for r in finish_r)


def least_side_with_door_joint(finish_r: Iterable[float], settings: Settings) -> float:
    """A doorway has a joint where a room beside it has a longer side than this [m]; cement always has one."""
    joints = settings.joints
    if settings.floor.screed == CEMENT:
        return 0.0
    rigid = is_rigid(finish_r, settings)
    return joints.sulphate_rigid_door_side_m if rigid else joints.sulphate_door_side_m
