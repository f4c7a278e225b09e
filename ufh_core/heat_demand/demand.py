"""Heat demand of the heated rooms: set by hand, else the model's, else calculated, else a stated default."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.building.types import Building, Room
from ufh_core.heat_demand.ages import with_age
from ufh_core.heat_demand.air import reheat_terms, ventilation_term
from ufh_core.heat_demand.climate import Climate, factor_beyond, is_heated
from ufh_core.heat_demand.edges import EdgePiece, edge_pieces, height_of
from ufh_core.heat_demand.level_terms import SLOPE, floor_terms
from ufh_core.heat_demand.remarks import remarks
from ufh_core.heat_demand.surroundings import Beyond, beyond_floor, surroundings
from ufh_core.heat_demand.terms import fabric_terms, is_outer, lossless_faces
from ufh_core.heat_demand.types import DemandBasis, DemandTerm, Envelope, HeatDemand, RoomCondition, RoomDemand
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
    climate = Climate(rooms, outdoor, with_age(settings.heat_demand), surroundings(building))
    heated = [room for s in building.storeys for room in s.rooms if is_heated(room, climate)]
    pieces = edge_pieces(building, heated)
    bare = {room.ifc_guid for s in building.storeys if not (s.walls or s.slabs) for room in s.rooms}
    demands = {
        room.ifc_guid: _room_demand(room, pieces[room.ifc_guid], climate, room.ifc_guid in bare) for room in heated
    }
    return HeatDemand(
        outdoor_c=outdoor, rooms=demands, findings=remarks(heated, demands, settings.heat_demand.building_age)
    )


def outdoor_temperature(building: Building, settings: HeatDemandSettings) -> float:
    """Design outdoor temperature θ_e [°C]: the settings' where changed, else the model's where believable."""
    stated, low, high = building.outdoor_c, *_BELIEVED_OUTDOOR_C
    changed = settings.outdoor_c != HeatDemandSettings().outdoor_c
    return settings.outdoor_c if changed or stated is None or not low <= stated <= high else stated


def _room_demand(room: Room, pieces: Sequence[EdgePiece], climate: Climate, bare: bool) -> RoomDemand:
    """One room's demand with what lies below its floor."""
    condition = climate.conditions[room.ifc_guid]
    calculated = () if bare or not pieces else _calculated(room, condition, pieces, climate)
    demand, basis, terms, note = _figure(room, condition, calculated, climate)
    shares = beyond_floor(room, climate.around)
    down = floor_terms(room, shares, climate)
    faces = lossless_faces(room, pieces, climate)
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
        faces=faces,
        envelope=envelope(room, (*calculated, *faces, *down)) if calculated else None,
        calculated_w=max(0.0, _sum(calculated)) if calculated else None,
        model_w=_model_load(room),
        calculated_terms=calculated,
        outer_walls=tuple(piece.line for piece in pieces if is_outer(room, piece, climate)),
    )


def envelope(room: Room, faces: Sequence[DemandTerm]) -> Envelope:
    """Compare the surface of a room's body, perimeter x height + floor + ceiling, with the sum of its faces [m²]."""
    area, sides = room.outline.area, room.outline.length * height_of(room)
    floor = _area(faces, ("floor",))
    ceiling = _area([face for face in faces if face.what != SLOPE], ("roof", "ceiling"))
    round_about = _area(faces, ("wall", "window", "door", "inner", "face"))
    return Envelope(
        envelope_m2=sides + 2 * area,
        faces_m2=round_about + floor + ceiling,
        missing_sides_m2=sides - round_about,
        missing_ceiling_m2=area - ceiling,
        missing_floor_m2=area - floor,
    )


def _area(faces: Sequence[DemandTerm], kinds: Sequence[str]) -> float:
    return sum(face.area_m2 for face in faces if face.kind in kinds)


def _sum(terms: Sequence[DemandTerm]) -> float:
    return sum(term.loss_w for term in terms)


def _calculated(
    room: Room, condition: RoomCondition, pieces: Sequence[EdgePiece], climate: Climate
) -> tuple[DemandTerm, ...]:
    """Every term by EN 12831-1, simplified; nothing where it is not warmer inside than outside."""
    if condition.indoor_c <= climate.outdoor_c:
        return ()
    air = ventilation_term(room, condition, climate)
    return (*fabric_terms(room, pieces, climate), air, *reheat_terms(room, climate))


def _model_load(room: Room) -> float | None:
    """The architect's own load [W] where it is believable."""
    load = room.heat_load_w
    return load if load is not None and 0 < load <= _BELIEVED_W_M2 * max(room.outline.area, 1.0) else None


def _figure(
    room: Room, condition: RoomCondition, calculated: tuple[DemandTerm, ...], climate: Climate
) -> tuple[float, DemandBasis, tuple[DemandTerm, ...], str]:
    """The demand [W] before the check against 0, its basis, terms and note."""
    if condition.stated_demand_w is not None:
        return _given(condition.stated_demand_w, DemandBasis.SETTINGS, "set by hand")
    load = _model_load(room)
    if load is not None:
        return _given(load, DemandBasis.MODEL, "the architect's model states it")
    if not calculated:
        per_m2 = climate.settings.fallback_w_m2
        note = f"stated default of {per_m2:g} W/m²: no walls to calculate with"
        return _given(per_m2 * room.outline.area, DemandBasis.SETTINGS, note)
    total = _sum(calculated)
    note = "calculated by EN 12831-1, simplified" + ("; gains from neighbours exceed the losses" if total < 0 else "")
    return total, DemandBasis.CALCULATED, calculated, note


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
