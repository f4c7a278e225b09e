"""The brief of a level: what its layout is asked for, as it is handed from room to room of the package."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from ufh_core.circuits.field_layer import Fields
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.wishes import NO_WISHES, Wishes


def untold(_: str) -> None:
    """Tells nobody how far the layout is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelBrief:
    """What is asked of the circuits of one level.

    `pitches` [m] by room; manifolds are numbered on from `first_manifold`; `tell` hears how far the layout is;
    `least_counts` are the fewest circuits that a room may have, where its water asks for more than its length
    does; `wishes` are the designer's, of which the number of circuits is only exceeded where a pipe would be too long.
    `close_tails` lets tails lie as close as the settings allow where they would otherwise be spread to heat.
    `partners` are small rooms with the neighbours on whose circuit each may go, the likeliest first. `fields` are
    those that were laid for this or another layout, which need not be laid anew.
    """

    level: Level
    pitches: Mapping[str, float]
    settings: Settings
    first_manifold: int = 1
    tell: Callable[[str], None] = untold
    least_counts: Mapping[str, int] = field(default_factory=dict)
    wishes: Wishes = NO_WISHES
    close_tails: bool = False
    partners: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    fields: Fields = field(default_factory=dict, compare=False, repr=False)

    @property
    def limit_m(self) -> float:
        """Greatest length of a circuit [m]."""
        return self.settings.pipe.greatest_circuit_length_m
