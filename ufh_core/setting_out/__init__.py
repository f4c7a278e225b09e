"""Setting out for the fitter: marks along each pipe, distances to walls, gaps and bends counted in studs."""

from ufh_core.setting_out.card import circuit_cards
from ufh_core.setting_out.types import CircuitCard

__all__ = ["CircuitCard", "circuit_cards"]
