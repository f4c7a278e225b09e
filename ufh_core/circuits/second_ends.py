"""Second places at which a field is tried: lanes at whose ends no loop fits are led further in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ufh_core.circuits.field_scene import FieldScene
from ufh_core.circuits.territory_fields import Joined, join, territory_fields
from ufh_core.circuits.types import FailedRoom
from ufh_core.lanes.level import lead_further
from ufh_core.lanes.level_ground import LevelGround
from ufh_core.lanes.types import Lane, LevelLanes
from ufh_core.zones.territories import Territory


def fields_and_lanes(
    scene: FieldScene, ground: LevelGround, parts: Sequence[Territory], lanes: LevelLanes
) -> tuple[LevelLanes, list[Joined], list[FailedRoom]]:
    """The field of every lane, and the rooms for which there is none.

    Lanes whose territory gets no field are led further into it, where that costs no other its own.
    """
    joined, failed = territory_fields(scene, parts, lanes)
    laid = {one.lane.territory for one in joined}
    for lane in [one for one in lanes.lanes if one.territory not in laid]:
        better = _led_further(scene, ground, parts, lanes, lane)
        if better is None:
            continue
        tried = replace(lanes, lanes=tuple(better if one is lane else one for one in lanes.lanes))
        made, left = territory_fields(scene, parts, tried)
        if len(left) < len(failed):
            lanes, joined, failed = tried, made, left
    return lanes, joined, failed


def _led_further(
    scene: FieldScene, ground: LevelGround, parts: Sequence[Territory], lanes: LevelLanes, lane: Lane
) -> Lane | None:
    """The lane with the first end at which a field fits."""
    part = parts[lane.territory]
    others = [one.corners for one in lanes.lanes if one is not lane]
    for further in lead_further(ground, part, lane, others):
        if isinstance(join(scene, part, further, others), Joined):
            return further
    return None
