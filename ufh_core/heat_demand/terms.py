"""The terms of one room's heat loss: walls, windows, doors, ceiling, floor, thermal bridges."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from ufh_core.building.types import Opening, Room, Slab, Wall
from ufh_core.heat_demand.edges import EdgePiece, extent, height_of
from ufh_core.heat_demand.surroundings import (
    Beyond,
    Surroundings,
    beyond_ceiling,
    is_open_air,
    slab_above,
    slab_below,
)
from ufh_core.heat_demand.types import DemandTerm, RoomCondition
from ufh_core.heat_demand.u_values import (
    BARE_LEVEL_U,
    BARE_WALL_U,
    GREATEST_U,
    R_SE,
    R_SI_DOWN,
    R_SI_LEVEL,
    R_SI_UP,
    UValue,
    u_value,
)
from ufh_core.settings.types import HeatDemandSettings

CEILING_GAP_M = 0.4  # a wall higher than its neighbour's ceiling by less is all theirs
_OUTER = frozenset({"wall", "window", "door"})
OVER_THE_WALL = "over the wall's top, where the roof begins"
BESIDE_A_FLOOR = "beside the floor over or under the neighbour"
END_ON = "to a wall that stands end-on"
DOUBTFUL_FACES = frozenset({OVER_THE_WALL, BESIDE_A_FLOOR, END_ON})
LOSSLESS = frozenset({"face", "ceiling"})  # kinds of faces without a loss: sides, ceilings
Band = tuple[float, float]


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


def fabric_terms(room: Room, pieces: Iterable[EdgePiece], climate: Climate) -> tuple[DemandTerm, ...]:
    """List the losses through walls, openings and ceiling, with the allowance for thermal bridges.

    Source: EN 12831-1, simplified: Φ = Σ A (U + ΔU_TB) f (θ_int − θ_e), inner dimensions.
    """
    terms = [term for piece in pieces for term in _edge_terms(room, piece, climate)]
    terms += _ceiling_terms(room, climate)
    merged = merge(term for term in terms if term.kind not in LOSSLESS)
    return (*merged, *_bridge_terms(room, merged, climate))


def lossless_faces(room: Room, pieces: Iterable[EdgePiece], climate: Climate) -> tuple[DemandTerm, ...]:
    """List the faces for which no loss is counted, each with the reason, so that the envelope can be added up."""
    terms = [term for piece in pieces for term in _edge_terms(room, piece, climate)]
    return merge(term for term in (*terms, *_ceiling_terms(room, climate)) if term.kind in LOSSLESS)


def is_outer(room: Room, piece: EdgePiece, climate: Climate) -> bool:
    """Whether at least half of a piece of edge faces the open air."""
    outer = [t for t in _edge_terms(room, piece, climate) if t.kind in _OUTER and t.factor == 1.0]
    return sum(term.area_m2 for term in outer) >= 0.5 * piece.length_m * height_of(room)


def floor_terms(room: Room, shares: Iterable[Beyond], climate: Climate) -> tuple[DemandTerm, ...]:
    """List the losses through the floor as the architect has it; they are not part of the demand on it."""
    slab = slab_below(room, climate.around.slabs)
    return merge(_level_term("floor", room, beyond, slab, climate) for beyond in shares)


def merge(terms: Iterable[DemandTerm]) -> tuple[DemandTerm, ...]:
    """Add up terms that differ in area and loss only."""
    sums: dict[DemandTerm, DemandTerm] = {}
    for term in terms:
        key = replace(term, loss_w=0.0, area_m2=0.0)
        known = sums.get(key, key)
        sums[key] = replace(known, loss_w=known.loss_w + term.loss_w, area_m2=known.area_m2 + term.area_m2)
    return tuple(sums.values())


def _edge_terms(room: Room, piece: EdgePiece, climate: Climate) -> list[DemandTerm]:
    """Share the height of a piece of edge among the rooms behind it and the rest."""
    free: list[Band] = [(room.floor_m, room.floor_m + height_of(room))]
    terms: list[DemandTerm] = []
    met_room = False
    for other in piece.rooms:
        taken, free = _cut(free, extent(other))
        area = taken * piece.length_m
        if other.ifc_guid == room.ifc_guid:
            met_room = True
            terms += _face(area, "to the room itself")
        elif taken > 0 and not is_open_air(other):
            met_room = True
            terms.append(_inner_term(room, other, area, piece, climate))
        elif taken > 0:
            terms.append(_outer_wall(room, area, piece, climate))
    return terms + _free_terms(room, free, met_room, piece, climate)


def _free_terms(room: Room, free: list[Band], met_room: bool, piece: EdgePiece, climate: Climate) -> list[DemandTerm]:
    """What lies behind the part of a piece of edge that faces no room of the model."""
    height = _height(free)
    area = height * piece.length_m
    if met_room and height < CEILING_GAP_M:
        return _face(area, BESIDE_A_FLOOR)
    if piece.buried:
        return _face(area, END_ON)
    if height > 0 and climate.around.is_unnamed(room, piece.exit_point):
        return [_unheated_term(room, area, piece, climate)]
    walled = _under_wall_top(room, free, piece)
    above = _face((height - _height(walled)) * piece.length_m, OVER_THE_WALL)
    return above + (_outer_terms(room, walled, piece, climate) if walled else [])


def _height(bands: list[Band]) -> float:
    """Sum of the heights of bands [m]."""
    return sum(top - bottom for bottom, top in bands)


def _face(area: float, what: str, kind: str = "face") -> list[DemandTerm]:
    """A face [m²] for which no loss is counted; nothing where it has no area."""
    return [DemandTerm(kind=kind, loss_w=0.0, area_m2=area, factor=0.0, what=what)] if area > 1e-9 else []


def _cut(free: list[Band], band: Band) -> tuple[float, list[Band]]:
    """Take a height band out of free bands: the height taken [m] and what is left."""
    taken, left = 0.0, []
    for bottom, top in free:
        low, high = max(bottom, band[0]), min(top, band[1])
        if high <= low:
            left.append((bottom, top))
            continue
        taken += high - low
        left += [(a, b) for a, b in ((bottom, low), (high, top)) if b - a > 1e-6]
    return taken, left


def _under_wall_top(room: Room, free: list[Band], piece: EdgePiece) -> list[Band]:
    """Bands below the top of the wall: over a knee wall the roof begins, which counts as ceiling."""
    tops = [wall.top_m for wall in piece.solids if isinstance(wall, Wall)]
    if not tops or max(tops) < room.floor_m + 0.5:
        return free
    return [(bottom, min(top, max(tops))) for bottom, top in free if bottom < max(tops)]


def _outer_terms(room: Room, free: list[Band], piece: EdgePiece, climate: Climate) -> list[DemandTerm]:
    """Windows and doors of a piece of outer wall, and the wall round them."""
    terms: list[DemandTerm] = []
    for opening in piece.openings:
        taken, free = _cut(free, extent(opening))
        if taken > 0:
            terms.append(_opening_term(room, opening, taken * piece.length_m, climate))
    area = sum(top - bottom for bottom, top in free) * piece.length_m
    return [*terms, _outer_wall(room, area, piece, climate)] if area > 0 else terms


def _opening_term(room: Room, opening: Opening, area: float, climate: Climate) -> DemandTerm:
    kind = "door" if opening.kind == "door" else "window"
    default = climate.settings.u_door if kind == "door" else climate.settings.u_window
    u = u_value(opening.construction, R_SI_LEVEL + R_SE, default)
    return _term(room, kind, area, u, 1.0, opening.name, opening.ifc_guid, climate)


def _outer_wall(room: Room, area: float, piece: EdgePiece, climate: Climate) -> DemandTerm:
    """A piece of outer wall; against soil where the room's middle lies below the ground."""
    settings = climate.settings
    wall, u = _wall_u(piece, R_SI_LEVEL + R_SE, settings.u_wall, settings.u_window, BARE_WALL_U)
    in_soil = room.floor_m + height_of(room) / 2 < climate.around.ground_m
    factor = settings.ground_factor if in_soil else 1.0
    what = (wall.name if wall else "outer wall without a wall in the model") + (", against soil" if in_soil else "")
    return _term(room, "wall", area, u, factor, what, wall.ifc_guid if wall else "", climate)


