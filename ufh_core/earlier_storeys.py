"""Storeys of an earlier design that stay as they are when the designer moves a manifold elsewhere.

A storey depends on its rooms and walls, on the settings, on the places given for its manifolds, and on the number
at which its manifolds begin, and on circuits that stay. Where only places of other storeys differ, laying it again
would give the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ufh_core.building.types import Building, Storey
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.settings import Settings
from ufh_core.zones.given_places import GivenPlace, given_places
from ufh_core.zones.kept_pipes import KeptPipe
from ufh_core.zones.selection import select_rooms

SAME_M = 1e-4
Places = Mapping[str, Sequence[GivenPlace]]


class EarlierStoreys:
    """What of an earlier design, if any, still holds for a building, its settings and given places by storey."""

    def __init__(
        self,
        earlier: Design | None,
        building: Building,
        settings: Settings,
        places: Places,
        kept: Mapping[str, Sequence[KeptPipe]],
    ) -> None:
        """`building` as it is designed, `kept` what stays now by storey: what stayed and is free again is laid anew.

        Raises: SettingsError where an earlier place is not there any more.
        """
        self._order: list[str] = []
        self._designs: dict[str, StoreyDesign] = {}
        self._ports: dict[str, list[str]] = {}
        if earlier is None or not _alike(earlier, building, settings):
            return
        before = given_places(building, select_rooms(building, earlier.settings), earlier.settings)
        self._order = [s.storey for s in earlier.storeys]
        stay = {storey: {"", *(pipe.label for pipe in pipes)} for storey, pipes in kept.items()}
        self._designs = {
            s.storey: s
            for s in earlier.storeys
            if before[s.storey] == places[s.storey]
            and {c.laid.kept for c in s.circuits} <= stay[s.storey]
            and not any(_drawn_otherwise(pipe, s) for pipe in kept[s.storey])
        }
        self._ports = {s.storey: [m.manifold.name for m in s.manifolds] for s in earlier.storeys}

    def same(self, storey: Storey, done: Sequence[StoreyDesign]) -> StoreyDesign | None:
        """The earlier design of a storey, None where it must be laid again after the storeys that are `done`."""
        found = self._designs.get(storey.ifc_guid)
        if found is None or self._order[: len(done) + 1] != [*(d.storey for d in done), storey.ifc_guid]:
            return None
        numbered = all([m.manifold.name for m in d.manifolds] == self._ports[d.storey] for d in done)
        return found if numbered else None


def _drawn_otherwise(pipe: KeptPipe, storey: StoreyDesign) -> bool:
    """Whether a pipe that stays lies otherwise than the circuit of its number did: a hand has changed its way."""
    was = next((c.laid.axis for c in storey.circuits if pipe.label.startswith(f"{c.laid.number} of ")), None)
    if was is None or not was.pieces:
        return False
    return abs(was.length_m - pipe.axis.length_m) > SAME_M or was.line().hausdorff_distance(pipe.axis.line()) > SAME_M


def _alike(earlier: Design, building: Building, settings: Settings) -> bool:
    """Whether nothing but places of manifolds differs."""
    same_model = (earlier.building.frame, earlier.building.storeys) == (building.frame, building.storeys)
    return same_model and _placeless(earlier.settings) == _placeless(settings)


def _placeless(settings: Settings) -> Settings:
    return replace(settings, manifold=replace(settings.manifold, places=()))
