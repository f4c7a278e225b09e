"""The heat demand of a room in design.json: what is used, what was calculated, and every term of both."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from ufh_core.heat_demand.types import DemandTerm, Envelope, RoomDemand


def demand_row(demand: RoomDemand) -> dict[str, Any]:
    """The entries of one room [W, m², °C]; figures that do not exist are None."""
    return {
        "design_indoor_temperature_c": demand.indoor_c,
        "heat_demand_w": demand.demand_w,
        "heat_demand_basis": str(demand.basis),
        "heat_demand_terms": _terms(demand.terms),
        "heat_demand_calculated_w": demand.calculated_w,
        "heat_demand_model_w": demand.model_w,
        "heat_demand_calculated_terms": _terms(demand.calculated_terms),
        "floor_loss_w": demand.floor_loss_w,
        "floor_loss_terms": _terms(demand.floor_terms),
        "faces_without_loss": _terms(demand.faces),
        "envelope": _envelope(demand.envelope),
    }


def _terms(terms: Iterable[DemandTerm]) -> list[dict[str, Any]]:
    return [asdict(term) for term in terms]


def _envelope(envelope: Envelope | None) -> dict[str, float] | None:
    """The closure of a room's envelope [m²], `gap` as a share."""
    return None if envelope is None else {**asdict(envelope), "gap": envelope.gap}
