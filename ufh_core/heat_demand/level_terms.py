"""Terms of what lies over and under a room: ceiling, the slope of a roof, floor."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ufh_core.building.types import Room, Slab
from ufh_core.heat_demand.climate import Climate, factor_beyond, is_heated, loss_term, lossless_face, merge
from ufh_core.heat_demand.surroundings import Beyond, beyond_ceiling, slab_above, slab_below
from ufh_core.heat_demand.types import DemandTerm
from ufh_core.heat_demand.u_values import (
    BARE_LEVEL_U,
    GREATEST_U,
    R_SE,
    R_SI_DOWN,
    R_SI_UP,
    UValue,
    u_value,
)

IN_THE_ROOF = "over the wall's top: the roof, counted by its slope"
SLOPE = "the roof's slope over its plan"


def floor_terms(room: Room, shares: Iterable[Beyond], climate: Climate) -> tuple[DemandTerm, ...]:
    """List the losses through the floor as the architect has it; they are not part of the demand on it."""
    slab = slab_below(room, climate.around.slabs)
    return merge(_level_term("floor", room, beyond, slab, climate) for beyond in shares)


def ceiling_terms(room: Room, climate: Climate) -> list[DemandTerm]:
    """Loss through the ceiling; nothing to a heated room above, whose floor is warm."""
    slab = slab_above(room, climate.around.slabs)
    terms: list[DemandTerm] = []
    for beyond in beyond_ceiling(room, climate.around):
        if beyond.room is not None and is_heated(beyond.room, climate):
            terms += lossless_face(beyond.area_m2, f"to {beyond.room.label}, heated", "ceiling")
        else:
            terms.append(_level_term("roof", room, beyond, slab, climate))
    return terms


def slope_terms(room: Room, terms: Iterable[DemandTerm], climate: Climate) -> list[DemandTerm]:
    """What a sloping roof is larger than the plan under it.

    The sides over the knee walls are the roof as seen from the side. Seen from above and from the side, A_h and A_v,
    a slope of one pitch has the area √(A_h² + A_v²), whether it falls to one side or alike to two.
    """
    listed = list(terms)
    above = sum(t.area_m2 for t in listed if t.kind == "roof" and t.factor == 1.0)
    beside = sum(t.area_m2 for t in listed if t.kind == "face" and t.what == IN_THE_ROOF)
    more = math.hypot(above, beside) - above
    if above <= 0 or more < 1e-6:
        return []
    slab = slab_above(room, climate.around.slabs)
    u = u_value(slab.construction, R_SI_UP + R_SE, climate.settings.u_roof, BARE_LEVEL_U) if slab else None
    u = u or UValue(climate.settings.u_roof, "default")
    return [loss_term(room, "roof", more, u, 1.0, SLOPE, slab.ifc_guid if slab else "", climate)]


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
    return loss_term(room, kind, beyond.area_m2, u, factor, what, slab.ifc_guid if slab else "", climate)
