"""What design.json says of the coils that circuits are cut from."""

from __future__ import annotations

from typing import Any

from ufh_core.floor.types import CoilPlan


def coil_rows(plan: CoilPlan | None) -> list[dict[str, Any]] | None:
    """`coils` of the take-off: each coil's length [m], its circuits in the order of cutting, and what is left of it."""
    if plan is None:
        return None
    return [
        {
            "length_m": round(coil.length_m, 3),
            "circuits": [
                {"number": number, "cut_m": round(cut, 3)}
                for number, cut in zip(coil.circuits, coil.cuts_m, strict=True)
            ],
            "left_m": round(coil.left_m, 3),
        }
        for coil in plan.coils
    ]
