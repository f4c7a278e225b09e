"""What design.json says of the setting-out of each circuit; places in the storey's frame."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.design_result import CircuitDesign, Design, StoreyDesign
from ufh_core.exchange.pipe_run import circuit_levels, circuit_run
from ufh_core.exchange.plan_points import moved
from ufh_core.setting_out import CircuitCard, circuit_cards
from ufh_core.setting_out.card import Rises


def setting_out_cards(design: Design, storey: StoreyDesign) -> tuple[CircuitCard, ...]:
    """The cards of a storey; their lengths are those of the pipes as they are drawn in heating.ifc."""
    laid = [circuit for circuit in storey.circuits if circuit.laid.axis.pieces]
    rises = {circuit.laid.number: _rises(design, storey, circuit) for circuit in laid}
    return circuit_cards(design.building, storey, design.settings, design.coils, rises)


def _rises(design: Design, storey: StoreyDesign, circuit: CircuitDesign) -> Rises:
    """The pipe that is not in the plan, shared between both ends as their heights are."""
    levels = circuit_levels(design, storey, circuit.laid)
    flow, back = (max(0.0, bar - levels.pipe_m) for bar in (levels.flow_m, levels.return_m))
    whole = max(0.0, circuit_run(design, storey, circuit).length_m - circuit.laid.axis.length_m)
    share = flow / (flow + back) if flow + back > 0 else 0.5
    return Rises(flow_m=whole * share, return_m=whole * (1 - share))


def setting_out_rows(card: CircuitCard, turn: NDArray[np.float64]) -> dict[str, Any]:
    """One card: steps, marks to check and bends, each with its mark from the flow bar on [m]."""
    return {
        "cut": None if card.coil is None else asdict(card.coil),
        "steps": [_row(step, turn) for step in card.steps],
        "check_marks": [_row(check, turn) for check in card.checks],
        "bends": [asdict(bend) for bend in card.bends],
    }


def _row(place: Any, turn: NDArray[np.float64]) -> dict[str, Any]:
    """A step or a mark without what it does not tell."""
    row = {key: value for key, value in asdict(place).items() if value not in (None, "", ())}
    return row | {"point": moved(turn, place.point)}
