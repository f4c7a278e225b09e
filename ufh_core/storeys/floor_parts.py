"""What the order asks of each storey as designed, in the order in which storeys are laid: from below."""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.building.types import Building
from ufh_core.design_result import StoreyDesign
from ufh_core.floor.types import Delivery, FloorPart, PanelCount
from ufh_core.joints.order import joint_order
from ufh_core.panels.types import PanelPlan
from ufh_core.settings.types import Settings


def floor_parts(building: Building, storeys: Sequence[StoreyDesign]) -> tuple[FloorPart, ...]:
    """The floors, pipe, panels and manifolds of every storey with any, lowest first."""
    heights = {storey.ifc_guid: storey.elevation_m for storey in building.storeys}
    parts = [_part(building, storey) for storey in sorted(storeys, key=lambda s: heights[s.storey])]
    return tuple(part for part in parts if part.build_ups or part.ports)


def with_joints(
    brought: Sequence[Delivery], storeys: Sequence[StoreyDesign], settings: Settings
) -> tuple[Delivery, ...]:
    """Deliveries with each storey's joint strip and sleeves; strip is rounded up to metres storey by storey."""
    joints = {storey.storey: joint_order([storey.joints], settings) for storey in storeys}
    return tuple(Delivery(storey=each.storey, lines=(*each.lines, *joints[each.storey])) for each in brought)


def _part(building: Building, storey: StoreyDesign) -> FloorPart:
    rooms = [room for room in storey.rooms if room.build_up is not None]
    return FloorPart(
        storey=storey.storey,
        build_ups=tuple(room.build_up for room in rooms if room.build_up is not None),
        areas_m2={room.room: building.room(room.room).outline.area for room in rooms},
        doorways=storey.doorways,
        pipe_m=sum(circuit.laid.length_m for circuit in storey.circuits),
        heated_m2=sum(room.heated_area_m2 for room in rooms),
        ports={each.manifold.name: len(each.manifold.ports) for each in storey.manifolds},
        panels=_count(storey.panels),
    )


def _count(plan: PanelPlan | None) -> PanelCount | None:
    if plan is None:
        return None
    whole = sum(piece.whole for piece in plan.pieces)
    return PanelCount(panels=plan.panels, whole=whole, covered_m2=plan.covered_m2)
