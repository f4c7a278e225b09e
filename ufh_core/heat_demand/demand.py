"""Heat demand of the heated rooms: set by hand, else the model's, else calculated, else a stated default."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.building.types import Building, Room
from ufh_core.heat_demand.edges import EdgePiece, edge_pieces
from ufh_core.heat_demand.remarks import remarks
from ufh_core.heat_demand.surroundings import Beyond, beyond_floor, surroundings
from ufh_core.heat_demand.terms import (
    Climate,
    fabric_terms,
    factor_beyond,
    floor_terms,
    is_heated,
    is_outer,
    ventilation_term,
)
from ufh_core.heat_demand.types import DemandBasis, DemandTerm, HeatDemand, RoomCondition, RoomDemand
from ufh_core.settings.types import HeatDemandSettings, Settings

_BELIEVED_OUTDOOR_C = (-50.0, 15.0)
_BELIEVED_W_M2 = 1000.0


def heat_demand(building: Building, rooms: Mapping[str, RoomCondition], settings: Settings) -> HeatDemand:
    """Find the heat demand of every heated room of `rooms` (conditions by GlobalId).

    Rooms that `rooms` does not name, or names as not heated, are neighbours without heating. The
    order of basis: set by hand, the model's load, calculated by EN 12831-1 (simplified: inner
    dimensions, simple temperature factors), the stated default by area. Losses through the floor
    itself are kept apart. No demand is below 0.
    """
    outdoor = outdoor_temperature(building, settings.heat_demand)
    climate = Climate(rooms, outdoor, settings.heat_demand, surroundings(building))
    heated = [room for s in building.storeys for room in s.rooms if is_heated(room, climate)]
    pieces = edge_pieces(building, heated)
    bare = {room.ifc_guid for s in building.storeys if not (s.walls or s.slabs) for room in s.rooms}
    demands = {
        room.ifc_guid: _room_demand(room, pieces[room.ifc_guid], climate, room.ifc_guid in bare) for room in heated
    }
    return HeatDemand(outdoor_c=outdoor, rooms=demands, findings=remarks(heated, demands))


def outdoor_temperature(building: Building, settings: HeatDemandSettings) -> float:
    """Design outdoor temperature θ_e [°C]: the settings' where changed, else the model's where believable."""
    stated, low, high = building.outdoor_c, *_BELIEVED_OUTDOOR_C
    changed = settings.outdoor_c != HeatDemandSettings().outdoor_c
    return settings.outdoor_c if changed or stated is None or not low <= stated <= high else stated


def _room_demand(room: Room, pieces: Sequence[EdgePiece], climate: Climate, bare: bool) -> RoomDemand:
    """One room's demand with what lies below its floor."""
    condition = climate.conditions[room.ifc_guid]
    demand, basis, terms, note = _figure(room, condition, pieces, climate, bare)
    shares = beyond_floor(room, climate.around)
    down = floor_terms(room, shares, climate)
    below, below_c = _below(room, shares, climate)
    return RoomDemand(
        room=room.ifc_guid,
        indoor_c=condition.indoor_c,
        demand_w=max(0.0, demand),
        basis=basis,
        terms=terms,
        note=note,
        below=below,
        below_c=below_c,
        floor_loss_w=sum(term.loss_w for term in down),
        floor_terms=down,
        outer_walls=tuple(piece.line for piece in pieces if is_outer(room, piece, climate)),
    )


def _figure(
    room: Room, condition: RoomCondition, pieces: Sequence[EdgePiece], climate: Climate, bare: bool
) -> tuple[float, DemandBasis, tuple[DemandTerm, ...], str]:
    """The demand [W] before the check against 0, its basis, terms and note."""
    if condition.stated_demand_w is not None:
        return _given(condition.stated_demand_w, DemandBasis.SETTINGS, "set by hand")
    load, area = room.heat_load_w, room.outline.area
    if load is not None and 0 < load <= _BELIEVED_W_M2 * max(area, 1.0):
        return _given(load, DemandBasis.MODEL, "the architect's model states it")
    if bare or not pieces or condition.indoor_c <= climate.outdoor_c:
        per_m2 = climate.settings.fallback_w_m2
        return _given(
            per_m2 * area, DemandBasis.SETTINGS, f"stated default of {per_m2:g} W/m²: no walls to calculate with"
        )
    terms = (*fabric_terms(room, pieces, climate), ventilation_term(room, condition, climate))
    total = sum(term.loss_w for term in terms)
    note = "calculated by EN 12831-1, simplified" + ("; gains from neighbours exceed the losses" if total < 0 else "")
    return total, DemandBasis.CALCULATED, terms, note


def _given(watts: float, basis: DemandBasis, note: str) -> tuple[float, DemandBasis, tuple[DemandTerm, ...], str]:
    return watts, basis, (DemandTerm(kind="given", loss_w=watts, what=note),), note


def _below(room: Room, shares: Sequence[Beyond], climate: Climate) -> tuple[str, float]:
    """What the floor is insulated against, and its mean temperature [°C].

    The hardest case that holds a tenth of the floor or more; without any, the ground.
    """
    indoor = climate.conditions[room.ifc_guid].indoor_c
    total = sum(share.area_m2 for share in shares)
    for kind in ("outside", "ground", "unheated", "heated"):
        mine = [share for share in shares if _kind_below(share, climate) == kind]
        area = sum(share.area_m2 for share in mine)
        if area >= 0.1 * total > 0:
            factor = sum(factor_beyond(room, share, climate) * share.area_m2 for share in mine) / area
            return kind, indoor - factor * (indoor - climate.outdoor_c)
    return "ground", indoor - climate.settings.ground_factor * (indoor - climate.outdoor_c)


def _kind_below(share: Beyond, climate: Climate) -> str:
    if share.room is None:
        return share.kind
    return "heated" if is_heated(share.room, climate) else "unheated"
