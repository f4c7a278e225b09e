"""Heat demand of rooms, term by term."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ufh_core.basis.findings import Finding
from ufh_core.building.types import RoomKind

Line = tuple[tuple[float, float], tuple[float, float]]


class DemandBasis(StrEnum):
    """Where a room's heat demand comes from."""

    MODEL = "model"
    CALCULATED = "calculated"
    SETTINGS = "settings"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomCondition:
    """What is wanted of a room: its temperature [°C], whether the floor heats it, and a demand set by hand [W].

    `kind` takes the place of the room's own kind where the designer has changed it.
    """

    indoor_c: float
    heated: bool = True
    stated_demand_w: float | None = None
    kind: RoomKind | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandTerm:
    """One term: an area A [m²] with U [W/(m² K)], a temperature factor f [-], and the loss [W].

    `kind` is one of: wall, window, door, roof, floor, inner, ventilation, bridge, given.
    """

    kind: str
    loss_w: float
    area_m2: float = 0.0
    u_value: float = 0.0
    factor: float = 1.0
    what: str = ""
    ifc_guid: str = ""
    u_basis: str = ""  # "model", "layers", "default", "settings", "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomDemand:
    """A room's demand on its floor surface [W], without the floor's own downward loss."""

    room: str
    indoor_c: float
    demand_w: float
    basis: DemandBasis
    terms: tuple[DemandTerm, ...] = ()
    note: str = ""
    below: str = "ground"  # what lies under the floor: "heated", "unheated", "ground", "outside"
    below_c: float = 10.0  # temperature there
    floor_loss_w: float = 0.0  # loss through the floor itself, kept apart
    floor_terms: tuple[DemandTerm, ...] = ()  # its terms, not part of `terms`
    outer_walls: tuple[Line, ...] = ()  # its edges to the open air, from end to end with the room on the left [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatDemand:
    """Demands by room GlobalId."""

    outdoor_c: float
    rooms: dict[str, RoomDemand]
    findings: tuple[Finding, ...] = ()
