"""What the designer decided about the layout of a storey, in terms of its rooms."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from ufh_core.building.types import Storey
from ufh_core.zones.selection import Selection


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """The designer's answers for the layout. `circuits` is the number of circuits by room (GlobalId)."""

    circuits: Mapping[str, int] = field(default_factory=dict)

    def without(self, rooms: Collection[str]) -> Wishes:
        """The wishes less those for some rooms."""
        return replace(self, circuits={guid: n for guid, n in self.circuits.items() if guid not in rooms})


NO_WISHES = Wishes()


def wishes_of(storey: Storey, selection: Mapping[str, Selection]) -> Wishes:
    """What the designer decided about the heated rooms of a storey."""
    told = {
        r.ifc_guid: override
        for r in storey.rooms
        if selection[r.ifc_guid].heat and (override := selection[r.ifc_guid].override) is not None
    }
    return Wishes(circuits={guid: o.circuits for guid, o in told.items() if o.circuits is not None})
