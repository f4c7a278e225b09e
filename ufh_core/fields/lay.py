"""Filling one territory with one counterflow loop: the way in, whatever the room's walls and the system ask for."""

from __future__ import annotations

from ufh_core.basis.small_objects import seldom_collected
from ufh_core.fields.cost import field_cost
from ufh_core.fields.rings import lay_rings
from ufh_core.fields.search import search_field
from ufh_core.fields.straighten import oblique, with_straight_runs
from ufh_core.fields.turned import frames, lay_turned
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult, Pattern

GOOD = 5.0
"""A cost below which rings are laid without looking for a better field on a lattice."""
TIGHT_GOOD = 11.0
"""The same where turns are wider than the pitch: some pipe is always missing then, and that counts."""
QUICKER = 0.5  # what rings may cost more than a lattice's loop
SQUARE = 7.0
"""A cost below which a lattice's loop is laid without looking for rings, where all walls are along the frame."""


def lay_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found for a territory, or why there is none.

    On studs it lies along the axes of the level's frame or, where the walls ask, of the room's own.
    Without studs it may be rings parallel to the walls, or the lattice's loop with straightened runs.
    """
    with seldom_collected():
        return _laid(request)


def _laid(request: FieldRequest) -> FieldResult | FieldFailure:
    if request.on_studs or not request.edge_floor.is_empty:  # a zone of its own pitch needs the lattice
        return _on_lattice(request)
    if not oblique(
        request.axis_area, 0.0
    ):  # walls along the frame: the lattice is the quicker way, and mostly the better
        lattice = _on_lattice(request)
        if isinstance(lattice, FieldResult) and field_cost(lattice, request) < SQUARE:
            return lattice
        return _better(_rings(request), lattice, request)
    rings = _rings(request)
    good = TIGHT_GOOD if 2 * request.least_radius_m > request.pitch_m else GOOD
    if rings is not None and field_cost(rings, request) < good:
        return rings
    lattice = _on_lattice(request)
    return _better(
        rings, lattice if isinstance(lattice, FieldFailure) else with_straight_runs(lattice, request), request
    )


def _rings(request: FieldRequest) -> FieldResult | None:
    """Rings parallel to the walls, for a field that is laid in counterflow."""
    return lay_rings(request) if request.pattern is Pattern.COUNTERFLOW else None


def _better(
    rings: FieldResult | None, lattice: FieldResult | FieldFailure, request: FieldRequest
) -> FieldResult | FieldFailure:
    """The field of less cost; of two nearly as good the rings, which are quicker to lay along the walls."""
    if rings is None or isinstance(lattice, FieldFailure):
        return rings or lattice
    return lattice if field_cost(lattice, request) < field_cost(rings, request) - QUICKER else rings


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
