"""The designer's answers for rooms and places of manifolds, written where the next design reads them back."""

from __future__ import annotations

from typing import Any

from ufh_core.building.types import Storey
from ufh_core.exchange.pipes import StoreyScope
from ufh_core.exchange.properties import Row, own_set
from ufh_core.exchange.trade_model import TradeModel
from ufh_core.settings.changed import said_lines
from ufh_core.settings.room_choices import CHOICES, PLACE, PLACES_SET, ROOM_SET, Choice
from ufh_core.settings.steering import RoomOverride
from ufh_core.zones.given_places import given_places
from ufh_core.zones.model_choices import with_model_choices
from ufh_core.zones.selection import merged_override, select_rooms


def write_choices(model: TradeModel, scope: StoreyScope) -> None:
    """What was decided for the rooms of a storey and its manifolds' places; nothing where nothing was."""
    design = scope.design
    settings = with_model_choices(design.building, design.settings)
    storey = next(s for s in design.building.storeys if s.ifc_guid == scope.storey.storey)
    for room in storey.rooms:
        told, space = merged_override(room, settings), _space(model, scope, room.ifc_guid)
        if told is not None and space is not None:
            own_set(model, space, ROOM_SET, [row for choice in CHOICES for row in _rows(choice, told)])
    _write_places(model, scope, storey)


def _space(model: TradeModel, scope: StoreyScope, guid: str) -> Any | None:
    """The room's entity: also one that is not heated, where the file has it."""
    if guid in scope.spaces:
        return scope.spaces[guid]
    try:
        return model.file.by_guid(guid)
    except RuntimeError:
        return None


def _rows(choice: Choice, told: RoomOverride) -> list[Row]:
    """The properties of one answer."""
    value = getattr(told, choice.key)
    if not choice.areas:
        return [(choice.name, choice.measure, value)]
    rings = (tuple(x for corner in ring for x in corner) for ring in value or ())
    return [(f"{choice.name}{k}", choice.measure, ring) for k, ring in enumerate(rings, start=1)]


def _write_places(model: TradeModel, scope: StoreyScope, storey: Storey) -> None:
    design = scope.design
    settings = with_model_choices(design.building, design.settings)
    if not settings.manifold.places:
        return
    here = given_places(design.building, select_rooms(design.building, design.settings), design.settings)
    names = {place.name for place in here[storey.ifc_guid]}
    rows: list[Row] = [
        (f"{PLACE}{k}", "IfcText", "\n".join(said_lines(place)))
        for k, place in enumerate(settings.manifold.places, start=1)
        if place.name in names
    ]
    own_set(model, scope.entity, PLACES_SET, rows)
