"""Valves by their Kv.

Kv is the flow [m³/h] of water of 1000 kg/m³ at a pressure drop of 1 bar; Δp = 1 bar · (Q/Kv)² · ρ/1000.
Source: EN 60534 (definition of Kv), from memory.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass

from ufh_core.basis.errors import NoSolution

_BAR = 1e5
_HOUR_S = 3600.0
_REFERENCE_DENSITY = 1000.0


def valve_drop(volume_flow: float, density: float, kv: float) -> float:
    """Pressure drop [Pa] of a valve at a volume flow [m³/s] and a density [kg/m³].

    >>> round(valve_drop(0.09 / 3600, 992.26, 1.0) / 100, 2)
    8.04
    """
    if kv <= 0:
        raise NoSolution(f"a valve with a Kv of {kv:g} m³/h lets nothing through")
    return _BAR * (volume_flow * _HOUR_S / kv) ** 2 * density / _REFERENCE_DENSITY


def kv_for(volume_flow: float, density: float, drop_pa: float) -> float:
    """Kv [m³/h] at which a valve takes a pressure drop [Pa] at a volume flow [m³/s]."""
    if drop_pa <= 0:
        raise NoSolution("a valve cannot be set to a pressure drop of nothing")
    return volume_flow * _HOUR_S * math.sqrt(_BAR * density / _REFERENCE_DENSITY / drop_pa)


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveTable:
    """Kv [m³/h] of a balancing valve by turns from shut, both rising; straight lines between its rows."""

    turns: tuple[float, ...]
    kvs: tuple[float, ...]

    def kv_at(self, turns: float) -> float:
        """Kv at a number of turns. Raises: NoSolution beyond the table."""
        return _between(turns, self.turns, self.kvs, "turns")

    def turns_at(self, kv: float) -> float:
        """Turns for a Kv. Raises: NoSolution beyond the table.

        >>> round(ValveTable(turns=(0.5, 1.0, 3.0), kvs=(0.2, 0.4, 1.2)).turns_at(0.6), 9)
        1.5
        """
        return _between(kv, self.kvs, self.turns, "m³/h")

    def holds(self, kv: float) -> bool:
        """Whether the table reaches a Kv."""
        return self.kvs[0] <= kv <= self.kvs[-1]

    def quarter_turns(self, kv: float) -> float:
        """The quarter turn nearest to a Kv's position, within the table. Raises: NoSolution beyond the table."""
        nearest = round(4 * self.turns_at(kv)) / 4
        return min(max(nearest, math.ceil(4 * self.turns[0]) / 4), math.floor(4 * self.turns[-1]) / 4)


def _between(value: float, known: Sequence[float], wanted: Sequence[float], unit: str) -> float:
    """Linear interpolation in a rising table, and nothing beyond it."""
    if not known[0] <= value <= known[-1]:
        raise NoSolution(f"{value:g} {unit} is beyond the valve's table of {known[0]:g} to {known[-1]:g} {unit}")
    k = max(1, bisect.bisect_left(known, value))
    share = (value - known[k - 1]) / (known[k] - known[k - 1])
    return wanted[k - 1] + share * (wanted[k] - wanted[k - 1])