def _unheated_term(room: Room, area: float, piece: EdgePiece, climate: Climate) -> DemandTerm:
    wall, u = _wall_u(piece, 2 * R_SI_LEVEL, climate.settings.u_inner, climate.settings.u_inner)
    what = "to a space that is no room of the model"
    guid = wall.ifc_guid if wall else ""
    return _term(room, "inner", area, u, climate.settings.unheated_factor, what, guid, climate)


def _inner_term(room: Room, other: Room, area: float, piece: EdgePiece, climate: Climate) -> DemandTerm:
    """A piece of wall to another room; nothing where two heated rooms lie open to each other."""
    wall, u = _wall_u(piece, 2 * R_SI_LEVEL, climate.settings.u_inner, climate.settings.u_inner)
    heated = is_heated(other, climate)
    if heated and not piece.solids:
        u = UValue(0.0, "open")
    factor = _factor_to(room, other, climate)
    return _term(room, "inner", area, u, factor, f"to {other.label}", wall.ifc_guid if wall else "", climate)


def _wall_u(
    piece: EdgePiece, films: float, default: float, curtain: float, bare: float = GREATEST_U
) -> tuple[Wall | None, UValue]:
    """Find the wall that insulates best among the leaves of a piece, with its U-value."""
    walls = [solid for solid in piece.solids if isinstance(solid, Wall)]
    if not walls:
        return None, UValue(default, "default")
    options = [
        (u_value(w.construction, films, curtain if w.ifc_class == "IfcCurtainWall" else default, bare), w)
        for w in walls
    ]
    stated = [option for option in options if option[0].basis != "default"] or options
    best, wall = min(stated, key=lambda option: (option[0].value, option[1].ifc_guid))
    return wall, best


