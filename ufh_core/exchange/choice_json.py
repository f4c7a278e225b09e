"""The part of design.json that tells how the circuits of a room were chosen."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from ufh_core.circuits.types import LaidCircuit
from ufh_core.fields.choice import CircuitChoice


def room_choices(room: str, circuits: list[LaidCircuit]) -> list[dict[str, Any]]:
    """What was tried for every circuit that heats `room` (GlobalId), in the order of the circuits."""
    return [_choice(laid, choice) for laid in circuits for choice in laid.choices_for(room)]


def _choice(laid: LaidCircuit, choice: CircuitChoice) -> dict[str, Any]:
    """Lengths in m; shares and temperatures as `Candidate` says."""
    return {
        "circuit": laid.number,
        "asked_pitch_m": choice.asked_pitch_m,
        "loops_drawn": choice.drawn,
        "candidates": [
            {
                "cost": one.cost,
                "floor_missed_share": one.missed,
                "greatest_distance_pitches": one.gap,
                "unevenness": one.unevenness,
                "bends_per_m": one.bends_per_m,
                "verdict": one.verdict,
            }
            for one in choice.candidates
        ],
        "refused": [asdict(refusal) for refusal in choice.refusals],
        "limits": list(choice.limits),
    }
