"""Where tails lie so close together that the floor over them would become too warm: what to insulate.

Several pairs side by side are taken as a field at the tails' spacing (see `tail_heat.py`). Where that
would give more than the surface limit of EN 1264-2 allows, their flow pipes are to be sleeved or
insulated over that stretch (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import shapely

from ufh_core.basis.areas import Area, along
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.circuits.types import LaidCircuit
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import characteristic, limit_flux
from ufh_core.thermal_output.floors import surface_limit_k
from ufh_core.thermal_output.rooms import floor_section
from ufh_core.thermal_output.types import RoomRequest

BESIDE = 1.2  # tails of two circuits this many spacings apart, or nearer, lie side by side
LEAST_M = 2.0  # of pipe, from which it is worth saying


def tail_findings(
    requests: Iterable[RoomRequest],
    outlines: Mapping[str, Area],
    circuits: Sequence[LaidCircuit],
    flow_c: float,
    settings: Settings,
) -> list[Finding]:
    """A finding for each room whose floor bunched tails would make too warm at a flow temperature [°C]."""
    found = []
    for request in requests:
        heat, most = _heat_and_limit(request, flow_c, settings)
        length = bunched_length(outlines[request.room], circuits, BESIDE * settings.layout.tail_spacing_m)
        if heat > most and length >= LEAST_M:
            words = Message(
                "{called}: {length:.1f} m of tails lie side by side and would give {heat:.0f} W/m², over "
                "the {most:.0f} W/m² of the surface limit; insulate or sleeve the flow pipes there",
                called=request.called,
                length=length,
                heat=heat,
                most=most,
            )
            guids = (request.room,)
            found.append(
                Finding(code="layout.tails-bunched", severity=Severity.WARNING, message=words, ifc_guids=guids)
            )
    return found


def bunched_length(outline: Area, circuits: Sequence[LaidCircuit], near_m: float) -> float:
    """Plan length [m] of pipe in an outline, outside all fields, that has another circuit's within `near_m`."""
    fields = shapely.union_all([f.outline for c in circuits for f in c.fields])
    tails = [along(c.axis.line(), outline).difference(fields) for c in circuits]
    tails = [t for t in tails if not t.is_empty]
    total = 0.0
    for k, tail in enumerate(tails):
        others = shapely.union_all([t for j, t in enumerate(tails) if j != k])
        total += tail.intersection(others.buffer(near_m)).length
    return float(total)


def _heat_and_limit(request: RoomRequest, flow_c: float, settings: Settings) -> tuple[float, float]:
    """Heat flux that tails would give, and the greatest allowed [W/m²]."""
    section = floor_section(request, settings.layout.tail_spacing_m, settings)
    over = max(0.0, flow_c - settings.output.spread_k / 2 - request.indoor_c)
    most, _ = limit_flux(section, surface_limit_k(request.kind, settings.output))
    return characteristic(section) * over, most
