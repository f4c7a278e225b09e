"""Heat that tails give to the rooms which they cross: the estimate from which the real floor is sought.

Tails lie side by side at their spacing T, so the floor over them is taken as a field of that pitch
(EN 1264-2 for type A holds from T = 0.05 m), at the mean water temperature of a pair with the spread
of the governing room, and held to the surface limit. The strip is as wide as the pipes' share only,
so a lone pair is taken with less than it gives.
"""

from __future__ import annotations

from collections.abc import Iterable

import shapely

from ufh_core.basis.areas import Area
from ufh_core.circuits.types import LaidCircuit
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import characteristic, limit_flux
from ufh_core.thermal_output.floors import surface_limit_k
from ufh_core.thermal_output.rooms import floor_section
from ufh_core.thermal_output.types import RoomRequest


def tail_heat(request: RoomRequest, length_m: float, flow_c: float, settings: Settings) -> float:
    """Heat [W] that so much length [m] of tails gives to a room at a flow temperature [°C]."""
    spacing = settings.layout.tail_spacing_m
    area = length_m * spacing
    over = flow_c - settings.output.spread_k / 2 - request.indoor_c
    if area <= 0 or over <= 0:
        return 0.0
    section = floor_section(request, spacing, settings)
    most, _ = limit_flux(section, surface_limit_k(request.kind, settings.output))
    return min(characteristic(section) * over, most) * area


def tail_length(outline: Area, circuits: Iterable[LaidCircuit]) -> float:
    """Plan length [m] of pipe in a room's outline that lies in no field."""
    total = 0.0
    for circuit in circuits:
        line = circuit.axis.line()
        if not line.intersects(outline):
            continue
        own = shapely.union_all([f.outline for f in circuit.fields])
        total += line.intersection(outline).difference(own).length
    return total
