"""The pours of a whole building: each field with its screed, in the order in which it is laid, lowest storey first."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from ufh_core.building.types import Building, RoomKind
from ufh_core.design_result import StoreyDesign
from ufh_core.floor import screed_volume
from ufh_core.joints.pours import Pour, days_of, pour_order
from ufh_core.joints.types import PourField
from ufh_core.settings.types import Settings
from ufh_core.storeys.doorway_floors import doorway_share


def pour_plan(building: Building, storeys: Sequence[StoreyDesign], settings: Settings) -> tuple[Pour, ...]:
    """All pours, numbered from 1; each storey begins on a new day."""
    heights = {storey.ifc_guid: storey.elevation_m for storey in building.storeys}
    pours: list[Pour] = []
    for storey in sorted(storeys, key=lambda s: heights[s.storey]):
        count = storeys.index(storey) + 1
        pours += _of_storey(building, storey, count, settings, pours[-1] if pours else None)
    return tuple(pours)


def _of_storey(
    building: Building, storey: StoreyDesign, count: int, settings: Settings, before: Pour | None
) -> list[Pour]:
    """The pours of one storey, the `count`-th of the design, numbered on from the one before."""
    own = next(s for s in building.storeys if s.ifc_guid == storey.storey)
    fields = storey.joints.fields
    halls = [room.ifc_guid for room in own.rooms if room.kind is RoomKind.HALL]
    order = pour_order(fields, own.passages, halls)
    doors = [doorway_share(storey.doorways, k) for k in range(len(fields))]
    screed = [_screed(building, storey, field, settings) + doors[k][1] for k, field in enumerate(fields)]
    loads = [(fields[k].area_m2 + doors[k][0], screed[k] * (1 + settings.order.screed_spare)) for k, _ in order]
    days = days_of(loads, (settings.order.poured_m2_a_day, settings.order.pumped_m3_a_day))
    first, first_day = (before.number, before.day) if before else (0, 0)
    return [
        Pour(
            number=first + n,
            day=first_day + day,
            storey=storey.storey,
            field=k,
            name=f"F{count}.{k + 1:02d}",
            area_m2=fields[k].area_m2,
            doorway_m2=doors[k][0],
            screed_m3=screed[k],
            way_m=way,
        )
        for n, ((k, way), day) in enumerate(zip(order, days, strict=True), 1)
    ]


def _screed(building: Building, storey: StoreyDesign, field: PourField, settings: Settings) -> float:
    """Screed of a field [m³] within the rooms' edge strip, net of studs and the pipe in it."""
    strip = settings.floor.edge_strip_thickness_m
    inside = [building.room(room).outline.buffer(-strip, join_style="mitre") for room in field.rooms]
    area = sum(float(shapely.intersection(field.outline, room).area) for room in inside)
    pipe = sum(
        float(shapely.intersection(circuit.laid.axis.line(), field.outline).length) for circuit in storey.circuits
    )
    return screed_volume(area, pipe, settings)
