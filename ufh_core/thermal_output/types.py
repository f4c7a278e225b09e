"""Thermal output of heated floors, room by room and circuit by circuit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ufh_core.basis.findings import Finding
from ufh_core.building.types import RoomKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One thing that helps a room that is short: in `words`, what it gives more and leaves missing alone [W].

    `setting` is the line of the settings that asks for it, "" where there is none.
    """

    words: str
    more_w: float
    left_w: float = 0.0
    setting: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomOutput:
    """What a room's floor gives at the design flow temperature.

    q upward [W/m²] over `heated_area_m2`; `spread_k` is the room's σ; `shortfall_w` is what is
    missing (0 when carried); `limited_by` says what sets the output: ""
    (the demand), "surface" or "flow temperature" (less than asked), "spread" (more than asked even at the
    greatest spread; the room's thermostat holds it back), "area" (no floor is left to heat). `advice` says in
    words what the `remedies` of a short room are.
    """

    room: str
    pitch_m: float
    heated_area_m2: float
    characteristic: float  # K_H [W/(m² K)]
    heat_flux: float  # q [W/m²]
    limit_flux: float  # q_G [W/m²]
    overtemperature_k: float  # Δθ_H
    output_w: float
    shortfall_w: float
    downward_flux: float  # q_u [W/m²]
    flow_c: float
    return_c: float
    spread_k: float
    mass_flow: float  # [kg/s], whole room
    mean_surface_c: float
    peak_surface_c: float
    edge_surface_c: float | None = None  # mean surface of edge zones, whose limit is their own
    limited_by: str = ""
    advice: str = ""
    remedies: tuple[Remedy, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRequest:
    """What is asked of one room's floor.

    `demand_w` [W] upward; `heatable_area_m2` [m²]; `finish_r` R_λB [m² K/W]; `r_below` R_u [m² K/W] with the
    film of 0.17; `below_c` θ_u [°C]. `pitches_m` are those to choose from (empty: those of the settings);
    `fixed_pitch_m` leaves no choice. `label` is the room's name for people.
    """

    room: str
    kind: RoomKind
    indoor_c: float
    demand_w: float
    heatable_area_m2: float
    finish_r: float
    r_below: float
    below_c: float
    pitches_m: tuple[float, ...] = ()
    fixed_pitch_m: float | None = None
    label: str = ""
    floor_share: float = 1.0  # of the room's whole floor that the heatable area is
    edge_m2: float = 0.0  # of the floor that lies along outer walls, as deep as an edge zone may be

    @property
    def called(self) -> str:
        """What messages call the room."""
        return self.label or self.room


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyOutput:
    """The rooms of one storey at one flow temperature θ_V [°C], set by `governing_room` ("" where it was given)."""

    flow_c: float
    governing_room: str
    rooms: dict[str, RoomOutput]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidField:
    """The part of a room's floor that one circuit heats, as laid; `edge` where it is an edge zone along outer walls."""

    circuit: str
    room: str
    area_m2: float
    pitch_m: float
    edge: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AsLaid:
    """What the standard's endless floor leaves out, where it is known [W].

    `lost_w`: what a room's fields give less than K_H Δθ_H A; `tails_w`: what a circuit's water leaves in no field.
    """

    lost_w: Mapping[str, float] = field(default_factory=dict)
    tails_w: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitOutput:
    """One circuit's heat and water: heat upward and downward [W], mass flow [kg/s], temperatures [°C].

    `tail_w` is what its water gives in no field, where that is known.
    """

    circuit: str
    output_w: float
    downward_w: float
    mass_flow: float
    flow_c: float
    return_c: float
    tail_w: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOutput:
    """Rooms and circuits as laid, at a given flow temperature."""

    flow_c: float
    rooms: dict[str, RoomOutput]
    circuits: dict[str, CircuitOutput]
    findings: tuple[Finding, ...] = ()
