"""Areas that a room is left without pipes, as words that a .blend keeps: single precision would miss them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

Ring = tuple[tuple[float, float], ...]


def words_of(rings: Iterable[Ring]) -> str:
    """Rings of corners [m, the model's plan] in words, to the millimetre."""
    return "; ".join(", ".join(f"{x:.3f} {y:.3f}" for x, y in ring) for ring in rings)


def rings_of(words: str) -> tuple[Ring, ...]:
    """Rings from their words."""
    rings = [[corner.split() for corner in ring.split(",")] for ring in words.split(";") if ring.strip()]
    return tuple(tuple((float(x), float(y)) for x, y in ring) for ring in rings)


def areas_words(row: Any) -> str:
    """How many areas of a room are left out, in words."""
    count = row.leave_out.count(";") + 1 if row.leave_out else 0
    return f"{count} area{'s' if count > 1 else ''}" if count else "drawn area"
