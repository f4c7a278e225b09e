"""The terms that no face has: air, and power for heating up."""

from __future__ import annotations

from ufh_core.building.types import Room
from ufh_core.heat_demand.climate import Climate
from ufh_core.heat_demand.edges import height_of
from ufh_core.heat_demand.types import DemandTerm, RoomCondition

AIR_HEAT = 0.34  # W h/(m³ K), heat capacity of air by volume; EN 12831-1


def ventilation_term(room: Room, condition: RoomCondition, climate: Climate) -> DemandTerm:
    """Loss by the least air change: Φ = 0.34 n V (θ_int − θ_e). Source: EN 12831-1."""
    kind = condition.kind or room.kind
    rate = climate.settings.air_change_by_kind.get(kind.value, climate.settings.air_change)
    volume = room.outline.area * height_of(room)
    loss = AIR_HEAT * rate * volume * (condition.indoor_c - climate.outdoor_c)
    return DemandTerm(
        kind="ventilation",
        loss_w=loss,
        what=f"{rate:g} air changes per hour of {volume:.1f} m³",
        difference_k=condition.indoor_c - climate.outdoor_c,
    )


def reheat_terms(room: Room, climate: Climate) -> tuple[DemandTerm, ...]:
    """Additional power for heating up after a setback: Φ_hu = φ_hu A; nothing where φ_hu is 0. Source: EN 12831-1."""
    power, area = climate.settings.reheat_w_m2, room.outline.area
    what = f"heating up after a setback, {power:g} W/m² of {area:.1f} m²"
    return (DemandTerm(kind="reheat", loss_w=power * area, what=what),) if power > 0 else ()