def _ceiling_terms(room: Room, climate: Climate) -> list[DemandTerm]:
    """Loss through the ceiling; nothing to a heated room above, whose floor is warm."""
    slab = slab_above(room, climate.around.slabs)
    terms: list[DemandTerm] = []
    for beyond in beyond_ceiling(room, climate.around):
        if beyond.room is not None and is_heated(beyond.room, climate):
            terms += _face(beyond.area_m2, f"to {beyond.room.label}, heated", "ceiling")
        else:
            terms.append(_level_term("roof", room, beyond, slab, climate))
    return terms


def _level_term(kind: str, room: Room, beyond: Beyond, slab: Slab | None, climate: Climate) -> DemandTerm:
    """A share of floor or ceiling."""
    settings, heated = climate.settings, beyond.room is not None and is_heated(beyond.room, climate)
    inside = R_SI_DOWN if kind == "floor" else R_SI_UP
    film = {"outside": R_SE, "ground": 0.0}.get(beyond.kind, inside)
    default = settings.u_inner if heated else settings.u_ground if kind == "floor" else settings.u_roof
    bare = GREATEST_U if heated else BARE_LEVEL_U
    u = u_value(slab.construction, inside + film, default, bare) if slab else UValue(default, "default")
    what = f"to {beyond.room.label}" if beyond.room else f"to {beyond.kind}"
    factor = factor_beyond(room, beyond, climate)
    return _term(room, kind, beyond.area_m2, u, factor, what, slab.ifc_guid if slab else "", climate)


def factor_beyond(room: Room, beyond: Beyond, climate: Climate) -> float:
    """Temperature factor f of what lies below or above a room."""
    if beyond.room is not None:
        return _factor_to(room, beyond.room, climate)
    return {"ground": climate.settings.ground_factor, "unheated": climate.settings.unheated_factor}.get(
        beyond.kind, 1.0
    )


def is_heated(room: Room, climate: Climate) -> bool:
    """Whether the floor of a room is heated."""
    condition = climate.conditions.get(room.ifc_guid)
    return condition is not None and condition.heated


def _factor_to(room: Room, other: Room, climate: Climate) -> float:
    """Temperature factor to another room: by its temperature where heated, else the simple factor."""
    if not is_heated(other, climate):
        return climate.settings.unheated_factor
    here, there = climate.conditions[room.ifc_guid].indoor_c, climate.conditions[other.ifc_guid].indoor_c
    return climate.factor(here, there)


def _bridge_terms(room: Room, terms: Iterable[DemandTerm], climate: Climate) -> list[DemandTerm]:
    """The allowance ΔU_TB on all that faces the outside."""
    area = sum(t.area_m2 for t in terms if t.factor == 1.0 and t.kind in {"wall", "window", "door", "roof"})
    extra = UValue(climate.settings.thermal_bridge, "settings")
    return [_term(room, "bridge", area, extra, 1.0, "thermal bridges", "", climate)] if area > 0 else []


def _term(
    room: Room, kind: str, area: float, u: UValue, factor: float, what: str, guid: str, climate: Climate
) -> DemandTerm:
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
