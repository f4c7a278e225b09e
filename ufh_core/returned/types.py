"""What came back of a heating model, circuit by circuit and manifold by manifold."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from shapely.geometry import Polygon

from ufh_core.basis.findings import Finding
from ufh_core.basis.pipe_axis import PipeAxis, Point
from ufh_core.building.types import Building
from ufh_core.revision.earlier_design import EarlierDesign


class State(StrEnum):
    """What a circuit is now: only the first two stay."""

    AS_IT_WAS = "as it was"
    CHANGED = "changed"
    REFUSED = "refused"
    MISSING = "missing"
    LED_ANEW = "led anew"


STAYS = frozenset({State.AS_IT_WAS, State.CHANGED})


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnedCircuit:
    """A circuit of the earlier design; `axis` and `fields` [m, local frame] are its changed way, if it has one.

    `reason` says why it does not stay, "" where it does.
    """

    number: str
    manifold: str
    state: State
    reason: str = ""
    axis: PipeAxis | None = None
    fields: tuple[tuple[str, Polygon], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnedManifold:
    """A manifold that was moved: the middle of its back and its wall's normal [local frame, m]."""

    name: str
    storey: str
    position: Point
    normal: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Returned:
    """An edited heating model beside the design that it is of, for the design to go on from."""

    building: Building
    earlier: EarlierDesign
    circuits: tuple[ReturnedCircuit, ...]
    moved: tuple[ReturnedManifold, ...]
    findings: tuple[Finding, ...]

    @property
    def staying(self) -> tuple[ReturnedCircuit, ...]:
        """Circuits that stay, those whose way was changed last: where two meet, the changed one gives way."""
        mine = [c for c in self.circuits if c.state in STAYS]
        return tuple(sorted(mine, key=lambda c: c.state is State.CHANGED))

    @property
    def all_taken(self) -> bool:
        """Whether everything that was changed is taken over."""
        return not any(f.severity != "note" for f in self.findings)
