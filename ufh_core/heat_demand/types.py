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

    `kind` is one of: wall, window, door, roof, floor, inner, ventilation, bridge, reheat, given; and for faces
    without a loss: face (a side), ceiling. `difference_k` is θ_int − θ_e, so that the loss is A U f times it.
    """

    kind: str
    loss_w: float
    area_m2: float = 0.0
    u_value: float = 0.0
    factor: float = 1.0
    what: str = ""
    ifc_guid: str = ""
    u_basis: str = ""  # "model", "layers", "default", "settings", "open"
    difference_k: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Envelope:
    """The surface of a room's body [m²] against the sum of its faces, in parts; clear dimensions.

    The body is the outline raised by the clear height: a sloping ceiling counts by its plan.
    """

    envelope_m2: float
    faces_m2: float
    missing_sides_m2: float = 0.0
    missing_ceiling_m2: float = 0.0
    missing_floor_m2: float = 0.0

    @property
    def gap(self) -> float:
        """Share of the envelope that no face covers; below 0 where faces are counted twice."""
        return (self.envelope_m2 - self.faces_m2) / self.envelope_m2 if self.envelope_m2 > 0 else 0.0


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
    faces: tuple[DemandTerm, ...] = ()  # faces for which no loss is counted, with the reason
    envelope: Envelope | None = None  # None where nothing stands round the room
    calculated_w: float | None = None  # by EN 12831-1, simplified, whatever the basis; None where it cannot be
    model_w: float | None = None  # the architect's own figure, where believable
    calculated_terms: tuple[DemandTerm, ...] = ()  # the terms of `calculated_w`
    outer_walls: tuple[Line, ...] = ()  # its edges to the open air, from end to end with the room on the left [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatDemand:
    """Demands by room GlobalId."""

    outdoor_c: float
    rooms: dict[str, RoomDemand]
    findings: tuple[Finding, ...] = ()
