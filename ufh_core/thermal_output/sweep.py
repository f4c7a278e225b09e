"""How much of a building's heat floors carry, by pitch, finish and flow temperature: to find the coolest water.

Every room is taken with one pitch and one finish all over, by EN 1264 before anything is laid, at each flow
temperature in turn. What it gives is counted up to its demand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ufh_core.settings.types import Settings
from ufh_core.thermal_output.floors import FloorPart
from ufh_core.thermal_output.rooms import heated_floor, room_output
from ufh_core.thermal_output.types import RoomRequest

COOLEST_C, WARMEST_C, STEP_K = 25, 55, 1
ENOUGH_W = 0.5
FINISHES_R = (None, 0.02, 0.05, 0.10, 0.15)
"""Each room's own, tiles, thin wood or vinyl, parquet, carpet [m² K/W]; common practice, EN 1264's greatest last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepPoint:
    """One pitch [m], finish R_λB [m² K/W] (None: each room's own) and flow temperature [°C].

    `carried_share` is of all heat, `rooms_carried` of all rooms; `missing_w` [W] and `worst_room`, which misses most.
    """

    pitch_m: float
    finish_r: float | None
    flow_c: float
    carried_share: float
    rooms_carried: int
    missing_w: float
    worst_room: str


def sweep(
    requests: Sequence[RoomRequest],
    settings: Settings,
    pitches_m: Iterable[float],
    finishes_r: Iterable[float | None],
    flows_c: Iterable[float] = range(COOLEST_C, WARMEST_C + 1, STEP_K),
) -> tuple[SweepPoint, ...]:
    """Every combination, flow temperature running fastest. There must be a room with a demand.

    Raises: NoSolution where a pitch or a finish is outside EN 1264-2's range.
    """
    flows = tuple(flows_c)
    return tuple(
        _point(requests, settings, pitch, finish, flow)
        for finish in finishes_r
        for pitch in pitches_m
        for flow in flows
    )


def _point(
    requests: Sequence[RoomRequest], settings: Settings, pitch_m: float, finish_r: float | None, flow_c: float
) -> SweepPoint:
    missing = {}
    for request in requests:
        asked = request if finish_r is None else replace(request, finish_r=finish_r)
        floor = heated_floor(asked, [FloorPart(area_m2=asked.heatable_area_m2, pitch_m=pitch_m)], settings)
        missing[request.room] = room_output(asked, floor, flow_c, settings).shortfall_w
    whole = sum(max(0.0, request.demand_w) for request in requests)
    lacking = sum(missing.values())
    worst = max(missing, key=lambda room: (missing[room], room))
    return SweepPoint(
        pitch_m=pitch_m,
        finish_r=finish_r,
        flow_c=float(flow_c),
        carried_share=1 - lacking / whole if whole > 0 else 1.0,
        rooms_carried=sum(value <= ENOUGH_W for value in missing.values()),
        missing_w=lacking,
        worst_room=worst if missing[worst] > ENOUGH_W else "",
    )


def coolest(points: Iterable[SweepPoint], pitch_m: float, finish_r: float | None, share: float = 1.0) -> float | None:
    """The least flow temperature [°C] that carries a share of the heat at a pitch and a finish; None for none."""
    fits = [
        p.flow_c for p in points if p.pitch_m == pitch_m and p.finish_r == finish_r and p.carried_share >= share - 1e-9
    ]
    return min(fits, default=None)
