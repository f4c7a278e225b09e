"""Valves by their Kv.

Kv is the flow [m³/h] of water of 1000 kg/m³ at a pressure drop of 1 bar; Δp = 1 bar · (Q/Kv)² · ρ/1000.
Source: EN 60534 (definition of Kv), from memory.
"""

from __future__ import annotations

import math

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
