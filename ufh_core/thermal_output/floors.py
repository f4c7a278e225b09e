"""One room's heated floor, reduced to what decides its output."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.building.types import RoomKind
from ufh_core.floor.types import FloorSection
from ufh_core.settings.types import OutputSettings
from ufh_core.thermal_output.types import RoomRequest


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorPart:
    """A part of a room's floor at one pitch; `edge` where it is an edge zone up to 1 m from an outer wall."""

    area_m2: float
    pitch_m: float
    edge: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatedFloor:
    """Area [m²], K_H [W/(m² K)] and the greatest Δθ_H [K] that the surface allows; `section` is the main part's.

    `inner_characteristic` is K_H away from edge zones, `edge_characteristic` the greatest in them, None without one.
    `lost_w` [W] is what the floor as laid gives less than K_H Δθ_H A, where it is known.
    """

    area_m2: float
    section: FloorSection
    characteristic: float
    limit_overtemperature_k: float
    inner_characteristic: float
    edge_characteristic: float | None = None
    lost_w: float = 0.0

    @property
    def limit_flux(self) -> float:
        """q_G [W/m²]."""
        return self.characteristic * self.limit_overtemperature_k

    def heat_w(self, overtemperature_k: float) -> float:
        """Heat upward [W] at Δθ_H [K]."""
        return self.characteristic * overtemperature_k * self.area_m2 - self.lost_w

    def needed_overtemperature(self, request: RoomRequest) -> float:
        """Δθ_H [K] for the demand. The floor must have an area."""
        return max(0.0, max(0.0, request.demand_w) + self.lost_w) / (self.area_m2 * self.characteristic)


def surface_limit_k(kind: RoomKind, settings: OutputSettings, edge: bool = False) -> float:
    """Greatest surface temperature over the room [K]: 15 K in edge zones, 9 K elsewhere. Source: EN 1264-2.

    In bathrooms people stand barefoot beside outer walls too: their limit holds all over (safe side).
    """
    if edge and kind is not RoomKind.BATH:
        return settings.edge_limit_k
    return settings.bath_limit_k if kind is RoomKind.BATH else settings.occupied_limit_k
