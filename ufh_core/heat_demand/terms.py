"""The terms of one room's heat loss: walls, windows, doors, ceiling, floor, thermal bridges."""

from __future__ import annotations

from collections.abc import Iterable

from ufh_core.building.types import Opening, Room, Wall
from ufh_core.heat_demand.climate import Climate, factor_to, is_heated, loss_term, lossless_face, merge
from ufh_core.heat_demand.edges import EdgePiece, extent, height_of
from ufh_core.heat_demand.level_terms import IN_THE_ROOF, ceiling_terms, slope_terms
from ufh_core.heat_demand.surroundings import is_open_air
from ufh_core.heat_demand.types import DemandTerm
from ufh_core.heat_demand.u_values import BARE_WALL_U, GREATEST_U, R_SE, R_SI_LEVEL, UValue, u_value

CEILING_GAP_M = 0.4  # a wall higher than its neighbour's ceiling by less is all theirs
_OUTER = frozenset({"wall", "window", "door"})
BESIDE_A_FLOOR = "beside the floor over or under the neighbour"
END_ON = "to a wall that stands end-on"
DOUBTFUL_FACES = frozenset({BESIDE_A_FLOOR, END_ON})
LOSSLESS = frozenset({"face", "ceiling"})  # kinds of faces without a loss: sides, ceilings
Band = tuple[float, float]


def fabric_terms(room: Room, pieces: Iterable[EdgePiece], climate: Climate) -> tuple[DemandTerm, ...]:
    """List the losses through walls, openings and ceiling, with the allowance for thermal bridges.

    Source: EN 12831-1, simplified: Φ = Σ A (U + ΔU_TB) f (θ_int − θ_e), inner dimensions.
    """
    terms = [term for piece in pieces for term in _edge_terms(room, piece, climate)]
    terms += ceiling_terms(room, climate)
    terms += slope_terms(room, terms, climate)
    merged = merge(term for term in terms if term.kind not in LOSSLESS)
    return (*merged, *_bridge_terms(room, merged, climate))


def lossless_faces(room: Room, pieces: Iterable[EdgePiece], climate: Climate) -> tuple[DemandTerm, ...]:
    """List the faces for which no loss is counted, each with the reason, so that the envelope can be added up."""
    terms = [term for piece in pieces for term in _edge_terms(room, piece, climate)]
    return merge(term for term in (*terms, *ceiling_terms(room, climate)) if term.kind in LOSSLESS)


def is_outer(room: Room, piece: EdgePiece, climate: Climate) -> bool:
    """Whether at least half of a piece of edge faces the open air."""
    outer = [t for t in _edge_terms(room, piece, climate) if t.kind in _OUTER and t.factor == 1.0]
    return sum(term.area_m2 for term in outer) >= 0.5 * piece.length_m * height_of(room)


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
            terms += lossless_face(area, "to the room itself")
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
        return lossless_face(area, BESIDE_A_FLOOR)
    if piece.buried:
        return lossless_face(area, END_ON)
    if height > 0 and climate.around.is_unnamed(room, piece.exit_point):
        return [_unheated_term(room, area, piece, climate)]
    if room.ifc_guid not in climate.around.under_slopes:
        return _outer_terms(room, free, piece, climate) if free else []
    walled = _under_wall_top(room, free, piece)
    above = lossless_face((height - _height(walled)) * piece.length_m, IN_THE_ROOF)
    return above + (_outer_terms(room, walled, piece, climate) if walled else [])


def _height(bands: list[Band]) -> float:
    """Sum of the heights of bands [m]."""
    return sum(top - bottom for bottom, top in bands)


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
    """Bands below the top of the wall: over a knee wall the roof begins, which counts by its slope."""
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
    return loss_term(room, kind, area, u, 1.0, opening.name, opening.ifc_guid, climate)


def _outer_wall(room: Room, area: float, piece: EdgePiece, climate: Climate) -> DemandTerm:
    """A piece of outer wall; against soil where the room's middle lies below the ground."""
    settings = climate.settings
    wall, u = _wall_u(piece, R_SI_LEVEL + R_SE, settings.u_wall, settings.u_window, BARE_WALL_U)
    in_soil = room.floor_m + height_of(room) / 2 < climate.around.ground_m
    factor = settings.ground_factor if in_soil else 1.0
    what = (wall.name if wall else "outer wall without a wall in the model") + (", against soil" if in_soil else "")
    return loss_term(room, "wall", area, u, factor, what, wall.ifc_guid if wall else "", climate)


def _unheated_term(room: Room, area: float, piece: EdgePiece, climate: Climate) -> DemandTerm:
    wall, u = _wall_u(piece, 2 * R_SI_LEVEL, climate.settings.u_inner, climate.settings.u_inner)
    what = "to a space that is no room of the model"
    guid = wall.ifc_guid if wall else ""
    return loss_term(room, "inner", area, u, climate.settings.unheated_factor, what, guid, climate)


def _inner_term(room: Room, other: Room, area: float, piece: EdgePiece, climate: Climate) -> DemandTerm:
    """A piece of wall to another room; nothing where two heated rooms lie open to each other."""
    wall, u = _wall_u(piece, 2 * R_SI_LEVEL, climate.settings.u_inner, climate.settings.u_inner)
    heated = is_heated(other, climate)
    if heated and not piece.solids:
        u = UValue(0.0, "open")
    factor = factor_to(room, other, climate)
    return loss_term(room, "inner", area, u, factor, f"to {other.label}", wall.ifc_guid if wall else "", climate)


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


def _bridge_terms(room: Room, terms: Iterable[DemandTerm], climate: Climate) -> list[DemandTerm]:
    """The allowance ΔU_TB on all that faces the outside."""
    area = sum(t.area_m2 for t in terms if t.factor == 1.0 and t.kind in {"wall", "window", "door", "roof"})
    extra = UValue(climate.settings.thermal_bridge, "settings")
    return [loss_term(room, "bridge", area, extra, 1.0, "thermal bridges", "", climate)] if area > 0 else []
