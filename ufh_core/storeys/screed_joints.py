"""Which floors of a storey are screed, the movement joints in it, and the levels as these part them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence

from shapely.geometry import LineString

from ufh_core.building.types import RoomKind
from ufh_core.joints.doorways import ScreedRoom
from ufh_core.joints.storey import planned_joints
from ufh_core.joints.types import JointReason, StoreyJoints
from ufh_core.storeys.asked import Brief, finish_resistance
from ufh_core.zones.level_plan import Level
from ufh_core.zones.screed_parts import with_joints
from ufh_core.zones.selection import indoor_temperature

BETWEEN_ROOMS = frozenset({JointReason.DOOR, JointReason.HEATING})


def joints_of(brief: Brief, built: Collection[str]) -> StoreyJoints:
    """The pour fields and movement joints of a storey; `built` are the rooms with heated screed by GlobalId."""
    return planned_joints(brief.storey, _screed_rooms(brief, built), brief.settings)


def parted_levels(levels: Sequence[Level], joints: StoreyJoints) -> list[Level]:
    """Levels with their floors parted where joints lie within rooms."""
    within: dict[str, list[LineString]] = defaultdict(list)
    for joint in joints.joints:
        if joint.reason not in BETWEEN_ROOMS:
            for room in joint.rooms:
                within[room].append(joint.line)
    return [with_joints(level, within) for level in levels]


def _screed_rooms(brief: Brief, built: Collection[str]) -> list[ScreedRoom]:
    """The rooms indoors; those with a build-up are heated screed of ours. Outer walls have edge strip, not joints."""
    found = []
    for room in brief.storey.rooms:
        chosen = brief.selection[room.ifc_guid]
        if room.external or chosen.kind is RoomKind.OUTSIDE:
            continue
        found.append(
            ScreedRoom(
                room=room.ifc_guid,
                outline=room.outline,
                heated=room.ifc_guid in built,
                indoor_c=indoor_temperature(room, chosen.kind, brief.settings, chosen.override),
                finish_r=finish_resistance(room, brief),
            )
        )
    return found
