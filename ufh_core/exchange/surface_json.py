"""What design.json says of the surface field, a room and a circuit at a time."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.exchange.plan_points import moved
from ufh_core.surface_field.types import SurfaceField

DIGITS = 6


def surface_of_room(field: SurfaceField | None, room: str, turn: NDArray[np.float64]) -> dict[str, Any]:
    """`surface` of a room: temperatures of its whole floor [°C], places in the storey's frame [m]; {} without a field.

    Heat [W] upward is what the floor and its thresholds give, less what bare floor over cold ground takes.
    """
    found = next((r for r in field.rooms if r.room == room), None) if field is not None else None
    if field is None or found is None:
        return {}
    heat = next(h for h in field.heats if h.room == room)
    figures = {
        "mean_temperature_c": found.mean_c,
        "peak_temperature_c": found.peak_c,
        "coldest_temperature_c": found.coldest_c,
        "limit_temperature_c": found.limit_c,
        "area_over_limit_m2": found.over_m2,
        "heat_upward_w": heat.upward_w,
        "heat_downward_w": heat.downward_w,
    }
    places = {"peak_at": moved(turn, found.peak_at), "coldest_at": moved(turn, found.coldest_at)}
    return {"surface": _rounded(figures) | {key: [round(v, DIGITS) for v in at] for key, at in places.items()}}


def surface_of_pipe(field: SurfaceField | None, circuit: str) -> dict[str, float] | None:
    """`surface` of a circuit: heat [W] that it leaves in floors, tails too, its return, and pipe under no floor."""
    found = next((p for p in field.pipes if p.number == circuit), None) if field is not None else None
    if found is None:
        return None
    return _rounded(
        {"heat_w": found.heat_w, "return_temperature_c": found.return_c, "without_floor_m": found.uncovered_m}
    )


def _rounded(figures: dict[str, float]) -> dict[str, float]:
    return {key: round(value, DIGITS) + 0.0 for key, value in figures.items()}
