"""What every term of a heat loss needs: temperatures, settings, surroundings; and the making of one term."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from ufh_core.building.types import Room
from ufh_core.heat_demand.surroundings import Beyond, Surroundings
from ufh_core.heat_demand.types import DemandTerm, RoomCondition
from ufh_core.heat_demand.u_values import UValue
from ufh_core.settings.types import HeatDemandSettings


@dataclass(frozen=True, slots=True)
class Climate:
    """What every term needs: conditions by room, outdoor temperature [°C], settings, surroundings."""

    conditions: Mapping[str, RoomCondition]
    outdoor_c: float
    settings: HeatDemandSettings
    around: Surroundings

    def factor(self, indoor_c: float, there_c: float) -> float:
        """Temperature factor f = (θ_int − θ_there)/(θ_int − θ_e)."""
        return (indoor_c - there_c) / (indoor_c - self.outdoor_c)


def is_heated(room: Room, climate: Climate) -> bool:
    """Whether the floor of a room is heated."""
    condition = climate.conditions.get(room.ifc_guid)
    return condition is not None and condition.heated


def factor_beyond(room: Room, beyond: Beyond, climate: Climate) -> float:
    """Temperature factor f of what lies below or above a room."""
    if beyond.room is not None:
        return factor_to(room, beyond.room, climate)
    return {"ground": climate.settings.ground_factor, "unheated": climate.settings.unheated_factor}.get(
        beyond.kind, 1.0
    )


def factor_to(room: Room, other: Room, climate: Climate) -> float:
    """Temperature factor to another room: by its temperature where heated, else the simple factor."""
    if not is_heated(other, climate):
        return climate.settings.unheated_factor
    here, there = climate.conditions[room.ifc_guid].indoor_c, climate.conditions[other.ifc_guid].indoor_c
    return climate.factor(here, there)


def loss_term(
    room: Room, kind: str, area: float, u: UValue, factor: float, what: str, guid: str, climate: Climate
) -> DemandTerm:
    """One term: the loss [W] through an area [m²] with a U-value and a temperature factor."""
    difference = climate.conditions[room.ifc_guid].indoor_c - climate.outdoor_c
    return DemandTerm(
        kind=kind,
        loss_w=area * u.value * factor * difference,
        area_m2=area,
        u_value=u.value,
        factor=factor,
        what=what,
        ifc_guid=guid,
        u_basis=u.basis,
        difference_k=difference,
    )


def lossless_face(area: float, what: str, kind: str = "face") -> list[DemandTerm]:
    """A face [m²] for which no loss is counted; nothing where it has no area."""
    return [DemandTerm(kind=kind, loss_w=0.0, area_m2=area, factor=0.0, what=what)] if area > 1e-9 else []


def merge(terms: Iterable[DemandTerm]) -> tuple[DemandTerm, ...]:
    """Add up terms that differ in area and loss only."""
    sums: dict[DemandTerm, DemandTerm] = {}
    for term in terms:
        key = replace(term, loss_w=0.0, area_m2=0.0)
        known = sums.get(key, key)
        sums[key] = replace(known, loss_w=known.loss_w + term.loss_w, area_m2=known.area_m2 + term.area_m2)
    return tuple(sums.values())
