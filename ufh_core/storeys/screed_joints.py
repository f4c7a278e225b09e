"""Which floors of a storey are screed, and the movement joints in it."""

from __future__ import annotations

from ufh_core.basis.findings import Finding
from ufh_core.building.types import RoomKind
from ufh_core.design_result import StoreyDesign
from ufh_core.joints.doorways import ScreedRoom
from ufh_core.joints.storey import storey_joints
from ufh_core.joints.types import StoreyJoints
from ufh_core.storeys.asked import Brief, finish_resistance
from ufh_core.zones.selection import indoor_temperature


def joints_of(brief: Brief, design: StoreyDesign) -> tuple[StoreyJoints, list[Finding]]:
    """The movement joints of a storey as designed, and findings about them."""
    return storey_joints(
        brief.storey, _screed_rooms(brief, design), [circuit.laid for circuit in design.circuits], brief.settings
    )


def _screed_rooms(brief: Brief, design: StoreyDesign) -> list[ScreedRoom]:
    """The rooms indoors; those with a build-up are heated screed of ours. Outer walls have edge strip, not joints."""
    built = {room.room for room in design.rooms if room.build_up is not None}
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
