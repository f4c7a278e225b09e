"""Filling one territory with one counterflow loop: the way in, whatever the room's walls and the system ask for."""

from __future__ import annotations

from ufh_core.fields.cost import field_cost
from ufh_core.fields.rings import lay_rings
from ufh_core.fields.search import search_field
from ufh_core.fields.straighten import with_straight_runs
from ufh_core.fields.turned import frames, lay_turned
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult, Pattern

GOOD = 5.0
"""A cost below which rings are laid without looking for a better field on a lattice."""


def lay_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found for a territory, or why there is none.

    On studs it lies along the axes of the level's frame or, where the walls ask, of the room's own.
    Without studs it may be rings parallel to the walls, or the lattice's loop with straightened runs.
    """
    if request.on_studs or not request.edge_floor.is_empty:  # a zone of its own pitch needs the lattice
        return _on_lattice(request)
    rings = lay_rings(request) if request.pattern is Pattern.COUNTERFLOW else None
    if rings is not None and field_cost(rings, request) < GOOD:
        return rings
    lattice = _on_lattice(request)
    if isinstance(lattice, FieldFailure):
        return rings or lattice
    straight = with_straight_runs(lattice, request)
    return min((r for r in (rings, straight) if r is not None), key=lambda r: field_cost(r, request))


def _on_lattice(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best field along the axes of some frame."""
    angles = frames(request.floor)
    made = [_laid_at(request, angle) for angle in angles]
    if 0.0 not in angles and isinstance(made[0], FieldFailure):
        made = [search_field(request)]
    laid = [m for m in made if isinstance(m, FieldResult)]
    if len(laid) < 2:
        return laid[0] if laid else made[0]
    return min(laid, key=lambda r: field_cost(r, request))


def _laid_at(request: FieldRequest, angle: float) -> FieldResult | FieldFailure:
    """The field in a frame at an angle [rad]."""
    return lay_turned(request, angle, search_field) if angle else search_field(request)
