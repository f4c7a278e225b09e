"""Fields laid and remembered, so that what did not change from one layout of a level to the next is not laid again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import TYPE_CHECKING

from shapely.geometry.base import BaseGeometry

from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.lay import lay_field
from ufh_core.fields.types import FieldFailure, FieldRequest, FieldResult
from ufh_core.lanes.types import Lane
from ufh_core.zones.territories import Territory

if TYPE_CHECKING:
    from ufh_core.circuits.territory_fields import Joined

Key = tuple[object, ...]
Fields = dict[Key, FieldResult | FieldFailure]


class FieldLayer:
    """Lays fields and remembers them, and the circuits that were joined from them.

    While lengths are only tried out, poor loops are good enough; `thorough` is set for the last round. `known`
    are fields of other layouts, of this level or any other, which are remembered with its own.
    """

    def __init__(self, known: Fields | None = None) -> None:
        self.thorough = False
        self._known: Fields = {} if known is None else known
        self._joined: dict[Key, Joined] = {}

    def __call__(self, request: FieldRequest) -> FieldResult | FieldFailure:
        """The field of a request."""
        quick = self._laid(replace(request, thorough=False))
        if isinstance(quick, FieldFailure) or (self.thorough and quick.poor):
            return self._laid(request)
        return quick

    def _laid(self, request: FieldRequest) -> FieldResult | FieldFailure:
        key = tuple(_hashable(getattr(request, one.name)) for one in fields(request))
        if key not in self._known:
            self._known[key] = lay_field(request)
        return self._known[key]

    def recall(self, key: Key, lane: Lane, territory: Territory) -> Joined | None:
        """The circuit that was joined before under a key (`joint_key`), unless a thorough search may better it."""
        made = self._joined.get(key)
        if made is None or (self.thorough and (made.result.poor or made.refusals)):
            return None
        return made.on(lane, territory)

    def remember(self, key: Key, made: Joined) -> Joined:
        """Keep a circuit for its key; it is given back."""
        self._joined[key] = made
        return made


def _hashable(value: object) -> object:
    return value.wkb if isinstance(value, BaseGeometry) else value


def joint_key(territory: Territory, lane: Lane, near: Sequence[Sequence[Point]]) -> Key:
    """All that a circuit depends on within one level: its territory, its tails and others' tails near to it."""
    place = (territory.room, territory.pitch_m, territory.shared, territory.floor.wkb, territory.axis.wkb)
    return (*place, lane.corners, tuple(map(tuple, near)))
