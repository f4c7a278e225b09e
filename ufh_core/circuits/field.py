"""Filling one territory with one counterflow loop: the way in, whatever the room's walls and the system ask for."""

from __future__ import annotations

from ufh_core.circuits.field_search import search_field
from ufh_core.circuits.field_types import FieldFailure, FieldRequest, FieldResult


def lay_field(request: FieldRequest) -> FieldResult | FieldFailure:
    """The best legal loop found for a territory, or why there is none."""
    return search_field(request)
